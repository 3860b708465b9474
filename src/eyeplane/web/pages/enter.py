"""The way in for a device: a one-time code becomes a session.

Looking at the address uses nothing up: cameras and messengers look ahead at what they were given.
"""

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from eyeplane.web.forms import form_of
from eyeplane.web.guard.codes import LETTERS
from eyeplane.web.guard.entry import address_of, let_in
from eyeplane.web.page import page, site_of
from eyeplane.web.words import words


def _enter(request: Request) -> Response:
    if not site_of(request).studio:
        return RedirectResponse("/", status_code=303)
    token = request.query_params.get("token", "")
    whole = len(token) == LETTERS and token.isascii()
    return page(request, "enter.html.j2", token=token if whole else "", said="")


async def _let_in(request: Request) -> Response:
    site = site_of(request)
    if not site.studio:
        return RedirectResponse("/", status_code=303)
    token = (await form_of(request)).get("token", "")
    address = address_of(request.scope)
    wait_s = site.tries.wait_s(address)
    if wait_s:
        said = words("enter.wait", count=-(-wait_s // 60))
        answer = page(request, "enter.html.j2", status=429, token="", said=said)
        answer.headers["retry-after"] = str(wait_s)
        return answer
    session = await run_in_threadpool(site.codes.exchange, token)
    if session is None:
        return page(request, "enter.html.j2", status=403, token="", said=words("enter.wrong"))
    site.tries.succeeded(address)
    inside = RedirectResponse("/", status_code=303)
    let_in(inside, session)
    return inside


routes = (
    Route("/enter", _enter),
    Route("/enter", _let_in, methods=["POST"]),
)
