"""The cornea as a convex mirror: where a light's highlight lies and how large it is.

Places are in mm across the line of sight, counted from the point of the cornea that faces the
camera; angles are at the eye, between the directions to the camera and to the light.
"""

import math

from eyeplane.errors import InputError
from eyeplane.optics.arguments import above_zero, not_negative

# mm, spread 0.26 (standard deviation): 7.7 in Gullstrand's exact and 7.8 in his simplified eye,
# adults 7.1 to 8.7; from memory. Towards its rim a cornea is flatter by some per cent.
CORNEA_RADIUS_MM = 7.8
CORNEA_RADIUS_SD_MM = 0.26
_STEPS = 60  # of the search for the point of reflection; each one gains a factor of radius/distance


def highlight_place_mm(
    *,
    off_axis_deg: float,
    radius_mm: float = CORNEA_RADIUS_MM,
    camera_distance_mm: float = math.inf,
    source_distance_mm: float = math.inf,
) -> float:
    """Return how far from the point that faces the camera a light's highlight is seen.

    Parameters
    ----------
    off_axis_deg : float
        Angle between the directions to the camera and to the light, 0 to 180 degrees (below 180).
    radius_mm : float
        Radius R of the mirror, > 0.
    camera_distance_mm, source_distance_mm : float
        From the centre of the sphere, > R; infinity is allowed and nearly always near enough.

    Returns
    -------
    float
        Millimetres across the line of sight, measured in the plane of the sphere's centre,
        0 to R.

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    The mirror's normal halves the angle, so for far camera and light the place is R sin(θ/2),
    exactly. Nearer ones: the point of reflection is found by repeating the same with the
    directions as seen from that point (the problem of Alhazen); a light or camera 0.5 m away
    changes the place by about 0.1 mm.

    References
    ----------
    E. Hecht, Optics, chapter on mirrors (from memory); the geometry off the axis is our own.

    Examples
    --------
    >>> round(highlight_place_mm(off_axis_deg=60), 2)
    3.9
    """
    _check_angle(off_axis_deg)
    _check_distances(radius_mm, camera_distance_mm, source_distance_mm)
    angle = math.radians(off_axis_deg)
    normal = angle / 2
    for _ in range(_STEPS):
        across, ahead = radius_mm * math.sin(normal), radius_mm * math.cos(normal)
        to_camera, to_source = 0.0, angle
        if math.isfinite(camera_distance_mm):
            to_camera = math.atan2(-across, camera_distance_mm - ahead)
        if math.isfinite(source_distance_mm):
            to_source = math.atan2(
                source_distance_mm * math.sin(angle) - across,
                source_distance_mm * math.cos(angle) - ahead,
            )
        turned = (to_camera + to_source) / 2
        settled = abs(turned - normal) < 1e-14
        normal = turned
        if settled:
            break
    across, ahead = radius_mm * math.sin(normal), radius_mm * math.cos(normal)
    if math.isinf(camera_distance_mm):
        return across
    return across * camera_distance_mm / (camera_distance_mm - ahead)


def source_off_axis_deg(
    *,
    place_mm: float,
    radius_mm: float = CORNEA_RADIUS_MM,
    camera_distance_mm: float = math.inf,
    source_distance_mm: float = math.inf,
) -> float:
    """Return how far off the lens a light stands whose highlight is seen at a place.

    Parameters
    ----------
    place_mm : float
        Distance from the point that faces the camera, across the line of sight, 0 to R.
    radius_mm : float
        Radius R of the mirror, > 0.
    camera_distance_mm, source_distance_mm : float
        From the centre of the sphere, > R; infinity is allowed.

    Returns
    -------
    float
        Angle at the centre of the sphere in degrees, 0 to 180: 2 asin(place / R) for far ones.

    Raises
    ------
    InputError
        If an argument is out of range or the place is not on the mirror as the camera sees it.

    Notes
    -----
    The inverse of `highlight_place_mm`, in closed form: the camera's ray is met with the sphere,
    reflected, and followed to the light's distance.

    Examples
    --------
    >>> round(source_off_axis_deg(place_mm=3.9), 1)
    60.0
    """
    _check_distances(radius_mm, camera_distance_mm, source_distance_mm)
    not_negative(place_mm=place_mm)
    tilt = 0.0
    if math.isfinite(camera_distance_mm):
        tilt = math.atan2(place_mm, camera_distance_mm)
    # The ray passes the centre at place·cos(tilt); what is left of R is half the chord it cuts.
    aside_share = place_mm * math.cos(tilt) / radius_mm
    if aside_share > 1.0:
        raise InputError(
            f"{place_mm} mm lies beyond a mirror of radius {radius_mm} mm",
            where="place_mm",
            hint="Give a place that the camera sees on the mirror",
        )
    incidence = math.asin(aside_share)
    normal = incidence - tilt  # direction of the point of reflection, from the axis
    leaving = normal + incidence  # direction of the reflected ray, from the axis
    if math.isinf(source_distance_mm):
        return math.degrees(leaving)
    # From the point of reflection along `leaving` until `source_distance_mm` from the centre.
    inwards = radius_mm * math.cos(incidence)
    length = -inwards + math.sqrt(source_distance_mm**2 - radius_mm**2 * math.sin(incidence) ** 2)
    across = radius_mm * math.sin(normal) + length * math.sin(leaving)
    ahead = radius_mm * math.cos(normal) + length * math.cos(leaving)
    return math.degrees(math.atan2(across, ahead))


def highlight_scale_mm_per_rad(
    *, off_axis_deg: float, radius_mm: float = CORNEA_RADIUS_MM
) -> tuple[float, float]:
    """Return how large a highlight is for each radian that its light subtends at the eye.

    Parameters
    ----------
    off_axis_deg : float
        Angle between the directions to the camera and to the light, 0 to 180 degrees (below 180).
    radius_mm : float
        Radius R of the mirror, > 0.

    Returns
    -------
    tuple of (float, float)
        Along the line from the point that faces the camera (radial) and across it (tangential),
        in mm per radian, as a far camera sees it: R/2 cos(θ/2) and R/2 / cos(θ/2).

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    The derivative of R sin(θ/2), and R sin(θ/2) over sin θ: both are R/2 near the axis, 3.9 mm per
    radian for 7.8 mm. Off the axis highlights grow narrow along the radius and wide across it, and
    their product stays R²/4.

    Examples
    --------
    >>> highlight_scale_mm_per_rad(off_axis_deg=0)
    (3.9, 3.9)
    """
    _check_angle(off_axis_deg)
    above_zero(radius_mm=radius_mm)
    half = math.cos(math.radians(off_axis_deg) / 2)
    return radius_mm / 2 * half, radius_mm / 2 / half


def source_size_deg(
    *,
    radial_mm: float,
    tangential_mm: float,
    off_axis_deg: float = 0.0,
    radius_mm: float = CORNEA_RADIUS_MM,
) -> tuple[float, float]:
    """Return the angles that a light subtends at the eye, by the size of its highlight.

    Parameters
    ----------
    radial_mm, tangential_mm : float
        Size of the highlight along and across the line from the point that faces the camera, >= 0.
    off_axis_deg : float
        Angle between the directions to the camera and to the light, 0 to 180 degrees (below 180).
    radius_mm : float
        Radius of the mirror, > 0.

    Returns
    -------
    tuple of (float, float)
        Radial and tangential angle in degrees, by the scale at the highlight's middle: for a light
        of 60 degrees on the axis 1 % too small.

    Raises
    ------
    InputError
        If an argument is out of range.

    Examples
    --------
    >>> radial, tangential = source_size_deg(radial_mm=1.36, tangential_mm=0.68)
    >>> round(radial), round(tangential)
    (20, 10)
    """
    not_negative(radial_mm=radial_mm, tangential_mm=tangential_mm)
    radial, tangential = highlight_scale_mm_per_rad(off_axis_deg=off_axis_deg, radius_mm=radius_mm)
    return math.degrees(radial_mm / radial), math.degrees(tangential_mm / tangential)


def _check_angle(off_axis_deg: float) -> None:
    if not 0.0 <= off_axis_deg < 180.0:
        raise InputError(
            f"{off_axis_deg} degrees is no angle off the lens",
            where="off_axis_deg",
            hint="Give 0 to below 180 degrees",
        )


def _check_distances(radius_mm: float, camera_mm: float, source_mm: float) -> None:
    above_zero(radius_mm=radius_mm)
    for name, value in (("camera_distance_mm", camera_mm), ("source_distance_mm", source_mm)):
        if not value > radius_mm:
            raise InputError(
                f"{value} mm lies inside a mirror of radius {radius_mm} mm",
                where=name,
                hint="Give the distance from the centre of the sphere in millimetres",
            )
