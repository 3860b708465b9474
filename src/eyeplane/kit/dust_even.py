"""Dust from frames of an even surface: which frames can be used, and what they show together."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from eyeplane.errors import InputError
from eyeplane.kit.dust_find import Field
from eyeplane.kit.dust_frame import SensorFrame, averaged, cone_px
from eyeplane.kit.dust_stack import Searched, Sizes, field_cone, search
from eyeplane.kit.dust_surface import flatten

WIDEST_F_NUMBER = 7.0  # wider, 50 µm dust takes under a fourteenth of the light; see docs
GOOD_F_NUMBER = 16.0  # the aperture to use: common practice ×8 (f/11 to f/16), no source
CLIPPED = 0.01  # share of pixels at white from which a surface is over-exposed; our own choice
DARK = 0.03  # of white: code 49 of 255 in sRGB; below, noise and rounding hide dust
MOST_FRAMES = 8  # that are laid over each other; more would gain little and need much memory
SMALLEST = 0.6  # of the cone's diameter b: no shadow is narrower, and covers differ
SHARP_PX = 4.0  # pixels across the smallest shadow that the search works with; our own choice
LARGEST_UM = 1000.0  # diameter of the largest shadow looked for: a flake to be seen by eye
WIDEST = 1.3  # of the largest shadow: what is wider counts as smooth


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EvenFrame:
    """A usable frame of an even surface.

    Attributes
    ----------
    frame : SensorFrame
        Without its light.
    field : ndarray
        float32 [y, x] around 1.
    step : int
        Pixels of the frame along each side of one of the field's.
    f_number : float or None
        Aperture.
    sizes : Sizes
        Which shadows are looked for, in pixels of the field.
    """

    frame: SensorFrame
    field: Field
    step: int
    f_number: float | None
    sizes: Sizes


def unusable(frame: SensorFrame, f_number: float | None) -> str:
    """Return why an even frame cannot show dust.

    Parameters
    ----------
    frame : SensorFrame
        Of an even surface.
    f_number : float or None
        Its aperture.

    Returns
    -------
    str
        A sentence with what to do; empty if it can be used.
    """
    if frame.clipped_share > CLIPPED:
        return (
            f"{100 * frame.clipped_share:.0f} % of it is over-exposed, and white hides dust: "
            "give it about two stops less, so that the surface comes out mid-grey."
        )
    if frame.level < DARK:
        return (
            f"it is too dark ({100 * frame.level:.1f} % of white): noise hides dust. Light the "
            "surface, or expose so that it comes out mid-grey."
        )
    if f_number is not None and f_number < WIDEST_F_NUMBER:
        return (
            f"it was taken at f/{f_number:g}, too wide for dust to show: "
            f"take it again at f/{GOOD_F_NUMBER:g}."
        )
    return ""


def even_frame(frame: SensorFrame, f_number: float | None) -> EvenFrame:
    """Return a frame made flat, ready to be searched.

    Parameters
    ----------
    frame : SensorFrame
        Of an even surface.
    f_number : float or None
        Its aperture.

    Returns
    -------
    EvenFrame
        Its light is dropped.
    """
    size_px, known = cone_px(
        f_number=f_number,
        pitch_um=frame.pitch_um,
        long_edge_px=max(frame.width_px, frame.height_px),
    )
    smallest = max(2.0, SMALLEST * size_px * (1.0 if known else 0.5))
    short = min(frame.width_px, frame.height_px)
    step = max(1, min(int(smallest / SHARP_PX), short // 200))
    pitch = frame.pitch_um.value if frame.pitch_um is not None else None
    largest = max(2.5 * size_px, LARGEST_UM / pitch if pitch else 0.03 * short)
    largest = min(largest, 0.15 * short)
    field = flatten(averaged(frame.light, step, odd=True), widest_px=WIDEST * largest / step)
    return EvenFrame(
        frame=replace(frame, light=np.empty((0, 0), np.float32)),
        field=field,
        step=step,
        f_number=f_number,
        sizes=Sizes(
            smallest_px=smallest / step,
            largest_px=largest / step,
            coding=replace(frame.coding, block_px=frame.coding.block_px / step),
        ),
    )


def one_body(frames: Sequence[SensorFrame]) -> None:
    """Refuse frames of several bodies.

    Parameters
    ----------
    frames : sequence of SensorFrame
        Those that could be used.

    Raises
    ------
    InputError
        If bodies or serial numbers differ: dust lies on one sensor.
    """
    counts: dict[str, int] = {}
    for frame in frames:
        body, serial = frame.body_key[:2]
        name = body or "a body that is not named"
        name += f" no. {serial}" if serial else ""
        counts[name] = counts.get(name, 0) + 1
    if len(counts) > 1:
        told = ", ".join(f"{name} ({count})" for name, count in sorted(counts.items()))
        raise InputError(
            f"the frames are of {len(counts)} bodies: {told}",
            where="dust",
            hint="Dust lies on one sensor: give the frames of one body at a time",
        )


def alike(frames: Sequence[EvenFrame]) -> tuple[list[EvenFrame], list[tuple[EvenFrame, str]]]:
    """Return the frames that can be laid over each other, and why the others cannot.

    Parameters
    ----------
    frames : sequence of EvenFrame
        Of one body.

    Returns
    -------
    tuple of list
        The frames at the smallest aperture, of the most usual size, and at most `MOST_FRAMES`;
        and those left out, each with a sentence.
    """
    best = max(frames, key=lambda one: (one.f_number or 0.0, _count_like(one, frames)))
    kept: list[EvenFrame] = []
    out: list[tuple[EvenFrame, str]] = []
    for one in frames:
        if (one.frame.width_px, one.frame.height_px) != (best.frame.width_px, best.frame.height_px):
            size = f"{one.frame.width_px} × {one.frame.height_px}"
            out.append((one, f"it has {size} pixels, the others another size."))
        elif not _same_cone(one, best):
            out.append((one, f"it was taken {_how(one)}; those {_how(best)} show more."))
        elif len(kept) == MOST_FRAMES:
            out.append((one, f"{MOST_FRAMES} frames are enough."))
        else:
            kept.append(one)
    return kept, out


def _count_like(one: EvenFrame, frames: Sequence[EvenFrame]) -> int:
    return sum(_same_cone(one, other) and one.step == other.step for other in frames)


def _same_cone(one: EvenFrame, other: EvenFrame) -> bool:
    """Return whether shadows fall alike: same aperture, lens and focal length."""
    if one.step != other.step or one.field.shape != other.field.shape:
        return False
    a, b = one.frame.exposure, other.frame.exposure
    if abs(np.log((one.f_number or 1.0) / (other.f_number or 1.0))) > 0.04:
        return False
    lengths = (a.focal_length_mm or 1.0, b.focal_length_mm or 1.0)
    return a.lens == b.lens and bool(abs(np.log(lengths[0] / lengths[1])) < 0.05)


def _how(one: EvenFrame) -> str:
    stop = (
        "at an aperture that is not written" if one.f_number is None else f"at f/{one.f_number:g}"
    )
    lens = one.frame.exposure.lens
    return f"{stop} with {lens}" if lens else stop


def search_even(frames: Sequence[EvenFrame]) -> Searched:
    """Return the shadows that frames of an even surface show together.

    Parameters
    ----------
    frames : sequence of EvenFrame
        Alike.

    Returns
    -------
    Searched
        In pixels of the field.
    """
    first = frames[0]
    size_px, known = cone_px(
        f_number=first.f_number,
        pitch_um=first.frame.pitch_um,
        long_edge_px=max(first.frame.width_px, first.frame.height_px),
    )
    return search(
        [one.field for one in frames],
        cone=field_cone(size_px, first.step, known=known),
        sizes=first.sizes,
    )
