"""One frame alone: the glow around a light in it, and how dark its darkest place is.

Points are (x, y), arrays [y, x]; radii are shares of the long edge.
"""

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeplane.kit.glass_curve import DEEP_TOE, ToneCurve
from eyeplane.kit.glass_light import FrameLight, shrunk
from eyeplane.kit.glass_spread import (
    HALO_FROM,
    RADII,
    VEIL_FROM,
    WIDTHS,
    beyond,
    half_radius,
    kernel_images,
)
from eyeplane.records import Measured
from eyeplane.records.kit_glass import GlassHalo, GlassStreak

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

FIT_PX = 400  # long edge at which the glow is read
BRIGHT = 0.6  # of white: a place that may be a light
LARGEST_SOURCE = 0.2  # of the frame: more is a bright scene, not a light in it
FEWEST_PX = 4  # small pixels of a light
RINGS = tuple(float(r) for r in np.geomspace(0.012, 0.2, 13))  # edges of the rings around it
SECTORS = 24
DARK_QUANTILE = 0.25  # of a cell: what is lit by the glow alone, between things that are lit too
BRIGHT_QUANTILE = 0.8  # of a cell: a streak may be narrower than it
STREAK_BELOW = 0.5  # of white: brighter is a thing, or the lamp itself
DARK_BESIDE = 0.12  # of white: light of a cell that may still be glow
LEAST_CELLS = 40  # of the 288 that are dark enough
EVEN_SECTORS = 0.55  # of the sectors that must be dark in the rings used for a streak
DRAWS = 60
MODEL_SD = 0.2  # of the halo's share: the scene's own shading; from made lamps, see docs
WIDTH_RATIO = 1.3  # either way, of a halo's width: real spreads are of other forms
NO_HALO = 0.15  # upper end of a share from which it is a bright scene and not a halo
GROUND_SD, LEAST_GROUND = 0.3, 0.005  # of a share, downwards: ground and thin halo look alike
STREAK_RATIO = 1.6  # along over across: less is a lamp's shape or a wall
STREAK_SD = 4.0  # times the scatter of other directions
SECOND_LINE = 0.6  # of its height that no other line may reach
DARKEST = 0.0005  # of the frame: its darkest places, grain averaged out
BRIGHT_BESIDE = 12.0  # times the darkest: the frame's mean light over it, else nothing is told


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LampFound:
    """What a light in one frame tells.

    Attributes
    ----------
    halo : GlassHalo
        The glow.
    streak : GlassStreak or None
        Along one line.
    at_share : tuple of float
        Place (x, y) of the light, as shares of width and height.
    clipped : bool
        Whether the light itself is clipped, so that shares are upper ends.
    """

    halo: GlassHalo
    streak: GlassStreak | None
    at_share: tuple[float, float]
    clipped: bool


def read_lamp(light: FrameLight, rng: np.random.Generator) -> LampFound | None:
    """Return the glow around the brightest light of a frame.

    Parameters
    ----------
    light : FrameLight
        The frame.
    rng : Generator
        For the interval.

    Returns
    -------
    LampFound or None
        None where there is no light with dark around it.

    Notes
    -----
    The light's own image is spread by kernels of growing width; their parts and an even ground are
    fitted to the darker quarter of each cell of 12 rings by 24 sectors around it. Nothing clipped
    is among the cells. A wall that the light shines on looks like a glow: so this is the most that
    the glass does.

    References
    ----------
    ISO 9358:1994 (glare spread function). Spencer, G. et al. (1995), "Physically-based glare
    effects for digital images", SIGGRAPH 95, 325-334 (glow as a sum of spreads, for eyes).
    """
    step = max(1, round(light.long_px / FIT_PX))
    luma, known = shrunk(light.luma, step), shrunk(light.known.astype(float), step) > 0.99
    source = _source(luma, known)
    if source is None:
        return None
    rows, columns = luma.shape
    middle = tuple(float(v) for v in np.argwhere(source).mean(axis=0)[::-1] + 0.5)
    cells = _cells(source, middle)
    lit = np.where(source, luma, 0.0)
    total = float(lit.sum())
    spread = kernel_images(lit)
    outside = known & ~cv2.dilate(source.astype(np.uint8), np.ones((5, 5), np.uint8)).astype(bool)
    table, values, bright, place = _read(luma, spread, cells, outside)
    usable = values < DARK_BESIDE
    if np.count_nonzero(usable) < LEAST_CELLS or total <= 0:
        return None
    fits = _fits(table[usable], values[usable], place[usable] % SECTORS, rng)
    clipped = bool(np.mean(known[source]) < 0.98)
    halo = _halo(fits, clipped=clipped)
    if halo.share is not None and halo.share.high > NO_HALO:
        return None
    return LampFound(
        halo=halo,
        streak=_streak(
            bright - fits[0][-1], place // SECTORS, place % SECTORS, bright < STREAK_BELOW
        ),
        at_share=(middle[0] / columns, middle[1] / rows),
        clipped=clipped,
    )


def most_veil(light: FrameLight, *, linear: bool) -> float | None:
    """Return the most that a veil over one frame can be.

    Parameters
    ----------
    light : FrameLight
        The frame.
    linear : bool
        Whether its file holds linear light.

    Returns
    -------
    float or None
        Light of the darkest places over the mean; None where nothing is dark beside what is
        bright, so that this would say nothing.

    Notes
    -----
    A veil lies over the darkest places too. Clipped lights make the mean too low and so this too
    high, never too low; a style that deepens shadows (power 1.25) is allowed for.
    """
    curve = ToneCurve(toe=1.0 if linear else DEEP_TOE)
    smooth = np.asarray(cv2.GaussianBlur(light.luma, (0, 0), 2.0), float)
    lit = curve.light(np.maximum(smooth, 0.0))
    darkest = max(float(np.quantile(lit, DARKEST)), 1e-4)
    mean = float(curve.light(light.luma).mean())
    return darkest / mean if mean > BRIGHT_BESIDE * darkest else None


def _source(luma: Array, known: Mask) -> Mask | None:
    """Return the light with the most light in it, without others beside it."""
    bright = (luma >= BRIGHT) | ~known
    if not bright.any() or bright.mean() > LARGEST_SOURCE:
        return None
    count, labels, stats, _ = cv2.connectedComponentsWithStats(bright.astype(np.uint8))
    sizes = stats[1:count, cv2.CC_STAT_AREA]
    best = 1 + int(np.argmax(sizes))
    if sizes[best - 1] < FEWEST_PX:
        return None
    return np.asarray(bright & ((labels == best) | (sizes.sum() < 1.3 * sizes[best - 1])))


def _cells(source: Mask, middle: tuple[float, ...]) -> NDArray[np.int_]:
    """Return the number of the cell each pixel lies in, -1 outside of all."""
    rows, columns = source.shape
    away = cv2.distanceTransform((~source).astype(np.uint8), cv2.DIST_L2, 5) / max(rows, columns)
    ring = np.digitize(away, RINGS) - 1
    down, across = np.mgrid[0:rows, 0:columns] + 0.5
    turn = np.arctan2(-(down - middle[1]), across - middle[0]) % (2 * np.pi)
    sector = (turn / (2 * np.pi) * SECTORS).astype(int) % SECTORS
    inside = (ring >= 0) & (ring < len(RINGS) - 1)
    return np.asarray(np.where(inside, ring * SECTORS + sector, -1))


def _read(
    luma: Array, spread: list[Array], cells: NDArray[np.int_], outside: Mask
) -> tuple[Array, Array, Array, NDArray[np.int_]]:
    """Return columns of the fit, darker and brighter light, and the number of each cell seen."""
    use = outside & (cells >= 0)
    order = np.argsort(cells[use], kind="stable")
    numbers = cells[use][order]
    light = luma[use][order]
    parts = np.stack([one[use][order] for one in spread], axis=1)
    found, starts = np.unique(numbers, return_index=True)
    table, values, bright = [], [], []
    for start, stop in zip(starts, [*starts[1:], len(numbers)], strict=True):
        here = light[start:stop]
        limit = np.quantile(here, DARK_QUANTILE)
        dark = here <= limit
        values.append(float(here[dark].mean()))
        bright.append(float(np.quantile(here, BRIGHT_QUANTILE)))
        table.append([*parts[start:stop][dark].mean(axis=0), 1.0])
    return np.array(table), np.array(values), np.array(bright), found


def _fits(
    table: Array, values: Array, sector: NDArray[np.int_], rng: np.random.Generator
) -> list[Array]:
    """Return kernels' parts and the ground, first fitted, then with sectors drawn again."""
    fits = [_solved(table, values)]
    for _ in range(DRAWS):
        counts = np.bincount(rng.integers(0, SECTORS, SECTORS), minlength=SECTORS)
        weight = counts[sector].astype(float)
        if np.count_nonzero(weight) > len(WIDTHS) + 4:
            fits.append(_solved(table, values, weight))
    return fits


def _solved(table: Array, values: Array, drawn: Array | None = None) -> Array:
    """Return the parts that fit relative light, with what lies far above them left out."""
    from scipy.optimize import nnls  # noqa: PLC0415  slow to load for --help

    weight = 1 / (0.003 + values)
    if drawn is not None:
        weight = weight * np.sqrt(drawn)
    robust, found = np.ones_like(values), np.zeros(table.shape[1])
    for _ in range(6):
        scale = weight * np.sqrt(robust)
        found, _ = nnls(table * scale[:, None], values * scale)
        left = (values - table @ found) / (0.003 + values)
        scatter = 1.4826 * float(np.median(np.abs(left))) + 1e-6
        # Things that are lit stand above the glow; nothing stands below it.
        robust = 1 / (1 + np.maximum(left / scatter, 0.0) ** 2)
    return np.asarray(found)


def _halo(fits: list[Array], *, clipped: bool) -> GlassHalo:
    kernels = np.array([one[:-1] for one in fits])
    # The light as it is shown has lost what glows: parts of it are not yet shares of all.
    shares = kernels / (1 + kernels.sum(axis=1, keepdims=True))
    between = beyond(HALO_FROM) - beyond(VEIL_FROM)
    draws = shares @ between
    radii, widths = np.array(RADII)[:, None], np.array(WIDTHS)
    density = (1 + (radii / widths) ** 2) ** -1.5 / (2 * np.pi * widths**2) * 1e-4
    profile = shares @ density.T
    low, high = np.quantile(profile, [0.05, 0.95], axis=0)
    value = float(draws[0])
    away = 1.645 * math.hypot(float(draws[1:].std()), MODEL_SD * value, 0.0005)
    half = np.array([half_radius(one) for one in shares])
    known = half[np.isfinite(half)]
    width = None
    if np.isfinite(half[0]) and len(known) > len(half) // 2:
        ends = np.quantile(known, [0.05, 0.95])
        width = Measured(
            value=float(half[0]),
            low=min(float(ends[0]) / WIDTH_RATIO, float(half[0])),
            high=max(float(ends[1]) * WIDTH_RATIO, float(half[0])),
        )
    below = 1.645 * math.hypot(float(draws[1:].std()), GROUND_SD * value, LEAST_GROUND)
    share = Measured(value=value, low=max(value - max(away, below), 0.0), high=value + away)
    return GlassHalo(
        share=None if clipped else share,
        width_share=width,
        radius_share=RADII,
        light_ratio=tuple(float(v) for v in profile[0]),
        low_ratio=tuple(float(v) for v in np.minimum(low * (1 - MODEL_SD), profile[0])),
        high_ratio=tuple(float(v) for v in np.maximum(high * (1 + MODEL_SD), profile[0])),
    )


def _streak(
    glow: Array, ring: NDArray[np.int_], sector: NDArray[np.int_], usable: Mask
) -> GlassStreak | None:
    """Return the line along which the glow runs out, if it does along one line only."""
    total, seen = np.zeros(SECTORS), np.zeros(SECTORS)
    for number in range(1, len(RINGS) - 4):
        here = (ring == number) & usable
        if np.count_nonzero(here) < EVEN_SECTORS * SECTORS:
            continue
        level = np.maximum(glow[here], 1e-5)
        np.add.at(total, sector[here], np.log(level) - np.median(np.log(level)))
        np.add.at(seen, sector[here], 1)
    if np.count_nonzero(seen >= 2) < EVEN_SECTORS * SECTORS:
        return None
    height = np.where(seen >= 2, total / np.maximum(seen, 1), np.nan)
    return _line(height)


def _line(height: Array) -> GlassStreak | None:
    """Return the one line along which logarithms of light stand out at both ends."""
    half = SECTORS // 2
    lower = np.fmin(height[:half], height[half:])  # both ends; one alone where the other is lit
    lower = np.where(np.isnan(height[:half]) | np.isnan(height[half:]), np.nan, lower)
    if np.count_nonzero(np.isfinite(lower)) < half // 2:
        return None
    best = int(np.nanargmax(lower))
    away = np.abs((np.arange(half) - best + half // 2) % half - half // 2)
    others = lower[(away > 2) & np.isfinite(lower)]
    if len(others) < 3:
        return None
    level, spread = (
        float(np.median(others)),
        float(1.4826 * np.median(np.abs(others - np.median(others)))),
    )
    rise = float(lower[best]) - level
    second = float(others.max()) - level
    if rise < math.log(STREAK_RATIO) or rise < STREAK_SD * max(spread, 0.05):
        return None
    if second > SECOND_LINE * rise:  # a star of the aperture's blades has several
        return None
    near = [(best + k) % half for k in (-1, 0, 1)]
    weight = np.nan_to_num(np.maximum(np.exp(lower[near] - level) - 1, 0.0))
    step = 180.0 / half
    middle = float((weight * np.array([-1.0, 0.0, 1.0])).sum() / max(weight.sum(), 1e-9))
    angle = ((best + 0.5 + middle) * step) % 180
    return GlassStreak(
        glow_deg=Measured(value=angle, low=angle - step / 2, high=angle + step / 2),
        wiped_deg=(angle + 90) % 180,
        strength_ratio=math.exp(rise),
    )
