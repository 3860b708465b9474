"""What to shoot next on a ladder, and what limits its answer."""

from collections import Counter
from collections.abc import Sequence

from eyeplane.records.ladder import LadderFrame, LadderLimit, LadderMore, LadderPart
from eyeplane.records.said import capital, count_word, listed
from eyeplane.sitting.ladder_asked import SHOOT, times_words
from eyeplane.sitting.ladder_parts import WHOLE_S, best_time_s, limit_for

NEXT_EACH = 5  # frames a step to go on with; five tell a half from nine tenths; no source
FEW = 10  # frames in all, below which a ladder is said to be short; no source
STEADY = "as you shoot at work: standing or sitting alike, and press gently"


def deciding_part(parts: Sequence[LadderPart], share: float) -> LadderPart:
    """Return the part whose limit asks for the shortest time.

    Parameters
    ----------
    parts : sequence of LadderPart
        One or more.
    share : float
        Whose limit.

    Returns
    -------
    LadderPart
        One that is bounded before one that is only at least so slow, or of which nothing is known.
    """

    def order(part: LadderPart) -> tuple[bool, float]:
        limit = limit_for(part, share)
        return limit.shutter_s is None and limit.most_s is None, best_time_s(limit) or 0.0

    return min(parts, key=order)


def next_frames(part: LadderPart, share: float) -> str:
    """Return what to shoot next.

    Parameters
    ----------
    part : LadderPart
        The part that decides.
    share : float
        Whose limit.

    Returns
    -------
    str
        One or two sentences.
    """
    limit, steps = limit_for(part, share), part.steps
    slower, faster = _beyond(part)
    if limit.least_s is not None and slower:
        return _go_on("slower", slower)
    if limit.most_s is not None and faster:
        return _go_on("faster", sorted(faster))
    if limit.shutter_s is None or part.more is None:
        return f"{SHOOT}."
    if len(steps) == 1:
        return (
            f"All frames that count are at {times_words([steps[0].shutter_s])}, which says little "
            f"of other times: shoot {count_word(NEXT_EACH)} each at "
            f"{times_words(sorted((*faster[:1], *slower[:1])))} too."
        )
    return _halving(part.more)


def next_steps(part: LadderPart, share: float) -> tuple[tuple[float, ...], int]:
    """Return at which shutter times to go on, as `next_frames` says it.

    Parameters
    ----------
    part : LadderPart
        The part that decides.
    share : float
        Whose limit.

    Returns
    -------
    times_s : tuple of float
        Fast to slow; empty where nothing would help, or the ladder must be begun anew.
    each : int
        Frames at each.
    """
    limit = limit_for(part, share)
    slower, faster = _beyond(part)
    if limit.least_s is not None and slower:
        return tuple(slower), NEXT_EACH
    if limit.most_s is not None and faster:
        return tuple(sorted(faster)), NEXT_EACH
    if limit.shutter_s is None or part.more is None:
        return (), 0
    if len(part.steps) == 1:
        return tuple(sorted((*faster[:1], *slower[:1]))), NEXT_EACH
    return (part.more.shutters_s, part.more.each) if part.more.halves else ((), 0)


def _beyond(part: LadderPart) -> tuple[list[float], list[float]]:
    """Return the whole stops next to what was tried: slower ones, and faster ones."""
    steps = part.steps
    slower = [t for t in WHOLE_S if t > steps[-1].shutter_s * 1.3][:2]
    faster = [t for t in reversed(WHOLE_S) if t < steps[0].shutter_s / 1.3][:2]
    return slower, faster


def _halving(more: LadderMore) -> str:
    count = f"{more.each} more frames" if more.each > 1 else "1 more frame"
    each = " each" if len(more.shutters_s) > 1 else ""
    what = f"{count}{each} at {times_words(more.shutters_s)}"
    if not more.halves:
        return f"Even {what} would not halve that range: take it as it is."
    return f"To halve that range shoot {what}, {STEADY}."


def notes_of(
    parts: Sequence[LadderPart], frames: Sequence[LadderFrame], *, chart: bool
) -> tuple[str, ...]:
    """Return what limits the answer.

    Parameters
    ----------
    parts : sequence of LadderPart
        Of one mover each.
    frames : sequence of LadderFrame
        All frames.
    chart : bool
        Whether a printed chart was shot instead of a sitter.

    Returns
    -------
    tuple of str
        Sentences: what was left out and why, few frames, whose motion could not be told.
    """
    said = []
    counted = [one for one in frames if one.verdict != "left out"]
    said += _left_out([one for one in frames if one.verdict == "left out"])
    if len(counted) < FEW:
        count = count_word(len(counted))
        told = any(limit_known(limit) for part in parts for limit in part.limits)
        wide = "much: the range is wide, and partly rests on what is usual of hands and sitters"
        said.append(
            f"{capital(count)} frame{'s' if len(counted) != 1 else ''} that count"
            f"{'' if len(counted) != 1 else 's'} cannot tell {wide if told else 'a limit'}."
        )
    if parts[0].mover == "motion" and any(one.verdict != "holds" for one in counted):
        said.append(
            "Whose motion it was cannot be told, so the limit holds for both together. Have "
            "something textured at rest beside the sitter, about as far away, or shoot a printed "
            "chart: that moves by your hand alone."
        )
    if chart:
        said.append(
            "The frames are held against the sharpest among them. Set the focus once, switch it to "
            "manual, and keep your distance."
        )
    return tuple(said)


def _go_on(way: str, times_s: Sequence[float]) -> str:
    return f"Go on {way}: {count_word(NEXT_EACH)} frames each at {times_words(times_s)}, {STEADY}."


def _left_out(frames: Sequence[LadderFrame]) -> list[str]:
    if not frames:
        return []
    reasons = Counter(one.why for one in frames)
    parts = [f"{why} ({count})" for why, count in reasons.most_common()]
    total = f"{len(frames)} frame{'s were' if len(frames) != 1 else ' was'} left out"
    return [f"{total}: {listed(parts)}."]


def limit_known(limit: LadderLimit) -> bool:
    """Return whether anything is known of a limit.

    Parameters
    ----------
    limit : LadderLimit
        Any.

    Returns
    -------
    bool
        False where frames leave both sides open.
    """
    return best_time_s(limit) is not None
