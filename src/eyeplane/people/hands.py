"""How fast a camera turns in the hands, and what the reciprocal rule means as a rate."""

import math
from dataclasses import dataclass

from eyeplane.errors import InputError
from eyeplane.people.learned import log_spread, unsure_of_learned
from eyeplane.people.speeds import SITTER_SPEEDS, SitterSpeed
from eyeplane.records import Measured
from eyeplane.records.plan import Support


@dataclass(frozen=True, slots=True, kw_only=True)
class HandSpeed:
    """How fast a camera turns about the axes across the lens axis (up-down and sideways).

    Attributes
    ----------
    median_deg_per_s : float
        Half of the exposures turn more slowly; turn times focal length is the line on the sensor.
    log_sd : float
        Standard deviation of the natural logarithm, over exposures and photographers.
    unsure_log_sd : float
        Standard deviation of what is believed about the logarithm of the median.
    source : str
        Where it was read, or "from memory".
    """

    median_deg_per_s: float
    log_sd: float
    unsure_log_sd: float
    source: str


HAND = HandSpeed(
    median_deg_per_s=0.7,
    log_sd=0.9,
    unsure_log_sd=0.35,
    source=(
        "from memory, such that at 1/f five frames in six stay within 30 um (1.72 deg/s) and 29 "
        "in 30 within the 63 um (3.61 deg/s) of AS ISO 20954-1:2019"
    ),
)
TRIPOD = HandSpeed(
    median_deg_per_s=0.01,
    log_sd=1.0,
    unsure_log_sd=0.8,
    source=(
        "from memory: shutter, wind and floor are left, 1 um in 1/15 s at 85 mm, less than a pixel"
    ),
)
# A stabiliser knows the turn only by sensors that drift and only as far as its travel goes; claims
# of 8 stops are "in real life: not really" (common practice). From memory, 0.02 to 0.08 deg/s.
STABILISED_FLOOR_DEG_PER_S = 0.04
STABILISER_LOG_SD = 0.4  # of what a claimed number of stops gives: half a stop; from memory

RULE_DIAGONAL_MM = 43.267  # mm, of 36 x 24 mm: the frame for which the reciprocal rule is told
RULE_LINE_UM = 30.0  # what the reciprocal rule allows on 36 x 24 mm: trade, 0.25 mm on 8 x 10 in
ISO_LINE_UM = 63.0  # AS ISO 20954-1:2019, 3.5: hand-held blur that counts as none on 36 x 24 mm
RULE_DEG_PER_S = 1.719  # the rule's rate at 30 um, whatever the focal length


def hand_speed(
    *,
    learned: Measured | None = None,
    stabiliser_stops: float = 0.0,
    support: Support = "hand",
) -> HandSpeed:
    """Return how fast the camera turns, with what holds it.

    Parameters
    ----------
    learned : Measured, optional
        This photographer's own without a stabiliser: median in deg/s, and the middle 90 % of
        exposures.
    stabiliser_stops : float
        Stops by which a stabiliser slows the turning, 0 to 10; a tripod has it off.
    support : {"hand", "tripod"}
        What holds the camera.

    Returns
    -------
    HandSpeed
        A stabiliser divides the median by 2 to its stops, down to `STABILISED_FLOOR_DEG_PER_S`.

    Raises
    ------
    InputError
        If the stops are out of range, or nothing known holds the camera.

    Notes
    -----
    Only turning: that the photographer sways sideways is `camera_sway`, which no stabiliser stops
    and which counts the more the nearer the sitter is.

    Examples
    --------
    >>> hand_speed().median_deg_per_s, hand_speed(stabiliser_stops=3).median_deg_per_s
    (0.7, 0.0875)
    """
    if not 0.0 <= stabiliser_stops <= 10.0:
        raise InputError(
            f"a stabiliser of {stabiliser_stops} stops does not exist",
            where="stabiliser_stops",
            hint="Give 0 to 10",
        )
    if support == "tripod":
        return TRIPOD
    if support != "hand":
        raise InputError(
            f"a camera cannot be held by '{support}'", where="support", hint="Use hand or tripod"
        )
    free = HAND if learned is None or learned.value <= 0 else _learned(learned)
    if stabiliser_stops == 0.0:
        return free
    floor = min(STABILISED_FLOOR_DEG_PER_S, free.median_deg_per_s)
    return HandSpeed(
        median_deg_per_s=max(free.median_deg_per_s / 2.0**stabiliser_stops, floor),
        log_sd=free.log_sd,
        unsure_log_sd=math.hypot(free.unsure_log_sd, STABILISER_LOG_SD),
        source=f"{free.source}; slowed by a stabiliser of {stabiliser_stops:g} stops",
    )


def _learned(learned: Measured) -> HandSpeed:
    log_sd = log_spread(learned)
    return HandSpeed(
        median_deg_per_s=learned.value,
        log_sd=log_sd,
        unsure_log_sd=unsure_of_learned(log_sd),
        source="learned of this photographer",
    )


def camera_sway(
    *,
    support: Support = "hand",
    learned: Measured | None = None,
    stabiliser_stops: float = 0.0,
) -> SitterSpeed:
    """Return how fast the camera itself moves sideways and up and down, beside its turning.

    Parameters
    ----------
    support : {"hand", "tripod"}
        What holds the camera.
    learned : Measured, optional
        This photographer's own turning, as `hand_speed` takes it: read from lines on the sensor,
        which sway has drawn too, so that nothing is left to add.
    stabiliser_stops : float
        Stops by which a stabiliser slows that turning: it slows the sway in it along with it, but
        stops no sway, which is therefore added after all.

    Returns
    -------
    SitterSpeed
        Held by hand it sways like the head of an adult who stands still. It draws the same line as
        a sitter of that speed does, so it counts at a close-up and not with a distant view, and a
        stabiliser that only follows turns leaves it in. None beside a learned turning as it is.

    Notes
    -----
    A learned turning holds the sway at the distances it was learned from: nearer than those it is
    a little too calm, farther away a little too shaky.

    Examples
    --------
    >>> camera_sway().median_mm_per_s
    10.0
    >>> camera_sway(learned=Measured(value=0.7, low=0.2, high=3.0)).median_mm_per_s
    0.0
    """
    if support == "tripod":
        return SitterSpeed(
            median_mm_per_s=0.1, log_sd=1.0, unsure_log_sd=0.8, source="from memory: floor, wind"
        )
    if learned is not None and learned.value > 0 and stabiliser_stops == 0.0:
        return SitterSpeed(
            median_mm_per_s=0.0, log_sd=0.0, unsure_log_sd=0.0, source="in the learned turning"
        )
    return SITTER_SPEEDS["still"]


def reciprocal_rule_s(*, focal_length_mm: float) -> float:
    """Return the shutter time of the reciprocal rule, for a frame of 36 x 24 mm.

    Parameters
    ----------
    focal_length_mm : float
        Focal length, > 0; on a smaller sensor times the ratio of the diagonals.

    Returns
    -------
    float
        1 s over the focal length in mm.

    Raises
    ------
    InputError
        If the focal length is not a positive number.

    References
    ----------
    Common practice, no source; a camera maker's printed manual gives 1/125 s for 125 mm.

    Examples
    --------
    >>> reciprocal_rule_s(focal_length_mm=125)
    0.008
    """
    if not 0.0 < focal_length_mm < math.inf:
        raise InputError(
            f"a focal length of {focal_length_mm} mm does not exist",
            where="focal_length_mm",
            hint="Give millimetres above 0",
        )
    return 1.0 / focal_length_mm


def rule_rate_deg_per_s(*, line_um: float = RULE_LINE_UM) -> float:
    """Return the rate of turning at which the reciprocal rule leaves a line of some length.

    Parameters
    ----------
    line_um : float
        Line on the sensor, > 0 µm.

    Returns
    -------
    float
        Degrees a second: line over focal length and over 1/focal length, so whatever the lens.

    Examples
    --------
    >>> round(rule_rate_deg_per_s(), 3), round(rule_rate_deg_per_s(line_um=63), 2)
    (1.719, 3.61)
    """
    return math.degrees(line_um / 1000.0)
