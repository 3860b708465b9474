"""Where autofocus and two swaying people put the focus plane, seen from the near iris."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from eyeplane.errors import InputError
from eyeplane.people.head_depths import HEAD_DEPTHS
from eyeplane.people.learned import Z90
from eyeplane.people.measures import BodyMeasure
from eyeplane.people.spectacles import glasses_frame_depth
from eyeplane.records import Measured

Caught = Literal["iris", "lashes", "brow", "glasses"]

SWAY_MM = 4.0  # sitter and photographer between focusing and release, sd; from memory: 3 to 5
FOCUS_IMAGE_UM = 12.0  # autofocus error behind the lens, sd; from memory
FULL_FRAME_LONG_MM = 36.0  # the sensor that error is known for
MISS_SHARE = 0.1  # focused on something else: .06 counted (219 frames, 2013), .3 on movers
MISS_MM = 40.0  # half of those lie within this of the iris: lashes, nose, ear; from memory
FOCUS_UNSURE_LOG_SD = 0.35  # of a usual spread: sway and autofocus are each from memory
LEARNED_UNSURE_LOG_SD = 0.15  # of a kit's own spread beyond its interval; from memory
LEAST_SPREAD_MM = 1.0  # no kit is steadier; from memory


@dataclass(frozen=True, slots=True, kw_only=True)
class FocusError:
    """Where the focus plane lies relative to the near iris, over exposures.

    Attributes
    ----------
    bias_mm : float
        Middle, + behind the near iris.
    spread_mm : float
        Standard deviation about it, normal.
    unsure_log_sd : float
        Standard deviation of what is believed about the logarithm of the spread.
    miss_share : float
        Share of exposures focused on something else, 0..1.
    miss_mm : float
        Half of those lie within this of the iris, either way (Cauchy: its half width).
    source : str
        Where it comes from.
    """

    bias_mm: float
    spread_mm: float
    unsure_log_sd: float
    miss_share: float
    miss_mm: float
    source: str


def _lashes() -> BodyMeasure:
    """Return the middle of the lashes, anything between roots and tips being as probable."""
    roots, tips = HEAD_DEPTHS["lash roots"], HEAD_DEPTHS["lash tips"]
    along = (roots.mean_mm - tips.mean_mm) / math.sqrt(12.0)
    return BodyMeasure(
        mean_mm=0.5 * (roots.mean_mm + tips.mean_mm),
        sd_mm=math.hypot(along, 0.5 * math.hypot(roots.sd_mm, tips.sd_mm)),
        source="between roots and tips, from memory",
    )


CAUGHT_DEPTHS: Mapping[str, BodyMeasure] = MappingProxyType(
    {
        "iris": BodyMeasure(mean_mm=0.0, sd_mm=0.0, source="what focus is meant for"),
        "lashes": _lashes(),
        "brow": HEAD_DEPTHS["brow"],
        "glasses": glasses_frame_depth(),
    }
)


def usual_spread_mm(*, magnification: float, sensor_long_mm: float = FULL_FRAME_LONG_MM) -> float:
    """Return how much a usual autofocus and a usual sway scatter the focus plane.

    Parameters
    ----------
    magnification : float
        Size on the sensor over size, > 0.
    sensor_long_mm : float
        Long side of the sensor, > 0: below 36 mm the error behind the lens shrinks with it, since
        lenses and pixels of small sensors are made for as much less of it.

    Returns
    -------
    float
        Standard deviation in mm at the sitter: the sway, and the autofocus error behind the lens
        over the magnification squared, added as squares.

    Raises
    ------
    InputError
        If the magnification is not a positive number.

    Examples
    --------
    >>> round(usual_spread_mm(magnification=0.0444), 1)
    7.3
    """
    if not 0.0 < magnification < math.inf:
        raise InputError(
            f"a magnification of {magnification} does not exist",
            where="magnification",
            hint="Give a positive number",
        )
    error_mm = FOCUS_IMAGE_UM / 1000.0 * min(1.0, sensor_long_mm / FULL_FRAME_LONG_MM)
    return math.hypot(SWAY_MM, error_mm / magnification**2)


def focus_error(
    *,
    magnification: float,
    learned_bias_mm: Measured | None = None,
    learned_spread_mm: Measured | None = None,
    caught: Caught = "iris",
    sensor_long_mm: float = FULL_FRAME_LONG_MM,
) -> FocusError:
    """Return where the focus plane lies relative to the near iris.

    Parameters
    ----------
    magnification : float
        Size on the sensor over size, > 0; only counts where no spread was learned.
    learned_bias_mm, learned_spread_mm : Measured, optional
        This kit's own, with the intervals that hold the truth nine times in ten.
    caught : {"iris", "lashes", "brow", "glasses"}
        What autofocus catches: all but the iris add their depth to the bias and their spread among
        people to the spread.
    sensor_long_mm : float
        As for `usual_spread_mm`.

    Returns
    -------
    FocusError
        How unsure a learned bias is counts in the spread.

    Raises
    ------
    InputError
        If the magnification is not positive, or nothing known is caught.

    Notes
    -----
    Depths of what is caught are those of a face that looks along the lens axis; turned, they are
    less by the cosine of the angle.

    Examples
    --------
    >>> focus_error(magnification=0.0444, caught="glasses").bias_mm
    -18.0
    """
    if caught not in CAUGHT_DEPTHS:
        known = ", ".join(CAUGHT_DEPTHS)
        raise InputError(
            f"nothing called '{caught}' can be caught", where="caught", hint=f"Use one of {known}"
        )
    sd = usual_spread_mm(magnification=magnification, sensor_long_mm=sensor_long_mm)
    bias, unsure, source = 0.0, 0.0, "usual"
    unsure_log_sd = FOCUS_UNSURE_LOG_SD
    if learned_bias_mm is not None:
        bias, source = learned_bias_mm.value, "learned of this kit"
        unsure = (learned_bias_mm.high - learned_bias_mm.low) / (2 * Z90)
    if learned_spread_mm is not None:
        sd, source = learned_spread_mm.value, "learned of this kit"
        unsure_log_sd = max(_log_sd(learned_spread_mm), LEARNED_UNSURE_LOG_SD)
    depth = CAUGHT_DEPTHS[caught]
    return FocusError(
        bias_mm=bias + depth.mean_mm,
        spread_mm=math.hypot(max(math.hypot(sd, unsure), LEAST_SPREAD_MM), depth.sd_mm),
        unsure_log_sd=unsure_log_sd,
        miss_share=MISS_SHARE,
        miss_mm=MISS_MM,
        source=source if caught == "iris" else f"{source}; the {caught} caught",
    )


def _log_sd(learned: Measured) -> float:
    if learned.low <= 0 or learned.value <= 0:
        return FOCUS_UNSURE_LOG_SD
    return math.log(learned.high / learned.low) / (2 * Z90)
