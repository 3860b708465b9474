"""From what was typed to the request that a plan is made from."""

import math
from collections.abc import Callable, Mapping
from typing import Any, Literal, cast

from eyeplane.asked.plan_given import Given
from eyeplane.asked.plan_light import energy_guide_number_m, light_of
from eyeplane.asked.typed import Learned, LightGiven, WhoGiven, size_of
from eyeplane.errors import InputError
from eyeplane.plan import shake_from_steadiness
from eyeplane.records import (
    BurstRequest,
    GroupRequest,
    Measured,
    PlanChoice,
    PlanHand,
    PlanKit,
    PlanPrint,
    PlanSitter,
    SitterRequest,
)

PlanKind = Literal["sitter", "group", "burst"]
USUAL_PIXELS = 24e6  # of a frame where nobody says how many it has; common today, from memory
SQUARE_WITHIN = 0.03  # of the ratio of the sides: makers round both
BIAS_UNSURE_MM = 3.0  # each way, of a focus bias typed without its interval; from memory
BIAS_UNSURE_SHARE = 0.3  # of it, where that is more; from memory
SPREAD_RATIO = 1.5  # each way, of a focus spread typed without its interval; from memory
SPEED_RATIO = 10.0  # each way, middle 90 % of a sitter's frames: ln sd 1.4; from memory


def kit_of(given: Given) -> PlanKit:
    """Return the kit.

    Parameters
    ----------
    given : Given
        What holds.

    Returns
    -------
    PlanKit
        Body and lens.

    Raises
    ------
    InputError
        If its limits contradict each other, or its pixels would not be square.
    """
    sensor = cast("tuple[float, float]", given["sensor"])
    long_px, short_px = _pixels(given, sensor)
    return PlanKit(
        focal_length_mm=given.sure("focal-length"),
        sensor_long_mm=sensor[0],
        sensor_short_mm=sensor[1],
        long_edge_px=long_px,
        short_edge_px=short_px,
        widest_f_number=given.sure("widest"),
        smallest_f_number=given.sure("smallest"),
        near_limit_mm=given.number("near-limit"),
        fastest_s=given.sure("fastest"),
        slowest_s=given.sure("slowest"),
        sync_s=given.sure("sync"),
        base_iso=given.sure("base-iso"),
        highest_iso=given.sure("iso-limit"),
        # A stabiliser that was on is in a learned shake already.
        stabiliser_stops=0.0 if given["shake"] is not None else given.sure("stabiliser"),
        glass_um=size_of(given["glass"]),
        glass_wide_um=size_of(given["glass-wide"]),
        glass_range_um=_ends(given["glass"]),
        glass_wide_range_um=_ends(given["glass-wide"]),
        field_radius_mm=given.number("field-radius"),
        focus_bias_mm=_bias_mm(given["focus-bias"]),
        focus_spread_mm=_around(given["focus-spread"], SPREAD_RATIO),
    )


def sitter_request(given: Given) -> SitterRequest:
    """Return the request for one sitter.

    Parameters
    ----------
    given : Given
        What holds.

    Returns
    -------
    SitterRequest
        With a framing or a distance, never both.

    Raises
    ------
    InputError
        If what was typed contradicts itself.
    """
    distance_mm = given.number("distance")
    framing = cast("Any", given["framing"])
    if distance_mm is not None and framing is not None:
        raise InputError(
            f"a framing ({framing}) and a distance cannot both be given: with this lens the one "
            "says the other",
            where="--framing",
            hint="Give either",
        )
    if distance_mm is None and framing is None:
        framing = "head-and-shoulders"
    return SitterRequest(
        **_common(given),
        distance_mm=distance_mm,
        framing=framing,
        yaw_deg=given.sure("yaw"),
        background_mm=given.number("background"),
        eyes=cast("Any", given["eyes"]),
    )


def group_request(given: Given) -> GroupRequest:
    """Return the request for a group.

    Parameters
    ----------
    given : Given
        What holds.

    Returns
    -------
    GroupRequest
        Rows of faces.

    Raises
    ------
    InputError
        If what was typed contradicts itself.
    """
    return GroupRequest(
        **_common(given),
        distance_mm=given.sure("distance"),
        rows=round(given.sure("rows")),
        faces_per_row=round(given.sure("faces-per-row")),
        row_spacing_mm=given.sure("row-spacing"),
        face_spacing_mm=given.sure("face-spacing"),
        standing=given.on("standing", usual=True),
        lean=given.on("lean"),
        arc_radius_mm=given.number("arc"),
    )


def burst_request(given: Given) -> BurstRequest:
    """Return the request for a lean-in.

    Parameters
    ----------
    given : Given
        What holds.

    Returns
    -------
    BurstRequest
        A sitter's, and how the burst is shot.

    Raises
    ------
    InputError
        If what was typed contradicts itself.
    """
    return BurstRequest(
        sitting=sitter_request(given),
        lean_mm_per_s=given.sure("lean"),
        frames_per_s=given.sure("frame-rate"),
        wanted_share=given.sure("chance"),
        caught=cast("Any", given["caught"]),
    )


def light_said(given: Given) -> tuple[str, ...]:
    """Return what had to be estimated of the light.

    Parameters
    ----------
    given : Given
        What holds.

    Returns
    -------
    tuple of str
        One text, or none.

    Raises
    ------
    InputError
        If what a flash shines through is not known.
    """
    said = given["light"]
    if not isinstance(said, LightGiven) or said.measure != "energy_ws":
        return ()
    number = energy_guide_number_m(said)
    return (
        f"{given.values['light'].text} taken as guide number {number.value:.0f} "
        f"({number.low:.0f}–{number.high:.0f}), an estimate: read it with a flash meter and give "
        "'flash f/8'",
    )


def _common(given: Given) -> dict[str, Any]:
    """Return what all requests have."""
    kit = kit_of(given)
    return {
        "kit": kit,
        "light": light_of(given),
        "sitter": _sitter(given),
        "hand": _hand(given, kit),
        "promise": _promise(given, kit),
        "choice": PlanChoice(
            f_number=given.number("f-number"),
            shutter_s=given.number("shutter"),
            iso=given.number("iso"),
        ),
    }


def _pixels(given: Given, sensor: tuple[float, float]) -> tuple[int, int]:
    said = given["pixels"]
    if isinstance(said, tuple):
        long_px, short_px = round(said[0]), round(said[1])
        shape = (sensor[0] / sensor[1]) / (long_px / short_px)
        if abs(shape - 1.0) > SQUARE_WITHIN:
            raise InputError(
                f"{long_px}x{short_px} pixels on a sensor of {sensor[0]:g}x{sensor[1]:g} mm would "
                "not be square",
                where="--pixels",
                hint="Give both in the same shape",
            )
        return long_px, short_px
    count = float(said) if isinstance(said, float) else USUAL_PIXELS
    long_px = round(math.sqrt(count * sensor[0] / sensor[1]))
    return long_px, max(1, round(long_px * sensor[1] / sensor[0]))


def _sitter(given: Given) -> PlanSitter:
    who = cast("WhoGiven", given["who"])
    mood = given["mood"] or who.mood or None
    return PlanSitter(
        age_years=who.age_years,
        mood=cast("Any", mood),
        glasses=given.on("glasses"),
        speed_mm_per_s=_around(given["sitter-speed"], SPEED_RATIO),
    )


def _hand(given: Given, kit: PlanKit) -> PlanHand:
    slowest_s, shake = given.number("steadiness"), _around(given["shake"], SPEED_RATIO)
    if slowest_s is not None and shake is not None:
        raise InputError(
            "how steady you are was said twice",
            where="--steadiness and --shake",
            hint="Leave one of them out, or forget it for the kit",
        )
    if slowest_s is not None:
        shake = shake_from_steadiness(kit, time_s=slowest_s)
    return PlanHand(
        support="tripod" if given.on("tripod") else "hand",
        shake_deg_per_s=shake,
    )


def _promise(given: Given, kit: PlanKit) -> PlanPrint:
    print_cm, viewing = given.sure("print-cm"), given["viewing-cm"]
    if viewing == "diagonal":
        short_cm = print_cm * kit.sensor_short_mm / kit.sensor_long_mm
        return PlanPrint(print_cm=print_cm, viewing_cm=1.5 * math.hypot(print_cm, short_cm))
    return PlanPrint(print_cm=print_cm, viewing_cm=given.sure("viewing-cm"))


def _bias_mm(said: object) -> Measured | None:
    if not isinstance(said, Learned):
        return None
    unsure = max(BIAS_UNSURE_MM, BIAS_UNSURE_SHARE * abs(said.value))
    low, high = said.interval or (said.value - unsure, said.value + unsure)
    return Measured(value=said.value, low=low, high=high)


def _ends(said: object) -> tuple[float, float] | None:
    return said.interval if isinstance(said, Learned) else None


def _around(said: object, ratio: float) -> Measured | None:
    if not isinstance(said, Learned):
        return None
    low, high = said.interval or (said.value / ratio, said.value * ratio)
    return Measured(value=said.value, low=low, high=high)


REQUESTS: Mapping[PlanKind, Callable[[Given], Any]] = {
    "sitter": sitter_request,
    "group": group_request,
    "burst": burst_request,
}
