"""Why the best frame of a burst is the best: one short sentence from the numbers of its frames."""

from collections.abc import Sequence

from eyeplane.deliver.wording import reach_parts
from eyeplane.records.live import FrameRow
from eyeplane.records.measured import Measured

EYES = {
    True: "eyes open",
    False: "an eye is closed",
    None: "whether the eyes are open cannot be told",
}


def why_best(frames: Sequence[FrameRow]) -> str:
    """Return why the best frame of a burst is the best.

    Parameters
    ----------
    frames : sequence of FrameRow
        The burst, in order of capture.

    Returns
    -------
    str
        E.g. "Holds 60 cm, the next 35 cm; eyes open."; empty where no frame is marked best.

    Notes
    -----
    The best is chosen by: holding the print with no eye told closed, then the longer reach, then
    eyes not told closed, then the higher low end of the reach, then the earlier frame. The sentence
    says what tells it from the frame that would be best without it, and says so where the
    90 % intervals of the two overlap, since then it is not certain that it is the sharper one.
    """
    best = next((frame for frame in frames if frame.best), None)
    rest = [frame for frame in frames if frame is not best]
    if best is None or not rest:
        return ""
    if best.reach_cm is None:
        which = "the first whose eyes are open" if best.eyes_open else "the first of them"
        return f"What these frames hold cannot be told; marked is {which}."
    return f"Holds {_said(best.reach_cm)}{_against(best, best.reach_cm, rest)}."


def _against(best: FrameRow, reach_cm: Measured, rest: Sequence[FrameRow]) -> str:
    eyes = EYES[best.eyes_open]
    beyond = [f.reach_cm for f in rest if f.reach_cm and _tenth(f.reach_cm) > _tenth(reach_cm)]
    if beyond:  # a longer reach comes second only where an eye is closed
        most = max(beyond, key=lambda reach: reach.value)
        with_open = " with eyes open" if best.eyes_open else ""
        return f"{with_open}; the one that holds {_said(most)} has an eye closed"
    following = max(rest, key=_worth)
    if following.reach_cm is None:
        return f"; what the others hold cannot be told; {eyes}"
    shut = following.eyes_open is False and best.eyes_open is not False
    but = " but with an eye closed" if shut else ""
    if _said(following.reach_cm) == _said(reach_cm):
        apart = "" if but else "; little tells them apart"
        return f", the next as much{but}{apart}; {eyes}"
    overlap = "; their ranges overlap" if reach_cm.low <= following.reach_cm.high else ""
    return f", the next {_said(following.reach_cm)}{but}{overlap}; {eyes}"


def _worth(frame: FrameRow) -> tuple[bool, float, bool, float]:
    """Return the order in which the frames of a burst are put, as where the best is found."""
    seeing = frame.eyes_open is not False
    if frame.reach_cm is None:
        return False, -1.0, seeing, -1.0
    return seeing and bool(frame.holds), _tenth(frame.reach_cm), seeing, frame.reach_cm.low


def _tenth(reach_cm: Measured) -> float:
    return round(reach_cm.value, 1)  # less is no difference on any print


def _said(reach_cm: Measured) -> str:
    return reach_parts(reach_cm)[0]
