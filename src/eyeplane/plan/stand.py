"""Where the camera stands: distance from framing, framing from distance, and what is impossible."""

import math
from dataclasses import dataclass

from eyeplane.errors import InputError
from eyeplane.optics import magnification, subject_distance_mm
from eyeplane.people import far_iris_depth_mm, field_height_mm, framing_of
from eyeplane.plan.words import length
from eyeplane.records import Framing, PlanKit, SitterRequest


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """Camera and sitter, measured from the lens.

    Attributes
    ----------
    distance_mm : float
        Lens to near iris.
    magnification : float
        Size on the sensor over size, at the near iris.
    field_height_mm : float
        What the frame's height takes in there.
    framing : Framing
        The framing, or the nearest to it.
    far_iris_mm : float
        Far iris behind the near one, along the lens axis.
    background_mm : float or None
        Lens to background.
    """

    distance_mm: float
    magnification: float
    field_height_mm: float
    framing: Framing
    far_iris_mm: float
    background_mm: float | None


def framed_distance_mm(kit: PlanKit, framing: Framing, *, age_years: float | None) -> float:
    """Return how far from the sitter this lens stands for a framing.

    Parameters
    ----------
    kit : PlanKit
        Lens and sensor; the camera is held level, so that the sensor's short side is the height.
    framing : Framing
        Head, head-and-shoulders, half or full.
    age_years : float or None
        Of the sitter: children are smaller.

    Returns
    -------
    float
        Lens to near iris in mm: f (1 + 1/m), m the frame's height over what it takes in.

    Raises
    ------
    InputError
        If there is no such framing.
    """
    takes_in_mm = field_height_mm(framing=framing, age_years=age_years)
    return subject_distance_mm(
        focal_length_mm=kit.focal_length_mm, magnification=kit.sensor_short_mm / takes_in_mm
    )


def stand_of(request: SitterRequest) -> Stand:
    """Return where camera, eyes and background are.

    Parameters
    ----------
    request : SitterRequest
        With a distance or a framing.

    Returns
    -------
    Stand
        From the lens, in mm.

    Raises
    ------
    InputError
        If both or neither are given, if the lens cannot focus so near, or a number is impossible.
    """
    _check(request)
    kit, age = request.kit, request.sitter.age_years
    if request.framing is None:
        distance_mm = request.distance_mm or 0.0
    else:
        distance_mm = framed_distance_mm(kit, request.framing, age_years=age)
    _check_near(request, distance_mm)
    m = magnification(focal_length_mm=kit.focal_length_mm, subject_distance_mm=distance_mm)
    takes_in_mm = kit.sensor_short_mm / m
    behind_mm = request.background_mm
    return Stand(
        distance_mm=distance_mm,
        magnification=m,
        field_height_mm=takes_in_mm,
        framing=request.framing or framing_of(field_height_mm=takes_in_mm, age_years=age),
        far_iris_mm=far_iris_depth_mm(yaw_deg=abs(request.yaw_deg), age_years=age).mean_mm,
        background_mm=None if behind_mm is None else distance_mm + behind_mm,
    )


def _check(request: SitterRequest) -> None:
    kit, promise = request.kit, request.promise
    if (request.distance_mm is None) == (request.framing is None):
        both = (
            "both a distance and a framing" if request.framing else "neither distance nor framing"
        )
        raise InputError(
            f"{both} given", where="distance", hint="Give one of them: the lens makes the other"
        )
    if not abs(request.yaw_deg) <= 90:
        raise InputError(
            f"a head turned by {request.yaw_deg:g}° shows no eye to focus on",
            where="yaw",
            hint="Give 0 degrees (facing the camera) to 90 (profile); the side does not matter",
        )
    above = {
        "focal length": kit.focal_length_mm,
        "sensor": min(kit.sensor_long_mm, kit.sensor_short_mm),
        "pixels": min(kit.long_edge_px, kit.short_edge_px),
        "print": promise.print_cm,
        "viewing distance": promise.viewing_cm,
    }
    for where, value in above.items():
        if not (value > 0 and math.isfinite(value)):
            raise InputError(f"{value} is not above zero", where=where, hint="Give its true size")
    if kit.glass_um is not None and not 0 <= kit.glass_um < math.inf:
        raise InputError(
            f"a spread of {kit.glass_um:g} µm does not exist",
            where="glass",
            hint="Give the spread of the lens on the sensor, 0 or more",
        )
    behind_mm = request.background_mm
    if behind_mm is not None and not 0 <= behind_mm < math.inf:
        raise InputError(
            f"{behind_mm:g} mm is not behind the sitter",
            where="background",
            hint="Give the distance from the sitter's eyes to the background",
        )


def _check_near(request: SitterRequest, distance_mm: float) -> None:
    kit = request.kit
    if not (distance_mm > kit.focal_length_mm and math.isfinite(distance_mm)):
        raise InputError(
            f"{distance_mm:g} mm is not beyond the focal length of {kit.focal_length_mm:g} mm",
            where="distance",
            hint="Give the distance from lens to eyes, with its unit",
        )
    if kit.near_limit_mm is not None and distance_mm < kit.near_limit_mm:
        what = f"a {request.framing} needs" if request.framing else "you ask for"
        raise InputError(
            f"{what} {length(distance_mm)}, and this lens focuses from {length(kit.near_limit_mm)}",
            where="distance",
            hint=f"Step back to {length(kit.near_limit_mm)}, or take a longer lens",
        )
