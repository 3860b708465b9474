"""The sitting as photographers count it: holding, near duplicates, blinks, soft by cause."""

import math
from collections.abc import Sequence

from eyeplane.diagnose.words import THIN, listed
from eyeplane.records import FaceReading, Measured, SittingFrame, SittingTally
from eyeplane.sitting import say
from eyeplane.sitting.bursts import best_of_burst, eyes_closed, holds_goal
from eyeplane.sitting.lines import NAMES, Tally, count_causes

# Two frames of a burst are alike in framing and expression if each sitter is found again with:
SHIFT_SHARE = 0.2  # of the face's size between the places of the face's middle; no source
SIZE_RATIO = 1.1  # of the sizes of the face; no source
TURN_DEG = 6.0  # change of yaw, pitch or roll beyond what their intervals leave open; no source
SHORT_NAMES = {"motion": "motion", "cannot tell": "why cannot be told"}  # within a list
MOUTH_SHARE = 0.04  # of the face's height, between eyes and mouth: a mouth that opened; no source


def tally_of(frames: Sequence[SittingFrame], *, goal_cm: float) -> SittingTally:
    """Return the sitting counted.

    Parameters
    ----------
    frames : sequence of SittingFrame
        All frames, in order of time.
    goal_cm : float
        Print edge that counts as held.

    Returns
    -------
    SittingTally
        Each frame is one of: holding the print with all eyes open; a blink, whether it would hold
        or not; soft, by its cause; nobody; unreadable. Near duplicates are a part of those that
        hold.

    Notes
    -----
    A near duplicate is a frame of a burst that holds, beyond the best one, and is alike to a
    frame already kept: `alike`. A burst in which the sitter turns the head keeps one frame of
    each pose.
    """
    shown = [frame for frame in frames if frame.reading.status == "measured"]
    closed = [frame for frame in shown if eyes_closed(frame.answer)]
    open_eyed = tuple(frame for frame in shown if not eyes_closed(frame.answer))
    counted = Tally(frames=open_eyed, goal_cm=goal_cm, nobody=0, unreadable=0)
    return SittingTally(
        frames=len(frames),
        holding=counted.holding,
        closed=len(closed),
        duplicates=sum(_duplicates(group, goal_cm) for group in _holding(open_eyed, goal_cm)),
        soft=count_causes(counted),
        nobody=sum(frame.reading.status == "nobody" for frame in frames),
        unreadable=sum(frame.reading.status == "unreadable" for frame in frames),
    )


def tally_words(tally: SittingTally, *, goal_cm: float) -> str:
    """Return the tally as one sentence.

    Parameters
    ----------
    tally : SittingTally
        The sitting counted.
    goal_cm : float
        Print edge that counts as held.

    Returns
    -------
    str
        "Of 219 frames 120 hold 60 cm with open eyes, 67 of them near duplicates; 18 are blinks;
        81 are soft: 60 missed focus and 21 a moving sitter.", as an example.
    """
    if tally.frames == 0:
        return "No frame was found."
    goal = f"{goal_cm:g}{THIN}cm"
    if tally.frames == 1:
        first = f"Of 1 frame {tally.holding} holds {goal} with open eyes"
    else:
        hold = say.verb(tally.holding, "hold")
        first = f"Of {tally.frames} frames {tally.holding} {hold} {goal} with open eyes"
    if tally.duplicates:
        alike = "a near duplicate" if tally.duplicates == 1 else "near duplicates"
        first += f", {tally.duplicates} of them {alike}"
    parts = [first]
    if tally.closed:
        parts.append(f"{tally.closed} {_are(tally.closed, 'a blink', 'blinks')}")
    if tally.soft:
        soft = sum(count.frames for count in tally.soft)
        named = [
            f"{count.frames} {SHORT_NAMES.get(count.cause) or NAMES[count.cause]}"
            for count in tally.soft
        ]
        parts.append(f"{soft} {_are(soft, 'soft', 'soft')}: {listed(named)}")
    if tally.nobody:
        parts.append(f"{tally.nobody} {say.verb(tally.nobody, 'show')} nobody")
    if tally.unreadable:
        parts.append(f"{tally.unreadable} cannot be read")
    return "; ".join(parts) + "."


def alike(first: SittingFrame, second: SittingFrame) -> bool:
    """Return whether two frames show the same, as far as numbers can tell.

    Parameters
    ----------
    first, second : SittingFrame
        Of one burst.

    Returns
    -------
    bool
        True if every sitter of either is found in the other: moved by at most 0.2 of the face's
        size, at most 1.1 times as large, turned by at most 6 degrees beyond what the measuring
        leaves open, and the mouth as far from the eyes within 0.04 of the face's height.

    Notes
    -----
    Place, size, turn and mouth are all that is compared: a smile of the eyes alone, hands and
    clothes are not seen. Both frames are taken to have open eyes.
    """
    old, new = _sitters(first), _sitters(second)
    if len(old) != len(new) or not old:
        return False
    left = list(new)
    for face in old:
        same = min(left, key=lambda other: math.dist(_middle(face), _middle(other)))
        if not _same(face, same):
            return False
        left.remove(same)
    return True


def _are(count: int, one: str, several: str) -> str:
    return f"is {one}" if count == 1 else f"are {several}"


def _holding(frames: Sequence[SittingFrame], goal_cm: float) -> list[list[SittingFrame]]:
    groups: dict[int, list[SittingFrame]] = {}
    for frame in frames:
        if frame.burst is not None and holds_goal(frame.answer, goal_cm):
            groups.setdefault(frame.burst, []).append(frame)
    return list(groups.values())


def _duplicates(group: Sequence[SittingFrame], goal_cm: float) -> int:
    """Return how many frames of a burst, all holding, repeat one that is kept."""
    if len(group) < 2:
        return 0
    best = best_of_burst({n: frame.answer for n, frame in enumerate(group)}, goal_cm)
    kept = [group[best]]
    rest = [frame for n, frame in enumerate(group) if n != best]
    for frame in rest:
        if not any(alike(frame, other) for other in kept):
            kept.append(frame)
    return len(group) - len(kept)


def _sitters(frame: SittingFrame) -> list[FaceReading]:
    pairs = zip(frame.reading.faces, frame.answer.faces, strict=True)
    return [face for face, said in pairs if said.sitter]


def _middle(face: FaceReading) -> tuple[float, float]:
    x, y, width, height = face.face.box_px
    return x + width / 2, y + height / 2


def _size(face: FaceReading) -> float:
    return math.sqrt(max(face.face.box_px[2] * face.face.box_px[3], 0.0))


def _same(old: FaceReading, new: FaceReading) -> bool:
    sizes = sorted((_size(old), _size(new)))
    if sizes[0] <= 0 or sizes[1] > SIZE_RATIO * sizes[0]:
        return False
    if math.dist(_middle(old), _middle(new)) > SHIFT_SHARE * sizes[0]:
        return False
    turns = ("yaw_deg", "pitch_deg", "roll_deg")
    if any(_turned(getattr(old.face, t), getattr(new.face, t)) for t in turns):
        return False
    mouths = _mouth_share(old), _mouth_share(new)
    if mouths[0] is None or mouths[1] is None:
        return True
    return abs(mouths[0] - mouths[1]) <= MOUTH_SHARE


def _turned(old: Measured, new: Measured) -> bool:
    """Return whether an angle surely changed by more than `TURN_DEG`."""
    half = math.hypot((old.high - old.low) / 2, (new.high - new.low) / 2)
    return abs(new.value - old.value) > TURN_DEG + half


def _mouth_share(face: FaceReading) -> float | None:
    """Return how far below the eyes the mouth lies, over the face's height."""
    mouth = next((m for m in face.face.landmarks if m.name == "mouth"), None)
    height = face.face.box_px[3]
    if mouth is None or height <= 0:
        return None
    (left_x, left_y), (right_x, right_y) = (eye.iris_px for eye in face.face.eyes)
    eyes = ((left_x + right_x) / 2, (left_y + right_y) / 2)
    return math.dist(mouth.at_px, eyes) / height
