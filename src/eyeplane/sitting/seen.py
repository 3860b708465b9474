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
    parts = [_seen(spreads.rows(slice(at, at + ROWS))) for at in range(0, count, ROWS)]
    return np.concatenate(parts)


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


def _seen(spreads: Spreads) -> Array:
    scale = spreads.px_per_deg[:, None]
    disc, line, airy = (
        np.maximum(part, TINY_PX)[:, None]
        for part in (spreads.disc_px, spreads.line_px, spreads.airy_px)
    )
    zero = np.minimum(1.0, np.minimum(DISC_FIRST_ZERO / disc, np.minimum(1 / line, 1 / airy)))
    # Nothing counts past the largest Nyquist frequency or first zero of all the rows.
    limit = float(np.max(np.minimum(zero, 0.5) * scale))
    cells = max(1, int(np.searchsorted(_EDGES[:-1], limit)))
    f = np.minimum(_MIDDLES[:cells] / scale, 0.999 * zero)
    counted = _MIDDLES[:cells] < zero * scale
    x = math.pi * f
    pixel = np.sin(x) / x
    seen = pixel * 2 * special.j1(disc * x) / (disc * x) * np.sin(line * x) / (line * x)
    if float(spreads.airy_px.max()) > TINY_PX:
        y = airy * f
        seen *= 2 / math.pi * (np.arccos(y) - y * np.sqrt(1 - y * y))
    noise = spreads.noise_contrast[:, None]
    if float(noise.max()) > 0:
        detail = DETAIL_CONTRAST * seen
        seen *= detail / np.hypot(detail, noise * f)
    widths = np.diff(_EDGES[: cells + 1])
    below = np.clip((scale / 2 - _EDGES[:cells]) / widths, 0.0, 1.0)
    return np.asarray(
        np.einsum("k,nk,nk->n", _WEIGHTS[:cells], counted * below, seen * pixel), dtype=np.float64
    )
