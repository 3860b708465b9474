"""The point spread of a whole system, and its MTF along and across the line of motion."""

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from eyeplane.optics.arguments import not_negative
from eyeplane.optics.transfer import (
    DISC_FIRST_ZERO,
    airy_mtf,
    disc_mtf,
    gaussian_mtf,
    line_mtf,
    pixel_mtf,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PointSpread:
    """What blurs a point on its way into the file; the pixel's own square always comes on top.

    Attributes
    ----------
    disc_px : float
        Diameter of the disc of missed focus.
    line_px : float
        Length of the line of motion.
    gaussian_px : float
        Standard deviation of a Gaussian spread: glass.
    airy_px : float
        Wavelength times f-number over pixel pitch: diffraction.

    Raises
    ------
    InputError
        If a size is negative or not a number.
    """

    disc_px: float = 0.0
    line_px: float = 0.0
    gaussian_px: float = 0.0
    airy_px: float = 0.0

    def __post_init__(self) -> None:
        not_negative(**{f.name: getattr(self, f.name) for f in fields(self)})


def system_mtf(
    spread: PointSpread, frequency_per_px: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the MTF of lens, motion and pixel together, along and across the motion.

    Parameters
    ----------
    spread : PointSpread
        Sizes of the parts.
    frequency_per_px : array_like
        Spatial frequency, cycles per pixel, >= 0.

    Returns
    -------
    tuple of ndarray
        (along, across): for patterns that vary along the line of motion, and across it. Each is
        the modulus of the product of the parts; along is never above across.

    Notes
    -----
    The parts are taken as independent, so their transfers multiply. Disc times diffraction reads
    low against the exact `defocus_otf`, by 0.05 at most before the first zero; it is used because
    more of any blur can then never help. The pixel's square counts along its sides.

    Examples
    --------
    >>> along, across = system_mtf(PointSpread(line_px=4), [0.125])
    >>> along.round(3), across.round(3)
    (array([0.62]), array([0.974]))
    """
    f = np.abs(np.asarray(frequency_per_px, float))
    across = np.abs(
        pixel_mtf(f)
        * disc_mtf(f, disc_px=spread.disc_px)
        * gaussian_mtf(f, gaussian_px=spread.gaussian_px)
        * airy_mtf(f, airy_px=spread.airy_px)
    )
    return across * np.abs(line_mtf(f, line_px=spread.line_px)), across


def true_contrast(spread: PointSpread, frequency_per_px: ArrayLike) -> NDArray[np.float64]:
    """Return the share of contrast that arrives true, in the worse of the two directions.

    Parameters
    ----------
    spread : PointSpread
        Sizes of the parts.
    frequency_per_px : array_like
        Spatial frequency, cycles per pixel, >= 0.

    Returns
    -------
    ndarray
        As `system_mtf` along the motion, but 0 from the first zero of any part on: past it,
        dark and light change places or come in false order, which looks doubled, not sharp.

    Notes
    -----
    Never rises with the frequency, nor with any of the sizes: each part falls steadily to its
    first zero. All that follows (perceived sharpness, reach) is monotone for this reason.

    Examples
    --------
    >>> true_contrast(PointSpread(disc_px=4), [0.1, 0.3, 0.4]).round(3)
    array([0.802, 0.011, 0.   ])
    """
    f = np.abs(np.asarray(frequency_per_px, float))
    share = np.where(f < 1.0, pixel_mtf(f), 0.0)
    if spread.disc_px > 0:
        past = f * spread.disc_px >= DISC_FIRST_ZERO
        share *= np.where(past, 0.0, disc_mtf(f, disc_px=spread.disc_px))
    if spread.line_px > 0:
        past = f * spread.line_px >= 1.0
        share *= np.where(past, 0.0, line_mtf(f, line_px=spread.line_px))
    if spread.gaussian_px > 0:
        share *= gaussian_mtf(f, gaussian_px=spread.gaussian_px)
    if spread.airy_px > 0:
        share *= airy_mtf(f, airy_px=spread.airy_px)
    return np.maximum(share, 0.0)
