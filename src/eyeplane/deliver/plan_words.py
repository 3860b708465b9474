"""Numbers of a plan as its card prints them."""

import math

from eyeplane.deliver.wording import THIN, far_words, side_words, stop_words
from eyeplane.light.camera_words import shutter
from eyeplane.records import Measured
from eyeplane.records.planned import PlanSetting
from eyeplane.records.said import percent_ends, share_percent

FROM_CM_MM, FROM_METRES_MM = 99.5, 995.0  # from here lengths are said in cm, and in m
ENGRAVED_S = tuple(  # whole stops of the shutter as engraved: common practice, no source
    1 / parts for parts in (8000, 4000, 2000, 1000, 500, 250, 125, 60, 30, 15, 8, 4, 2, 1)
)
FRAMINGS = {
    "head": "head",
    "head-and-shoulders": "head and shoulders",
    "half": "half length",
    "full": "full length",
}


def share_words(share: Measured) -> str:
    """Return a share with its interval.

    Parameters
    ----------
    share : Measured
        0..1.

    Returns
    -------
    str
        "66 % (52–78)", the interval rounded outwards.
    """
    return f"{share_percent(share.value)} ({interval_words(share)})"


def interval_words(share: Measured) -> str:
    """Return the interval of a share in whole percent.

    Parameters
    ----------
    share : Measured
        0..1.

    Returns
    -------
    str
        "52–78", rounded outwards; "0–1" and "99–100" at the ends.
    """
    low, high = percent_ends(share.low, share.high)
    return f"{min(low, 99)}–{max(high, 1)}"


def setting_parts(setting: PlanSetting) -> tuple[str, ...]:
    """Return what is to be set on the camera, one by one.

    Parameters
    ----------
    setting : PlanSetting
        The settings.

    Returns
    -------
    tuple of str
        Aperture, shutter time, ISO and, with flash, its power.
    """
    power = () if setting.flash_power is None else (power_words(setting.flash_power),)
    return (
        stop_words(setting.f_number),
        shutter(setting.shutter_s),
        f"ISO {setting.iso:.0f}",
        *power,
    )


def power_words(power: float) -> str:
    """Return a flash's power as it is set.

    Parameters
    ----------
    power : float
        Share of full power, 0..1.

    Returns
    -------
    str
        "flash full power", "flash 1/8", or between the halvings "flash 1/8 + 0.3".
    """
    halvings = -math.log2(power)
    whole = math.ceil(halvings - 1e-6)
    thirds = round(3 * (whole - halvings))
    if thirds == 3:
        whole, thirds = whole - 1, 0
    text = f"flash 1/{2**whole}" if whole else "flash full power"
    return f"{text} + {thirds / 3:.1f}" if thirds else text


def plane_words(offset_mm: float) -> str:
    """Return where the focus plane should lie.

    Parameters
    ----------
    offset_mm : float
        + behind the near iris.

    Returns
    -------
    str
        "focus plane 4 mm behind", "focus plane on the near iris".
    """
    if abs(offset_mm) < 0.5:
        return "focus plane on the near iris"
    return f"focus plane {side_words(offset_mm)}"


def place_words(offset_mm: float) -> str:
    """Return a place along the lens axis, told from the near iris.

    Parameters
    ----------
    offset_mm : float
        + behind it.

    Returns
    -------
    str
        "4 mm behind the near iris", "24 mm in front of the near iris", "on the near iris".
    """
    if abs(offset_mm) < 0.5:
        return "on the near iris"
    of = "" if offset_mm > 0 else " of"
    return f"{side_words(offset_mm)}{of} the near iris"


def length_words(length_mm: float) -> str:
    """Return a length in the sitter's space.

    Parameters
    ----------
    length_mm : float
        >= 0 mm.

    Returns
    -------
    str
        "24 mm", "25 cm", "1.4 m".
    """
    if length_mm >= FROM_METRES_MM:
        return far_words(length_mm)
    if length_mm >= FROM_CM_MM:
        return f"{length_mm / 10:.0f}{THIN}cm"
    digits = 1 if length_mm < 2.95 else 0
    return f"{length_mm:.{digits}f}{THIN}mm"


def depth_words(setting: PlanSetting) -> str:
    """Return the depth of field around the focus plane.

    Parameters
    ----------
    setting : PlanSetting
        The settings.

    Returns
    -------
    str
        "23 mm in front of it, 24 mm behind", "without end behind" where it has none.
    """
    front, behind = setting.depth_front_mm, setting.depth_behind_mm
    before = "without end in front of it" if front is None else f"{length_words(front)} in front"
    after = "without end behind" if behind is None else f"{length_words(behind)} behind"
    return f"{before}, {after}"
