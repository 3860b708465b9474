"""How fast a sitter's head moves across the lens axis, by what the sitter is doing and by age.

A speed is that of the eyes across the lens axis, in any direction of the picture plane, mm/s; times
the exposure time it is the length of the line that an eye draws. Speeds differ from exposure to
exposure and from person to person: their logarithms are taken as normal.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from eyeplane.errors import InputError
from eyeplane.people.eyes import check_age
from eyeplane.people.learned import log_spread, unsure_of_learned
from eyeplane.people.measures import at_age
from eyeplane.records import Measured
from eyeplane.records.plan import Mood


@dataclass(frozen=True, slots=True, kw_only=True)
class SitterSpeed:
    """How fast a head moves across the lens axis, over exposures and people.

    Attributes
    ----------
    median_mm_per_s : float
        Half of the exposures are slower.
    log_sd : float
        Standard deviation of the natural logarithm, over exposures and people.
    unsure_log_sd : float
        Standard deviation of what is believed about the logarithm of the median.
    source : str
        Where it was read, or "from memory".
    """

    median_mm_per_s: float
    log_sd: float
    unsure_log_sd: float
    source: str


# Somebody of whom nothing is known: mostly calm, now and then lively.
UNKNOWN = SitterSpeed(
    median_mm_per_s=15.0,
    log_sd=1.4,
    unsure_log_sd=0.4,
    source=(
        "from memory: between one who keeps still (10 mm/s) and one who talks (50 mm/s), wide "
        "enough for both"
    ),
)
LIVELY = SitterSpeed(
    median_mm_per_s=300.0,
    log_sd=1.0,
    unsure_log_sd=0.5,
    source=(
        "from memory; a usual turn of the head peaks at 104.5 ± 12.1 deg/s (PMID 40654751, "
        "abstract), 180 mm/s at eyes 100 mm before its axis, and people step and lean as well"
    ),
)
DARTING = SitterSpeed(
    median_mm_per_s=1000.0,
    log_sd=0.6,
    unsure_log_sd=0.4,
    source=(
        "children of 3 and 4 walk 1.00 ± 0.03 m/s (Hausdorff and others, J. Appl. Physiol. 86, "
        "1040-1047, 1999), of 2 to 12 run 10 m in 5 s (Arch. Dis. Child. 101, 147, 2016), seldom "
        "straight across the axis; spread from memory"
    ),
)
UNKNOWN_LIVELY_SHARE = 0.1  # of exposures of somebody unknown; from memory, 0.05 to 0.2
MOOD_LIVELY_SHARE = 0.05  # of exposures of somebody whose mood is stated; from memory, 0.02 to 0.1

SITTER_SPEEDS: Mapping[Mood, SitterSpeed] = MappingProxyType(
    {
        "resting": SitterSpeed(
            median_mm_per_s=3.0,
            log_sd=0.7,
            unsure_log_sd=0.6,
            source=(
                "from memory: breathing moves a leaning head by 1 to 3 mm, 15 times a minute, the "
                "pulse by tenths of a mm"
            ),
        ),
        "still": SitterSpeed(
            median_mm_per_s=10.0,
            log_sd=0.7,
            unsure_log_sd=0.4,
            source=(
                "from memory for a sitter who is talked to; the heads of 91 who stood as still as "
                "they could went 6.5 mm/s on average in all directions (Jensenius, Zelechowska and "
                "Gonzalez Sanchez, Sound and Music Computing 2017), of which some 4 lie across the "
                "axis; the same group calls 7 to 10 usual"
            ),
        ),
        "talking": SitterSpeed(
            median_mm_per_s=50.0,
            log_sd=0.9,
            unsure_log_sd=0.5,
            source=(
                "from memory: nods of 3 to 5 degrees, one a second, 120 mm from their axis; the "
                "head goes with speech nearly all the time (Hadar and others, Human Movement "
                "Science 2, 35-46, 1983, abstract: no speed read)"
            ),
        ),
        "laughing": SitterSpeed(
            median_mm_per_s=120.0,
            log_sd=0.8,
            unsure_log_sd=0.6,
            source="from memory: the trunk shakes by some 5 mm, 4 to 5 times a second",
        ),
        "fidgeting": SitterSpeed(
            median_mm_per_s=80.0,
            log_sd=1.1,
            unsure_log_sd=0.5,
            source="common practice: a moving child is asked for 1/320 to 1/500 s; from memory",
        ),
        "toddling": SitterSpeed(
            median_mm_per_s=150.0,
            log_sd=1.0,
            unsure_log_sd=0.5,
            source=(
                "common practice: a toddler is asked for 1/500 to 1/1000 s; at free play those of "
                "12 to 19 months take 2368 steps an hour (Adolph and others, Psychol. Sci. 23, "
                "1387, 2012, abstract), 0.7 km by the press, so 200 mm/s on average and most of it "
                "in short bouts"
            ),
        ),
        "walking": SitterSpeed(
            median_mm_per_s=450.0,
            log_sd=0.8,
            unsure_log_sd=0.4,
            source=(
                "adults walk 0.94 to 1.43 m/s (Bohannon and Andrews, Physiotherapy 97, 182-189, "
                "2011; n = 23111), of which walking straight past the camera shows all, towards "
                "it bobbing of some 200 mm/s only; which angles are walked is from memory"
            ),
        ),
    }
)

# How much more a child sways than an adult when both keep still. Speed falls in a straight line
# to the adults' at 11 to 13 years (normative data of 144 aged 5 to 30, Gait & Posture 90, 112-119,
# 2021, abstract); that it is twice as fast at 4 years is from memory.
_STILL_BY_AGE = ((2.0, 2.4), (4.0, 2.0), (12.0, 1.0))  # years, ratio
_BABY_YEARS, _TODDLER_YEARS, _CHILD_YEARS = 0.75, 3.5, 8.0  # ends of their moods; from memory


def usual_mood(*, age_years: float | None = None) -> Mood:
    """Return what a sitter of some age usually does before a camera.

    Parameters
    ----------
    age_years : float, optional
        0 to 120; left out, an adult.

    Returns
    -------
    Mood
        Babies before they crawl rest, toddlers toddle, children up to school age fidget, all
        others keep still. The ages are from memory.

    Raises
    ------
    InputError
        If the age is out of range.

    Examples
    --------
    >>> usual_mood(age_years=2), usual_mood(age_years=40)
    ('toddling', 'still')
    """
    check_age(age_years)
    if age_years is None or age_years >= _CHILD_YEARS:
        return "still"
    if age_years < _BABY_YEARS:
        return "resting"
    return "toddling" if age_years < _TODDLER_YEARS else "fidgeting"


def sitter_speed(
    *,
    mood: Mood | None = None,
    age_years: float | None = None,
    learned: Measured | None = None,
) -> tuple[tuple[float, SitterSpeed], ...]:
    """Return how fast a sitter's head moves across the lens axis: a mixture of distributions.

    Parameters
    ----------
    mood : str, optional
        One of `SITTER_SPEEDS`:

        - resting: lies or leans with the head supported, breathing; a sleeping baby;
        - still: stands or sits upright and keeps still for the frame, swaying;
        - talking: sits or stands and talks or listens, with the head going along;
        - laughing: laughs out, trunk shaking, head thrown back;
        - fidgeting: stays in place but not quiet: looks about, shifts, plays with the hands;
        - toddling: a small child awake and free to go, playing, turning, off and back again;
        - walking: walks towards the camera, as most do who are photographed, or past it.
    age_years : float, optional
        0 to 120. Children who keep still sway more; without a mood the usual one of that age.
    learned : Measured, optional
        This client's own: the median in mm/s, and the middle 90 % of exposures. It replaces the
        rest.

    Returns
    -------
    tuple of (float, SitterSpeed)
        Shares of exposures, summing to 1, each with its distribution: a calm part and, save for
        walking and for what was learned, a lively one (a turn of the head, a step, a leap). Without
        a mood that of somebody unknown, or of a child's usual mood.

    Raises
    ------
    InputError
        If there is no such mood, or the age is out of range.

    Examples
    --------
    >>> [(share, part.median_mm_per_s) for share, part in sitter_speed(mood="still")]
    [(0.95, 10.0), (0.05, 300.0)]
    """
    check_age(age_years)
    if learned is not None and learned.value > 0:
        return ((1.0, _learned(learned)),)
    if mood is None:
        name = usual_mood(age_years=age_years)
        calm = UNKNOWN if name == "still" else SITTER_SPEEDS[name]
        share = UNKNOWN_LIVELY_SHARE
    elif mood in SITTER_SPEEDS:
        name, calm, share = mood, SITTER_SPEEDS[mood], MOOD_LIVELY_SHARE
    else:
        known = ", ".join(SITTER_SPEEDS)
        raise InputError(f"no mood is called '{mood}'", where="mood", hint=f"Use one of {known}")
    if name == "walking":
        return ((1.0, calm),)
    if name == "still" and age_years is not None:
        calm = _at_age(calm, age_years)
    return ((1.0 - share, calm), (share, DARTING if name == "toddling" else LIVELY))


def _at_age(speed: SitterSpeed, age_years: float) -> SitterSpeed:
    ratio = at_age(age_years, _STILL_BY_AGE)
    if ratio == 1.0:
        return speed
    return replace(
        speed,
        median_mm_per_s=ratio * speed.median_mm_per_s,
        source=f"{speed.source}; children sway more: Gait & Posture 90, 112-119, 2021, abstract",
    )


def _learned(learned: Measured) -> SitterSpeed:
    log_sd = log_spread(learned)
    return SitterSpeed(
        median_mm_per_s=learned.value,
        log_sd=log_sd,
        unsure_log_sd=unsure_of_learned(log_sd),
        source="learned of this client",
    )


def share_slower(speeds: tuple[tuple[float, SitterSpeed], ...], *, speed_mm_per_s: float) -> float:
    """Return the share of exposures in which a sitter moves more slowly than some speed.

    Parameters
    ----------
    speeds : tuple of (float, SitterSpeed)
        As `sitter_speed` returns them.
    speed_mm_per_s : float
        The speed; 0 or less gives 0.

    Returns
    -------
    float
        0..1, with every median as it stands.

    Examples
    --------
    >>> share_slower(((1.0, SITTER_SPEEDS["still"]),), speed_mm_per_s=10.0)
    0.5
    """
    if speed_mm_per_s <= 0:
        return 0.0
    return sum(
        share * 0.5 * math.erfc(math.log(part.median_mm_per_s / speed_mm_per_s) / part.log_sd / _R2)
        for share, part in speeds
    )


_R2 = math.sqrt(2.0)
