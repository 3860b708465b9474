"""Checks as the log keeps them, told again; and which are due."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from eyeplane.deliver.chart_content import chart_content
from eyeplane.deliver.check_content import CheckContent
from eyeplane.deliver.dust_content import dust_content
from eyeplane.deliver.focus_content import focus_content
from eyeplane.deliver.glass_content import glass_content
from eyeplane.deliver.ladder_content import ladder_content
from eyeplane.records import from_plain
from eyeplane.records.kit_chart import ChartResult
from eyeplane.records.kit_dust import DustResult
from eyeplane.records.kit_focus import FocusTargetResult
from eyeplane.records.kit_glass import GlassResult
from eyeplane.records.ladder import LadderResult
from eyeplane.store import KeptCheck, KitLog, default_store_path
from eyeplane.store.remembered import name_key

NO_PIECES = "The pieces of frames that the check showed are not kept, so they are not shown here."
TELLERS: dict[str, tuple[type, Callable[[Any], CheckContent]]] = {
    "dust": (DustResult, dust_content),
    "glass": (GlassResult, glass_content),
    "focus": (FocusTargetResult, focus_content),
    "chart": (ChartResult, chart_content),
    "ladder": (LadderResult, ladder_content),
}
KIT_KINDS = ("dust", "glass", "focus", "chart")  # in the order in which they are shown
# Days after which a check is suggested again. Common practice, no source: sensor and glass are
# looked at before a job (trade: "check before the job"), focus and sharpness when something
# changed (a new lens, a knock, a repair), so that a half year and a year only remind of it.
DUE_DAYS = {"dust": 30, "glass": 30, "focus": 182, "chart": 365}


@dataclass(frozen=True, slots=True, kw_only=True)
class KitChecks:
    """The checks of one kind of one kit.

    Attributes
    ----------
    kit : str
        As it was named last.
    newest : KeptCheck
        The one that counts.
    content : CheckContent or None
        What it tells; None where it was kept by another eyeplane and cannot be read.
    older : tuple of KeptCheck
        Latest first.
    days : int
        Since the newest.
    due : bool
        Whether it is suggested again.
    """

    kit: str
    newest: KeptCheck
    content: CheckContent | None
    older: tuple[KeptCheck, ...]
    days: int
    due: bool


def content_of(kept: KeptCheck) -> CheckContent | None:
    """Return what a kept check tells.

    Parameters
    ----------
    kept : KeptCheck
        As the log has it.

    Returns
    -------
    CheckContent or None
        The same words and drawings as when it was done, without pieces of frames; None where it
        is of no kind that tells anything, or of another eyeplane's form.
    """
    if kept.kind not in TELLERS:
        return None
    kind, told = TELLERS[kept.kind]
    try:
        content = told(from_plain(kind, kept.result))
    except (AttributeError, IndexError, KeyError, TypeError, ValueError):
        return None
    if kept.kind in {"dust", "glass"}:
        content = replace(content, notes=(*content.notes, NO_PIECES))
    return content


def one_kept(kind: str, number: int, store: Path | None) -> KeptCheck | None:
    """Return a kept check.

    Parameters
    ----------
    kind : str
        Which.
    number : int
        By which the log has it.
    store : Path or None
        The store; None: the photographer's own.

    Returns
    -------
    KeptCheck or None
        None if there is none.

    Raises
    ------
    StoreError
        If the store cannot be used.
    """
    with KitLog(store or default_store_path()) as log:
        return log.one(kind, number)


def all_kept(store: Path | None, kind: str | None = None) -> tuple[KeptCheck, ...]:
    """Return the checks that are kept.

    Parameters
    ----------
    store : Path or None
        The store; None: the photographer's own.
    kind : str or None
        Only of this kind.

    Returns
    -------
    tuple of KeptCheck
        Oldest first.

    Raises
    ------
    StoreError
        If the store cannot be used.
    """
    with KitLog(store or default_store_path()) as log:
        return log.all(kind)


def by_kit(
    kept: Sequence[KeptCheck], kind: str, *, now: datetime | None = None
) -> tuple[KitChecks, ...]:
    """Return the checks of one kind, kit by kit.

    Parameters
    ----------
    kept : sequence of KeptCheck
        Oldest first; of any kinds.
    kind : str
        Which is wanted.
    now : datetime or None
        From when days are counted; None: from now.

    Returns
    -------
    tuple of KitChecks
        The kit that was checked last first.
    """
    now = now or datetime.now(tz=UTC)
    kits: dict[str, list[KeptCheck]] = {}
    for one in kept:
        if one.kind == kind:
            kits.setdefault(name_key(one.kit), []).append(one)
    found = []
    for checks in kits.values():
        newest = checks[-1]
        days = max((now - newest.done_at).days, 0)
        found.append(
            KitChecks(
                kit=newest.kit,
                newest=newest,
                content=content_of(newest),
                older=tuple(reversed(checks[:-1])),
                days=days,
                due=days >= DUE_DAYS.get(kind, days + 1),
            )
        )
    return tuple(sorted(found, key=lambda one: one.newest.done_at, reverse=True))
