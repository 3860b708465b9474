"""A check that is being worked out: how far it is, and where its result is."""

from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from eyeplane.web.background import background_of
from eyeplane.web.instead import said_here
from eyeplane.web.page import markup, page

STOP_ASKING = 286  # htmx polls no more when it gets this status


def _work(request: Request) -> Response:
    standing = background_of(request).now()
    if standing is not None and standing.where:
        return RedirectResponse(standing.where, status_code=303)
    return page(request, "kit_work.html.j2", standing=standing, said=said_here)


def _piece(request: Request) -> Response:
    standing = background_of(request).now()
    text = markup(request, "kit_work_piece.html.j2", standing=standing, said=said_here)
    going = standing is not None and standing.running
    headers = {"hx-redirect": standing.where} if standing is not None and standing.where else {}
    return HTMLResponse(text, status_code=200 if going else STOP_ASKING, headers=headers)


routes = (Route("/kit/work", _work), Route("/kit/work/piece", _piece))
