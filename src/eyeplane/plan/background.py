"""How blurred the background is, and the trade between aperture and distance to it. mm, thin lens.

A point `x` behind the focus plane at `s` is drawn as a disc of A x / s in its own plane, A = f / N
the pupil's diameter: the cone of rays from the pupil's edge, cut there. On the sensor that is
A m x / (s + x), m the magnification in the focus plane.
"""

import math
from dataclasses import dataclass

from eyeplane.errors import InputError
from eyeplane.light import F_NUMBERS, true_f_number
from eyeplane.optics import blur_circle_um
from eyeplane.plan.words import THIN, f_stop, length
from eyeplane.records import PlanKit

TRADE_STOPS = (2, 1)  # how far apart the apertures that are traded; the first that can be had


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
        With what blur there is; for two stops, or one where two cannot be had: against a wider
        aperture, or where the lens has none, what a smaller one would ask for.

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
    for smaller, wider in _pairs(kit, f_number):
        goal_mm = equal_blur_mm(
            behind_mm=behind_mm,
            focus_mm=focus_mm,
            f_number=true_f_number(smaller),
            as_f_number=true_f_number(wider),
        )
        if goal_mm is not None:
            return (
                f"{now} Step {length(goal_mm - behind_mm)} farther from it, and "
                f"{f_stop(smaller)} blurs it as {f_stop(wider)} does now."
            )
    return f"{now} At no distance does a smaller aperture blur it as one a stop wider does now."


def _pairs(kit: PlanKit, f_number: float) -> list[tuple[float, float]]:
    """Return apertures to trade: this one for a wider one, else a smaller one for this."""
    nearest = min(range(len(F_NUMBERS)), key=lambda k: abs(F_NUMBERS[k] / f_number - 1.0))
    here = [(f_number, _mark(nearest - 3 * stops)) for stops in TRADE_STOPS]
    there = [(_mark(nearest + 3 * stops), f_number) for stops in TRADE_STOPS]
    widest, smallest = 0.99 * kit.widest_f_number, 1.01 * kit.smallest_f_number
    return [pair for pair in (*here, *there) if widest <= pair[1] and pair[0] <= smallest]


def _mark(place: int) -> float:
    """Return the marked aperture at a place of the series; 0 before it, infinity after it."""
    if place < 0:
        return 0.0
    return F_NUMBERS[place] if place < len(F_NUMBERS) else math.inf


def _percent(share: float) -> str:
    return f"{100 * share:.2g}{THIN}%"
