"""One sitting from paths to answer."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from eyeplane.diagnose import answer_frame, learn_colour
from eyeplane.records import (
    STANDARD_PRINT_CM,
    FrameAnswer,
    FrameReading,
    Learned,
    Measured,
    MeasureSettings,
    Sitting,
    SittingFrame,
    Viewing,
)
from eyeplane.sitting.bursts import best_of_burst, find_bursts, frame_order
from eyeplane.sitting.changes import changes_of
from eyeplane.sitting.gather import Measuring, gather, standard_measuring
from eyeplane.sitting.habits import by_cost, habits_of
from eyeplane.sitting.kits import kit_focus
from eyeplane.sitting.learned import learn_from
from eyeplane.sitting.lessons import keep_lessons
from eyeplane.sitting.lines import Tally, count_causes, four_lines
from eyeplane.sitting.options import Progress, RunOptions
from eyeplane.sitting.scan import FoundFrame, scan
from eyeplane.sitting.steady import steady_focus
from eyeplane.sitting.tally import tally_of
from eyeplane.sitting.veil import veil_habits

Taken = tuple[FrameReading, tuple[str, ...]]  # a reading with its companions


def measure_sitting(
    paths: Sequence[Path],
    *,
    settings: MeasureSettings | None = None,
    viewing: Viewing | None = None,
    options: RunOptions | None = None,
    progress: Callable[[Progress], None] | None = None,
    measuring: Measuring | None = None,
) -> Sitting:
    """Return a sitting, measured and answered.

    Parameters
    ----------
    paths : sequence of Path
        Files and folders.
    settings : MeasureSettings or None
        What to measure.
    viewing : Viewing or None
        For which print and from where to answer.
    options : RunOptions or None
        How to run: store, processes, measuring again. With options, what the frames teach is kept
        in the store too, unless they say otherwise; a call without any learns nothing.
    progress : callable or None
        Called after each frame, when its reading is safely kept.
    measuring : Measuring or None
        With what to measure; None is eyeplane's own.

    Returns
    -------
    Sitting
        Every frame found, also unreadable ones, with their bursts and the sitting in four lines.

    Raises
    ------
    InputError
        If a path does not exist.
    StoreError
        If the store cannot be used.
    EyeplaneError
        If measuring processes cannot be started.

    Notes
    -----
    A frame whose JPEG cannot be read is measured from its RAW. An interrupt (Ctrl-C) passes
    through; what was measured until then is kept.
    """
    settings, viewing = settings or MeasureSettings(), viewing or Viewing()
    options = options or RunOptions(learns=False)
    measuring = measuring or standard_measuring()
    found = scan(paths)
    readings = gather(
        [frame.path for frame in found.frames],
        settings=settings,
        options=options,
        measuring=measuring,
        progress=progress,
    )
    frames, more = _with_companions(found.frames, readings)
    if more:
        spare = gather(more, settings=settings, options=options, measuring=measuring)
        frames, _ = _with_companions(found.frames, {**readings, **spare})
    pairs = [*frames, *((reading, ()) for reading in found.closed)]
    sitting = make_sitting(pairs, viewing=viewing, name=options.name or sitting_name(paths))
    if options.learns:
        keep_lessons(sitting.frames, options.store_path, labels=options.labels, heard=options.heard)
    return sitting


def make_sitting(frames: Sequence[Taken], *, viewing: Viewing, name: str) -> Sitting:
    """Return a sitting from readings: answers, bursts, and what it suffers from.

    Parameters
    ----------
    frames : sequence of (FrameReading, tuple of str)
        Readings with their companions, in any order.
    viewing : Viewing
        For which print and from where to answer.
    name : str
        What the sitting is called.

    Returns
    -------
    Sitting
        The same for any order of `frames`.
    """
    ordered = sorted(frames, key=lambda frame: frame_order(frame[0]))
    first = [answer_frame(reading, viewing, brief=True) for reading, _ in ordered]
    learned = learned_of(ordered, first, viewing)
    answers = [answer_frame(reading, viewing, learned) for reading, _ in ordered]
    return put_together(ordered, answers, viewing=viewing, name=name)


def learned_of(
    ordered: Sequence[Taken], answers: Sequence[FrameAnswer], viewing: Viewing
) -> Learned:
    """Return what the sitting's own frames teach: it goes back into the answer of each.

    Parameters
    ----------
    ordered : sequence of (FrameReading, tuple of str)
        Readings with their companions, in order of `frame_order`.
    answers : sequence of FrameAnswer
        Their first answers, with nothing learned yet.
    viewing : Viewing
        For which print.

    Returns
    -------
    Learned
        Of kits, colours, hand and sitter.
    """
    frames = _frames(ordered, answers, goal_of(viewing))
    told = [
        (face, frame.reading, answer.offset_mm)
        for frame in frames
        for face, answer in zip(frame.reading.faces, frame.answer.faces, strict=True)
        if answer.offset_mm is not None and answer.sitter
    ]
    return replace(learn_from(frames), colours=learn_colour(told))


def put_together(
    ordered: Sequence[Taken], answers: Sequence[FrameAnswer], *, viewing: Viewing, name: str
) -> Sitting:
    """Return a sitting from readings and their answers.

    Parameters
    ----------
    ordered : sequence of (FrameReading, tuple of str)
        Readings with their companions, in order of `frame_order`.
    answers : sequence of FrameAnswer
        One a frame.
    viewing : Viewing
        For which print and from where they hold.
    name : str
        What the sitting is called.

    Returns
    -------
    Sitting
        With bursts, and what the sitting suffers from.
    """
    goal_cm = goal_of(viewing)
    shown = _frames(ordered, answers, goal_cm)
    tally = Tally(
        frames=tuple(frame for frame in shown if frame.reading.status == "measured"),
        goal_cm=goal_cm,
        nobody=sum(reading.status == "nobody" for reading, _ in ordered),
        unreadable=sum(reading.status == "unreadable" for reading, _ in ordered),
    )
    steady = steady_focus(shown)
    changes = changes_of(shown, goal_cm=goal_cm, viewing=viewing, steady=steady)
    habits = habits_of(shown, goal_cm=goal_cm, viewing=viewing, steady=steady)
    return Sitting(
        name=name,
        viewing=viewing,
        goal_cm=goal_cm,
        frames=shown,
        measured=len(tally.frames),
        nobody=tally.nobody,
        unreadable=tally.unreadable,
        holding=tally.holding,
        causes=count_causes(tally),
        median_reach_cm=middle_reach(frame.answer.reach_cm for frame in tally.frames),
        lines=four_lines(tally, viewing, changes),
        tally=tally_of(shown, goal_cm=goal_cm),
        kits=kit_focus(shown),
        habits=by_cost((*habits, *veil_habits(shown)), shown, goal_cm=goal_cm),
        changes=changes,
    )


def goal_of(viewing: Viewing) -> float:
    """Return the print that "holds" is counted against.

    Parameters
    ----------
    viewing : Viewing
        For which print.

    Returns
    -------
    float
        Longest edge in cm: the promised print, or a standard one.
    """
    return STANDARD_PRINT_CM if viewing.print_cm is None else viewing.print_cm


def _frames(
    ordered: Sequence[Taken], answers: Sequence[FrameAnswer], goal_cm: float
) -> tuple[SittingFrame, ...]:
    bursts = find_bursts([reading for reading, _ in ordered])
    best = best_of_bursts(bursts, answers, goal_cm)
    return tuple(
        SittingFrame(
            reading=reading,
            answer=answers[n],
            companions=companions,
            burst=bursts[n],
            best_of_burst=n in best,
        )
        for n, (reading, companions) in enumerate(ordered)
    )


def sitting_name(paths: Sequence[Path]) -> str:
    """Return what a sitting is called if nobody says.

    Parameters
    ----------
    paths : sequence of Path
        Files and folders, at least one.

    Returns
    -------
    str
        The folder's name, or up to three folders' names.
    """
    folders = [path if path.is_dir() else path.parent for path in paths]
    names = list(dict.fromkeys(folder.absolute().name or str(folder) for folder in folders))
    more = f" and {len(names) - 3} more" if len(names) > 3 else ""
    return ", ".join(names[:3]) + more


def _with_companions(
    found: Sequence[FoundFrame], readings: Mapping[str, FrameReading]
) -> tuple[list[tuple[FrameReading, tuple[str, ...]]], list[str]]:
    """Return readings with companions, and the companions to be measured for unreadable files."""
    frames: list[tuple[FrameReading, tuple[str, ...]]] = []
    more: list[str] = []
    for frame in found:
        reading, companions = readings[frame.path], frame.companions
        if reading.status == "unreadable" and companions:
            spare = readings.get(companions[0])
            if spare is None:
                more.append(companions[0])
            elif spare.status != "unreadable":
                reading, companions = spare, (frame.path, *companions[1:])
        frames.append((reading, companions))
    return frames, more


def best_of_bursts(
    bursts: Sequence[int | None], answers: Sequence[FrameAnswer], goal_cm: float
) -> frozenset[int]:
    """Return the best frame of each burst.

    Parameters
    ----------
    bursts : sequence of int or None
        Frame by frame in order of time.
    answers : sequence of FrameAnswer
        One a frame.
    goal_cm : float
        The print to be held, cm.

    Returns
    -------
    frozenset of int
        Their places in the sequence.
    """
    groups: dict[int, dict[int, FrameAnswer]] = {}
    for number, burst in enumerate(bursts):
        if burst is not None:
            groups.setdefault(burst, {})[number] = answers[number]
    return frozenset(best_of_burst(group, goal_cm) for group in groups.values())


def middle_reach(reaches: Iterable[Measured | None]) -> Measured | None:
    """Return the reach in the middle of some frames.

    Parameters
    ----------
    reaches : iterable of Measured or None
        Of each frame, cm; None where it cannot be told.

    Returns
    -------
    Measured or None
        Median in cm; its ends hold the middle 90 % of frames. None where none can be told.
    """
    told = [reach.value for reach in reaches if reach is not None]
    if not told:
        return None
    low, middle, high = (float(q) for q in np.quantile(told, [0.05, 0.5, 0.95]))
    return Measured(value=middle, low=low, high=high)
