"""A plan made from an address: what was entered, what holds, the plan or what is wrong."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any

import eyeplane.plan as plans
from eyeplane.asked.plan_asking import Asked, ask, planned
from eyeplane.asked.plan_columns import naming_options
from eyeplane.asked.plan_entered import Entered, entered, sentence_of
from eyeplane.asked.plan_ranges import ranges
from eyeplane.asked.plan_request import REQUESTS, PlanKind
from eyeplane.errors import InputError
from eyeplane.records import Sweep
from eyeplane.web.words import words

KEPT = 64  # plans: going back to what was just looked at costs nothing
OPTION = re.compile(r"--([a-z][a-z-]*[a-z])")
GROUP_WORDS = ("group-lean", "group-who", "group-distance")
MOST_LINES = 500  # of a table: about two seconds in which all other pages are slow; the command
# line makes longer ones
NO_PLACE = ""  # where what is wrong belongs to no field


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What came of an address.

    Attributes
    ----------
    entered : Entered
        What was entered.
    asked : Asked or None
        What holds; None where that cannot be told.
    plan : SitterPlan, GroupPlan, BurstPlan or None
        The plan; None where something is wrong, or a range was entered.
    sweep : Sweep or None
        The table, where a range was entered.
    landed : str
        What it does that the focus lands elsewhere than it is put; may be empty.
    wrong : mapping of str to str
        By option what is wrong, in a sentence; under "" what belongs to none.
    """

    entered: Entered
    asked: Asked | None = None
    plan: Any = None
    sweep: Sweep | None = None
    landed: str = ""
    wrong: Mapping[str, str] = field(default_factory=dict)


def made(kind: PlanKind, pairs: Iterable[tuple[str, str]], store: Path | None) -> Made:
    """Return what comes of an address.

    Parameters
    ----------
    kind : {"sitter", "group", "burst"}
        What is planned.
    pairs : iterable of (str, str)
        As they stand in the address.
    store : Path or None
        The store; None: the photographer's own.

    Returns
    -------
    Made
        The plan, or everything that is wrong.

    Raises
    ------
    StoreError
        If a name is to be recalled and the store cannot be used.
    """
    said = entered(kind, pairs)
    if said.wrong:
        return Made(entered=said, wrong={k: in_page_words(v, kind) for k, v in said.wrong.items()})
    asked: Asked | None = None
    try:
        asked = ask(kind, said.typed, said.named, store=store, without_learned=said.without_learned)
        request = REQUESTS[kind](asked.given)
        if asked.given.spans:
            return Made(entered=said, asked=asked, sweep=_swept(kind, request, asked))
        plan = _planned(kind, request)
        return Made(entered=said, asked=asked, plan=plan, landed=_landed(request))
    except InputError as error:
        place = OPTION.search(error.where)
        name = place[1] if place else NO_PLACE
        return Made(
            entered=said, asked=asked, wrong={name: in_page_words(sentence_of(error), kind)}
        )


def in_page_words(text: str, kind: PlanKind) -> str:
    """Return a sentence of the command line with its options as the form calls them.

    Parameters
    ----------
    text : str
        With options like --focal-length.
    kind : {"sitter", "group", "burst"}
        What is planned.

    Returns
    -------
    str
        With the labels of their fields instead, in quotation marks.
    """

    def label(option: re.Match[str]) -> str:
        try:
            return f"“{field_words(kind, option[1], 'label')}”"
        except KeyError:
            return option[0]

    return OPTION.sub(label, text)


def field_words(kind: PlanKind, name: str, what: str) -> str:
    """Return what a field is called, or what may be entered.

    Parameters
    ----------
    kind : {"sitter", "group", "burst"}
        What is planned: some options mean something else for a group.
    name : str
        Of the option.
    what : {"label", "hint"}
        Which of the two.

    Returns
    -------
    str
        Words.

    Raises
    ------
    KeyError
        If there is no such field.
    """
    if kind == "group" and f"group-{name}" in GROUP_WORDS:
        name = f"group-{name}"
    return words(f"plan.field.{name}.{what}")


@lru_cache(maxsize=KEPT)
def _planned(kind: PlanKind, request: object) -> Any:  # noqa: ANN401  one of three plans
    return planned(kind, request)


@lru_cache(maxsize=KEPT)
def _landed(request: Any) -> str:  # noqa: ANN401  one of three requests
    if not hasattr(request, "kit"):  # a lean-in leans a bias away
        return ""
    with naming_options():
        return plans.focus_landed(request)


def _swept(kind: PlanKind, request: object, asked: Asked) -> Sweep:
    with naming_options():
        found: Sweep = getattr(plans, f"sweep_{kind}")(
            request, ranges(asked.given, most=MOST_LINES)
        )
    return found
