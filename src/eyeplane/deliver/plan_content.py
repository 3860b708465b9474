"""What stands on a plan's card, whatever it is printed on."""

from collections.abc import Sequence
from dataclasses import dataclass

from eyeplane.deliver.plan_picture import Picture
from eyeplane.deliver.plan_words import (
    FRAMINGS,
    interval_words,
    setting_parts,
    share_words,
)
from eyeplane.deliver.wording import THIN, number, percent, reach_words, stop_words
from eyeplane.light.camera_words import shutter
from eyeplane.records import Measured
from eyeplane.records.plan import GroupRequest, SitterRequest
from eyeplane.records.planned import (
    FramesNeeded,
    LightQuality,
    LightWay,
    PlanSetting,
    Recompose,
)
from eyeplane.records.said import capital, share_percent

MOODS = {"toddling": "toddling", "still": "keeping still"}
WAYS = {
    "now": "as planned",
    "more light": "a stop more light",
    "wider aperture": "a stop wider",
    "slower shutter": "a stop slower",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """Settings as the card shows them.

    Attributes
    ----------
    parts : tuple of str
        Aperture, shutter time, ISO, flash.
    share : Measured
        Of frames that hold.
    said, interval : str
        The same in words.
    beside : str
        What else is to be known of it, in a sentence or two; may be empty.
    """

    parts: tuple[str, ...]
    share: Measured
    said: str
    interval: str
    beside: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A few lines under a heading.

    Attributes
    ----------
    heading : str
        Of what.
    rows : tuple of (str, str)
        What, and its number.
    lines : tuple of str
        Sentences.
    """

    heading: str
    rows: tuple[tuple[str, str], ...] = ()
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CardContent:
    """A whole card.

    Attributes
    ----------
    title, over : str
        Whose it is, and what it was planned for.
    sentence, advice : str
        The answer, and the one thing to change.
    of_frames : str
        What the shares are shares of.
    choices : tuple of Choice
        Best first.
    main : Picture
        The plan's own picture.
    facts : Section
        The picture's numbers.
    pictures : tuple of Picture
        The others, most wanted first.
    sections : tuple of Section
        Most wanted first; none is empty.
    cautions, notes : tuple of str
        That apply; on what the plan rests.
    """

    title: str
    over: str
    sentence: str
    advice: str
    of_frames: str
    choices: tuple[Choice, ...]
    main: Picture
    facts: Section
    pictures: tuple[Picture, ...]
    sections: tuple[Section, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]


def choices_of(settings: Sequence[PlanSetting]) -> tuple[Choice, ...]:
    """Return settings as the card shows them.

    Parameters
    ----------
    settings : sequence of PlanSetting
        Best first.

    Returns
    -------
    tuple of Choice
        In the same order.
    """
    return tuple(
        Choice(
            parts=setting_parts(s),
            share=s.share,
            said=share_percent(s.share.value),
            interval=interval_words(s.share),
            beside=" ".join(part for part in (_exposed(s), _both(s), s.gives_up) if part),
        )
        for s in settings
    )


def _exposed(setting: PlanSetting) -> str:
    off = setting.exposure_off_ev
    if abs(off) < 0.17:
        return ""
    side = "over" if off > 0 else "under"
    return f"Exposes {number(abs(off))} stops {side}."


def _both(setting: PlanSetting) -> str:
    both = setting.share_both
    if both is None or both == setting.share:
        return ""
    return f"Both eyes: {share_words(both)}."


def asked_words(request: SitterRequest | GroupRequest, *, distance_mm: float) -> str:
    """Return what a plan was made for, as far as kit, light and print go.

    Parameters
    ----------
    request : SitterRequest or GroupRequest
        The request.
    distance_mm : float
        Lens to sitter.

    Returns
    -------
    str
        "85 mm at 2.00 m, EV 8.3, print 60 cm seen from 50 cm".
    """
    kit, promise = request.kit, request.promise
    return ", ".join(
        [
            f"{kit.focal_length_mm:g}{THIN}mm at {distance_mm / 1000:.2f}{THIN}m",
            *_light_words(request),
            *(["on a tripod"] if request.hand.support == "tripod" else []),
            f"print {promise.print_cm:g}{THIN}cm seen from {promise.viewing_cm:g}{THIN}cm",
        ]
    )


def _light_words(request: SitterRequest | GroupRequest) -> list[str]:
    light = request.light
    words = []
    if light.guide_number_m is not None:
        words.append(f"flash GN {light.guide_number_m:.3g}")
    if light.exposure_ev is not None:
        room = " in the room" if light.kind == "flash" else ""
        words.append(f"EV {light.exposure_ev:.1f}".removesuffix(".0") + room)
    return words


def who_words(request: SitterRequest | GroupRequest) -> str:
    """Return who sits.

    Parameters
    ----------
    request : SitterRequest or GroupRequest
        The request.

    Returns
    -------
    str
        "adult", "child of 4, toddling, with glasses".
    """
    sitter = request.sitter
    age = sitter.age_years
    if age is None:
        who = "adult"
    elif age < 1:
        who = "baby"
    else:
        who = f"child of {age:g}" if age < 18 else f"aged {age:g}"
    mood = [] if sitter.mood is None else [MOODS.get(sitter.mood, sitter.mood)]
    return ", ".join([who, *mood, *(["with glasses"] if sitter.glasses else [])])


def frames_section(frames: Sequence[FramesNeeded]) -> tuple[Section, ...]:
    """Return how many frames to take.

    Parameters
    ----------
    frames : sequence of FramesNeeded
        What is known of it.

    Returns
    -------
    tuple of Section
        None or one.
    """
    lines = tuple(f.text for f in frames if f.text)
    return (Section(heading="Frames to take", lines=lines),) if lines else ()


def if_section(*, recompose: Recompose | None, others: Sequence[str]) -> tuple[Section, ...]:
    """Return what limits the plan, and what to do about it.

    Parameters
    ----------
    recompose : Recompose or None
        Of this framing.
    others : sequence of str
        Further sentences, empty ones left out.

    Returns
    -------
    tuple of Section
        None or one.
    """
    lines = tuple(text for text in (*others, recompose.text if recompose else "") if text)
    return (Section(heading="What limits it, and what to do", lines=lines),) if lines else ()


def ways_section(ways: Sequence[LightWay]) -> tuple[Section, ...]:
    """Return what another stop of light would bring.

    Parameters
    ----------
    ways : sequence of LightWay
        The first is the plan as it is, and is left out.

    Returns
    -------
    tuple of Section
        None or one.
    """
    rows = tuple((_way_words(w), _way_brings(w)) for w in ways if w.way != "now")
    return (Section(heading="A stop more onto the sensor", rows=rows),) if rows else ()


def _way_words(way: LightWay) -> str:
    settings = f"{stop_words(way.f_number)}, {shutter(way.shutter_s)}, ISO {way.iso:.0f}"
    return f"{capital(WAYS.get(way.way, way.way))}: {settings}"


def _way_brings(way: LightWay) -> str:
    return f"{share_words(way.share)}, reach {reach_words(way.reach_cm)}"


def light_section(
    quality: LightQuality | None, setting: PlanSetting, cost_of_noise: LightWay | None
) -> tuple[Section, ...]:
    """Return what is to be known of the light.

    Parameters
    ----------
    quality : LightQuality or None
        How hard it is.
    setting : PlanSetting
        The best settings.
    cost_of_noise : LightWay or None
        The plan as it is.

    Returns
    -------
    tuple of Section
        None or one.
    """
    lines = [quality.text] if quality else []
    if setting.frozen_by_flash:
        lines.append("The flash ends the exposure, not the shutter.")
    if setting.ghost_share is not None:
        lines.append(f"The room's own light makes up {percent(setting.ghost_share)} of it.")
    if cost_of_noise is not None and cost_of_noise.noise_cost_cm >= 0.95:
        lines.append(f"Noise costs {cost_of_noise.noise_cost_cm:.0f}{THIN}cm of reach.")
    return (Section(heading="Light", lines=tuple(lines)),) if lines else ()


def framing_words(framing: str) -> str:
    """Return a framing as it is said.

    Parameters
    ----------
    framing : str
        Of a record.

    Returns
    -------
    str
        "head and shoulders"; an unknown one stays as it is.
    """
    return FRAMINGS.get(framing, framing)
