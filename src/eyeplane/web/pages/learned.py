"""All that sittings taught; forgetting it, labelling sittings, letting old ones count less."""

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Literal

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from eyeplane.asked.lessons import open_lessons
from eyeplane.asked.lessons_forget import Going, forget_lessons, label_sittings
from eyeplane.asked.names import check_name
from eyeplane.asked.taught import TaughtSitting, learned_now, names_taught, taught_sittings
from eyeplane.deliver.check_page import check_parts
from eyeplane.deliver.learned_content import learned_content
from eyeplane.errors import InputError
from eyeplane.sitting.lessons import refresh_learned
from eyeplane.store import Lessons
from eyeplane.web.forms import form_of
from eyeplane.web.instead import content_here
from eyeplane.web.page import page, site_of
from eyeplane.web.words import words

LABELS = ("sitter", "stabiliser", "focus_setting", "kit")
STABILISERS = ("", "on", "off", "tripod")
HALF_LIVES = ("0", "182", "365", "730")  # days; 0: all count alike
MOST_DAYS = 36_500.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a form wants forgotten.

    Attributes
    ----------
    what : str
        Which part: "all", "kit", "sitter", "sitting", "before".
    value : str
        Which one of them.
    going : Going
        The same, looked up.
    """

    what: Literal["all", "kit", "sitter", "sitting", "before"]
    value: str
    going: Going


def _learned(request: Request) -> Response:
    store = site_of(request).store_path
    numbers = learned_now(store)
    if numbers is None or not numbers.frames:
        return page(request, "learned.html.j2", told=False, sittings=(), kits=(), sitters=())
    with open_lessons(store) as lessons:
        sittings = taught_sittings(lessons)
        kits, sitters = names_taught(lessons)
        half = lessons.half_life_days()
    return page(
        request,
        "learned.html.j2",
        told=True,
        sittings=sittings,
        kits=kits,
        sitters=sitters,
        half=f"{half or 0:g}",
        halves=HALF_LIVES,
        stabilisers=STABILISERS,
        **check_parts(content_here(learned_content(numbers))),
    )


async def _forget(request: Request) -> Response:
    given = await form_of(request)
    return await run_in_threadpool(_forgotten, request, given)


def _forgotten(request: Request, given: Mapping[str, str]) -> Response:
    with open_lessons(site_of(request).store_path) as lessons:
        asked = _asked(lessons, given)
        if not given.get("sure"):
            return _ask(request, lessons, asked)
        forget_lessons(lessons, asked.going)
    return RedirectResponse("/learned", status_code=303)


def _ask(request: Request, lessons: Lessons, asked: Asked) -> Response:
    """Return the page that asks whether it is to go, with how much that is."""
    found: list[tuple[int, int]] = []

    def heard(frames: int, sittings: int) -> None:
        found.append((frames, sittings))
        raise _AskedError

    with suppress(_AskedError):
        forget_lessons(lessons, asked.going, ask=heard)
    (frames, sittings) = found[0]
    return page(request, "learned_sure.html.j2", asked=asked, frames=frames, sittings=sittings)


class _AskedError(Exception):
    """Ends forgetting where it would begin, once it is known how much would go."""


def _asked(lessons: Lessons, given: Mapping[str, str]) -> Asked:
    what, value = given.get("what", ""), given.get("value", "").strip()
    if what == "all":
        return Asked(what="all", value="", going=Going())
    if what == "kit" and value:
        return Asked(what="kit", value=value, going=Going(kit=value))
    if what == "sitter" and value:
        return Asked(what="sitter", value=value, going=Going(sitter=value))
    if what == "sitting":
        sitting = _sitting(lessons, value)
        return Asked(what="sitting", value=value, going=Going(folder=sitting.folder))
    if what == "before":
        return Asked(what="before", value=value, going=Going(before=_day(value)))
    raise InputError(
        words("learned.nothing_named"),
        where=words("learned.forget"),
        hint=words("learned.name_one"),
    )


async def _label(request: Request) -> Response:
    given = await form_of(request)
    await run_in_threadpool(_labelled, request, given)
    return RedirectResponse("/learned#sittings", status_code=303)


def _labelled(request: Request, given: Mapping[str, str]) -> None:
    labels = {name: " ".join(given[name].split()) for name in LABELS if name in given}
    for name, text in labels.items():
        check_name(text or None, words(f"learned.{name}"))
    if labels.get("stabiliser", "") not in STABILISERS:
        raise InputError(
            words("learned.no_stabiliser"),
            where=words("learned.stabiliser"),
            hint=words("learned.choose"),
        )
    with open_lessons(site_of(request).store_path) as lessons:
        sitting = _sitting(lessons, given.get("sitting", ""))
        label_sittings(lessons, sitting.folder, labels, where=sitting.name)


async def _half(request: Request) -> Response:
    given = await form_of(request)
    await run_in_threadpool(_halved, request, given.get("days", ""))
    return RedirectResponse("/learned", status_code=303)


def _halved(request: Request, text: str) -> None:
    if not (text.isascii() and text.isdigit() and len(text) < 6 and int(text) <= MOST_DAYS):
        raise InputError(
            words("learned.no_days"), where=words("learned.age"), hint=words("learned.choose")
        )
    with open_lessons(site_of(request).store_path) as lessons:
        refresh_learned(lessons, half_life_days=float(text))


def _sitting(lessons: Lessons, typed: str) -> TaughtSitting:
    found = next((one for one in taught_sittings(lessons) if one.id == typed), None)
    if found is None:
        raise InputError(
            words("learned.no_sitting"),
            where=words("learned.sitting"),
            hint=words("learned.choose"),
        )
    return found


def _day(text: str) -> datetime:
    try:
        return datetime.strptime(text, "%Y-%m-%d").replace(tzinfo=UTC)
    except ValueError as error:
        raise InputError(
            words("learned.no_day"), where=words("learned.before"), hint=words("learned.day_like")
        ) from error


routes = (
    Route("/learned", _learned),
    Route("/learned/forget", _forget, methods=["POST"]),
    Route("/learned/label", _label, methods=["POST"]),
    Route("/learned/half", _half, methods=["POST"]),
)
