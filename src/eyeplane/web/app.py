"""The application: every page's routes, and how failures are answered."""

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from eyeplane.errors import EyeplaneError, StoreError
from eyeplane.web import static_files
from eyeplane.web.page import page
from eyeplane.web.pages import all_routes
from eyeplane.web.site import NotHereError, Site
from eyeplane.web.words import words


def make_app(site: Site) -> Starlette:
    """Return the site as an ASGI application.

    Parameters
    ----------
    site : Site
        Its state.

    Returns
    -------
    Starlette
        The application.
    """
    app = Starlette(
        routes=[*static_files.routes, *all_routes()],
        exception_handlers={EyeplaneError: _told, HTTPException: _missing},
    )
    app.state.site = site
    return app


def _told(request: Request, error: Exception) -> Response:
    status = 404 if isinstance(error, NotHereError) else 422
    if isinstance(error, StoreError):
        status = 503
    return page(request, "trouble.html.j2", status=status, said=str(error), hint="")


def _missing(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    said = words("site.trouble.method" if status == 405 else "site.trouble.missing")
    return page(
        request,
        "trouble.html.j2",
        status=status,
        said=said,
        hint=words("site.trouble.missing_hint"),
    )
