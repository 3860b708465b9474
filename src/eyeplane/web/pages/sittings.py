"""The list of sittings, and the way in."""

from dataclasses import dataclass
from datetime import datetime

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from eyeplane.deliver import plain_text
from eyeplane.web.forms import form_of
from eyeplane.web.page import page, site_of
from eyeplane.web.site import Site


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """A sitting as the list shows it.

    Attributes
    ----------
    key : str
        Its name in addresses.
    name : str
        What it is called.
    frames : int
        How many it has.
    used_at : datetime or None
        When it was open last, in the time of this machine; None: unknown.
    there : bool
        Whether its folder can be reached now.
    """

    key: str
    name: str
    frames: int
    used_at: datetime | None = None
    there: bool = True


def listed(site: Site) -> tuple[list[Listed], list[Listed]]:
    """Return the sittings of a site.

    Parameters
    ----------
    site : Site
        The site.

    Returns
    -------
    tuple of list of Listed
        Those that are open, the current one first; and all others that are known, the one used
        last first.

    Raises
    ------
    StoreError
        If the store cannot be read.
    """
    opened = [
        Listed(key=live.key, name=plain_text(live.name), frames=live.state().frames)
        for live in reversed(site.sittings())
    ]
    keys = {one.key for one in opened}
    others = [
        Listed(
            key=one.key,
            name=plain_text(one.name),
            frames=one.frames,
            used_at=one.used_at and one.used_at.astimezone(),
            there=one.there,
        )
        for one in site.known()
        if one.key not in keys
    ]
    return opened, others


def _home(request: Request) -> Response:
    where = "/now" if site_of(request).current() else "/sittings"
    return RedirectResponse(where, status_code=303)


def _sittings(request: Request) -> Response:
    opened, others = listed(site_of(request))
    return page(request, "sittings.html.j2", opened=opened, others=others)


async def _open(request: Request) -> Response:
    key = (await form_of(request)).get("key", "")
    await run_in_threadpool(site_of(request).open_known, key)
    return RedirectResponse("/now", status_code=303)


routes = (
    Route("/", _home),
    Route("/sittings", _sittings),
    Route("/sittings/open", _open, methods=["POST"]),
)
