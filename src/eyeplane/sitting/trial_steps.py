"""Which steps a guided trial goes through, if nobody says otherwise."""

from eyeplane.records.trial import TrialStep
from eyeplane.sitting.ladder_parts import WHOLE_S

LADDER_STEPS = 6  # whole stops: as SHOOT of ladders says, 1/500 to 1/15 s
LADDER_EACH = 6  # frames at each: 6 x 6 are as many as simulated ladders of 5 to 10 each; no source
FASTER_STOPS = 2  # than the reciprocal rule, where a usual hand still holds; from memory
STABILISED_STOPS = (
    2  # slower with a stabiliser: the least that is claimed for one (trade: 2-4 stops)
)
CHILD_STOPS = 1  # faster for a child: the trade's 1/250 to 1/500 instead of 1/125 (common practice)
ROUNDING = 1.06  # a mark of a camera stands for times that differ by less: 1/60 s is 1/64 s
THIRD = 1.2  # of f-numbers: a whole stop nearer to the widest than that tells nothing new
# Whole stops as lenses are marked; ISO 517 rounds them so.
WHOLE_F = (1.4, 2.0, 2.8, 4.0, 5.6, 8.0, 11.0, 16.0)
CHART_EACH, FOCUS_FRAMES, DUST_FRAMES, DUST_F_NUMBER = 3, 10, 3, 16.0  # as each check asks for


def ladder_steps(
    rule_s: float | None = None, *, stabilised: bool = False, child: bool = False
) -> tuple[TrialStep, ...]:
    """Return the steps of a ladder.

    Parameters
    ----------
    rule_s : float or None
        The reciprocal rule's time for the lens; None where it is not known.
    stabilised : bool
        Whether a stabiliser holds the camera too.
    child : bool
        Whether a child sits.

    Returns
    -------
    tuple of TrialStep
        Six whole stops, fast to slow, six frames each: from where a usual hand holds nearly all to
        where it loses nearly all.

    Examples
    --------
    >>> [round(1 / one.shutter_s) for one in ladder_steps(1 / 85)]
    [500, 250, 125, 60, 30, 15]
    """
    first_s = WHOLE_S[3] if rule_s is None else rule_s / 2**FASTER_STOPS
    first_s *= 2.0 ** (STABILISED_STOPS * stabilised - CHILD_STOPS * child)
    place = max(n for n, time_s in enumerate(WHOLE_S) if n == 0 or time_s <= first_s * ROUNDING)
    place = min(place, len(WHOLE_S) - LADDER_STEPS)
    times = WHOLE_S[place : place + LADDER_STEPS]
    return tuple(TrialStep(shutter_s=time_s, frames=LADDER_EACH) for time_s in times)


def check_steps(kind: str, widest_f_number: float | None = None) -> tuple[TrialStep, ...]:
    """Return the steps of a check of the kit.

    Parameters
    ----------
    kind : {"dust", "glass", "focus", "chart"}
        Which check.
    widest_f_number : float or None
        The lens's widest aperture; None where it is not known.

    Returns
    -------
    tuple of TrialStep
        Chart: whole stops from the widest on to f/16, three frames each. Focus: ten frames, at the
        widest aperture. Dust: three at f/16. Glass: two, before wiping and after.
    """
    if kind == "chart":
        stops = [one for one in WHOLE_F if widest_f_number is None or one > widest_f_number * THIRD]
        stops = stops if widest_f_number is None else [widest_f_number, *stops]
        return tuple(TrialStep(f_number=one, frames=CHART_EACH) for one in stops)
    if kind == "focus":
        return (TrialStep(f_number=widest_f_number, frames=FOCUS_FRAMES),)
    if kind == "dust":
        return (TrialStep(f_number=DUST_F_NUMBER, frames=DUST_FRAMES),)
    return (TrialStep(frames=2),)
