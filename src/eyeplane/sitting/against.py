"""One kit against another by frames of the same sitter: at the same width of view, as they came."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError
from eyeplane.kit.against_parts import shares_of_difference
from eyeplane.kit.against_seen import (
    PrintedFrame,
    Viewers,
    curve_of,
    interval,
    seen_from,
    sold_prints,
)
from eyeplane.kit.against_told import (
    best_step_ratio,
    curve_ends_cm,
    parts_told,
    sharper_of,
    verdict_of,
)
from eyeplane.learn.recency import effective_weights
from eyeplane.optics import Spreads, reaches_cm, special
from eyeplane.optics.just_seen import STEP_RATIO
from eyeplane.records import STANDARD_VIEWING_CM, Measured
from eyeplane.records.kit_against import AgainstKit, AgainstResult, AgainstWay, PartName, WayKind
from eyeplane.records.said import THIN
from eyeplane.sitting.against_frames import KitFrames

FloatArray = NDArray[np.float64]

DRAWS = 80  # sets of frames: an end of an interval is right to an eighth of its half
PAIRS = 32  # pairs of frames in each
ALIKE_RATIO = 1.08  # of two widths of view: nearer than this, nothing need be said
UNLIKE_RATIO = 2.5  # farther apart, other things than the kit differ too; our own
FOR_BEST = 8  # frames of each before the best ones are spoken of
BEST_SHARE = 0.9  # of the frames that the one spoken of betters
SCALE_LOG_SD = 0.03  # of how wide a frame is at a face, beside the face's own size; our own
Z90 = 1.645  # half an interval of 90 % over the standard deviation


@dataclass(frozen=True, slots=True, kw_only=True)
class FramesAsked:
    """What is asked of two kits by their frames.

    Attributes
    ----------
    viewing_cm : float or None
        The viewer's distance; None: 1.5 times the print's diagonal.
    sold_cm : tuple of (float, float)
        Long and short side of each print that is sold.
    """

    viewing_cm: float | None = STANDARD_VIEWING_CM
    sold_cm: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drawn:
    """Pairs of frames under every belief, (beliefs, pairs), by part, for A and for B."""

    a: Mapping[str, FloatArray]
    b: Mapping[str, FloatArray]
    viewers: Viewers


def compare_frames(
    a: KitFrames, b: KitFrames, asked: FramesAsked, generator: np.random.Generator
) -> AgainstResult:
    """Return one kit held against another by frames of the same sitter.

    Parameters
    ----------
    a, b : KitFrames
        The frames of each.
    asked : FramesAsked
        Who looks, and what is sold.
    generator : numpy.random.Generator
        For which frames might have come instead; seeded by the caller.

    Returns
    -------
    AgainstResult
        For the middle frame of each, and for the best ones where there are enough.

    Raises
    ------
    InputError
        If the framings differ too much to be compared.

    Notes
    -----
    All frames are taken as if framed to one width of view at the face, the narrower of the two in
    the middle, with all their pixels: blur of the lens and grain stay as they are on the sensor,
    motion grows with the scale and missed focus with its square. What few frames leave open comes
    from drawing them anew by bursts, widened by Student's t for as many as they count for.
    """
    field = _common_field(a, b)
    if not (a.noise_told and b.noise_told):
        a, b = (replace(one, noise_contrast=np.zeros_like(one.noise_contrast)) for one in (a, b))
    drawn = _draw((a, b), field, asked, generator)
    names = _names(a, b)
    kinds: list[tuple[WayKind, float]] = [("frames", 0.5)]
    if min(len(a.bursts), len(b.bursts)) >= FOR_BEST:
        kinds.append(("best frames", BEST_SHARE))
    reaches: dict[frozenset[PartName], FloatArray] = {}
    told = [_way(drawn, reaches, (names, kind, share), asked) for kind, share in kinds]
    ways = tuple(way for way, _ in told)
    ends = curve_ends_cm(ways[0], asked.sold_cm)
    return AgainstResult(
        a=_kit(a),
        b=_kit(b),
        viewing_cm=asked.viewing_cm,
        reach_viewing_cm=asked.viewing_cm or STANDARD_VIEWING_CM,
        ways=ways,
        curve=curve_of(*told[0][1], ends, drawn.viewers),
        verdict=verdict_of(ways[0].sold),
        best_sold_step_ratio=best_step_ratio(ways),
        habit=None,
        common_field_mm=field,
        notes=_notes(a, b, field),
    )


def _common_field(a: KitFrames, b: KitFrames) -> float:
    fields = [float(np.median(one.field_mm)) for one in (a, b)]
    if max(fields) > UNLIKE_RATIO * min(fields):
        raise InputError(
            f"the frames of A take in {fields[0]:.0f} mm where the face is, those of B "
            f"{fields[1]:.0f} mm: more than the kit differs",
            where="A and B",
            hint="Shoot both with the same framing, the zoom or your place changed until the face "
            "is as large",
        )
    return min(fields)


def _names(a: KitFrames, b: KitFrames) -> tuple[PartName, ...]:
    apart: tuple[PartName, ...] = (
        ("focus", "glass") if a.focus_told and b.focus_told else ("focus and glass",)
    )
    every: tuple[PartName, ...] = ("pixels", *apart, "motion", "noise")
    blurs = {"motion": "line_px", "focus": "focus_px", "noise": "noise_contrast"}
    return tuple(
        name
        for name in every
        if name not in blurs or any(getattr(one, blurs[name]).any() for one in (a, b))
    )


def _draw(
    kits: tuple[KitFrames, KitFrames],
    field_mm: float,
    asked: FramesAsked,
    generator: np.random.Generator,
) -> _Drawn:
    scales = [np.exp(SCALE_LOG_SD * _normal(generator))[:, None] for _ in kits]
    sides = [
        _resampled(one, scale * one.field_mm / field_mm, generator)
        for one, scale in zip(kits, scales, strict=True)
    ]
    steps = np.exp(math.log(STEP_RATIO) / Z90 * _normal(generator))
    wider = max(_wider_ratio(one) for one in kits)
    return _Drawn(
        a=sides[0],
        b=sides[1],
        viewers=Viewers(viewing_cm=asked.viewing_cm, seen_ratio=steps, wider_ratio=wider),
    )


def _normal(generator: np.random.Generator) -> FloatArray:
    ranks = (generator.permutation(DRAWS) + generator.random(DRAWS)) / DRAWS
    return np.concatenate([[0.0], special.ndtri(ranks)])


def _wider_ratio(one: KitFrames) -> float:
    """Return Student's t over the normal's, for as many frames as these count for."""
    from scipy import special as scipy_special  # noqa: PLC0415  loads much

    counted = max(float(effective_weights([int(n) for n in one.bursts]).sum()), 2.0)
    t90 = float(scipy_special.stdtrit(counted - 1.0, 0.95))
    return t90 / Z90 * math.sqrt(counted / (counted - 1.0))


def _resampled(
    one: KitFrames, tighter: FloatArray, generator: np.random.Generator
) -> dict[str, FloatArray]:
    """Return frames drawn by bursts, each with what measuring it leaves open; all of them first.

    As shares of the frame, framed tighter by those factors, (beliefs, frames).
    """
    count = len(one.bursts)
    groups = [np.flatnonzero(one.bursts == burst) for burst in np.unique(one.bursts)]
    rows = [np.resize(generator.permutation(count), PAIRS)]
    for _ in range(DRAWS):
        some = generator.integers(len(groups), size=len(groups))
        pool = np.concatenate([groups[k] for k in some])
        rows.append(np.resize(generator.permutation(pool), PAIRS))
    picked = np.stack(rows)
    error = generator.standard_normal(picked.shape)
    error[0] = 0.0
    blur = np.exp(one.log_sd[picked] * error) / one.long_edge_px
    scale = np.take_along_axis(tighter, picked, axis=1)
    return {
        "pixel": np.full(picked.shape, 1.0 / one.long_edge_px),
        "focus": one.focus_px[picked] * blur * scale**2,
        "rest": one.rest_px[picked] * blur,
        "line": one.line_px[picked] * blur * scale,
        "noise": one.noise_contrast[picked] / one.long_edge_px,
        "short": np.full(picked.shape, one.short_edge_px / one.long_edge_px),
    }


OWNED: Mapping[PartName, tuple[str, ...]] = {
    "pixels": ("pixel",),
    "focus": ("focus",),
    "glass": ("rest",),
    "focus and glass": ("focus", "rest"),
    "motion": ("line",),
    "noise": ("noise",),
}


def _put_together(drawn: _Drawn, has: frozenset[PartName]) -> dict[str, FloatArray]:
    """Return A's frames with some of B's parts."""
    theirs = {field for name in has for field in OWNED[name]}
    return {field: (drawn.b if field in theirs else drawn.a)[field] for field in drawn.a}


def _spreads(parts: Mapping[str, FloatArray]) -> Spreads:
    pixel = parts["pixel"]
    return Spreads(
        disc_px=np.hypot(parts["focus"], parts["rest"]) / pixel,
        line_px=parts["line"] / pixel,
        noise_contrast=parts["noise"] / pixel,
    )


def _reaches(parts: Mapping[str, FloatArray], drawn: _Drawn) -> FloatArray:
    """Return the reach of each frame, (beliefs, pairs)."""
    return reaches_cm(
        _spreads(parts),
        long_edge_px=1.0 / parts["pixel"],
        viewing_cm=drawn.viewers.viewing_cm or STANDARD_VIEWING_CM,
    )


def _way(
    drawn: _Drawn,
    reaches: dict[frozenset[PartName], FloatArray],
    told: tuple[tuple[PartName, ...], WayKind, float],
    asked: FramesAsked,
) -> tuple[AgainstWay, tuple[PrintedFrame, PrintedFrame]]:
    """Return one way and its frames; reaches of kits put together are kept for the next way."""
    names, kind, share = told

    def worth(has: frozenset[PartName]) -> FloatArray:
        if has not in reaches:
            reaches[has] = _reaches(_put_together(drawn, has), drawn)
        return drawn.viewers.widened(np.quantile(reaches[has], share, axis=1))

    shares = shares_of_difference(worth, names)
    a_cm, b_cm = worth(frozenset()), worth(frozenset(names))
    frames = _printed(drawn.a, drawn, share), _printed(drawn.b, drawn, share)
    difference = interval(b_cm - a_cm)
    way = AgainstWay(
        kind=kind,
        a_f_number=None,
        b_f_number=None,
        a_iso=None,
        b_iso=None,
        a_reach_cm=_above_nought(interval(a_cm)),
        b_reach_cm=_above_nought(interval(b_cm)),
        difference_cm=difference,
        sharper=sharper_of(difference),
        parts=tuple(p for p in parts_told(shares) if p.change_cm.low or p.change_cm.high),
        seen_from=seen_from(*frames, drawn.viewers),
        sold=sold_prints(*frames, asked.sold_cm, drawn.viewers),
    )
    return way, frames


def _above_nought(reach_cm: Measured) -> Measured:
    return replace(reach_cm, low=max(reach_cm.low, 0.0))


def _printed(parts: Mapping[str, FloatArray], drawn: _Drawn, share: float) -> PrintedFrame:
    """Return the frame at that place in order of reach, one for each belief."""
    order = np.argsort(_reaches(parts, drawn), axis=1)
    at = order[:, [round(share * (PAIRS - 1))]]
    one = {field: np.take_along_axis(values, at, axis=1)[:, 0] for field, values in parts.items()}
    long_px = 1.0 / one["pixel"]
    return PrintedFrame(
        spreads=_spreads(one), long_edge_px=long_px, short_edge_px=long_px * one["short"]
    )


def _kit(one: KitFrames) -> AgainstKit:
    low, value, high = (float(q) for q in np.quantile(one.field_mm, [0.05, 0.5, 0.95]))
    return AgainstKit(
        name=one.name,
        long_edge_px=one.long_edge_px,
        short_edge_px=one.short_edge_px,
        sensor_long_mm=None if one.pitch_um is None else one.long_edge_px * one.pitch_um / 1000.0,
        glass="in the frames",
        frames=len(one.bursts),
        field_mm=Measured(value=value, low=low, high=high),
    )


def _notes(a: KitFrames, b: KitFrames, field_mm: float) -> tuple[str, ...]:
    notes = []
    for letter, one in (("A", a), ("B", b)):
        ratio = float(np.median(one.field_mm)) / field_mm
        if ratio > ALIKE_RATIO:
            other = "B" if letter == "A" else "A"
            notes.append(
                f"{other} was nearer or framed tighter, which is no merit of the kit: {letter} is "
                f"taken as if framed as tightly ({field_mm:.0f}{THIN}mm wide where the face is, "
                f"{ratio:.2f} times nearer), with all its pixels; its missed focus and motion grow "
                "with that."
            )
        if one.left_out:
            notes.append(
                f"{one.left_out} frames of {letter} tell nothing here: nobody or several people in "
                "them, closed eyes, unreadable, or their blur cannot be told."
            )
        if len(np.unique(one.bursts)) < 2:
            notes.append(
                f"All frames of {letter} are of one burst and share their focus: the ranges are "
                "wide for that. Focus anew for each frame."
            )
    if not (a.noise_told and b.noise_told):
        notes.append("Noise could not be told in most of the frames, and is left out.")
    if a.f_numbers != b.f_numbers and a.f_numbers and b.f_numbers:
        notes.append("The apertures of the two differ, and what that makes is in the lens's part.")
    if a.isos and b.isos and max(a.isos[-1] / b.isos[-1], b.isos[-1] / a.isos[-1]) > 1.5:
        notes.append("The ISO of the two differs, so noise is not the kits' alone.")
    return tuple(notes)
