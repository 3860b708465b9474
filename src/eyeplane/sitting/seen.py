"""How sharp many eyes look on one print, worked out together."""

import math
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray
from scipy import special

from eyeplane.optics.sharpness import CELLS, DETAIL_CONTRAST, FALL_DEG, FINEST_PER_DEG, RISE
from eyeplane.optics.transfer import DISC_FIRST_ZERO

Array = NDArray[np.float64]

ROWS = 1024  # eyes that are worked out at once: keeps the arrays within a processor's cache
TINY_PX = 1e-6  # smaller parts are none: keeps quotients away from 0 / 0
STEPS = 40  # halvings of the search for the largest line: to a millionth


@dataclass(frozen=True, slots=True, kw_only=True)
class Spreads:
    """What blurs each of many eyes, and how the print shows it.

    Attributes
    ----------
    disc_px, line_px, airy_px : ndarray
        As in `eyeplane.optics.PointSpread`, pixels of the frame.
    noise_contrast : ndarray
        Standard deviation over mean, per pixel.
    px_per_deg : ndarray
        Frame pixels in a degree of the viewer's view.
    """

    disc_px: Array
    line_px: Array
    airy_px: Array
    noise_contrast: Array
    px_per_deg: Array

    def rows(self, which: slice | NDArray[np.bool_] | NDArray[np.intp]) -> "Spreads":
        """Return some of the eyes.

        Parameters
        ----------
        which : slice or ndarray
            Which ones.

        Returns
        -------
        Spreads
            Those.
        """
        return Spreads(**{field.name: getattr(self, field.name)[which] for field in fields(self)})

    def scaled(self, factor: float | Array) -> "Spreads":
        """Return the same with disc and line larger or smaller.

        Parameters
        ----------
        factor : float or ndarray
            Above 0.

        Returns
        -------
        Spreads
            Diffraction, noise and print as they are.
        """
        return Spreads(
            disc_px=self.disc_px * factor,
            line_px=self.line_px * factor,
            airy_px=self.airy_px,
            noise_contrast=self.noise_contrast,
            px_per_deg=self.px_per_deg,
        )


def seen_sharpness(spreads: Spreads) -> Array:
    """Return how sharp each eye looks, 0..1.

    Parameters
    ----------
    spreads : Spreads
        The eyes.

    Returns
    -------
    ndarray
        One number an eye.

    Notes
    -----
    The same sum as `eyeplane.optics.perceived_sharpness`, which takes one eye at a time; a test
    holds the two together.
    """
    count = len(spreads.disc_px)
    if count == 0:
        return np.zeros(0)
    found = np.zeros(count)
    scales, of_scale = np.unique(spreads.px_per_deg, return_inverse=True)
    for number, scale in enumerate(scales):
        own = np.flatnonzero(of_scale.ravel() == number)
        for at in range(0, len(own), ROWS):
            part = own[at : at + ROWS]
            found[part] = _seen(spreads.rows(part), float(scale))
    return found


def largest_line_px(spreads: Spreads, threshold: float) -> Array:
    """Return the longest line with which each eye would still look sharp.

    Parameters
    ----------
    spreads : Spreads
        The eyes; their lines are left out of account.
    threshold : float
        Least perceived sharpness.

    Returns
    -------
    ndarray
        Length in px; 0 where the eye does not look sharp even without a line.
    """
    low = np.zeros(len(spreads.disc_px))
    high = 60.0 / 24.0 * spreads.px_per_deg  # first zero at a frequency that everybody sees
    for _ in range(STEPS):
        middle = (low + high) / 2
        tried = Spreads(
            disc_px=spreads.disc_px,
            line_px=middle,
            airy_px=spreads.airy_px,
            noise_contrast=spreads.noise_contrast,
            px_per_deg=spreads.px_per_deg,
        )
        sharp = seen_sharpness(tried) >= threshold
        low, high = np.where(sharp, middle, low), np.where(sharp, high, middle)
    return np.where(low < 10 * TINY_PX, 0.0, low)


def _cells() -> tuple[Array, Array, Array]:
    edges = FINEST_PER_DEG * np.linspace(0, 1, CELLS + 1) ** 1.5
    area = special.gamma(1 + RISE) * np.diff(special.gammainc(1 + RISE, FALL_DEG * edges))
    moment = special.gamma(2 + RISE) * np.diff(special.gammainc(2 + RISE, FALL_DEG * edges))
    return edges, moment / area / FALL_DEG, area / area.sum()


_EDGES, _MIDDLES, _WEIGHTS = _cells()


def _seen(spreads: Spreads, px_per_deg: float) -> Array:
    """Return the sum for eyes on prints of one scale, so that its cells are shared."""
    cells = max(1, int(np.searchsorted(_EDGES[:-1], px_per_deg / 2)))
    f = _MIDDLES[:cells] / px_per_deg
    x = math.pi * f
    pixel = np.sin(x) / x
    seen = np.repeat(pixel[None, :], len(spreads.disc_px), axis=0)
    zero = np.ones(len(seen))
    for part, first_zero, transfer in (
        (spreads.disc_px, DISC_FIRST_ZERO, _disc),
        (spreads.line_px, 1.0, _line),
        (spreads.airy_px, 1.0, _airy),
    ):
        there = np.flatnonzero(part > TINY_PX)
        if len(there):
            seen[there] *= transfer(part[there, None], f)
            zero[there] = np.minimum(zero[there], first_zero / part[there])
    seen[f[None, :] >= zero[:, None]] = 0.0
    noisy = np.flatnonzero(spreads.noise_contrast > 0)
    if len(noisy):
        detail = DETAIL_CONTRAST * seen[noisy]
        grain = spreads.noise_contrast[noisy, None] * f
        seen[noisy] *= detail / np.hypot(detail, grain)
    widths = np.diff(_EDGES[: cells + 1])
    below = np.clip((px_per_deg / 2 - _EDGES[:cells]) / widths, 0.0, 1.0)
    return np.asarray(seen @ (_WEIGHTS[:cells] * below * pixel), dtype=np.float64)


def _disc(size_px: Array, f: Array) -> Array:
    y = math.pi * size_px * f
    return np.asarray(2 * special.j1(y) / y, dtype=np.float64)


def _line(size_px: Array, f: Array) -> Array:
    y = math.pi * size_px * f
    return np.asarray(np.sin(y) / y, dtype=np.float64)


def _airy(size_px: Array, f: Array) -> Array:
    y = np.minimum(size_px * f, 1.0)
    return np.asarray(2 / math.pi * (np.arccos(y) - y * np.sqrt(1 - y * y)), dtype=np.float64)
