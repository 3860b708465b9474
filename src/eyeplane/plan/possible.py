"""What no kit, light, sitter, hand or print can be: refused before anything is worked out."""

from eyeplane.errors import InputError
from eyeplane.records import Measured, PlanHand, PlanKit, PlanLight, PlanPrint, PlanSitter

# Bounds are far beyond anything that is used: they keep out slips of units and of the keyboard.
MOST_GLASS_UM = 1000.0
KIT_BOUNDS = {
    "focal_length_mm": (0.1, 1e5),
    "sensor_long_mm": (0.1, 2000.0),
    "sensor_short_mm": (0.1, 2000.0),
    "long_edge_px": (1.0, 1e6),
    "short_edge_px": (1.0, 1e6),
    "widest_f_number": (0.1, 1000.0),
    "smallest_f_number": (0.1, 1000.0),
    "near_limit_mm": (0.1, 1e7),
    "sync_s": (1e-6, 3600.0),
    "stabiliser_stops": (0.0, 20.0),
    "glass_um": (0.0, MOST_GLASS_UM),
    "glass_wide_um": (0.0, MOST_GLASS_UM),
}
LIGHT_BOUNDS = {
    "guide_number_m": (1e-4, 1e6),
    "flash_distance_mm": (0.1, 1e7),
    "full_power_s": (1e-7, 60.0),
    "source_size_mm": (0.1, 1e7),
    "source_distance_mm": (0.1, 1e7),
}
WHERE = {"print_cm": "print", "viewing_cm": "print"}  # as it is called where prints are refused
PRINT_BOUNDS = {"print_cm": (0.1, 1e5), "viewing_cm": (0.1, 1e6)}
DARKEST_EV, BRIGHTEST_EV = -60.0, 60.0
MOST_BIAS_MM, MOST_SPREAD_MM = 1e5, 1e5
MOST_MM_PER_S, MOST_DEG_PER_S = 1e5, 1e4  # of a sitter and of a hand
LEAST_SIZE = 1e-6  # of a learned median, in its unit
LEAST_RADIUS_MM, MOST_RADIUS_MM = 10.0, 1e9  # of a lens's field
MOST_DISTANCE_MM = 1e7  # of a face or a wall


def check_kit(kit: PlanKit) -> None:
    """Refuse what no camera and lens can be.

    Parameters
    ----------
    kit : PlanKit
        As asked for; what its limits leave between them is looked at elsewhere.

    Raises
    ------
    InputError
        Naming the first value that cannot be.
    """
    _check(kit, KIT_BOUNDS)
    radius_mm = kit.field_radius_mm
    if radius_mm is not None and not LEAST_RADIUS_MM <= abs(radius_mm) <= MOST_RADIUS_MM:
        raise _impossible("field_radius_mm", radius_mm, (LEAST_RADIUS_MM, MOST_RADIUS_MM))
    for name in ("glass_range_um", "glass_wide_range_um"):
        for end in getattr(kit, name) or ():
            if not 0.0 <= end <= MOST_GLASS_UM:
                raise _impossible(name, end, (0.0, MOST_GLASS_UM))
    if kit.focus_bias_mm is not None:
        _check_learned("focus_bias_mm", kit.focus_bias_mm, -MOST_BIAS_MM, MOST_BIAS_MM)
    _check_size("focus_spread_mm", kit.focus_spread_mm, MOST_SPREAD_MM)


def check_light(light: PlanLight) -> None:
    """Refuse what no light can be.

    Parameters
    ----------
    light : PlanLight
        As asked for; that it is there at all is looked at elsewhere.

    Raises
    ------
    InputError
        Naming the first value that cannot be.
    """
    _check(light, LIGHT_BOUNDS)
    exposure_ev = light.exposure_ev
    if exposure_ev is not None and not DARKEST_EV <= exposure_ev <= BRIGHTEST_EV:
        raise _impossible("exposure_ev", exposure_ev, (DARKEST_EV, BRIGHTEST_EV))


def check_print(promise: PlanPrint) -> None:
    """Refuse what no print and viewer can be.

    Parameters
    ----------
    promise : PlanPrint
        As asked for.

    Raises
    ------
    InputError
        Naming the first value that cannot be.
    """
    _check(promise, PRINT_BOUNDS)


def check_distances(**distances_mm: float | None) -> None:
    """Refuse what is farther off than any face or wall; what is too near is looked at elsewhere.

    Parameters
    ----------
    **distances_mm : float or None
        By name.

    Raises
    ------
    InputError
        Naming the first that cannot be.
    """
    for name, value in distances_mm.items():
        if value is not None and not value <= MOST_DISTANCE_MM:
            raise _impossible(name, value, (0.0, MOST_DISTANCE_MM))


def check_people(sitter: PlanSitter, hand: PlanHand) -> None:
    """Refuse what nobody before and behind the camera can be.

    Parameters
    ----------
    sitter, hand : records
        As asked for; an age is looked at where sizes are taken from it.

    Raises
    ------
    InputError
        Naming the first value that cannot be.
    """
    _check_size("speed_mm_per_s", sitter.speed_mm_per_s, MOST_MM_PER_S)
    _check_size("shake_deg_per_s", hand.shake_deg_per_s, MOST_DEG_PER_S)


def _check(record: object, bounds: dict[str, tuple[float, float]]) -> None:
    for name, (low, high) in bounds.items():
        value = getattr(record, name)
        if value is not None and not low <= value <= high:
            raise _impossible(name, value, (low, high))


def _check_size(name: str, learned: Measured | None, most: float) -> None:
    """Refuse a learned size that is nothing: its median is above zero."""
    if learned is None:
        return
    _check_learned(name, learned, 0.0, most)
    if learned.value < LEAST_SIZE:
        raise _impossible(name, learned.value, (LEAST_SIZE, most))


def _check_learned(name: str, learned: Measured, low: float, high: float) -> None:
    for value in (learned.value, learned.low, learned.high):
        if not low <= value <= high:
            raise _impossible(name, value, (low, high))


def _impossible(name: str, value: float, bounds: tuple[float, float]) -> InputError:
    low, high = bounds
    return InputError(
        f"{value:g} cannot be ({name.replace('_', ' ')})",
        where=WHERE.get(name, name),
        hint=f"Give a number from {low:g} to {high:g}, and look at its unit",
    )
