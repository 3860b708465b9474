"""What a shadow does at another aperture, and whether it is seen on a print."""

import math

import numpy as np

from eyeplane.kit.dust_profile import strip_loss
from eyeplane.optics import Observer
from eyeplane.optics.barten import eye_mtf
from eyeplane.optics.special import j1
from eyeplane.records import Measured
from eyeplane.records.kit_dust import DustAtWork, DustShows

LOOK_S = 2.5  # s of looking: with it the model meets Blackwell's discs within a factor of 1.6
DIFFER = 1.6  # by which viewers and the model differ, either way; our own comparison, see docs
STOP_LN_SD = 0.03  # of ln N: apertures are marked and written roundly; from memory
Z90 = 1.645  # spreads to either end of a 90 % interval of a normal


def least_seen_share(diameter_deg: float) -> float:
    """Return the least loss of light that a viewer sees in a round spot on an even tone.

    Parameters
    ----------
    diameter_deg : float
        Its diameter as seen, > 0.

    Returns
    -------
    float
        Share of the light, seen by half of all viewers; above 1 where even black is not.

    Notes
    -----
    The noise of Barten's eye, summed over the spot as a filter matched to it would: signal over
    noise is √(T ∫ |D(u)|² M(u)² / Φ(u) 2π u du) with the disc's transform D, the eye's own
    contrast transfer M and the density Φ of photon and neural noise, and must reach k = 3. Barten's
    sine patterns follow from the same sum. T is how long one looks.

    References
    ----------
    P. G. J. Barten, Contrast Sensitivity of the Human Eye, SPIE, 1999, doi 10.1117/3.353254,
    chapter 3; H. R. Blackwell, J. Opt. Soc. Am. 36(11), 624-643, 1946 (discs; values from memory).

    Examples
    --------
    >>> round(least_seen_share(10 / 60), 3)
    0.011
    """
    eye = Observer()
    radius = diameter_deg / 2
    u = np.geomspace(1e-3, 60.0, 1500)
    disc = radius * np.asarray(j1(2 * np.pi * radius * u)) / u
    photons = 1 / (eye.quantum_efficiency * eye.photons_per_td * eye.illuminance_td)
    noise = photons + eye.neural_noise / (1 - np.exp(-((u / eye.inhibition_per_deg) ** 2)))
    seen = disc**2 * eye_mtf(u, sigma_deg=eye.sigma_deg) ** 2 / noise * 2 * np.pi * u
    return float(eye.snr / math.sqrt(LOOK_S * float(np.trapezoid(seen, u))))


def spread(value: float, ln_sd: float, *, most_value: float = math.inf) -> Measured:
    """Return a number above zero with its interval.

    Parameters
    ----------
    value : float
        The number, > 0.
    ln_sd : float
        Spread of its natural logarithm.
    most_value : float
        It cannot be larger.

    Returns
    -------
    Measured
        90 % interval.

    Examples
    --------
    >>> spread(10.0, 0.0)
    Measured(value=10.0, low=10.0, high=10.0)
    """
    factor = math.exp(min(Z90 * ln_sd, 20.0))
    value = min(value, most_value)
    return Measured(value=value, low=value / factor, high=min(most_value, value * factor))


def at_aperture(
    *,
    ratio: Measured,
    cone_px: Measured,
    stops_ratio: float,
    hair: bool = False,
) -> tuple[Measured, Measured]:
    """Return depth and breadth of a shadow at another aperture.

    Parameters
    ----------
    ratio : Measured
        Diameter of the particle over that of the cone, d/b, at the aperture of the frames.
    cone_px : Measured
        Diameter b of the cone there.
    stops_ratio : float
        The other f-number over that of the frames.
    hair : bool
        Whether it is a hair of that thickness.

    Returns
    -------
    tuple of Measured
        Share of light lost at the middle, and diameter (of a hair: breadth) of the whole shadow.

    Examples
    --------
    50 µm under 82.2 µm at f/16, seen at f/8:

    >>> exactly = lambda v: Measured(value=v, low=v, high=v)
    >>> depth, wide = at_aperture(ratio=exactly(50 / 82.2), cone_px=exactly(82.2), stops_ratio=0.5)
    >>> round(depth.value, 4), round(wide.value, 1)
    (0.0925, 214.4)
    """
    sure = math.exp(Z90 * STOP_LN_SD) if stops_ratio != 1 else 1.0
    depths = [
        _loss(end * stops_ratio * factor, hair=hair)
        for end, factor in ((ratio.value, 1.0), (ratio.low, 1 / sure), (ratio.high, sure))
    ]
    wide = cone_px.value * (ratio.value + 1 / stops_ratio)
    low = cone_px.low * (ratio.value + 1 / (stops_ratio * sure))
    high = cone_px.high * (ratio.value + sure / stops_ratio)
    return (
        Measured(value=depths[0], low=depths[1], high=depths[2]),
        Measured(value=wide, low=min(low, wide), high=max(high, wide)),
    )


def _loss(ratio: float, *, hair: bool) -> float:
    return strip_loss(width_um=ratio, blur_um=1.0) if hair else min(1.0, ratio**2)


def on_print(
    *,
    depth_share: Measured,
    diameter_px: Measured,
    f_number: float,
    long_edge_px: int,
    print_cm: float,
    viewing_cm: float,
) -> DustAtWork:
    """Return what a shadow does on a print.

    Parameters
    ----------
    depth_share : Measured
        Share of light lost at its middle.
    diameter_px : Measured
        Of the whole shadow, in pixels of the frame.
    f_number : float
        Aperture, for the record.
    long_edge_px : int
        Of the frame.
    print_cm, viewing_cm : float
        Long edge of the print, and how far the viewer stands.

    Returns
    -------
    DustAtWork
        "yes" or "no" only where the least that is seen and the shadow's own depth leave no doubt.
    """
    print_scale_mm = 10 * print_cm / long_edge_px
    print_mm = Measured(
        value=diameter_px.value * print_scale_mm,
        low=diameter_px.low * print_scale_mm,
        high=diameter_px.high * print_scale_mm,
    )
    diameter_deg = math.degrees(2 * math.atan(print_mm.value / 2 / (10 * viewing_cm)))
    least = least_seen_share(max(diameter_deg, 1e-4))
    shows: DustShows = "perhaps"
    if depth_share.low >= least * DIFFER:
        shows = "yes"
    elif depth_share.high < least / DIFFER:
        shows = "no"
    return DustAtWork(
        f_number=f_number,
        depth_share=depth_share,
        diameter_px=diameter_px,
        print_mm=print_mm,
        threshold_share=min(1.0, least),
        shows=shows,
    )
