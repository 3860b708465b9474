"""The shadow that an opaque particle on the sensor's cover casts: pure geometry.

The light that reaches one point of the sensor fills a cone that is f/N wide open: on the cover, a
distance t/n in air above the sensor, it crosses a disc of diameter b = t/(n N). A particle of
diameter d blocks the part of that disc which it covers. Lengths may be in any one unit.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from eyeplane.errors import InputError

COVER_UM = 2000.0  # µm, glass between dust and sensor; trade fact, from memory; 1 to 4 mm are met
COVER_INDEX = 1.52  # of that glass; a common crown, from memory; 1.50 to 1.54
COVER_LN_SD = 0.40  # of ln(t/n): about nine in ten of 1 to 4 mm lie within; from memory


def cone_um(*, cover_air_um: float, f_number: float) -> float:
    """Return how wide the cone of light of one sensor point is where it crosses the dust.

    Parameters
    ----------
    cover_air_um : float
        Thickness of the cover over its index, t/n, > 0.
    f_number : float
        Aperture, > 0.

    Returns
    -------
    float
        Diameter b = t/(n N).

    Raises
    ------
    InputError
        If an argument is not above zero.

    Examples
    --------
    >>> round(cone_um(cover_air_um=2000 / 1.52, f_number=16), 1)
    82.2
    """
    _above_zero(cover_air_um=cover_air_um, f_number=f_number)
    return cover_air_um / f_number


def middle_loss(*, particle_um: ArrayLike, blur_um: ArrayLike) -> NDArray[np.float64]:
    """Return the share of light lost at the middle of a shadow.

    Parameters
    ----------
    particle_um : array_like
        Diameter d of the particle, >= 0.
    blur_um : array_like
        Diameter b of the cone, > 0.

    Returns
    -------
    ndarray
        The share min(1, (d/b)²).

    Examples
    --------
    >>> middle_loss(particle_um=50, blur_um=[119.6, 41.1]).round(4)
    array([0.1748, 1.    ])
    """
    ratio = np.asarray(particle_um, float) / np.asarray(blur_um, float)
    return np.asarray(np.minimum(1.0, ratio**2), float)


def shadow_loss(radius_um: ArrayLike, *, particle_um: float, blur_um: float) -> NDArray[np.float64]:
    """Return the share of light lost at a distance from the middle of a shadow.

    Parameters
    ----------
    radius_um : array_like
        Distance from the middle, >= 0.
    particle_um : float
        Diameter d of the particle, > 0.
    blur_um : float
        Diameter b of the cone, > 0.

    Returns
    -------
    ndarray
        Overlap of two discs of diameters d and b that lie `radius_um` apart, over the area of b:
        min(1, (d/b)²) up to |d − b|/2, nothing from (d + b)/2.

    Raises
    ------
    InputError
        If a diameter is not above zero.

    Notes
    -----
    Its integral over the sensor is the area π d²/4 of the particle, whatever the aperture.

    References
    ----------
    Overlap of two circles: any table of plane geometry, e.g. E. W. Weisstein, Circle-Circle
    Intersection, MathWorld.

    Examples
    --------
    >>> shadow_loss([0, 40, 70], particle_um=50, blur_um=82.2).round(3)
    array([0.37 , 0.171, 0.   ])
    """
    _above_zero(particle_um=particle_um, blur_um=blur_um)
    apart = np.abs(np.asarray(radius_um, float))
    small, large = sorted((particle_um / 2, blur_um / 2))
    inner, outer = large - small, large + small
    full = min(1.0, (particle_um / blur_um) ** 2)
    at = np.clip(apart, max(inner, 1e-12 * outer), outer)
    near = (at**2 + small**2 - large**2) / (2 * at * small)
    far = (at**2 + large**2 - small**2) / (2 * at * large)
    lens = (
        small**2 * np.arccos(np.clip(near, -1, 1))
        + large**2 * np.arccos(np.clip(far, -1, 1))
        - 0.5
        * np.sqrt(
            np.maximum(
                0.0, (outer - at) * (at + small - large) * (at - small + large) * (at + outer)
            )
        )
    )
    loss = lens / (np.pi * (blur_um / 2) ** 2)
    return np.where(apart <= inner, full, np.where(apart >= outer, 0.0, np.clip(loss, 0.0, full)))


def strip_loss(*, width_um: float, blur_um: float) -> float:
    """Return the share of light lost in the middle of a hair's shadow.

    Parameters
    ----------
    width_um : float
        Width w of the hair, >= 0.
    blur_um : float
        Diameter b of the cone, > 0.

    Returns
    -------
    float
        Share of a disc of diameter b that a strip through its middle covers.

    Examples
    --------
    >>> round(strip_loss(width_um=10, blur_um=82.2), 3)
    0.155
    """
    ratio = min(1.0, width_um / blur_um)
    return float(2 / np.pi * (np.arcsin(ratio) + ratio * np.sqrt(1 - ratio**2)))


def strip_width_um(*, loss_share: float, blur_um: float) -> float:
    """Return the width of a hair from the depth of its shadow.

    Parameters
    ----------
    loss_share : float
        Share of light lost in its middle; clipped to 0..1.
    blur_um : float
        Diameter b of the cone, > 0.

    Returns
    -------
    float
        Width w, at most b: a wider hair loses no more.

    Examples
    --------
    >>> round(strip_width_um(loss_share=0.155, blur_um=82.2), 1)
    10.0
    """
    widths = np.linspace(0.0, 1.0, 257)
    losses = 2 / np.pi * (np.arcsin(widths) + widths * np.sqrt(1 - widths**2))
    return float(np.interp(loss_share, losses, widths) * blur_um)


def _above_zero(**values: float) -> None:
    for name, value in values.items():
        if not value > 0:
            raise InputError(f"{value} is not above zero", where=name, hint="Give a length above 0")
