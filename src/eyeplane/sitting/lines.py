"""The sitting in four lines: how many hold, the commonest cause, its trend, what to change."""

from collections.abc import Sequence
from dataclasses import dataclass

from eyeplane.records import (
    Cause,
    CauseCount,
    Change,
    FaceAnswer,
    FrameAnswer,
    SittingFrame,
    Viewing,
)
from eyeplane.sitting.bursts import holds_goal, reaches
from eyeplane.sitting.changes import change_words
from eyeplane.sitting.trend import find_trend

THIN = "\u2009"  # thin space, stands before every unit

# As named in the middle of a sentence.
NAMES: dict[str, str] = {
    "focus": "missed focus",
    "depth": "too little depth of field",
    "shake": "your own shake",
    "sitter": "a moving sitter",
    "motion": "motion, yours or the sitter's",
    "noise": "noise",
    "glass": "the glass",
    "pixels": "too few pixels",
}
SHORT: dict[str, str] = {"motion": "motion"}  # within a list
FEW = 2  # causes that may be commonest together; more, and none stands out
# What is changed, which parts of the budget that removes, and how it is said.
REMEDIES: tuple[tuple[frozenset[str], str], ...] = (
    (frozenset({"focus"}), "Focus on the iris"),
    (frozenset({"shake", "sitter", "motion"}), "Use a shorter shutter time"),
    (frozenset({"depth"}), "Stop down, or bring the faces into one plane"),
    (frozenset({"noise"}), "Give it more light, at a lower ISO"),
    (frozenset({"glass"}), "See to the glass"),
    (frozenset({"diffraction"}), "Open the aperture"),
    (frozenset({"pixels"}), "Give the print more pixels: crop less, or use a body that has more"),
)
# Remedies that no change of settings brings, and how they are said beside one.
NO_SETTING = {
    "Focus on the iris": "With the focus on the iris every time",
    "See to the glass": "With clean glass",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """What is counted over the frames that show somebody, in order of time.

    Attributes
    ----------
    frames : tuple of SittingFrame
        Measured frames only.
    goal_cm : float
        Print edge that counts as held.
    nobody, unreadable : int
        Other frames.
    """

    frames: tuple[SittingFrame, ...]
    goal_cm: float
    nobody: int
    unreadable: int

    @property
    def holding(self) -> int:
        """Return how many frames hold the goal.

        Returns
        -------
        int
            Number of frames.
        """
        return sum(holds_goal(frame.answer, self.goal_cm) for frame in self.frames)

    @property
    def short(self) -> tuple[SittingFrame, ...]:
        """Return the frames that do not.

        Returns
        -------
        tuple of SittingFrame
            In order of time.
        """
        return tuple(f for f in self.frames if not holds_goal(f.answer, self.goal_cm))


def short_cause(answer: FrameAnswer) -> Cause:
    """Return why a frame falls short of a print.

    Parameters
    ----------
    answer : FrameAnswer
        Of a frame that does not hold it.

    Returns
    -------
    str
        Its cause. A frame as sharp as its pixels allow, which has none, falls short by pixels;
        where not even its reach is known, nothing can be told.
    """
    if answer.cause == "none":
        return "cannot tell" if answer.reach_cm is None else "pixels"
    return answer.cause


def count_causes(tally: Tally) -> tuple[CauseCount, ...]:
    """Return the causes of the frames that fall short.

    Parameters
    ----------
    tally : Tally
        The frames.

    Returns
    -------
    tuple of CauseCount
        Most frequent first; among equals in the order of the words.
    """
    order: list[Cause] = ["focus", "depth", "shake", "sitter", "motion", "noise", "glass"]
    order += ["pixels", "cannot tell"]
    found = [short_cause(frame.answer) for frame in tally.short]
    counts = [CauseCount(cause=c, frames=found.count(c)) for c in order if c in found]
    return tuple(sorted(counts, key=lambda count: -count.frames))


def four_lines(
    tally: Tally, viewing: Viewing, changes: Sequence[Change] = ()
) -> tuple[str, str, str, str]:
    """Return the sitting in four lines.

    Parameters
    ----------
    tally : Tally
        The frames.
    viewing : Viewing
        For the print that was promised and the viewer's distance.
    changes : sequence of Change
        What single changes of settings would bring, the one worth most first.

    Returns
    -------
    tuple of str
        How many frames hold, the commonest cause among the others, its trend, and the one thing
        to change. The last three are empty if nobody was measured.

    Notes
    -----
    The last line names the best of `changes`; beside it, what would come of no missed focus or of
    clean glass at most, where that is more and no setting brings it; before it, if that is the
    commonest cause. Without a change of settings
    that helps, it names the part of the budget whose loss costs most frames.
    """
    if not tally.frames:
        return (" ".join(p for p in ("No face was measured.", _others(tally)) if p), "", "", "")
    if not tally.short:
        every = "Every frame holds, so there is no cause to name."
        return (holding_line(tally, viewing), every, "", "Nothing need be changed for this print.")
    causes = count_causes(tally)
    return (
        holding_line(tally, viewing),
        _commonest(causes, len(tally.short)),
        _trend(tally, causes),
        _change(tally, causes, changes),
    )


def holding_line(tally: Tally, viewing: Viewing) -> str:
    """Return how many frames hold, the first of the four lines.

    Parameters
    ----------
    tally : Tally
        The frames, at least one.
    viewing : Viewing
        For the print that was promised and the viewer's distance.

    Returns
    -------
    str
        One or two sentences.
    """
    standard = viewing.print_cm is None
    goal = f"{tally.goal_cm:g}{THIN}cm"
    goal = f"{goal}, a standard wall print," if standard else f"the promised {goal}"
    distance = f"{viewing.distance_cm or 50.0:g}{THIN}cm"
    count = len(tally.frames)
    line = f"{_of(tally.holding, count)} {_verb(tally.holding, 'hold')} {goal} seen from {distance}"
    if viewing.distance_cm is None:
        sharp = sum(frame.answer.holds_diagonal is True for frame in tally.frames)
        line += f"; {sharp} {_verb(sharp, 'look')} sharp from 1.5 times the print's diagonal"
    untold = sum(frame.answer.reach_cm is None for frame in tally.frames)
    told = f"In {_frames(untold)} it cannot be told." if untold else ""
    return " ".join(part for part in (line + ".", told, _others(tally)) if part)


def _others(tally: Tally) -> str:
    parts = []
    if tally.nobody:
        parts.append(f"nobody was found in {_frames(tally.nobody)}")
    if tally.unreadable:
        parts.append(f"{_frames(tally.unreadable)} could not be read")
    text = "; ".join(parts)
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def _commonest(causes: Sequence[CauseCount], short: int) -> str:
    named = [count for count in causes if count.cause != "cannot tell"]
    untold = sum(count.frames for count in causes if count.cause == "cannot tell")
    if not named:
        return f"What costs the others their reach cannot be told, in any of {short}."
    most = [NAMES[count.cause] for count in named if count.frames == named[0].frames]
    each = " each" if len(most) > 1 else ""
    if len(most) > FEW:
        kinds = [SHORT.get(c.cause, NAMES[c.cause]) for c in named if c.frames == named[0].frames]
        return (
            f"Where they fall short no cause stands out: {', '.join(kinds[:-1])} and {kinds[-1]}, "
            f"{named[0].frames} of {_frames(short)} each."
            + (f" In {untold} the cause cannot be told." if untold else "")
        )
    causes_words = most[0] if len(most) == 1 else f"{', '.join(most[:-1])} and {most[-1]}"
    if short == 1 and named:
        return f"The one that falls short does so by {causes_words}."
    line = f"Where they fall short the commonest cause is {causes_words}: "
    if len(most) > 1:
        line = f"Where they fall short the commonest causes are {causes_words}: "
    line += f"{named[0].frames} of {_frames(short)}{each}."
    return line + (f" In {untold} the cause cannot be told." if untold else "")


def _trend(tally: Tally, causes: Sequence[CauseCount]) -> str:
    named = [count.cause for count in causes if count.cause != "cannot tell"]
    if not named:
        return ""
    frames = [f for f in tally.frames if f.reading.exposure.captured_s is not None]
    if len(frames) < len(tally.frames):
        return "Whether that grew or fell cannot be told: not all frames carry a capture time."
    marks = [_spoiled(frame, tally.goal_cm, named[0]) for frame in frames]
    trend = find_trend(marks, [frame.burst or 0 for frame in frames])
    if trend is None:
        return "No trend over the sitting that could be told."
    name = NAMES[named[0]]
    grew = "grew more frequent" if trend.grows else "grew rarer"
    (first, of_first), (last, of_last) = trend.first, trend.last
    return (
        f"Over the sitting {name} {grew}: {first} of the first {of_first} frames, "
        f"{last} of the last {of_last}."
    )


def _spoiled(frame: SittingFrame, goal_cm: float, cause: Cause) -> bool:
    return not holds_goal(frame.answer, goal_cm) and short_cause(frame.answer) == cause


def _change(tally: Tally, causes: Sequence[CauseCount], changes: Sequence[Change]) -> str:
    remedy, after = _remedy(tally, causes)
    if changes:
        line = change_words(changes[0], frames=len(tally.frames), goal_cm=tally.goal_cm)
        if after <= round(changes[0].expected.value) or remedy not in NO_SETTING:
            return line
        parts = next(parts for parts, name in REMEDIES if name == remedy)
        named = [count.cause for count in causes if count.cause != "cannot tell"]
        if named and named[0] in parts:
            count, now = _of(after, len(tally.frames)), tally.holding
            return f"{remedy}: up to {count} would hold instead of {now}. {line}"
        return f"{line} {NO_SETTING[remedy]}: {after} at most."
    before = tally.holding
    if after == before:
        return "No single change would bring a further frame to this print."
    return f"{remedy}: {after} of {_frames(len(tally.frames))} would hold instead of {before}."


def _remedy(tally: Tally, causes: Sequence[CauseCount]) -> tuple[str, int]:
    """Return the remedy that brings most frames to the goal, by the budgets of all sitters."""
    gains = [
        (
            sum(_would_hold(frame.answer, parts, tally.goal_cm) for frame in tally.short),
            sum(count.frames for count in causes if count.cause in parts),
        )
        for parts, _ in REMEDIES
    ]
    most = max(gains)  # among equal gains the remedy of the commoner cause
    return REMEDIES[gains.index(most)][1], tally.holding + most[0]


def _would_hold(answer: FrameAnswer, parts: frozenset[str], goal_cm: float) -> bool:
    sitters = [face for face in answer.faces if face.sitter]
    return bool(sitters) and all(_face_would_hold(face, parts, goal_cm) for face in sitters)


def _face_would_hold(face: FaceAnswer, parts: frozenset[str], goal_cm: float) -> bool:
    if face.reach_cm is None:
        return False
    # Motion may be told by the whole face while the spread at the eye has no shape of its own:
    # the part "cannot tell" is then what that cause made.
    gone = {*parts, "cannot tell"} if face.cause in parts else parts
    reach_cm = [part.reach_without_cm for part in face.budget if part.cause in gone]
    return any(
        reach is not None and reaches(reach, goal_cm) for reach in (face.reach_cm.value, *reach_cm)
    )


def _frames(count: int) -> str:
    return f"{count} frame{'' if count == 1 else 's'}"


def _of(part: int, count: int) -> str:
    return f"{part} of {_frames(count)}"


def _verb(count: int, verb: str) -> str:
    return verb + "s" if count == 1 else verb
