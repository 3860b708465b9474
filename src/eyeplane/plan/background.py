"""How blurred the background is, and the trade between aperture and distance to it. mm, thin lens.

A point `x` behind the focus plane at `s` is drawn as a disc of A x / s in its own plane, A = f / N
the pupil's diameter: the cone of rays from the pupil's edge, cut there. On the sensor that is
A m x / (s + x), m the magnification in the focus plane.
"""

from dataclasses import dataclass

from eyeplane.errors import InputError
from eyeplane.light import F_NUMBERS, true_f_number
from eyeplane.optics import blur_circle_um
from eyeplane.plan.words import f_stop, length
from eyeplane.records import PlanKit

TRADE_STOPS = (2, 1)  # how much wider the aperture that is traded for; the first that can be had


@dataclass(frozen=True, slots=True, kw_only=True)
class BackgroundBlur:
    """The blur disc of a point of the background.

    Attributes
    ----------
    there_mm : float
        Its diameter in the plane of the background.
    of_height_share : float
        Its diameter on the sensor over the frame's height.
    """

    there_mm: float
    of_height_share: float


def background_blur(
    kit: PlanKit, *, f_number: float, focus_mm: float, background_mm: float
) -> BackgroundBlur:
    """Return how blurred a point of the background is.

    Parameters
    ----------
    kit : PlanKit
        Lens and sensor.
    f_number : float
        Aperture, > 0.
    focus_mm, background_mm : float
        Focus plane and background, from the lens; both beyond the focal length.

    Returns
    -------
    BackgroundBlur
        Geometric, without diffraction; 0 in the focus plane.

    Raises
    ------
    InputError
        If a distance is not beyond the focal length.

    Examples
    --------
    A head before a wall 1.2 m behind it, 85 mm at f/2, 2 m away:

    >>> blur = background_blur(
    ...     PlanKit(focal_length_mm=85), f_number=2, focus_mm=2000, background_mm=3200
    ... )
    >>> round(blur.there_mm, 1), round(blur.of_height_share, 4)
    (25.5, 0.0295)
    """
    circle_um = blur_circle_um(
        focal_length_mm=kit.focal_length_mm,
        f_number=f_number,
        focus_distance_mm=focus_mm,
        subject_distance_mm=background_mm,
    )
    pupil_mm = kit.focal_length_mm / f_number
    return BackgroundBlur(
        there_mm=pupil_mm * abs(background_mm - focus_mm) / focus_mm,
        of_height_share=circle_um / 1000.0 / kit.sensor_short_mm,
    )


def equal_blur_mm(
    *, behind_mm: float, focus_mm: float, f_number: float, as_f_number: float
) -> float | None:
    """Return how far behind the sitter the background must be to be as blurred as at another stop.

    Parameters
    ----------
    behind_mm : float
        How far it is now, behind the focus plane, >= 0.
    focus_mm : float
        Focus plane from the lens, > 0; the camera keeps it.
    f_number : float
        Aperture that is to be used.
    as_f_number : float
        Aperture whose blur at `behind_mm` is to be had.

    Returns
    -------
    float or None
        Millimetres; None where not even a background at infinity is so blurred.

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    The disc on the sensor is the same where x / (N (s + x)) is: with q the share x / (s + x) that
    is asked for, N / N' times the one there is, x = s q / (1 − q).

    Examples
    --------
    >>> equal_blur_mm(behind_mm=500, focus_mm=2000, f_number=4, as_f_number=2)
    1333.3333333333335
    >>> equal_blur_mm(behind_mm=3000, focus_mm=2000, f_number=4, as_f_number=2) is None
    True
    """
    if not (behind_mm >= 0 and focus_mm > 0 and f_number > 0 and as_f_number > 0):
        raise InputError(
            f"{behind_mm} mm behind a plane at {focus_mm} mm, f/{f_number} and f/{as_f_number}",
            where="background",
            hint="Give a distance of zero or more, and apertures above zero",
        )
    asked = f_number / as_f_number * behind_mm / (focus_mm + behind_mm)
    return None if asked >= 1.0 else focus_mm * asked / (1.0 - asked)


def trade(kit: PlanKit, *, f_number: float, focus_mm: float, behind_mm: float) -> str:
    """Return what stepping away from the background is worth, in a sentence.

    Parameters
    ----------
    kit : PlanKit
        Lens and sensor.
    f_number : float
        Aperture to be used.
    focus_mm, behind_mm : float
        Focus plane from the lens, and the background behind it.

    Returns
    -------
    str
        For two stops, or one where two cannot be had; with what blur there is.

    Notes
    -----
    True third stops are compared, not the rounded marks. Camera and sitter step together: their
    distance stays.
    """
    if behind_mm <= 0:
        return ""
    blur = background_blur(
        kit, f_number=f_number, focus_mm=focus_mm, background_mm=focus_mm + behind_mm
    )
    now = (
        f"At {f_stop(f_number)} the background, {length(behind_mm)} behind, blurs to discs of "
        f"{length(blur.there_mm)} there, {_percent(blur.of_height_share)} of the frame's height."
    )
    for stops in TRADE_STOPS:
        wider = _wider(f_number, stops)
        goal_mm = None
        if wider is not None:
            goal_mm = equal_blur_mm(
                behind_mm=behind_mm,
                focus_mm=focus_mm,
                f_number=true_f_number(f_number),
                as_f_number=true_f_number(wider),
            )
        if wider is not None and goal_mm is not None:
            return (
                f"{now} Step {length(goal_mm - behind_mm)} farther from it, and "
                f"{f_stop(f_number)} blurs it as {f_stop(wider)} does now."
            )
    return f"{now} No distance makes {f_stop(f_number)} blur it as a stop wider does now."


def _wider(f_number: float, stops: int) -> float | None:
    """Return the marked aperture some stops wider than the nearest marked one; None past f/1."""
    nearest = min(range(len(F_NUMBERS)), key=lambda k: abs(F_NUMBERS[k] / f_number - 1.0))
    place = nearest - 3 * stops
    return F_NUMBERS[place] if place >= 0 else None


def _percent(share: float) -> str:
    return f"{100 * share:.2g}\u2009%"
