"""What repeats over a sitting: every kind of habit, the costliest first."""

from collections.abc import Sequence

from eyeplane.records import Cause, Habit, HabitKind, SittingFrame, Viewing
from eyeplane.sitting.blinks import eyes_closed_habit
from eyeplane.sitting.bursts import eyes_closed, holds_goal
from eyeplane.sitting.caught import caught
from eyeplane.sitting.cost import cost
from eyeplane.sitting.dark import dark
from eyeplane.sitting.drift import reach_drift
from eyeplane.sitting.lens_or_me import focus_side, lens_or_me
from eyeplane.sitting.lines import short_cause
from eyeplane.sitting.shutter import shutter_habit
from eyeplane.sitting.steady import Steady, steady_focus

# Which causes a habit is behind: what it costs is the number of frames that fall short by them.
CAUSES: dict[HabitKind, frozenset[Cause]] = {
    "focus side": frozenset({"focus"}),
    "lens or me": frozenset({"focus"}),
    "recompose": frozenset({"focus"}),
    "caught": frozenset({"focus"}),
    "drift": frozenset({"focus"}),
    "shutter": frozenset({"shake", "sitter", "motion"}),
    "veil": frozenset({"glass"}),
    "dark": frozenset({"noise"}),
}
# Among habits of equal cost: the nearer to a remedy the earlier.
ORDER: tuple[HabitKind, ...] = (
    *("cost", "shutter", "recompose", "caught", "lens or me", "focus side", "eyes closed"),
    *("drift", "veil", "dark"),
)


def habits_of(
    frames: Sequence[SittingFrame],
    *,
    goal_cm: float,
    viewing: Viewing,
    steady: Steady | None = None,
) -> tuple[Habit, ...]:
    """Return what repeats over a sitting.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.
    goal_cm : float
        Print edge that counts as held.
    viewing : Viewing
        For the viewer's distance.
    steady : Steady or None
        What `steady_focus` says of these frames, where that is known already.

    Returns
    -------
    tuple of Habit
        Most costly first; every kind but "veil", which needs the frames' veils.
    """
    steady = steady_focus(frames) if steady is None else steady
    found = (
        *steady.explained,
        *cost(frames, goal_cm=goal_cm),
        *shutter_habit(frames, goal_cm=goal_cm, viewing=viewing),
        *caught(frames),
        *lens_or_me(frames, steady, goal_cm=goal_cm),
        *focus_side(steady),
        *eyes_closed_habit(frames),
        *reach_drift(frames),
        *dark(frames),
    )
    return by_cost(found, frames, goal_cm=goal_cm)


def by_cost(
    habits: Sequence[Habit], frames: Sequence[SittingFrame], *, goal_cm: float
) -> tuple[Habit, ...]:
    """Return habits in the order of what they cost.

    Parameters
    ----------
    habits : sequence of Habit
        From wherever they come.
    frames : sequence of SittingFrame
        All frames of the sitting.
    goal_cm : float
        Print edge that counts as held.

    Returns
    -------
    tuple of Habit
        By the number of frames that fall short by the causes a habit is behind; closed eyes by
        the frames they spoil; "cost" first.
    """
    shown = [frame for frame in frames if frame.burst is not None]
    short = [short_cause(f.answer) for f in shown if not holds_goal(f.answer, goal_cm)]
    closed = sum(eyes_closed(frame.answer) for frame in shown)

    def worth(habit: Habit) -> tuple[int, int]:
        if habit.kind == "eyes closed":
            lost = closed
        elif habit.kind == "cost":
            lost = len(frames) + 1
        else:
            lost = sum(cause in CAUSES[habit.kind] for cause in short)
        return -lost, ORDER.index(habit.kind)

    return tuple(sorted(habits, key=worth))
