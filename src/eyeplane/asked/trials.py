"""Guided trials: as they go on, and what comes of them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from eyeplane.asked.checks import CheckDone
from eyeplane.asked.kits import kit_settings
from eyeplane.asked.ladders import keep_ladder, ladder_labels, remember_ladder
from eyeplane.asked.trial_typed import MOST_STEPS, SAME_TIME, ladder_of_trial
from eyeplane.deliver.ladder_content import ladder_content
from eyeplane.errors import InputError
from eyeplane.records import SittingFrame, Viewing, from_plain, to_plain
from eyeplane.records.ladder import LadderResult
from eyeplane.records.trial import Trial, TrialStep
from eyeplane.sitting.ladder import ladder_of
from eyeplane.sitting.ladder_advice import deciding_part, next_steps
from eyeplane.sitting.ladder_asked import LadderAsked
from eyeplane.sitting.lessons import keep_lessons
from eyeplane.sitting.run import make_sitting
from eyeplane.store import default_store_path
from eyeplane.store.trials import KeptTrial, Trials

MOST_ADDED = 20  # frames a step that are offered to be added at once; no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Going:
    """A trial that goes on.

    Attributes
    ----------
    kept : KeptTrial
        As the store has it.
    trial : Trial
        The same, read.
    """

    kept: KeptTrial
    trial: Trial


@dataclass(frozen=True, slots=True, kw_only=True)
class SoFar:
    """What the frames of a ladder say before it is finished.

    Attributes
    ----------
    frames : int
        Of how many frames.
    sentence : str
        The answer so far, or why there is none.
    advice : str
        What to shoot next; empty if nothing is told.
    more : tuple of TrialStep
        The same as steps that can be added.
    """

    frames: int
    sentence: str
    advice: str = ""
    more: tuple[TrialStep, ...] = ()


def begin(trial: Trial, sitting: str, store: Path | None) -> int:
    """Begin a trial; one that was going on ends.

    Parameters
    ----------
    trial : Trial
        What is to be photographed.
    sitting : str
        Key of the sitting that the frames land in.
    store : Path or None
        The store; None: the photographer's own.

    Returns
    -------
    int
        Its number.

    Raises
    ------
    StoreError
        If the store cannot be used.
    """
    with Trials(store or default_store_path()) as trials:
        return trials.start(sitting, datetime.now(tz=UTC), to_plain(trial))


def going_on(store: Path | None) -> Going | None:
    """Return the trial that goes on.

    Parameters
    ----------
    store : Path or None
        The store; None: the photographer's own.

    Returns
    -------
    Going or None
        None if there is none, or it is of another eyeplane's form.

    Raises
    ------
    StoreError
        If the store cannot be used.
    """
    with Trials(store or default_store_path()) as trials:
        kept = trials.current()
    if kept is None:
        return None
    try:
        return Going(kept=kept, trial=from_plain(Trial, kept.trial))
    except (KeyError, TypeError, ValueError):
        return None


def end(number: int, store: Path | None) -> None:
    """End a trial.

    Parameters
    ----------
    number : int
        Its own.
    store : Path or None
        The store; None: the photographer's own.

    Raises
    ------
    StoreError
        If the store cannot be used.
    """
    with Trials(store or default_store_path()) as trials:
        trials.end(number, datetime.now(tz=UTC))


def add_steps(going: Going, more: Sequence[TrialStep], store: Path | None) -> None:
    """Add steps to a trial; frames of a time that it has already are added to that step.

    Parameters
    ----------
    going : Going
        The trial.
    more : sequence of TrialStep
        Shutter times and frames.
    store : Path or None
        The store; None: the photographer's own.

    Raises
    ------
    StoreError
        If the store cannot be used.
    """
    steps = list(going.trial.steps)
    for one in more:
        place = next((n for n, step in enumerate(steps) if _alike(step, one)), None)
        if place is None:
            steps.append(one)
        else:
            steps[place] = replace(steps[place], frames=steps[place].frames + one.frames)
    steps = sorted(steps[: 2 * MOST_STEPS], key=lambda one: one.shutter_s or 0.0)
    with Trials(store or default_store_path()) as trials:
        trials.change(going.kept.number, to_plain(replace(going.trial, steps=tuple(steps))))


def so_far(trial: Trial, frames: Sequence[SittingFrame]) -> SoFar:
    """Return what the frames of a ladder of a sitter say by now.

    Parameters
    ----------
    trial : Trial
        The ladder.
    frames : sequence of SittingFrame
        Those that belong to it.

    Returns
    -------
    SoFar
        In the words of its result.
    """
    asked = ladder_of_trial(trial, "ladder")
    try:
        result = _sitter_ladder(frames, asked)
    except InputError as error:
        return SoFar(frames=len(frames), sentence=f"{error.what}.")
    times, each = next_steps(deciding_part(result.parts, asked.wanted_share), asked.wanted_share)
    more = tuple(TrialStep(shutter_s=one, frames=each) for one in times if each <= MOST_ADDED)
    content = ladder_content(result)
    return SoFar(frames=len(frames), sentence=content.sentence, advice=content.advice, more=more)


def ladder_finished(
    trial: Trial,
    frames: Sequence[SittingFrame],
    *,
    name: str,
    store: Path | None,
    whole: bool = False,
) -> CheckDone:
    """Return the result of a trial's ladder; keep it as the command does.

    Parameters
    ----------
    trial : Trial
        The ladder.
    frames : sequence of SittingFrame
        Those that belong to it.
    name : str
        What the sitting is called.
    store : Path or None
        The store; None: the photographer's own.
    whole : bool
        Whether the sitting holds no other frames, so that what was said of the trial is said of it.

    Returns
    -------
    CheckDone
        With what was remembered for plans in its notes.

    Raises
    ------
    InputError
        If the frames are not one ladder, or none of them counts.
    StoreError
        If the store cannot be used.
    """
    asked, given = ladder_of_trial(trial, name), dict(trial.given)
    kit, client = given.get("kit") or None, given.get("client") or None
    if trial.subject == "chart":
        from eyeplane.sitting.ladder_chart import chart_ladder  # noqa: PLC0415  only for charts

        answered = _answered(frames, asked)
        result = chart_ladder(answered, asked, settings=kit_settings())
    else:
        result = _sitter_ladder(frames, asked)
    number = keep_ladder(result, kit, store)
    today = datetime.now().astimezone().date()
    said = remember_ladder(result, {"kit": kit, "client": client}, store, today=today)
    if whole:
        keep_lessons(frames, store, labels=ladder_labels(asked, kit))
    content = ladder_content(result)
    content = replace(content, notes=(*content.notes, *said))
    return CheckDone(kind="ladder", result=result, content=content, number=number, said=said)


def _sitter_ladder(frames: Sequence[SittingFrame], asked: LadderAsked) -> LadderResult:
    return ladder_of(_answered(frames, asked), asked)


def _answered(frames: Sequence[SittingFrame], asked: LadderAsked) -> tuple[SittingFrame, ...]:
    """Return frames in order of time, answered for the print that the ladder is asked for."""
    viewing = Viewing(distance_cm=asked.viewing_cm, print_cm=asked.print_cm)
    pairs = [(one.reading, one.companions) for one in frames]
    return make_sitting(pairs, viewing=viewing, name=asked.name).frames


def _alike(one: TrialStep, other: TrialStep) -> bool:
    if one.shutter_s is None or other.shutter_s is None:
        return one == other
    return max(one.shutter_s, other.shutter_s) <= SAME_TIME * min(one.shutter_s, other.shutter_s)
