"""How bright it was at a face, by the camera's settings: exposure value and illuminance."""

import math
from dataclasses import dataclass

from eyeplane.light import SKIN_LEVEL, exposure_value_ev, illuminance_lux
from eyeplane.records import Exposure, Measured

# By which the skin around eyes differs from a grey card (`SKIN_LEVEL`): it reflects half to twice
# of it, sockets and lashes less; from memory, so one stop to either side.
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
        value += math.log2(level / SKIN_LEVEL)
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
