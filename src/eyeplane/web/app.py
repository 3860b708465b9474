"""The application: every page's routes, and how failures are answered."""

from starlette.applications import Starlette
from starlette.datastructures import MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import PlainTextResponse, Response

from eyeplane.deliver import plain_text
from eyeplane.errors import EyeplaneError, StoreError
from eyeplane.web import static_files
from eyeplane.web.guard.headers import secure
from eyeplane.web.guard.layers import guard_layers
from eyeplane.web.page import page
from eyeplane.web.pages import all_routes
from eyeplane.web.site import NotHereError, Site
from eyeplane.web.words import words

# What is said of a status that a page, or what stands before it, answers with.
SAID = {
    400: "site.trouble.request",
    403: "site.refused.origin",
    404: "site.trouble.missing",
    405: "site.trouble.method",
    413: "site.trouble.large",
    429: "site.trouble.busy",
    503: "site.trouble.busy",
}
FAILED = "site.trouble.failed"


def make_app(site: Site) -> Starlette:
    """Return the site as an ASGI application.

    Parameters
    ----------
    site : Site
        Its state.

    Returns
    -------
    Starlette
        The application, behind its guard.
    """
    app = Starlette(
        routes=[*static_files.routes, *all_routes()],
        middleware=guard_layers(site),
        exception_handlers={
            EyeplaneError: _told,
            HTTPException: _missing,
            ClientDisconnect: _gone,
            Exception: _failed,
        },
    )
    app.state.site = site
    return app


def _told(request: Request, error: Exception) -> Response:
    status = 404 if isinstance(error, NotHereError) else 422
    if isinstance(error, StoreError):
        status = 503
    if not isinstance(error, EyeplaneError):  # starlette asks by class, so it always is
        return _failed(request, error)
    return page(
        request,
        "trouble.html.j2",
        status=status,
        where=plain_text(error.where),
        said=f"{plain_text(error.what)}.",
        hint=f"{plain_text(error.hint)}.",
    )


def _missing(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    said = SAID.get(status, "site.trouble.request" if status < 500 else FAILED)
    answer = page(
        request,
        "trouble.html.j2",
        status=status,
        said=words(said),
        hint=words(f"{said}_hint"),
    )
    answer.headers.update((error.headers or {}) if isinstance(error, HTTPException) else {})
    return answer


def _gone(request: Request, error: Exception) -> Response:
    """Answer whoever went before their form had come whole: it is no fault of ours to tell."""
    del request, error
    return Response(status_code=400)


def _failed(request: Request, error: Exception) -> Response:
    """Tell that something failed without telling what: that stands in the terminal."""
    del error
    said = words(FAILED), words(f"{FAILED}_hint")
    answer: Response
    try:
        answer = page(request, "trouble.html.j2", status=500, said=said[0], hint=said[1])
    except Exception:  # noqa: BLE001  whatever made the page fail may make this one fail too
        answer = PlainTextResponse("\n".join(said), status_code=500)
    secure(MutableHeaders(raw=answer.raw_headers))  # this one is made outside the guard
    return answer
