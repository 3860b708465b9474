"""The plan: an answer that follows every field and everything that is dragged."""

from functools import partial
from typing import Any, cast
from urllib.parse import parse_qsl, urlencode

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from eyeplane.asked.plan_request import PlanKind
from eyeplane.errors import InputError
from eyeplane.web.forms import form_of
from eyeplane.web.page import markup, page, site_of
from eyeplane.web.pages.plan_fields import PARTS, fields_of, form_parts, slider_data
from eyeplane.web.pages.plan_made import NO_PLACE, Made, made
from eyeplane.web.pages.plan_remembered import remember_now, to_remember
from eyeplane.web.pages.plan_shown import as_data, drawn_data, shown
from eyeplane.web.seen import seen_by
from eyeplane.web.words import words

KINDS: tuple[PlanKind, ...] = ("sitter", "group", "burst")
OWN = ("quick", "paper", "kind")  # of the pages themselves, no part of a plan
VIEW = "view-"


def _plan(request: Request) -> Response:
    del request
    return RedirectResponse("/plan/sitter", status_code=303)


def _kind(kind: PlanKind, request: Request) -> Response:
    pairs = request.query_params.multi_items()
    if any(not text.strip() for _, text in pairs):  # a form sends what was left open, too
        kept = [(name, text) for name, text in pairs if text.strip()]
        return RedirectResponse(address_of(kind, kept), status_code=303)
    one = made(kind, plan_pairs(pairs), site_of(request).store_path)
    return page(
        request,
        "plan.html.j2",
        status=422 if one.wrong else 200,
        kind=kind,
        kinds=KINDS,
        parts=form_parts(one, inches=inches_of(request)),
        wrong=one.wrong,
        nowhere=one.wrong.get(NO_PLACE, "") or _stray(one),
        as_data=as_data,
        **_kept(one, request),
        **shown(one, {}),
    )


def _kept(one: Made, request: Request) -> dict[str, Any]:
    """Return what can be done with a plan."""
    return {
        "query": urlencode(list(one.entered.texts.items())),
        "remembering": to_remember(one),
        "sittings": site_of(request).sittings(),
    }


def inches_of(request: Request) -> bool:
    """Return whether a visitor thinks of prints in inches.

    Parameters
    ----------
    request : Request
        The request.

    Returns
    -------
    bool
        By their settings.
    """
    return seen_by(request).figures.lengths == "inch"


def _stray(one: Made) -> str:
    """Return what is wrong with something that the form has no field for."""
    known = {name for _, seen, more in PARTS[one.entered.kind] for name in (*seen, *more)}
    return next((said for name, said in one.wrong.items() if name not in known), "")


def _piece(kind: PlanKind, request: Request) -> Response:
    pairs = request.query_params.multi_items()
    one = made(kind, plan_pairs(pairs), site_of(request).store_path)
    views = {name.removeprefix(VIEW): text for name, text in pairs if name.startswith(VIEW)}
    told: dict[str, Any] = {
        "wrong": dict(one.wrong),
        "nowhere": one.wrong.get(NO_PLACE, "") or _stray(one),
        "address": address_of(kind, list(one.entered.texts.items())),
    }
    if one.wrong:
        return JSONResponse(told, status_code=422)
    whole = request.query_params.get("quick") != "yes"
    seen = shown(one, views, whole=whole)
    figures = seen_by(request).figures
    names = ["answer", "best", "care"]
    if whole:
        names += ["rest", "kept"]
        seen |= _kept(one, request)
        told["fields"] = slider_data(fields_of(one, inches=inches_of(request)))
        told["said"] = figures.text(seen["sentence"])
    told["parts"] = {
        name: markup(request, f"plan_{name}.html.j2", kind=kind, **seen) for name in names
    }
    told["drawings"] = drawn_data(seen["drawings"], figures)
    return JSONResponse(told)


async def _remember(request: Request) -> Response:
    form = await form_of(request)
    kind = cast("PlanKind", form.get("kind") if form.get("kind") in KINDS else "sitter")
    try:
        pairs = parse_qsl(form.get("plan", ""), max_num_fields=200)
    except ValueError as error:
        raise InputError(
            words("plan.cannot").rstrip("."), where=NO_PLACE, hint=words("plan.cannot_hint")
        ) from error
    await run_in_threadpool(remember_now, kind, pairs, site_of(request).store_path)
    return RedirectResponse(address_of(kind, pairs), status_code=303)


def plan_pairs(pairs: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """Return what of an address belongs to the plan.

    Parameters
    ----------
    pairs : list of (str, str)
        All that stands in it.

    Returns
    -------
    list of (str, str)
        Without what the pages themselves put there.
    """
    return [(n, t) for n, t in pairs if n not in OWN and not n.startswith(VIEW)]


def address_of(kind: PlanKind, pairs: list[tuple[str, str]]) -> str:
    """Return the address that holds a plan.

    Parameters
    ----------
    kind : {"sitter", "group", "burst"}
        What is planned.
    pairs : list of (str, str)
        What was entered.

    Returns
    -------
    str
        A path on this site.
    """
    return f"/plan/{kind}?{urlencode(pairs)}" if pairs else f"/plan/{kind}"


routes = (
    Route("/plan", _plan),
    Route("/plan/remember", _remember, methods=["POST"]),
    *(
        route
        for kind in KINDS
        for route in (
            Route(f"/plan/{kind}", partial(_kind, kind), name=f"plan-{kind}"),
            Route(f"/plan/{kind}/piece", partial(_piece, kind), name=f"piece-{kind}"),
        )
    ),
)
