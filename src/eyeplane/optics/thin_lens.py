"""The thin lens: magnification, blur circle, depth of field. Distances in mm from the lens.

The lens is thin and its pupil magnification is 1. Lens scales and EXIF count from the sensor:
`lens_distance_mm` converts.
"""

import math

from eyeplane.errors import InputError
from eyeplane.optics.arguments import above_zero, farther_than


def magnification(*, focal_length_mm: float, subject_distance_mm: float) -> float:
    """Return the size of the image over the size of the subject.

    Parameters
    ----------
    focal_length_mm : float
        Focal length f, > 0.
    subject_distance_mm : float
        Distance s from the lens to the plane in focus, > f; infinity gives 0.

    Returns
    -------
    float
        Ratio m = f / (s − f), >= 0, upside-down sign left out.

    Raises
    ------
    InputError
        If the subject is not beyond the focal length.

    Examples
    --------
    >>> round(magnification(focal_length_mm=85, subject_distance_mm=2000), 5)
    0.04439
    """
    above_zero(focal_length_mm=focal_length_mm)
    farther_than(focal_length_mm, subject_distance_mm=subject_distance_mm)
    return focal_length_mm / (subject_distance_mm - focal_length_mm)


def subject_distance_mm(*, focal_length_mm: float, magnification: float) -> float:
    """Return the distance from the lens at which a subject is imaged with `magnification`.

    Parameters
    ----------
    focal_length_mm : float
        Focal length f, > 0.
    magnification : float
        Size of the image over size of the subject, > 0: e.g. the iris on the sensor over 11.71 mm.

    Returns
    -------
    float
        Distance s = f (1 + 1/m), in mm from the lens.

    Raises
    ------
    InputError
        If an argument is not above zero.

    Examples
    --------
    An iris of 11.71 mm that is 0.52 mm wide on the sensor of an 85 mm lens:

    >>> round(subject_distance_mm(focal_length_mm=85, magnification=0.52 / 11.71))
    1999
    """
    above_zero(focal_length_mm=focal_length_mm, magnification=magnification)
    return focal_length_mm * (1 + 1 / magnification)


def lens_distance_mm(*, focal_length_mm: float, sensor_distance_mm: float) -> float:
    """Return the distance from the lens for a distance that was counted from the sensor.

    Parameters
    ----------
    focal_length_mm : float
        Focal length f, > 0.
    sensor_distance_mm : float
        Distance D of the plane in focus from the sensor, >= 4 f; infinity gives infinity.

    Returns
    -------
    float
        The farther solution s of s + s f / (s − f) = D, in mm.

    Raises
    ------
    InputError
        If D < 4 f: no thin lens images at that distance.

    Examples
    --------
    >>> round(lens_distance_mm(focal_length_mm=100, sensor_distance_mm=400))
    200
    """
    above_zero(focal_length_mm=focal_length_mm)
    if math.isinf(sensor_distance_mm):
        return math.inf
    if not sensor_distance_mm >= 4 * focal_length_mm:
        raise InputError(
            f"{sensor_distance_mm} mm is nearer than four focal lengths",
            where="sensor_distance_mm",
            hint="Give the distance from the sensor in millimetres",
        )
    root = math.sqrt(sensor_distance_mm * (sensor_distance_mm - 4 * focal_length_mm))
    return (sensor_distance_mm + root) / 2


def focus_plane_mm(*, eye_distance_mm: float, offset_mm: float) -> float:
    """Return the distance of the focus plane from that of the eye and the offset.

    Parameters
    ----------
    eye_distance_mm : float
        Distance from the lens to the near iris, > 0.
    offset_mm : float
        Focus plane minus near iris, + behind the iris.

    Returns
    -------
    float
        Distance from the lens to the focus plane.

    Raises
    ------
    InputError
        If the plane would not lie in front of the lens.

    Examples
    --------
    >>> focus_plane_mm(eye_distance_mm=2000, offset_mm=-14)
    1986
    """
    above_zero(eye_distance_mm=eye_distance_mm, focus_plane=eye_distance_mm + offset_mm)
    return eye_distance_mm + offset_mm


def blur_circle_um(
    *,
    focal_length_mm: float,
    f_number: float,
    focus_distance_mm: float,
    subject_distance_mm: float,
) -> float:
    """Return the diameter of the blur circle on the sensor of a point out of focus.

    Parameters
    ----------
    focal_length_mm : float
        Focal length f, > 0.
    f_number : float
        N = f over the diameter of the pupil, > 0.
    focus_distance_mm : float
        Distance s of the focus plane from the lens, > f; infinity allowed.
    subject_distance_mm : float
        Distance d of the point from the lens, > f; infinity allowed.

    Returns
    -------
    float
        Diameter c = (f/N) m |d − s| / d, m = f / (s − f), in micrometres; 0 in the focus plane.

    Raises
    ------
    InputError
        If a distance is not beyond the focal length, or another argument not above zero.

    Notes
    -----
    Geometric: without diffraction. A point nearer than the plane is blurred more than one as far
    behind it.

    Examples
    --------
    An eye 10 mm behind the focus plane, 85 mm lens at f/1.8, focused at 2 m:

    >>> round(
    ...     blur_circle_um(
    ...         focal_length_mm=85, f_number=1.8, focus_distance_mm=2000, subject_distance_mm=2010
    ...     ),
    ...     2,
    ... )
    10.43
    """
    above_zero(focal_length_mm=focal_length_mm, f_number=f_number)
    farther_than(
        focal_length_mm,
        focus_distance_mm=focus_distance_mm,
        subject_distance_mm=subject_distance_mm,
    )
    pupil_mm = focal_length_mm / f_number
    apart_per_mm = abs(1 / focus_distance_mm - 1 / subject_distance_mm)
    bellows = 1 - focal_length_mm / focus_distance_mm
    return 1000 * pupil_mm * focal_length_mm * apart_per_mm / bellows


def hyperfocal_mm(*, focal_length_mm: float, f_number: float, circle_um: float) -> float:
    """Return the nearest focus distance at which infinity is still sharp enough.

    Parameters
    ----------
    focal_length_mm : float
        Focal length f, > 0.
    f_number : float
        N, > 0.
    circle_um : float
        Largest allowed diameter c of the blur circle on the sensor, in micrometres, > 0.

    Returns
    -------
    float
        H = f² / (N c) + f, in mm from the lens.

    Raises
    ------
    InputError
        If an argument is not above zero.

    Examples
    --------
    >>> round(hyperfocal_mm(focal_length_mm=50, f_number=8, circle_um=30))
    10467
    """
    above_zero(focal_length_mm=focal_length_mm, f_number=f_number, circle_um=circle_um)
    return focal_length_mm**2 / (f_number * circle_um / 1000) + focal_length_mm


def depth_of_field_mm(
    *, focal_length_mm: float, f_number: float, focus_distance_mm: float, circle_um: float
) -> tuple[float, float]:
    """Return the near and the far limit between which the blur circle stays within `circle_um`.

    Parameters
    ----------
    focal_length_mm : float
        Focal length f, > 0.
    f_number : float
        N, > 0.
    focus_distance_mm : float
        Distance s of the focus plane from the lens, > f; infinity allowed.
    circle_um : float
        Largest allowed diameter of the blur circle on the sensor, in micrometres, > 0.

    Returns
    -------
    tuple of float
        (near, far) in mm from the lens; far is infinite from the hyperfocal distance on.

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    With H the hyperfocal distance: near = s (H − f) / (H + s − 2 f), far = s (H − f) / (H − s).

    Examples
    --------
    >>> near, far = depth_of_field_mm(
    ...     focal_length_mm=85, f_number=1.8, focus_distance_mm=2000, circle_um=30
    ... )
    >>> round(near, 2), round(far, 2)
    (1971.78, 2029.04)
    """
    far_from_mm = hyperfocal_mm(
        focal_length_mm=focal_length_mm, f_number=f_number, circle_um=circle_um
    )
    farther_than(focal_length_mm, focus_distance_mm=focus_distance_mm)
    reduced_mm = far_from_mm - focal_length_mm
    near_mm = reduced_mm / ((far_from_mm - 2 * focal_length_mm) / focus_distance_mm + 1)
    if focus_distance_mm >= far_from_mm:
        return near_mm, math.inf
    return near_mm, focus_distance_mm * reduced_mm / (far_from_mm - focus_distance_mm)


def focus_between_mm(*, near_mm: float, far_mm: float) -> float:
    """Return the focus distance that blurs two distances equally.

    Parameters
    ----------
    near_mm, far_mm : float
        The two distances from the lens, > 0; the far one may be infinite.

    Returns
    -------
    float
        Their harmonic mean 2 a b / (a + b): nearer to the near one.

    Raises
    ------
    InputError
        If the near distance is not above zero, or the far one is nearer than it.

    Examples
    --------
    Two rows of a group, 3.5 m and 4.1 m away:

    >>> round(focus_between_mm(near_mm=3500, far_mm=4100))
    3776
    """
    above_zero(near_mm=near_mm)
    if not far_mm >= near_mm:
        raise InputError(
            f"{far_mm} mm is nearer than {near_mm} mm", where="far_mm", hint="Swap the two"
        )
    return 2 / (1 / near_mm + 1 / far_mm)
