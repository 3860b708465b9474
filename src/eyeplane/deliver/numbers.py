"""All numbers of a frame with their spread, as the page lists them under "why we say so"."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import PurePath

from eyeplane.deliver.light import light_facts
from eyeplane.deliver.wording import (
    THIN,
    cause_words,
    far_words,
    number,
    offset_words,
    percent,
    reach_words,
    shutter_words,
    side_words,
    spread_words,
    whole_cm,
)
from eyeplane.records import (
    Blur,
    ColourBlur,
    FaceAnswer,
    FaceReading,
    FrameReading,
    Ghost,
    Measured,
    SittingFrame,
    counting_eye,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """A named number.

    Attributes
    ----------
    name, words : str
        What it is, and how much, with unit and spread.
    """

    name: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BudgetRow:
    """One part of the blur.

    Attributes
    ----------
    cause, sensor, frame, without : str
        Its name; its size on the sensor and in the frame; the reach without it.
    """

    cause: str
    sensor: str
    frame: str
    without: str


def near_blur(frame: SittingFrame) -> Blur | None:
    """Return the blur at the eye that counts, of the deciding face.

    Parameters
    ----------
    frame : SittingFrame
        One frame.

    Returns
    -------
    Blur or None
        None without a deciding face.
    """
    deciding = frame.answer.deciding
    if deciding is None or deciding >= len(frame.reading.faces):
        return None
    return counting_eye(frame.reading.faces[deciding]).blur


def blur_words(blur: Blur) -> str:
    """Return a blur in words.

    Parameters
    ----------
    blur : Blur
        What was measured.

    Returns
    -------
    str
        Size with spread, kind and direction.
    """
    if blur.size_px is None:
        return "cannot tell"
    size = spread_words(blur.size_px, "px")
    if blur.kind == "line" and blur.angle_deg is not None:
        beside = blur.disc_beside_px
        disc = "" if beside is None else f", and a disc of {spread_words(beside, 'px')} besides"
        return f"a line of {size}, {round(blur.angle_deg) % 180}° from level{disc}"
    if blur.kind == "disc":
        return f"a disc of {size}"
    if blur.kind == "none":
        return f"none that shows: at most {number(blur.size_px.high)}{THIN}px"
    return f"as much as a disc of {size}; its kind cannot be told"


def budget_rows(answer: FaceAnswer) -> tuple[BudgetRow, ...]:
    """Return the budget of one face.

    Parameters
    ----------
    answer : FaceAnswer
        What is said about it.

    Returns
    -------
    tuple of BudgetRow
        Largest cost first.
    """
    return tuple(
        BudgetRow(
            cause=cause_words(part.cause),
            sensor=_part_words(part.blur_um, "µm"),
            frame=_part_words(part.blur_px, "px"),
            without=_without_words(part.reach_without_cm),
        )
        for part in answer.budget
    )


def _part_words(size: Measured | None, unit: str) -> str:
    return "–" if size is None else spread_words(size, unit)


def _without_words(reach_cm: float | None) -> str:
    return "cannot tell" if reach_cm is None else f"{whole_cm(reach_cm)}{THIN}cm"


def face_facts(reading: FaceReading, answer: FaceAnswer) -> tuple[Fact, ...]:
    """Return all numbers of one face.

    Parameters
    ----------
    reading : FaceReading
        What was measured.
    answer : FaceAnswer
        What it means.

    Returns
    -------
    tuple of Fact
        In the order of reading.
    """
    face = reading.face
    facts = [
        Fact(name="Reach", words=reach_words(answer.reach_cm)),
        Fact(name="Focus plane from the near iris", words=_offset(answer)),
        Fact(name="Depth of field", words=_depth(answer)),
        Fact(name="Seen from the near iris lie", words=_marks(answer)),
        Fact(name="Nearer eye, as seen in the picture", words=face.near or "both equally far"),
    ]
    for eye, place in zip(reading.eyes, face.eyes, strict=True):
        facts += [
            Fact(name=f"Blur at the {eye.side} eye", words=blur_words(eye.blur)),
            Fact(name=f"{eye.side.capitalize()} eye open", words=_open(place.open)),
            Fact(
                name=f"Iris of the {eye.side} eye across",
                words=spread_words(place.iris_diameter_px, "px", 3),
            ),
        ]
    if answer.motion_um is not None or answer.motion_mm is not None:
        facts.append(Fact(name="Motion", words=_motion(answer)))
    facts += [
        Fact(name=f"Blur at {probe.name}", words=blur_words(probe.blur)) for probe in reading.probes
    ]
    return (
        *facts,
        Fact(name="One motion fitted to the whole face", words=blur_words(reading.together)),
        Fact(name="Head turned by", words=spread_words(face.yaw_deg, "°")),
        Fact(name="Head raised by", words=spread_words(face.pitch_deg, "°")),
        Fact(name="Head leaning by", words=spread_words(face.roll_deg, "°")),
        Fact(name="Near eye from the lens", words=_distance(face.distance_mm)),
        Fact(name="Face in one pixel", words=spread_words(face.mm_per_px, "mm")),
        Fact(name="Noise over light", words=_share(reading.noise_contrast)),
        *_more_facts(reading),
        *(Fact(name=name, words=words) for name, words in light_facts(answer.lights)),
    )


def _more_facts(reading: FaceReading) -> list[Fact]:
    """Return what is read of some faces only; what was not read takes no line."""
    facts = [
        Fact(name=f"Colours at {name}, against green", words=_colour(colour))
        for name, colour in (
            *((f"the {eye.side} eye", eye.colour) for eye in reading.eyes),
            *((probe.name, probe.colour) for probe in reading.probes),
        )
        if colour is not None
    ]
    if reading.ghost is not None:
        facts.append(Fact(name="Ghost beside what flash froze", words=_ghost(reading.ghost)))
    if reading.level is not None:
        facts.append(Fact(name="Light at the eyes, of white", words=percent(reading.level)))
    if reading.glasses is not None:
        facts.append(Fact(name="Glasses", words="yes" if reading.glasses else "no"))
    return facts


def _colour(colour: ColourBlur) -> str:
    red, blue = (spread_words(c, "px²") for c in (colour.red_px2, colour.blue_px2))
    return f"red by {red}, blue by {blue} more blurred (disc diameters, squared)"


def _ghost(ghost: Ghost) -> str:
    core = ghost.core_share
    drew = f"{percent(core.value)} ({percent(core.low)} to {percent(core.high)})"
    return (
        f"{spread_words(ghost.length_px, 'px')} long, {round(ghost.angle_deg) % 180}° from level; "
        f"flash drew {drew} of the light"
    )


def _offset(answer: FaceAnswer) -> str:
    words = offset_words(answer.offset_mm)
    return words if answer.offset_mm or not answer.offset_why else f"{words}: {answer.offset_why}"


def _depth(answer: FaceAnswer) -> str:
    if answer.depth_front_mm is None or answer.depth_back_mm is None:
        return "cannot tell"
    front, back = number(answer.depth_front_mm), number(answer.depth_back_mm)
    return f"{front}{THIN}mm before the focus plane, {back}{THIN}mm behind it"


def _marks(answer: FaceAnswer) -> str:
    places = (f"{m.name} {side_words(m.depth_mm)}" for m in answer.marks if m.name != "near iris")
    return ", ".join(places) or "cannot tell"


def _open(state: bool | None) -> str:  # noqa: FBT001  three answers, one of them None
    if state is None:
        return "cannot tell"
    return "yes" if state else "no"


def _motion(answer: FaceAnswer) -> str:
    parts = []
    if answer.motion_mm is not None:
        parts.append(f"{spread_words(answer.motion_mm, 'mm')} at the sitter")
    if answer.motion_um is not None:
        parts.append(f"{spread_words(answer.motion_um, 'µm')} on the sensor")
    if answer.motion_angle_deg is not None:
        parts.append(f"{answer.motion_angle_deg:.0f}° from level")
    return ", ".join(parts)


def _distance(distance: Measured | None) -> str:
    if distance is None:
        return "cannot tell"
    low, high = far_words(distance.low), far_words(distance.high)
    return f"{far_words(distance.value)} ({low} to {high})"


def _share(noise: Measured | None) -> str:
    if noise is None:
        return "cannot tell"
    percent = Measured(value=noise.value * 100, low=noise.low * 100, high=noise.high * 100)
    return spread_words(percent, "%")


def exposure_facts(reading: FrameReading) -> tuple[Fact, ...]:
    """Return what the camera wrote.

    Parameters
    ----------
    reading : FrameReading
        What was measured.

    Returns
    -------
    tuple of Fact
        Only what the file says.
    """
    exposure = reading.exposure
    flash = {True: "fired", False: "did not fire", None: None}[exposure.flash_fired]
    told: list[tuple[str, str | None]] = [
        ("Taken", _taken(exposure.captured_at)),
        (
            "Shutter",
            None if exposure.exposure_time_s is None else shutter_words(exposure.exposure_time_s),
        ),
        ("Aperture", None if exposure.f_number is None else f"f/{exposure.f_number:g}"),
        ("Focal length", _length(exposure.focal_length_mm)),
        ("Sensitivity", None if exposure.iso is None else f"ISO {exposure.iso:g}"),
        ("Flash", flash),
        ("Body", exposure.body),
        ("Lens", exposure.lens),
        ("Pixel pitch", _pitch(reading)),
    ]
    return tuple(Fact(name=name, words=words) for name, words in told if words)


def _length(length_mm: float | None) -> str | None:
    return None if length_mm is None else f"{length_mm:g}{THIN}mm"


def _pitch(reading: FrameReading) -> str:
    if reading.pitch_um is None:
        return "cannot tell"
    source = f", from {reading.pitch_source}" if reading.pitch_source else ""
    return spread_words(reading.pitch_um, "µm", 3) + source


def _taken(captured_at: str | None) -> str | None:
    if captured_at is None:
        return None
    day, _, clock = captured_at.partition("T")
    return f"{day} {re.sub(r'([.][0-9]*?)0+(?![0-9])', _trimmed, clock)}".strip()


def _trimmed(fraction: re.Match[str]) -> str:
    return "" if fraction[1] == "." else fraction[1]


def frame_facts(frame: SittingFrame) -> tuple[Fact, ...]:
    """Return the numbers of a frame that belong to no face.

    Parameters
    ----------
    frame : SittingFrame
        One frame.

    Returns
    -------
    tuple of Fact
        Background, places asked for, size, file, companions.
    """
    reading = frame.reading
    facts = [
        Fact(name=f"Blur in the {probe.name}", words=blur_words(probe.blur))
        for probe in reading.background
    ]
    facts += [
        Fact(name=f"Blur at {s.at_px[0]:g}, {s.at_px[1]:g}", words=blur_words(s.blur))
        for s in reading.spots
    ]
    if reading.veil is not None and reading.veil.darkest:
        darkest = reading.veil.darkest
        facts.append(Fact(name="Darkest hundredth of its zones, of white", words=_zones(darkest)))
    if reading.width_px:
        facts.append(Fact(name="Frame", words=f"{reading.width_px} × {reading.height_px}{THIN}px"))
    facts.append(Fact(name="File", words=_short(reading.path)))
    facts += [Fact(name="Same exposure", words=_short(path)) for path in frame.companions]
    return tuple(facts)


def _zones(darkest: Sequence[float]) -> str:
    low, high = (f"{number(f(darkest) * 100)}{THIN}%" for f in (min, max))
    return f"{low} in the deepest zone, {high} in the brightest"


def _short(path: str) -> str:
    """Return folder and name: the rest of a path says where its owner lives, and a page is sent."""
    return "/".join(PurePath(path).parts[-2:])
