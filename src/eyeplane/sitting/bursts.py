"""Which frames were taken in quick succession with the same framing, and which of them is best."""

import math
from collections.abc import Mapping, Sequence

from eyeplane.records import Face, FrameAnswer, FrameReading

GAP_S = 2.0  # s between frames of a burst, "typical"; no source: a posed frame takes longer
SHIFT_RATIO = 1.0  # a face may move by its own size between two frames; no source
SIZE_RATIO = 1.3  # and grow or shrink by this; no source: two steps nearer change more
FOCAL_RATIO = 1.02  # the same focal length within what zooms report, from memory


def find_bursts(readings: Sequence[FrameReading]) -> tuple[int | None, ...]:
    """Return the number of each frame's burst.

    Parameters
    ----------
    readings : sequence of FrameReading
        In any order.

    Returns
    -------
    tuple of int or None
        In the order given; bursts count from 1 by the time of their first frame. None for frames
        without a face or unreadable. A frame without capture time is a burst of its own, after
        all others, since nothing tells how long after its neighbour it was taken.

    Notes
    -----
    A frame belongs to the burst of the frame before it *from the same body* if it came at most
    2 s later, at the same focal length and orientation, and a face stays: its centre moved by
    less than the face's size and the size changed by less than 1.3 times. Each frame is held
    against the one before it, so a slow drift does not end a burst.
    """
    shown = [n for n, reading in enumerate(readings) if reading.status == "measured"]
    order = sorted(shown, key=lambda n: frame_order(readings[n]))
    starts: list[int] = []
    first_of: dict[int, int] = {}
    latest: dict[object, int] = {}
    for number in order:
        reading = readings[number]
        before = latest.get(_body(reading))
        if before is not None and _goes_on(readings[before], reading):
            first_of[number] = first_of[before]
        else:
            first_of[number] = number
            starts.append(number)
        latest[_body(reading)] = number
    name = {start: count for count, start in enumerate(starts, 1)}
    return tuple(name[first_of[n]] if n in first_of else None for n in range(len(readings)))


def frame_order(reading: FrameReading) -> tuple[float, str, str]:
    """Return what frames are put in order by: capture time, then name.

    Parameters
    ----------
    reading : FrameReading
        A frame.

    Returns
    -------
    tuple
        A sort key; frames without capture time come last.
    """
    time_s = reading.exposure.captured_s
    name = reading.path.replace("\\", "/").rpartition("/")[2]
    return (math.inf if time_s is None else time_s, name.casefold(), reading.path)


def best_of_burst(answers: Mapping[int, FrameAnswer], goal_cm: float) -> int:
    """Return the best frame of a burst: by reach, then by open eyes.

    Parameters
    ----------
    answers : mapping of int to FrameAnswer
        The burst's frames, in order of time.
    goal_cm : float
        The print to be held, cm.

    Returns
    -------
    int
        The key of the best.

    Notes
    -----
    A frame that holds the goal with no eye told closed comes before all others; among equals the
    longer reach, then open eyes, then the higher low end of the reach, then the earlier frame. So
    closed eyes never beat open ones that hold the print, and a soft frame does not win by open
    eyes alone.
    """

    def worth(key: int) -> tuple[bool, float, bool, float]:
        answer = answers[key]
        seeing = not eyes_closed(answer)
        if answer.reach_cm is None:
            return False, -1.0, seeing, -1.0
        reach_cm = round(answer.reach_cm.value, 1)  # less is no difference on any print
        return (
            seeing and holds_goal(answer, goal_cm),
            reach_cm,
            seeing,
            answer.reach_cm.low,
        )

    return max(answers, key=worth)  # the first of equals


def eyes_closed(answer: FrameAnswer) -> bool:
    """Return whether an eye of a sitter is told closed.

    Parameters
    ----------
    answer : FrameAnswer
        A frame.

    Returns
    -------
    bool
        False where it cannot be told; bystanders do not count.
    """
    return any(face.sitter and face.eyes_open is False for face in answer.faces)


def holds_goal(answer: FrameAnswer, goal_cm: float) -> bool:
    """Return whether a frame holds a print.

    Parameters
    ----------
    answer : FrameAnswer
        A frame.
    goal_cm : float
        Print edge, cm.

    Returns
    -------
    bool
        True if its reach is at least that; False if the reach cannot be told.
    """
    return answer.reach_cm is not None and reaches(answer.reach_cm.value, goal_cm)


def reaches(reach_cm: float, goal_cm: float) -> bool:
    """Return whether a reach is at least a goal, but for the rounding of a root finder.

    Parameters
    ----------
    reach_cm : float
        Reach, cm.
    goal_cm : float
        Print edge, cm.

    Returns
    -------
    bool
        True if it is.
    """
    return reach_cm >= goal_cm * (1 - 1e-6)


def _body(reading: FrameReading) -> object:
    exposure = reading.exposure
    return exposure.body, exposure.body_serial


def _goes_on(before: FrameReading, after: FrameReading) -> bool:
    first_s, then_s = before.exposure.captured_s, after.exposure.captured_s
    if first_s is None or then_s is None or then_s - first_s > GAP_S:
        return False
    if (before.width_px > before.height_px) != (after.width_px > after.height_px):
        return False
    return _same_focal_length(before, after) and any(
        _stays(old.face, new.face) for old in before.faces for new in after.faces
    )


def _same_focal_length(before: FrameReading, after: FrameReading) -> bool:
    old, new = before.exposure.focal_length_mm, after.exposure.focal_length_mm
    if not old or not new:
        return (old or None) == (new or None)
    return max(old, new) / min(old, new) <= FOCAL_RATIO


def _stays(old: Face, new: Face) -> bool:
    size_old, size_new = _size(old), _size(new)
    if min(size_old, size_new) <= 0 or max(size_old, size_new) > SIZE_RATIO * min(
        size_old, size_new
    ):
        return False
    shift = math.dist(_centre(old), _centre(new))
    return shift <= SHIFT_RATIO * (size_old + size_new) / 2


def _size(face: Face) -> float:
    return math.sqrt(max(face.box_px[2] * face.box_px[3], 0.0))


def _centre(face: Face) -> tuple[float, float]:
    x, y, width, height = face.box_px
    return x + width / 2, y + height / 2
