"""From the energy of a flash to its guide number: an estimate, for want of a measured one."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from eyeplane.errors import InputError
from eyeplane.light.elementwise import above_zero, share_of_one
from eyeplane.light.exposure import INCIDENT_CONSTANT
from eyeplane.records import Measured

# Lumen seconds of light from each watt second (joule) stored: xenon tubes, 30 to 50; from memory.
LUMEN_S_PER_WS = 40.0
ESTIMATE_EV = 1.0  # stops by which the estimate may be off either way, nine times in ten; own guess


@dataclass(frozen=True, slots=True, kw_only=True)
class Modifier:
    """What stands before a tube.

    Attributes
    ----------
    name : str
        As photographers call it.
    beam_deg : float
        Full angle of the even cone that would be as bright as its middle, 0..360: 120 for a flat
        diffuser (cosine law), 360 for a bare tube.
    efficiency_share : float
        Share of the tube's light that leaves into that cone, 0..1.
    """

    name: str
    beam_deg: float
    efficiency_share: float


# All from memory: each good to a stop, which `ESTIMATE_EV` carries.
MODIFIERS: Mapping[str, Modifier] = MappingProxyType(
    {
        m.name: m
        for m in (
            Modifier(name="bare tube", beam_deg=360.0, efficiency_share=0.9),
            Modifier(name="hot-shoe head", beam_deg=65.0, efficiency_share=0.7),
            Modifier(name="reflector", beam_deg=65.0, efficiency_share=0.8),
            Modifier(name="beauty dish", beam_deg=80.0, efficiency_share=0.6),
            Modifier(name="umbrella", beam_deg=100.0, efficiency_share=0.55),
            Modifier(name="shoot-through umbrella", beam_deg=150.0, efficiency_share=0.5),
            Modifier(name="softbox", beam_deg=120.0, efficiency_share=0.4),
            Modifier(name="softbox with two diffusers", beam_deg=120.0, efficiency_share=0.25),
        )
    }
)


def beam_sr(beam_deg: float) -> float:
    """Return the solid angle of an even cone of light.

    Parameters
    ----------
    beam_deg : float
        Full angle, 0..360.

    Returns
    -------
    float
        2π (1 − cos(angle / 2)), in steradian.

    Raises
    ------
    InputError
        If the angle is out of range.

    Examples
    --------
    >>> round(beam_sr(360) / math.pi, 9), round(beam_sr(120) / math.pi, 9)
    (4.0, 1.0)
    """
    above_zero(beam_deg=beam_deg)
    if beam_deg > 360:
        raise InputError(
            f"{beam_deg:g}° is more than all around", where="beam_deg", hint="Give 360 at most"
        )
    return 2.0 * math.pi * (1.0 - math.cos(math.radians(beam_deg) / 2.0))


def guide_number_from_energy_m(
    *,
    energy_ws: float,
    modifier: str = "reflector",
    beam_deg: float | None = None,
    efficiency_share: float | None = None,
) -> Measured:
    """Return the guide number to expect of a flash whose energy is known.

    Parameters
    ----------
    energy_ws : float
        Energy stored, in watt seconds (joules), > 0.
    modifier : str
        One of `MODIFIERS`.
    beam_deg, efficiency_share : float or None
        Of another modifier; None: as `modifier` has it.

    Returns
    -------
    Measured
        Metres at ISO 100, with a stop of doubt to either side: an estimate. One reading of a flash
        meter is better (`flash_guide_number_m`).

    Raises
    ------
    InputError
        If the energy is not above zero, the modifier is not known or a number is out of range.

    Notes
    -----
    Light on the face, E k η / (Ω d²) with k = 40 lm s per watt second, must be C N² / ISO with
    C = 250 lx s: so N d = √(100 E k η / (Ω C)).

    Examples
    --------
    >>> found = guide_number_from_energy_m(energy_ws=400, modifier="softbox")
    >>> round(found.low), round(found.value), round(found.high)
    (20, 29, 40)
    """
    above_zero(energy_ws=energy_ws)
    if modifier not in MODIFIERS:
        raise InputError(
            f"{modifier!r} is not known", where="modifier", hint=f"Use {', '.join(MODIFIERS)}"
        )
    known = MODIFIERS[modifier]
    efficiency = known.efficiency_share if efficiency_share is None else efficiency_share
    share_of_one(efficiency_share=efficiency)
    cone_sr = beam_sr(known.beam_deg if beam_deg is None else beam_deg)
    light = energy_ws * LUMEN_S_PER_WS * efficiency / cone_sr
    value = math.sqrt(100.0 * light / INCIDENT_CONSTANT)
    doubt = 2.0 ** (ESTIMATE_EV / 2.0)
    return Measured(value=value, low=value / doubt, high=value * doubt)
