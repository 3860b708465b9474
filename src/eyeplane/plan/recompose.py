"""Focusing in the middle of the frame and turning the camera: what that costs."""

import math
from collections.abc import Callable

from eyeplane.errors import InputError
from eyeplane.plan import words
from eyeplane.records import Measured, Recompose

MOST_TURN_DEG = 60.0  # deg; no frame reaches farther from its middle with a lens for portraits
NOTHING_SHARE = 0.05  # of frames: where fewer hold no loss of frames can be told; our own
NO_HARM_SHARE = 0.02  # of frames: a loss below this is not worth a remedy; our own


def behind_mm(*, distance_mm: float, turn_deg: float) -> float:
    """Return how far behind the eye the focus plane lies after turning the camera.

    Parameters
    ----------
    distance_mm : float
        Lens to the eye in a straight line, > 0: what autofocus measures in the middle of the frame.
    turn_deg : float
        Angle by which the camera is then turned, 0 to 60.

    Returns
    -------
    float
        Millimetres along the lens axis: s (1 − cos θ).

    Raises
    ------
    InputError
        If the distance is not above zero or the angle out of range.

    Notes
    -----
    The plane in focus stands square to the lens axis at the distance s. Turned by θ about the
    lens, the eye lies only s cos θ along the axis, the plane still at s. A real camera turns about
    a point behind the lens, so that the lens moves sideways and a little forwards or backwards;
    for a camera at the eye that is a few mm and left out.

    Examples
    --------
    >>> round(behind_mm(distance_mm=2000, turn_deg=10))
    30
    """
    if not (distance_mm > 0 and math.isfinite(distance_mm)):
        raise InputError(
            f"{distance_mm} mm is no distance", where="distance_mm", hint="Give a positive number"
        )
    if not 0 <= turn_deg <= MOST_TURN_DEG:
        raise InputError(
            f"{turn_deg} degrees is not between 0 and {MOST_TURN_DEG:.0f}",
            where="turn_deg",
            hint="Give the angle from the middle of the frame to the eye",
        )
    return distance_mm * (1.0 - math.cos(math.radians(turn_deg)))


def turn_deg(*, distance_mm: float, aside_mm: float) -> float:
    """Return the angle between the middle of the frame and an eye.

    Parameters
    ----------
    distance_mm : float
        Lens to the eye along the lens axis, > 0.
    aside_mm : float
        Distance of the eye from the lens axis, >= 0.

    Returns
    -------
    float
        Degrees.

    Examples
    --------
    >>> round(turn_deg(distance_mm=2000, aside_mm=100), 1)
    2.9
    """
    return math.degrees(math.atan2(aside_mm, distance_mm))


def recompose(
    *,
    distance_mm: float,
    turn_deg: float,
    share_at: Callable[[float], Measured],
    share_now: Measured,
    what: str,
) -> Recompose:
    """Return what focusing in the middle of the frame and turning the camera does.

    Parameters
    ----------
    distance_mm : float
        Lens to the eye in a straight line, > 0.
    turn_deg : float
        Angle from the middle of the frame to the eye, 0 to 60.
    share_at : callable
        Share of frames that hold with the focus plane so many mm behind where it should lie.
    share_now : Measured
        The same with the plane where it should lie.
    what : str
        What the focus point goes on, as in "the near eye".

    Returns
    -------
    Recompose
        Angle, distance behind, share and remedy; the remedy is none where it costs less than two
        frames in a hundred.
    """
    behind = behind_mm(distance_mm=distance_mm, turn_deg=turn_deg)
    share = share_at(behind)
    turn = f"Focusing in the middle and turning the camera by {turn_deg:.0f}°"
    where = f"{turn} puts the plane {words.length(behind)} too far back"
    if share_now.value < NOTHING_SHARE:
        text = f"{where}. Put the focus point onto {what} instead."
    elif share_now.value - share.value <= NO_HARM_SHARE:
        text = f"{where}: no harm at this aperture."
    else:
        now, then = words.percent(share_now.value), words.percent(share.value)
        text = (
            f"{where}: {then} of frames hold instead of {now}. Move the focus point onto {what} "
            "instead, or shift the camera sideways without turning it."
        )
    return Recompose(turn_deg=turn_deg, behind_mm=behind, share=share, text=text)
