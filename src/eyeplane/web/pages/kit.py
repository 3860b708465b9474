"""The kit: what its checks found, what is due, and how each is done."""

from datetime import datetime

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from eyeplane.asked.kept_checks import DUE_DAYS, KIT_KINDS, KitChecks, all_kept, by_kit
from eyeplane.asked.sheets import LAMPS, MAKERS
from eyeplane.deliver.cautions import CLEANING
from eyeplane.records.printed import PAPERS_MM
from eyeplane.records.said import listed
from eyeplane.web.background import background_of
from eyeplane.web.instead import said_here
from eyeplane.web.page import page, site_of
from eyeplane.web.words import words


def day_words(when: datetime) -> str:
    """Return a day in words, by this machine's clock.

    Parameters
    ----------
    when : datetime
        With a time zone.

    Returns
    -------
    str
        Such as "26 November 2026".
    """
    here = when.astimezone()
    return words("kit.day", day=here.day, month=words(f"kit.month.{here.month}"), year=here.year)


def ago_words(days: int) -> str:
    """Return how long ago something was.

    Parameters
    ----------
    days : int
        Whole days.

    Returns
    -------
    str
        Such as "today" or "41 days ago".
    """
    return words("kit.today") if days == 0 else words("kit.ago", count=days)


def _kit(request: Request) -> Response:
    kept = all_kept(site_of(request).store_path)
    found = {kind: by_kit(kept, kind) for kind in KIT_KINDS}
    return page(
        request,
        "kit.html.j2",
        found=found,
        answer=_answer(found),
        day=day_words,
        ago=ago_words,
        said=said_here,
        due_days=DUE_DAYS,
        sheets=tuple(MAKERS),
        papers=tuple(PAPERS_MM),
        cautions=(CLEANING, LAMPS),
        work=background_of(request).now(),
    )


def _answer(found: dict[str, tuple[KitChecks, ...]]) -> str:
    """Return what is due, or that nothing is, in one sentence."""
    never = [kind for kind in KIT_KINDS if not found[kind]]
    if len(never) == len(KIT_KINDS):
        return words("kit.none")
    due = [kind for kind in KIT_KINDS if any(one.due for one in found[kind])]
    said = []
    if due:
        names = listed([words(f"kit.{kind}.short") for kind in due])
        said.append(words("kit.due", count=len(due), names=names))
    if never:
        names = listed([words(f"kit.{kind}.short") for kind in never])
        said.append(words("kit.never", names=names))
    return " ".join(said) or words("kit.nothing_due")


routes = (Route("/kit", _kit),)
