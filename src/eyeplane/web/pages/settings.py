"""How this device shows the pages: kept in cookies, so that each device has its own."""

import re

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from eyeplane.errors import InputError
from eyeplane.web import cookies
from eyeplane.web.forms import form_of
from eyeplane.web.page import page
from eyeplane.web.seen import SETTINGS, seen_by, settings_of
from eyeplane.web.words import words_under

BACK = re.compile(r"/[a-z0-9]+(?:/[a-z0-9]+)*", re.ASCII)
KEPT = {"kept": "settings.kept", "usual": "settings.usual_again"}


def _settings(request: Request) -> Response:
    return page(
        request,
        "settings.html.j2",
        settings=SETTINGS,
        stands=settings_of(seen_by(request)),
        more=words_under("settings.more"),
        said=KEPT.get(request.query_params.get("said", ""), ""),
    )


async def _keep(request: Request) -> Response:
    form = await form_of(request)
    back = form.get("back", "")
    if not BACK.fullmatch(back):  # only to a page of this site, whatever was sent
        back = ""
    if "usual" in form:
        usual = RedirectResponse(back or "/settings?said=usual", status_code=303)
        for name in SETTINGS:
            cookies.drop(usual, name)
        return usual
    kept = RedirectResponse(back or "/settings?said=kept", status_code=303)
    for name, values in SETTINGS.items():
        given = form.get(name)
        if given is None:
            continue
        if given not in values:
            raise InputError(
                f"{given[:40]!r} is none of {', '.join(values)}",
                where=f"the setting {name}",
                hint="Choose it on the page",
            )
        cookies.keep(kept, name, given)
    return kept


routes = (
    Route("/settings", _settings),
    Route("/settings", _keep, methods=["POST"]),
)
