"""The help: our own keys, page by page."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from eyeplane.web.keys import keys_of, pages_with_keys
from eyeplane.web.page import page
from eyeplane.web.words import all_words


def _keys(request: Request) -> Response:
    known = all_words()
    return page(
        request,
        "keys.html.j2",
        everywhere=keys_of("site"),
        pages=[(known[f"{name}.title"], keys_of(name)) for name in pages_with_keys()],
    )


routes = (Route("/keys", _keys),)
