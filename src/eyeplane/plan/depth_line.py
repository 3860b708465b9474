"""The depth line of one sitter: depth of field for the print, and what of the head lies in it."""

import math

from eyeplane.optics import depth_of_field_mm
from eyeplane.people import head_places
from eyeplane.records import PlanKit, PlanMark, SitterRequest


def depth_limits_mm(
    kit: PlanKit, *, f_number: float, focus_mm: float, disc_um: float
) -> tuple[float, float]:
    """Return how far the depth of field for the print reaches before and behind the focus plane.

    Parameters
    ----------
    kit : PlanKit
        For the focal length.
    f_number : float
        Aperture, > 0.
    focus_mm : float
        Focus plane, from the lens, > focal length.
    disc_um : float
        Largest disc that the print takes at this aperture and ISO; 0 where nothing holds.

    Returns
    -------
    tuple of float
        (front, behind) in mm; behind is infinite from the hyperfocal distance on.
    """
    if disc_um <= 0:
        return 0.0, 0.0
    near_mm, far_mm = depth_of_field_mm(
        focal_length_mm=kit.focal_length_mm,
        f_number=f_number,
        focus_distance_mm=focus_mm,
        circle_um=disc_um,
    )
    return focus_mm - near_mm, far_mm - focus_mm


def marks(request: SitterRequest, *, from_mm: float, to_mm: float) -> tuple[PlanMark, ...]:
    """Return the places of the head along the lens axis, and the background.

    Parameters
    ----------
    request : SitterRequest
        Head, glasses, background.
    from_mm, to_mm : float
        Ends of the depth of field, behind the near iris.

    Returns
    -------
    tuple of PlanMark
        Nearest to the camera first.
    """
    sitter = request.sitter
    places = head_places(
        yaw_deg=abs(request.yaw_deg), age_years=sitter.age_years, glasses=sitter.glasses
    )
    told = [(place.name, place.depth_mm) for place in places]
    if request.background_mm is not None:
        told.append(("background", request.background_mm))
    return tuple(
        PlanMark(name=name, depth_mm=depth, inside=from_mm <= depth <= to_mm)
        for name, depth in sorted(told, key=lambda one: one[1])
    )


def end_or_none(depth_mm: float) -> float | None:
    """Return a depth, or None where it has no end.

    Parameters
    ----------
    depth_mm : float
        May be infinite.

    Returns
    -------
    float or None
        The depth if it is finite.
    """
    return depth_mm if math.isfinite(depth_mm) else None
