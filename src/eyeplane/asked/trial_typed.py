"""Guided trials as they are typed."""

from collections.abc import Sequence
from dataclasses import replace

from eyeplane.asked.frames_typed import Fields, typed_length_cm
from eyeplane.asked.names import check_name
from eyeplane.asked.units import time_s
from eyeplane.errors import InputError
from eyeplane.records import STANDARD_PRINT_CM, STANDARD_VIEWING_CM
from eyeplane.records.trial import Trial, TrialKind, TrialStep
from eyeplane.sitting.ladder_asked import LadderAsked
from eyeplane.sitting.trial_steps import check_steps

MOST_STEPS, MOST_EACH = 14, 60  # more would tire hand and sitter; no source
STABILISERS = ("", "on", "off", "tripod")
SUBJECTS = ("sitter", "chart")
SAME_TIME = 1.12  # a sixth of a stop, as trials tell settings apart


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
    kind: TrialKind, given: Fields, *, after: int, widest_f_number: float | None = None
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
    widest_f_number : float or None
        The lens's widest aperture, where it was typed.

    Returns
    -------
    Trial
        With the frames that the check asks for.
    """
    steps = check_steps(kind, widest_f_number)
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
