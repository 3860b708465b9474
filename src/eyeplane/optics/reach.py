"""The reach: the longest print edge up to which the near eye looks sharp, and its inverses.

Perceived sharpness depends on the print only through the frame pixels in a degree of view and
never falls when they grow, so one number decides all: the fewest pixels per degree at which this
spread and noise still look sharp.
"""

import math
from collections.abc import Callable

from eyeplane.errors import InputError
from eyeplane.optics.arguments import above_zero, not_negative
from eyeplane.optics.sharpness import perceived_sharpness, px_per_deg
from eyeplane.optics.spread import PointSpread

CRITICAL = 0.90  # a perfect frame at one arc minute per pixel (0.898)
SHARP = 0.84  # a frame at 300 px/inch and 25 cm blurred by a disc of one arc minute (0.841)
ACCEPTABLE = 0.68  # the old criterion: a disc of 0.25 mm at 25 cm (0.684)
DIAGONALS = 1.5  # viewing distance for wall prints over their diagonal; common practice, no source

_STEPS = 80  # most steps of the search; ten are usual
_CLOSE = 1e-10  # of perceived sharpness: closer to the threshold than this is on it


def _root(value: Callable[[float], float], middle: float) -> float:
    """Return where a rising function crosses 0: false position after Illinois, near a guess."""
    low, high, step = middle - 0.05, middle + 0.05, 0.1
    at_low, at_high = value(low), value(high)
    while at_low >= 0:
        low, high, at_high, step = low - step, low, at_low, 2 * step
        at_low = value(low)
    while at_high < 0:
        low, high, at_low, step = high, high + step, at_high, 2 * step
        at_high = value(high)
    side = 0
    for _ in range(_STEPS):
        middle = low + (high - low) * at_low / (at_low - at_high)
        at_middle = value(middle)
        if abs(at_middle) < _CLOSE:
            break
        if at_middle > 0:
            high, at_high = middle, at_middle
            at_low = at_low / 2 if side > 0 else at_low
            side = 1
        else:
            low, at_low = middle, at_middle
            at_high = at_high / 2 if side < 0 else at_high
            side = -1
    return middle


def _check(threshold: float) -> None:
    if not 0 < threshold < 1:
        raise InputError(
            f"{threshold} is not between 0 and 1",
            where="threshold",
            hint="Use CRITICAL, SHARP or ACCEPTABLE",
        )


def critical_px_per_deg(
    *, spread: PointSpread, noise_contrast: float, threshold: float = SHARP
) -> float:
    """Return the fewest frame pixels in a degree of view at which the frame looks sharp.

    Parameters
    ----------
    spread : PointSpread
        What blurs the frame at the near eye.
    noise_contrast : float
        Standard deviation of the noise over the mean, per pixel, linear light, >= 0.
    threshold : float
        Least perceived sharpness, in (0, 1).

    Returns
    -------
    float
        Pixels per degree; never falls with any blur, noise or threshold.

    Raises
    ------
    InputError
        If an argument is out of range.

    Examples
    --------
    >>> round(critical_px_per_deg(spread=PointSpread(), noise_contrast=0), 1)
    46.7
    """
    _check(threshold)
    not_negative(noise_contrast=noise_contrast)

    def over(log_px_per_deg: float) -> float:
        seen = perceived_sharpness(
            spread=spread, noise_contrast=noise_contrast, px_per_deg=math.exp(log_px_per_deg)
        )
        return seen - threshold

    # A first guess, which only saves time: parts add like squares, each with its own weight.
    parts = (50, 28 * spread.disc_px, 24 * spread.line_px, 60 * spread.gaussian_px)
    guess_px = math.hypot(*parts, 25 * spread.airy_px)
    return math.exp(_root(over, math.log(guess_px)))


def reach_cm(
    *,
    spread: PointSpread,
    long_edge_px: float,
    noise_contrast: float,
    viewing_cm: float,
    threshold: float = SHARP,
) -> float:
    """Return the reach: the longest print edge up to which the near eye looks sharp.

    Parameters
    ----------
    spread : PointSpread
        What blurs the frame at the near eye.
    long_edge_px : float
        Long edge of the whole frame, in pixels, > 0.
    noise_contrast : float
        Standard deviation of the noise over the mean, per pixel, linear light, >= 0.
    viewing_cm : float
        Distance from eye to print, > 0.
    threshold : float
        Least perceived sharpness, in (0, 1).

    Returns
    -------
    float
        Centimetres, > 0 and finite: without any blur the pixels limit it. Every smaller print
        looks sharp too.

    Raises
    ------
    InputError
        If an argument is out of range.

    Examples
    --------
    A perfect frame of 6000 pixels, and the same with a disc of 6 pixels, seen from 50 cm:

    >>> round(reach_cm(
    ...     spread=PointSpread(), long_edge_px=6000, noise_contrast=0, viewing_cm=50
    ... ))
    112
    >>> round(reach_cm(
    ...     spread=PointSpread(disc_px=6), long_edge_px=6000, noise_contrast=0, viewing_cm=50
    ... ))
    30
    """
    above_zero(long_edge_px=long_edge_px, viewing_cm=viewing_cm)
    least = critical_px_per_deg(spread=spread, noise_contrast=noise_contrast, threshold=threshold)
    return long_edge_px * viewing_cm * math.radians(1) / least


def looks_sharp(
    *,
    spread: PointSpread,
    long_edge_px: float,
    noise_contrast: float,
    print_cm: float,
    viewing_cm: float,
    threshold: float = SHARP,
) -> bool:
    """Return whether the near eye looks sharp on one print.

    Parameters
    ----------
    spread : PointSpread
        What blurs the frame at the near eye.
    long_edge_px : float
        Long edge of the whole frame, in pixels, > 0.
    noise_contrast : float
        Standard deviation of the noise over the mean, per pixel, linear light, >= 0.
    print_cm : float
        Long edge of the print, > 0.
    viewing_cm : float
        Distance from eye to print, > 0.
    threshold : float
        Least perceived sharpness, in (0, 1).

    Returns
    -------
    bool
        True up to the reach.

    Raises
    ------
    InputError
        If an argument is out of range.

    Examples
    --------
    >>> looks_sharp(
    ...     spread=PointSpread(disc_px=6),
    ...     long_edge_px=6000,
    ...     noise_contrast=0,
    ...     print_cm=40,
    ...     viewing_cm=50,
    ... )
    False
    """
    _check(threshold)
    scale = px_per_deg(long_edge_px=long_edge_px, print_cm=print_cm, viewing_cm=viewing_cm)
    seen = perceived_sharpness(spread=spread, noise_contrast=noise_contrast, px_per_deg=scale)
    return seen >= threshold


def holds_diagonal(
    *,
    spread: PointSpread,
    width_px: float,
    height_px: float,
    noise_contrast: float,
    threshold: float = SHARP,
) -> bool:
    """Return whether the near eye looks sharp on any print seen from 1.5 times its diagonal.

    Parameters
    ----------
    spread : PointSpread
        What blurs the frame at the near eye.
    width_px, height_px : float
        Size of the whole frame, > 0.
    noise_contrast : float
        Standard deviation of the noise over the mean, per pixel, linear light, >= 0.
    threshold : float
        Least perceived sharpness, in (0, 1).

    Returns
    -------
    bool
        The same for all sizes: the distance grows with the print.

    Raises
    ------
    InputError
        If an argument is out of range.

    Examples
    --------
    >>> holds_diagonal(
    ...     spread=PointSpread(disc_px=6), width_px=6000, height_px=4000, noise_contrast=0
    ... )
    True
    """
    above_zero(width_px=width_px, height_px=height_px)
    return looks_sharp(
        spread=spread,
        long_edge_px=max(width_px, height_px),
        noise_contrast=noise_contrast,
        print_cm=1.0,
        viewing_cm=DIAGONALS * math.hypot(width_px, height_px) / max(width_px, height_px),
        threshold=threshold,
    )


def blur_for_print_px(
    *,
    long_edge_px: float,
    print_cm: float,
    viewing_cm: float,
    spread: PointSpread | None = None,
    noise_contrast: float = 0.0,
    threshold: float = SHARP,
) -> float:
    """Return the largest disc of missed focus that still looks sharp on one print.

    Parameters
    ----------
    long_edge_px : float
        Long edge of the whole frame, in pixels, > 0.
    print_cm : float
        Long edge of the print, > 0.
    viewing_cm : float
        Distance from eye to print, > 0.
    spread : PointSpread, optional
        What blurs the frame besides; its own disc is left out of account. None: nothing else.
    noise_contrast : float
        Standard deviation of the noise over the mean, per pixel, linear light, >= 0.
    threshold : float
        Least perceived sharpness, in (0, 1).

    Returns
    -------
    float
        Diameter of the disc in pixels; 0 if the print does not look sharp even without one.

    Raises
    ------
    InputError
        If an argument is out of range.

    Examples
    --------
    >>> round(blur_for_print_px(long_edge_px=6000, print_cm=60, viewing_cm=50), 1)
    2.7
    """
    _check(threshold)
    scale = px_per_deg(long_edge_px=long_edge_px, print_cm=print_cm, viewing_cm=viewing_cm)
    rest = PointSpread() if spread is None else spread

    def under(log_disc_px: float) -> float:
        blurred = PointSpread(
            disc_px=math.exp(log_disc_px),
            line_px=rest.line_px,
            gaussian_px=rest.gaussian_px,
            airy_px=rest.airy_px,
        )
        return threshold - perceived_sharpness(
            spread=blurred, noise_contrast=noise_contrast, px_per_deg=scale
        )

    least = math.log(1e-3)
    if under(least) > 0:
        return 0.0
    return math.exp(_root(under, math.log(scale / 28)))
