"""One kept check: all that it told, with its drawings."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from eyeplane.asked.kept_checks import TELLERS, content_of, one_kept
from eyeplane.deliver.check_page import check_parts
from eyeplane.web.background import background_of
from eyeplane.web.instead import content_here, said_here
from eyeplane.web.page import page, site_of
from eyeplane.web.pages.kit import day_words
from eyeplane.web.site import NotHereError
from eyeplane.web.words import words

LONGEST = 19  # digits of an address: the largest number of a row has as many


def check_page(request: Request, kind: str, typed: str) -> Response:
    """Return the page of a kept check.

    Parameters
    ----------
    request : Request
        The request.
    kind : str
        Which check.
    typed : str
        Its number as it stands in the address.

    Returns
    -------
    Response
        Where it can be read no more, a page that says so.

    Raises
    ------
    NotHereError
        If there is none.
    """
    number = int(typed) if typed.isascii() and typed.isdigit() and len(typed) < LONGEST else 0
    kept = one_kept(kind, number, site_of(request).store_path)
    if kept is None:
        raise NotHereError(
            words("kit.gone"), where=words("kit.address"), hint=words("kit.gone_hint")
        )
    content = content_of(kept)
    parts = {} if content is None else check_parts(content_here(content))
    newest = background_of(request).now()
    fresh = newest is not None and newest.where == request.url.path
    return page(
        request,
        "kit_check.html.j2",
        fresh=[said_here(one) for one in newest.said] if newest is not None and fresh else [],
        kept=kept,
        day=day_words(kept.done_at),
        told=content is not None,
        back="/steadiness" if kind == "ladder" else "/kit",
        **parts,
    )


def _check(request: Request) -> Response:
    return check_page(request, request.url.path.split("/")[2], request.path_params["id"])


routes = tuple(Route(f"/kit/{kind}/{{id}}", _check) for kind in TELLERS)
