"""How a check is done, and doing it: from frames of an open sitting, or from those to come."""

from collections.abc import Mapping
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from eyeplane.asked.checks import CheckDone
from eyeplane.asked.frames_typed import frames_typed
from eyeplane.asked.kept_checks import KIT_KINDS
from eyeplane.asked.sheets import MAKERS, sheet_named, sheet_words
from eyeplane.deliver.cautions import CLEANING
from eyeplane.deliver.glass_content import LAMP
from eyeplane.errors import InputError
from eyeplane.sitting.live import LiveSitting
from eyeplane.web.background import Heard, Result, background_of
from eyeplane.web.forms import form_of
from eyeplane.web.page import page, site_of
from eyeplane.web.site import NotHereError, Site
from eyeplane.web.words import words, words_under

CAUTIONS = {"dust": (CLEANING,), "glass": (CLEANING, LAMP)}


def _new(request: Request) -> Response:
    kind = _kind(request)
    if kind in MAKERS:
        told = sheet_words(sheet_named(kind, "A4"))
        steps, cautions = told.shooting, told.cautions
    else:
        found = words_under(f"kit.{kind}.how")
        steps, cautions = tuple(found[name] for name in sorted(found)), CAUTIONS[kind]
    site = site_of(request)
    return page(
        request,
        "kit_new.html.j2",
        kind=kind,
        steps=steps,
        cautions=cautions,
        sheet=kind in MAKERS,
        sittings=tuple(reversed(site.sittings())),
        last={one.key: one.state().last_number for one in site.sittings()},
    )


async def _run(request: Request) -> Response:
    kind, given = _kind(request), await form_of(request)
    number = await run_in_threadpool(_start, request, kind, given)
    return RedirectResponse(f"/kit/work?number={number}", status_code=303)


def _start(request: Request, kind: str, given: Mapping[str, str]) -> int:
    from eyeplane.asked.check_asked import (  # noqa: PLC0415  loads all that measures
        check_done,
        check_typed,
    )

    site = site_of(request)
    check_typed(kind, given)
    live = sitting_typed(site, given)
    last = live.state().given
    frames = frames_typed(given.get("frames", ""), last)
    typed = given.get("before", "").strip() if kind == "glass" else ""
    before = frames_typed(typed, last)[:1] if typed else ()
    numbers = tuple(one for one in frames if one not in before)
    if not numbers:
        raise InputError(
            "the frame from before wiping is the only one",
            where=words("kit_new.frames"),
            hint="Name the one from after wiping too",
        )

    def work(heard: Heard) -> Result:
        files = paths_of(live, (*numbers, *before))
        lone = files[len(numbers)] if before else None
        done = check_done(
            kind, files[: len(numbers)], given, before=lone, store=site.store_path, heard=heard
        )
        return result_of(done)

    return background_of(request).start(words(f"kit.{kind}.name"), work)


def result_of(done: CheckDone) -> Result:
    """Return where a finished check is shown, and what is told there once.

    Parameters
    ----------
    done : CheckDone
        The check.

    Returns
    -------
    Result
        The page of the kit where it was not kept.
    """
    top = "/steadiness/ladder" if done.kind == "ladder" else f"/kit/{done.kind}"
    return Result(where=f"{top}/{done.number}" if done.number else "/kit", said=done.said)


def paths_of(live: LiveSitting, numbers: tuple[int, ...]) -> list[Path]:
    """Return where frames of a sitting lie.

    Parameters
    ----------
    live : LiveSitting
        The sitting.
    numbers : tuple of int
        Of its frames.

    Returns
    -------
    list of Path
        In the same order.

    Raises
    ------
    InputError
        If one is not there any more.
    """
    found = {number: live.frame(number) for number in numbers}
    for number, one in found.items():
        if one is None:
            raise InputError(
                words("kit_new.not_there", number=number),
                where=words("kit_new.frames"),
                hint=words("kit_new.name_others"),
            )
    return [Path(one.frame.reading.path) for one in found.values() if one is not None]


def sitting_typed(site: Site, given: Mapping[str, str]) -> LiveSitting:
    """Return the sitting that a form names, or the current one.

    Parameters
    ----------
    site : Site
        With its open sittings.
    given : mapping of str to str
        Fields of the form.

    Returns
    -------
    LiveSitting
        Open.

    Raises
    ------
    InputError
        If none is open, or it is not.
    """
    key = given.get("sitting", "")
    if key:
        return site.sitting(key)
    live = site.current()
    if live is None:
        raise InputError(
            words("kit_new.no_sitting"),
            where=words("kit_new.sitting"),
            hint=words("kit_new.open_one"),
        )
    return live


def _kind(request: Request) -> str:
    kind = str(request.path_params["check"])
    if kind not in KIT_KINDS:
        raise NotHereError(
            words("kit.gone"), where=words("kit.address"), hint=words("kit.gone_hint")
        )
    return kind


routes = (
    Route("/kit/new/{check}", _new),
    Route("/kit/run/{check}", _run, methods=["POST"]),
)
