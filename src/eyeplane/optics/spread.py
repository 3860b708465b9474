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

NO_SIZE_PX = 1e-9  # smaller parts of a point spread are none: keeps quotients away from 0 / 0


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
    The parts are taken as independent, so their transfers multiply. That is exact but for disc
    and diffraction, which are one thing: their product lies below the exact `defocus_otf`, most
    (by up to 0.25 near the first zero) where the disc is 2 to 6 times wavelength × f-number. The
    reach comes out a tenth short at worst; in return more of any blur never helps. The square of
    the pixel counts along its sides.

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


def first_zero_per_px(spread: PointSpread) -> float:
    """Return the frequency up to which dark stays dark and light stays light.

    Parameters
    ----------
    spread : PointSpread
        Sizes of the parts.

    Returns
    -------
    float
        First zero of any part, cycles per pixel; at most 1, that of the pixel itself.

    Examples
    --------
    >>> round(first_zero_per_px(PointSpread(disc_px=4, line_px=2)), 4)
    0.3049
    """
    zeros = ((spread.disc_px, DISC_FIRST_ZERO), (spread.line_px, 1.0), (spread.airy_px, 1.0))
    return min([1.0, *(zero / size for size, zero in zeros if size > NO_SIZE_PX)])


def contrast_before_zero(
    spread: PointSpread, frequency_per_px: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the product of the parts' transfers, for frequencies below the first zero only.

    Parameters
    ----------
    spread : PointSpread
        Sizes of the parts.
    frequency_per_px : ndarray
        Spatial frequency, cycles per pixel, above 0 and below `first_zero_per_px`.

    Returns
    -------
    ndarray
        As `system_mtf` along the motion; written out because the reach asks for it very often.

    Examples
    --------
    >>> contrast_before_zero(PointSpread(disc_px=4), np.array([0.1])).round(3)
    array([0.802])
    """
    x = np.pi * frequency_per_px
    share = np.sin(x) / x
    if spread.disc_px > NO_SIZE_PX:
        from scipy import special  # noqa: PLC0415  loading it takes longer than a plan

        y = spread.disc_px * x
        share *= 2 * special.j1(y) / y
    if spread.line_px > NO_SIZE_PX:
        y = spread.line_px * x
        share *= np.sin(y) / y
    if spread.gaussian_px > NO_SIZE_PX:
        share *= np.exp(-2 * (spread.gaussian_px * x) ** 2)
    if spread.airy_px > NO_SIZE_PX:
        y = spread.airy_px * frequency_per_px
        share *= 2 / np.pi * (np.arccos(y) - y * np.sqrt(1 - y * y))
    return np.asarray(share, float)


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
    below = f < first_zero_per_px(spread)
    share = np.zeros_like(f)
    share[below] = contrast_before_zero(spread, np.maximum(f[below], 1e-15))
    return np.asarray(np.maximum(share, 0.0), float)
