"""Guided trials: as they are typed, as they go on, and what comes of them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from eyeplane.asked.checks import CheckDone
from eyeplane.asked.frames_typed import Fields, typed_length_cm
from eyeplane.asked.kits import kit_settings
from eyeplane.asked.ladders import keep_ladder, ladder_labels, remember_ladder
from eyeplane.asked.names import check_name
from eyeplane.asked.units import time_s
from eyeplane.deliver.ladder_content import ladder_content
from eyeplane.errors import InputError
from eyeplane.records import (
    STANDARD_PRINT_CM,
    STANDARD_VIEWING_CM,
    SittingFrame,
    Viewing,
    from_plain,
    to_plain,
)
from eyeplane.records.ladder import LadderResult
from eyeplane.records.trial import Trial, TrialKind, TrialStep
from eyeplane.sitting.ladder import ladder_of
from eyeplane.sitting.ladder_advice import deciding_part, next_steps
from eyeplane.sitting.ladder_asked import LadderAsked
from eyeplane.sitting.lessons import keep_lessons
from eyeplane.sitting.run import make_sitting
from eyeplane.sitting.trial_steps import check_steps
from eyeplane.store import default_store_path
from eyeplane.store.trials import KeptTrial, Trials

MOST_STEPS, MOST_EACH = 14, 60  # more would tire hand and sitter; no source
STABILISERS = ("", "on", "off", "tripod")
SUBJECTS = ("sitter", "chart")
SAME_TIME = 1.12  # a sixth of a stop, as trials tell settings apart
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


def ladder_typed(given: Fields, times: Sequence[str], *, after: int) -> Trial:
    """Return the trial that a form describes.

    Parameters
    ----------
    given : mapping of str to str
        Its fields: subject, sitter, stabiliser, kit, client, print_cm, viewing_cm, share, each.
    times : sequence of str
        Shutter times, such as "1/250".
    after : int
        Number of the last frame before it.

    Returns
    -------
    Trial
        Steps from fast to slow.

    Raises
    ------
    InputError
        If something cannot be.
    """
    subject = given.get("subject", "sitter")
    if subject not in SUBJECTS or given.get("stabiliser", "") not in STABILISERS:
        raise InputError(
            "this form is not one of ours", where="the trial", hint="Send it from its page"
        )
    each = _count(given.get("each", ""), "frames at each time", MOST_EACH)
    steps = tuple(TrialStep(shutter_s=one, frames=each) for one in _times(times))
    fields = ("sitter", "stabiliser", "kit", "client", "print_cm", "viewing_cm", "share")
    trial = Trial(
        kind="ladder",
        subject="chart" if subject == "chart" else "sitter",
        after=after,
        steps=steps,
        given=tuple((name, " ".join(given.get(name, "").split())) for name in fields),
    )
    ladder_of_trial(trial)  # refuses now what it could not be asked at its end
    return trial


def check_typed_trial(
    kind: TrialKind, given: Fields, *, after: int, widest: float | None = None
) -> Trial:
    """Return the trial that leads to a check of the kit.

    Parameters
    ----------
    kind : str
        Which check.
    given : mapping of str to str
        What was typed for it, by field; checked already.
    after : int
        Number of the last frame before it.
    widest : float or None
        The lens's widest aperture, where it was typed.

    Returns
    -------
    Trial
        With the frames that the check asks for.
    """
    steps = check_steps(kind, widest)
    if kind == "glass" and given.get("clean"):
        steps = (replace(steps[0], frames=1),)
    kept = {name: text for name, text in given.items() if name not in {"frames", "before"}}
    return Trial(kind=kind, subject="", after=after, steps=steps, given=tuple(kept.items()))


def ladder_of_trial(trial: Trial, name: str = "") -> LadderAsked:
    """Return what a trial's ladder is asked.

    Parameters
    ----------
    trial : Trial
        A ladder.
    name : str
        What it is called.

    Returns
    -------
    LadderAsked
        For the print and viewer that were typed.

    Raises
    ------
    InputError
        If something cannot be.
    """
    given = dict(trial.given)
    for field in ("sitter", "kit", "client"):
        check_name(given.get(field) or None, f"the {field}")
    share = _count(given.get("share", "") or "90", "share of the frames, in percent,", 99)
    return LadderAsked(
        prints_cm=(
            typed_length_cm(given, "print_cm", where="the print", usual_cm=STANDARD_PRINT_CM),
        ),
        viewing_cm=typed_length_cm(
            given, "viewing_cm", where="the viewer's distance", usual_cm=STANDARD_VIEWING_CM
        ),
        wanted_share=share / 100.0,
        stabiliser=given.get("stabiliser", ""),
        sitter=given.get("sitter", ""),
        name=name,
    )


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


def _times(times: Sequence[str]) -> list[float]:
    found: list[float] = []
    for text in times:
        try:
            one = time_s(text[:40])
        except ValueError as error:
            raise InputError(str(error), where="the shutter times", hint="Choose others") from error
        if 1e-5 < one <= 60 and all(max(one, k) > SAME_TIME * min(one, k) for k in found):
            found.append(one)
    if not 2 <= len(found) <= MOST_STEPS:
        raise InputError(
            f"a ladder of {len(found)} shutter time{'s' * (len(found) != 1)} tells no limit",
            where="the shutter times",
            hint=f"Choose from 2 to {MOST_STEPS}, better six, a stop apart",
        )
    return sorted(found)


def _count(text: str, what: str, most: int) -> int:
    text = text.strip().removesuffix("%").strip()
    if not (text.isascii() and text.isdigit() and len(text) < 4 and 1 <= int(text) <= most):
        raise InputError(
            f"{text[:20]!a} is no number of {what}".replace("number of share", "share"),
            where="the trial",
            hint=f"Give a whole number from 1 to {most}",
        )
    return int(text)


def _alike(one: TrialStep, other: TrialStep) -> bool:
    if one.shutter_s is None or other.shutter_s is None:
        return one == other
    return max(one.shutter_s, other.shutter_s) <= SAME_TIME * min(one.shutter_s, other.shutter_s)
