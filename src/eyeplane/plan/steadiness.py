"""From the slowest shutter time a photographer can hold to how fast the camera turns there."""

import math

from eyeplane.errors import InputError
from eyeplane.people.hands import HAND, RULE_DIAGONAL_MM, RULE_LINE_UM
from eyeplane.people.learned import Z90
from eyeplane.records import Measured, PlanKit

KEPT_Z = 0.967  # standard deviations under which five in six lie; five of six: common practice


def shake_from_steadiness(kit: PlanKit, *, time_s: float) -> Measured:
    """Return how fast the camera turns in these hands.

    Parameters
    ----------
    kit : PlanKit
        The lens the test was made with, its stabiliser off.
    time_s : float
        Slowest time at which five of six frames of a thing at rest are kept; > 0 s.

    Returns
    -------
    Measured
        Median over exposures in deg/s, with the middle 90 % of exposures.

    Raises
    ------
    InputError
        If the time is not above zero.

    Notes
    -----
    A frame is kept if its line is no longer than what the reciprocal rule allows, 30 µm on 36 ×
    24 mm and in proportion to the diagonal on other sensors, as the rule itself is told. The rate
    of a hand is log-normal over exposures (`people.hands.HAND`), so that five in six stay under
    median × exp(0.967 s): a photographer who keeps five of six at 1/f is the usual one.

    Examples
    --------
    >>> shake = shake_from_steadiness(PlanKit(focal_length_mm=85), time_s=1 / 85)
    >>> round(shake.value, 1)  # as people.hands.HAND has it
    0.7
    """
    if not (math.isfinite(time_s) and time_s > 0):
        raise InputError(
            f"a shutter time of {time_s} s cannot be held",
            where="--steadiness",
            hint="Give a time like 1/60",
        )
    diagonal_mm = math.hypot(kit.sensor_long_mm, kit.sensor_short_mm)
    line_mm = RULE_LINE_UM / 1000.0 * diagonal_mm / RULE_DIAGONAL_MM
    rate = math.degrees(line_mm / kit.focal_length_mm) / time_s
    median = rate / math.exp(KEPT_Z * HAND.log_sd)
    ratio = math.exp(Z90 * HAND.log_sd)
    return Measured(value=median, low=median / ratio, high=median * ratio)
