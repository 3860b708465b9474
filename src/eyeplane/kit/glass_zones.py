"""Where in the frame glass takes contrast: two frames of one view, zone by zone.

Arrays are [y, x]; zones are numbered in rows from the upper left.
"""

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeplane.records import Measured
from eyeplane.records.kit_glass import GlassSmudge, GlassZone

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

LONG_ZONES, SHORT_ZONES = 6, 4  # as `eyeplane.measure.veil` has them: square on 3 : 2
BLOCKS = 8  # along each side of a zone
SMALL, LARGE, FINE = 0.0015, 0.012, 0.002  # standard deviations of the bands, of the long edge
REACH = 1.5  # standard deviations of the large band that are kept off what is not known
LEAST_PX = 1.8  # finer detail of the small picture is left to registration
ALIKE = 0.9  # correlation of a block's detail in both frames; less shows something else
LEAST_TEXTURE = 0.004  # standard deviation of a block's detail over its mean light
FEWEST_BLOCKS = 6  # of the 64 of a zone
DRAWS = 60
UNLIKE_SD = 1.0  # of what is unlike: all of it may be noise of one of the frames
ZONE_SD = 0.008  # of a loss: registration and JPEG, from unchanged pairs
FOCUS_RATIO = 1.18  # fine detail over middle-sized detail, either way: more is focus
SMUDGE_DIRECT, SURE_DIRECT = 0.04, 0.015  # direct light missing in a smudge, and at least
BESIDE_PART = 0.55  # of all these that a zone beside a sure one must show
SMUDGE_LOSS, SURE_LOSS = 0.035, 0.018  # contrast lost beyond the expected, and its low end
BEYOND_USUAL = 0.025  # contrast lost beyond what zones usually lose


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ZoneLosses:
    """What was found zone by zone.

    Attributes
    ----------
    columns, rows : int
        Zones across and down.
    zones : tuple of GlassZone
        In rows from the upper left.
    smudges : tuple of GlassSmudge
        Largest loss first.
    focus_moved : bool
        Whether fine detail differs as focus does.
    """

    columns: int
    rows: int
    zones: tuple[GlassZone, ...]
    smudges: tuple[GlassSmudge, ...]
    focus_moved: bool


@dataclass(frozen=True, slots=True, eq=False)
class _Detail:
    """Sums over the blocks, [row of blocks, column of blocks]; of detail, over light squared."""

    clean: Array
    veiled: Array
    both: Array
    light: Array
    dim: Array
    count: Array


def zone_losses(
    clean: Array, veiled: Array, *, expected: Array, known: Mask, rng: np.random.Generator
) -> ZoneLosses:
    """Return what each zone of a veiled frame lost against a clean one of the same view.

    Parameters
    ----------
    clean, veiled : ndarray
        Light [y, x] of both, laid over each other; of any exposure.
    expected : ndarray
        The clean one with the light that the whole frame's relation to the other makes of it:
        exposure, tone curve and an even veil are in it.
    known : ndarray
        Bool [y, x], where both are seen and not clipped.
    rng : Generator
        For the intervals.

    Returns
    -------
    ZoneLosses
        A zone with too little detail reads None; all do where focus moved.

    Notes
    -----
    Contrast is detail over mean light. Of the detail, standard deviations are compared in blocks
    that are alike in both (correlation .9), so that noise and a shift of half a pixel fall out;
    exposure falls out of the ratio. A smudge is where, against what is expected, less light comes
    straight (detail falls) and scattered light is added (contrast falls): a lamp that was moved
    does only the first.
    """
    height, width = clean.shape
    rows, columns = (SHORT_ZONES, LONG_ZONES) if width >= height else (LONG_ZONES, SHORT_ZONES)
    moved = _focus(clean, veiled, known)
    whole = _sums(clean, veiled, known, rows, columns)
    local = _sums(expected, veiled, known, rows, columns)
    found = []
    for place in np.ndindex(rows, columns):
        box = tuple(slice(n * BLOCKS, (n + 1) * BLOCKS) for n in place)
        found.append([_zone(_boxed(one, box), rng) for one in (whole, local)])
    usual = _usual([one[0] for one in found])
    strong, weak = (
        np.array([_is_smudged(one[0], one[1], usual, part) for one in found]).reshape(rows, columns)
        for part in (1.0, BESIDE_PART)
    )
    zones = [
        GlassZone(loss_share=one[0][0] if one[0] else None, smudged=bool(flag))
        for one, flag in zip(found, _grown(strong, weak).ravel(), strict=True)
    ]
    if moved:  # focus takes detail by depth, place by place, as a smudge does
        zones = [GlassZone() for _ in zones]
    flags = np.array([zone.smudged for zone in zones]).reshape(rows, columns)
    return ZoneLosses(
        columns=columns,
        rows=rows,
        zones=tuple(zones),
        smudges=_places(flags, [zone.loss_share for zone in zones]),
        focus_moved=moved,
    )


def place_words(at_share: tuple[float, float]) -> str:
    """Return what a place of the upright frame is called.

    Parameters
    ----------
    at_share : tuple of float
        (x, y) as shares of width and height.

    Returns
    -------
    str
        E.g. "the upper left".

    Examples
    --------
    >>> place_words((0.1, 0.2)), place_words((0.5, 0.5)), place_words((0.9, 0.5))
    ('the upper left', 'the middle', 'the right side')
    """
    across = ("left", "", "right")[min(int(3 * at_share[0]), 2)]
    down = ("upper", "", "lower")[min(int(3 * at_share[1]), 2)]
    if across and down:
        return f"the {down} {across}"
    if across:
        return f"the {across} side"
    return {"upper": "the top", "lower": "the bottom"}.get(down, "the middle")


def _band(light: Array, small: float, large: float) -> Array:
    long_px = max(light.shape)
    inner = light
    if small > 0:
        inner = np.asarray(cv2.GaussianBlur(light, (0, 0), max(small * long_px, LEAST_PX)))
    return np.asarray(inner - cv2.GaussianBlur(light, (0, 0), max(large * long_px, 2 * LEAST_PX)))


def _focus(clean: Array, veiled: Array, known: Mask) -> bool:
    """Return whether fine detail changed otherwise than middle-sized detail."""
    inner = _inside(known, clean)
    if np.count_nonzero(inner) < 1000:
        return False
    fine, middle = (
        float(_band(veiled, *sizes)[inner].std() / max(_band(clean, *sizes)[inner].std(), 1e-9))
        for sizes in ((0.0, FINE), (SMALL, LARGE))
    )
    return not 1 / FOCUS_RATIO < fine / max(middle, 1e-9) < FOCUS_RATIO


def _inside(known: Mask, light: Array) -> Mask:
    """Return where no band reaches into what is not known, or over the frame's edge."""
    side = 2 * round(REACH * LARGE * max(light.shape)) + 1
    kernel = np.ones((side, side), np.uint8)
    inner = cv2.erode(known.astype(np.uint8), kernel, borderType=cv2.BORDER_CONSTANT, borderValue=0)
    return np.asarray(inner > 0)


def _sums(clean: Array, veiled: Array, known: Mask, rows: int, columns: int) -> _Detail:
    inner = _inside(known, clean).astype(float)
    first, second = (_band(one, SMALL, LARGE) for one in (clean, veiled))
    size = (rows * BLOCKS, columns * BLOCKS)

    def summed(values: Array) -> Array:
        edges = [
            np.linspace(0, side, n + 1).round().astype(int)[:-1]
            for side, n in zip(values.shape, size, strict=True)
        ]
        return np.asarray(np.add.reduceat(np.add.reduceat(values, edges[0], 0), edges[1], 1))

    count = summed(inner)
    light = summed(clean * inner)
    # What is bright would count for all; beside an edge the bright side's light counts.
    beside = cv2.dilate(light / np.maximum(count, 1e-9), np.ones((3, 3), np.uint8))
    weight = 1 / np.maximum(np.asarray(beside, float), 1e-6) ** 2
    return _Detail(
        weight * summed(first * first * inner),
        weight * summed(second * second * inner),
        weight * summed(first * second * inner),
        light,
        summed(veiled * inner),
        count,
    )


def _boxed(sums: _Detail, box: tuple[slice, ...]) -> _Detail:
    parts = (sums.clean, sums.veiled, sums.both, sums.light, sums.dim, sums.count)
    return _Detail(*(part[box].ravel() for part in parts))


def _zone(sums: _Detail, rng: np.random.Generator) -> tuple[Measured, Measured] | None:
    """Return the contrast lost and the direct light left of a zone."""
    count = np.maximum(sums.count, 1e-9)
    alike = sums.both / np.sqrt(np.maximum(sums.clean * sums.veiled, 1e-30))
    texture = np.sqrt(np.maximum(sums.clean / count, 0))
    used = (alike > ALIKE) & (texture > LEAST_TEXTURE) & (sums.count > 0.3 * sums.count.max())
    if np.count_nonzero(used) < FEWEST_BLOCKS:
        return None
    first, second = sums.clean[used], sums.veiled[used]
    over = float(sums.light[used].sum() / max(sums.dim[used].sum(), 1e-12))
    draws = []
    for turn in range(DRAWS + 1):
        pick = rng.integers(0, len(first), len(first)) if turn else np.arange(len(first))
        draws.append(np.sqrt(second[pick].sum() / first[pick].sum()))
    direct = np.array(draws)
    # Noise in one of them alone would move the ratio by as much as they are unlike.
    unlike = 1 - float(sums.both[used].sum() / np.sqrt(first.sum() * second.sum()))
    parts = (float(direct[1:].std() / direct[0]), ZONE_SD, UNLIKE_SD * unlike)
    spread = 1.645 * math.hypot(*parts)
    left = float(direct[0]) * over
    loss = 1 - left
    return (
        Measured(value=loss, low=loss - spread * left, high=loss + spread * left),
        Measured(
            value=float(direct[0]),
            low=float(direct[0] * (1 - spread)),
            high=float(direct[0] * (1 + spread)),
        ),
    )


def _usual(whole: list[tuple[Measured, Measured] | None]) -> tuple[float, float]:
    """Return the contrast that zones usually lose, and the direct light that they keep."""
    told = [(one[0].value, one[1].value) for one in whole if one is not None]
    return tuple(np.median(told, axis=0).tolist()) if told else (0.0, 1.0)


def _is_smudged(
    whole: tuple[Measured, Measured] | None,
    local: tuple[Measured, Measured] | None,
    usual: tuple[float, float],
    part: float,
) -> bool:
    """Return whether a zone lost what a smudge takes, or a part of it."""
    if whole is None or local is None:
        return False
    loss, direct = local
    sure = 1 - direct.high > part * SURE_DIRECT and loss.low > part * SURE_LOSS
    less = max(direct.value, whole[1].value / usual[1])  # less than expected, and than elsewhere
    more = min(loss.value - part * SMUDGE_LOSS, whole[0].value - usual[0] - part * BEYOND_USUAL)
    return sure and 1 - less > part * SMUDGE_DIRECT and more > 0


def _grown(strong: Mask, weak: Mask) -> Mask:
    """Return the sure zones with those beside them that show part of it: a smudge has no edge."""
    count, labels = cv2.connectedComponents((strong | weak).astype(np.uint8), connectivity=4)
    held = [label for label in range(1, count) if strong[labels == label].any()]
    return np.asarray(np.isin(labels, held))


def _places(smudged: Mask, losses: list[Measured | None]) -> tuple[GlassSmudge, ...]:
    count, labels = cv2.connectedComponents(smudged.astype(np.uint8), connectivity=8)
    rows, columns = smudged.shape
    found = []
    for label in range(1, count):
        where = np.argwhere(labels == label)
        numbers = tuple(int(row * columns + column) for row, column in where)
        lost = [loss for n in numbers if (loss := losses[n]) is not None]
        down, across = (where + 0.5).mean(axis=0) / (rows, columns)
        found.append(
            GlassSmudge(
                place=place_words((float(across), float(down))),
                at_share=(float(across), float(down)),
                zones=numbers,
                loss_share=max(lost, key=lambda one: one.value),
            )
        )
    return tuple(sorted(found, key=lambda one: -one.loss_share.value))
