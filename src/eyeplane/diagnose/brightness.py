"""How bright it was at a face, by the camera's settings: exposure value and illuminance."""

import math
from dataclasses import dataclass

from eyeplane.records import Exposure, Measured

# Incident-light constant with a flat receptor, lx s: ISO 2720:1974 allows 240 to 400 (as quoted;
# check values 2.5), 250 is common: 2.5 lx at EV 0 and ISO 100.
INCIDENT_CONSTANT = 250.0
# Linear luma of the skin around eyes that are exposed as meters do: the 18 % of a grey card. Skin
# reflects half to twice of it, sockets and lashes less; from memory, so one stop to either side.
FACE_LEVEL = 0.18
FACE_STOPS = 1.0
UNMETERED_STOPS = 1.5  # where nothing but the settings is known; no source
DARKEST_SKIN = 0.06  # linear luma of very dark skin, rightly exposed; from memory, x / 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Brightness:
    """Light at a face, estimated.

    Attributes
    ----------
    exposure_ev : Measured
        Exposure value at ISO 100 of a meter held at the face.
    light_lux : Measured
        Illuminance there.
    """

    exposure_ev: Measured
    light_lux: Measured


def exposure_value_ev(*, f_number: float, time_s: float, iso: float) -> float:
    """Return the exposure value at ISO 100 that settings are right for.

    Parameters
    ----------
    f_number : float
        Aperture, > 0.
    time_s : float
        Exposure time, > 0 s.
    iso : float
        Sensitivity, > 0.

    Returns
    -------
    float
        The logarithm to base 2 of N² / t less that of ISO / 100.

    References
    ----------
    ASA PH2.5-1960 (APEX): Av + Tv = Ev = Bv + Sv.

    Examples
    --------
    >>> round(exposure_value_ev(f_number=16, time_s=1 / 125, iso=100), 3)
    14.966
    """
    return math.log2(f_number**2 / time_s) - math.log2(iso / 100.0)


def illuminance_lux(exposure_ev: float) -> float:
    """Return the illuminance for which an exposure value at ISO 100 is right.

    Parameters
    ----------
    exposure_ev : float
        Exposure value.

    Returns
    -------
    float
        Lux: C · 2^EV / 100.

    References
    ----------
    ISO 2720:1974, incident-light meters.

    Examples
    --------
    >>> illuminance_lux(10)
    2560.0
    """
    return INCIDENT_CONSTANT * math.exp2(exposure_ev) / 100.0


def brightness_at(exposure: Exposure, level: float | None) -> Brightness | None:
    """Return how bright it was at a face.

    Parameters
    ----------
    exposure : Exposure
        Settings.
    level : float or None
        Linear luma at the eyes, white = 1; None: the settings are taken as right for the face.

    Returns
    -------
    Brightness or None
        None where aperture, time or sensitivity is not known, or a flash fired: its light lasts
        for a part of the exposure only.

    Notes
    -----
    A face twice as bright in the frame as a grey card stood in twice the light, skin being about
    as bright as the card: one stop of doubt to either side.
    """
    f_number, time_s, iso = exposure.f_number, exposure.exposure_time_s, exposure.iso
    if not (f_number and time_s and iso) or exposure.flash_fired:
        return None
    value = exposure_value_ev(f_number=f_number, time_s=time_s, iso=iso)
    spread = UNMETERED_STOPS
    if level is not None and level > 0:
        value += math.log2(level / FACE_LEVEL)
        spread = FACE_STOPS
    low, middle, high = (illuminance_lux(value + s) for s in (-spread, 0.0, spread))
    return Brightness(
        exposure_ev=Measured(value=value, low=value - spread, high=value + spread),
        light_lux=Measured(value=middle, low=low, high=high),
    )


def stops_under(level: float | None) -> float:
    """Return by how many stops a face is under-exposed at least.

    Parameters
    ----------
    level : float or None
        Linear luma at the eyes, white = 1.

    Returns
    -------
    float
        0 for every level that any skin may have when rightly exposed.
    """
    if level is None:
        return 0.0
    return max(math.log2(DARKEST_SKIN / max(level, 1e-4)), 0.0)
