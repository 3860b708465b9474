"""The list of sittings, and the way in."""

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from eyeplane.web.page import page, site_of


def _home(request: Request) -> Response:
    where = "/now" if site_of(request).current() else "/sittings"
    return RedirectResponse(where, status_code=303)


def _sittings(request: Request) -> Response:
    return page(request, "sittings.html.j2", sittings=site_of(request).sittings())


routes = (Route("/", _home), Route("/sittings", _sittings))
