"""Limits and choices against each other, before anything is planned."""

from dataclasses import dataclass, replace

from eyeplane.asked.plan_given import Given
from eyeplane.asked.plan_values import Typed
from eyeplane.asked.spans import Span
from eyeplane.asked.typed import LightGiven
from eyeplane.errors import InputError

# Bodies sync up to 1/160 to 1/250 s (common practice, no source): who settles such a time has one.
FASTEST_SYNC_S = 1 / 250
SAME = 0.01  # of a value: limits are meant to include the marks that they name


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Two limits and what is chosen between them.

    Attributes
    ----------
    low, high, choice : str
        Names of the options: the lesser number first.
    less, more : str
        What a choice below or above them is.
    """

    low: str
    high: str
    choice: str
    less: str
    more: str


PAIRS = (
    Pair(low="widest", high="smallest", choice="f-number", less="wider", more="smaller"),
    Pair(low="fastest", high="slowest", choice="shutter", less="faster", more="slower"),
    Pair(low="base-iso", high="iso-limit", choice="iso", less="lower", more="higher"),
)


def agreed(given: Given) -> Given:
    """Return what holds, with limits that nobody named moved where a choice needs it.

    Parameters
    ----------
    given : Given
        What was typed, recalled and assumed.

    Returns
    -------
    Given
        Free of contradictions among limits and choices.

    Raises
    ------
    InputError
        If two things that were said contradict each other.
    """
    for pair in PAIRS:
        given = _agreed(given, pair)
    return _synced(given)


def _agreed(given: Given, pair: Pair) -> Given:
    for end, sign in ((pair.low, 1.0), (pair.high, -1.0)):
        chosen = _ends(given, pair.choice)
        if not chosen:
            break
        most = min(chosen) if sign > 0 else max(chosen)
        limit = given.sure(end)
        if sign * (most - limit) >= -SAME * limit:
            continue
        if given.was_said(end):
            word = pair.less if sign > 0 else pair.more
            raise InputError(
                f"{given.values[pair.choice].text} is {word} than the limit "
                f"--{end} {given.values[end].text}",
                where=f"--{pair.choice}",
                hint="Change either",
            )
        given = _with_limit(given, end, most, given.values[pair.choice].text)
    if given.sure(pair.low) > given.sure(pair.high) * (1 + SAME):
        given = _ordered(given, pair)
    return given


def _ordered(given: Given, pair: Pair) -> Given:
    """Move the limit that was not said beyond the one that was, or refuse both."""
    for end, other in ((pair.low, pair.high), (pair.high, pair.low)):
        if not given.was_said(end):
            return _with_limit(given, end, given.sure(other), given.values[other].text)
    raise InputError(
        f"{given.values[pair.low].text} and --{pair.high} {given.values[pair.high].text} leave "
        "nothing between them",
        where=f"--{pair.low}",
        hint="Swap them, or change either",
    )


def _with_limit(given: Given, name: str, value: float, text: str) -> Given:
    return replace(given, values={**given.values, name: Typed(text=text, value=value)})


def _ends(given: Given, name: str) -> tuple[float, ...]:
    typed = given.values.get(name)
    if typed is None:
        return ()
    ends = (typed.value.low, typed.value.high) if isinstance(typed.value, Span) else (typed.value,)
    return tuple(float(end) for end in ends if isinstance(end, int | float))


def _synced(given: Given) -> Given:
    """Refuse a time that no flash can light; of a range only part of it may be so."""
    light = given["light"]
    if not isinstance(light, LightGiven) or not light.flash or given.on("high-speed-sync"):
        return given
    sync_s = given.sure("sync")
    for name in ("shutter", "slowest"):
        time_s = given.number(name)
        if time_s is None or name in given.spans or time_s >= sync_s * (1 - SAME):
            continue
        settled = name == "shutter" and not given.was_said("sync")
        if settled and time_s >= FASTEST_SYNC_S * (1 - SAME):
            return _with_limit(given, "sync", time_s, given.values[name].text)
        if not given.was_said(name):  # the slowest time that nobody named makes room
            return _with_limit(given, name, sync_s, given.values["sync"].text)
        raise InputError(
            f"{given.values[name].text} is faster than the flash sync limit "
            f"{given.values['sync'].text}: part of the frame would stay dark",
            where=f"--{name}",
            hint="Give a slower time, --high-speed-sync, or the body's own --sync",
        )
    return given
