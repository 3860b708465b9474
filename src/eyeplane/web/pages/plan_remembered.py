"""Kit and client of a plan: what may be remembered for them, and remembering it."""

import datetime
from dataclasses import dataclass
from pathlib import Path

from eyeplane.asked.plan_asking import Asked
from eyeplane.asked.plan_memory import remember
from eyeplane.asked.plan_request import PlanKind
from eyeplane.errors import InputError
from eyeplane.web.pages.plan_made import NO_PLACE, Made, made
from eyeplane.web.words import words


@dataclass(frozen=True, slots=True, kw_only=True)
class Remembering:
    """What the page offers to remember.

    Attributes
    ----------
    button : str
        What its button says; empty: there is nothing new.
    said : str
        What is remembered already as it was entered; may be empty.
    """

    button: str = ""
    said: str = ""


def to_remember(one: Made) -> Remembering:
    """Return what may be remembered of what was entered.

    Parameters
    ----------
    one : Made
        What came of the address.

    Returns
    -------
    Remembering
        Empty where no kit and no client is named, or nothing of theirs was entered.
    """
    if one.asked is None or one.wrong:
        return Remembering()
    new: list[str] = []
    old: list[str] = []
    for kind, name in _names(one).items():
        texts = one.asked.given.texts("typed", keeps=kind)
        if name and texts:
            (old if _kept(one.asked, kind, texts) else new).append(
                words("plan.remember_what" if kind == "kit" else "plan.remember_client", name=name)
            )
    return Remembering(
        button=words("plan.remember", what=words("plan.and").join(new)) if new else "",
        said=words("plan.remembered", what=words("plan.and").join(old)) if old else "",
    )


def remember_now(kind: PlanKind, pairs: list[tuple[str, str]], store: Path | None) -> None:
    """Keep what was entered for the kit and the client that were named.

    Parameters
    ----------
    kind : {"sitter", "group", "burst"}
        What is planned.
    pairs : list of (str, str)
        What was entered.
    store : Path or None
        The store; None: the photographer's own.

    Raises
    ------
    InputError
        If it cannot be planned: what is wrong is not kept.
    StoreError
        If the store cannot be written.
    """
    one = made(kind, pairs, store)
    if one.asked is None or one.wrong:
        said = next(iter(one.wrong.values()), words("plan.cannot"))
        raise InputError(
            said.rstrip("."), where=next(iter(one.wrong), NO_PLACE), hint=words("plan.cannot_hint")
        )
    today = datetime.datetime.now().astimezone().date()
    remember(_names(one), one.asked.given, store, today=today)


def _names(one: Made) -> dict[str, str | None]:
    return {"kit": one.entered.named.kit, "client": one.entered.named.client}


def _kept(asked: Asked, kind: str, texts: dict[str, str]) -> bool:
    kept = dict(asked.kept[kind].typed) if kind in asked.kept else {}
    return all(kept.get(name) == text for name, text in texts.items())
