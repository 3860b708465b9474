"""Letting telephones and tablets in: a fresh code, shown to whoever is in already."""

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from eyeplane.errors import InputError
from eyeplane.web.forms import form_of
from eyeplane.web.guard.codes import CODE_LIFE
from eyeplane.web.guard.entry import let_in
from eyeplane.web.guard.hosts import LOOPBACK, read_host
from eyeplane.web.guard.machine import own_addresses
from eyeplane.web.page import page, site_of
from eyeplane.web.qr import qr_svg
from eyeplane.web.words import words

SAID = {"out": "studio.out_done"}


def ways_in(request: Request) -> tuple[str, ...]:
    """Return the addresses of this machine for a telephone.

    Parameters
    ----------
    request : Request
        Of who asks: by whichever address it came, that one stands first.

    Returns
    -------
    tuple of str
        Empty without a network.
    """
    host = read_host(request.headers.get("host", ""))
    found = own_addresses()
    if host is not None and host.name not in LOOPBACK:
        return tuple(dict.fromkeys((host.name, *found)))
    return found


def _studio(request: Request) -> Response:
    said = SAID.get(request.query_params.get("said", ""), "")
    return page(request, "studio.html.j2", ways=ways_in(request), drawing="", address="", said=said)


async def _asked(request: Request) -> Response:
    form = await form_of(request)
    site = site_of(request)
    if not site.studio:
        return RedirectResponse("/studio", status_code=303)
    if "out" in form:
        await run_in_threadpool(site.codes.end_all)
        site.streams.cut()  # what was let in before would be told of frames for ever
        alone = RedirectResponse("/studio?said=out", status_code=303)
        let_in(alone, await run_in_threadpool(site.codes.new_session))
        return alone
    ways = ways_in(request)
    place = form.get("way", "0")
    if not (place.isascii() and place.isdecimal() and len(place) < 4 and int(place) < len(ways)):
        raise InputError(
            f"{place[:40]!r} is none of them" if ways else "this machine is on no network",
            where="the address for the telephone",
            hint="Choose it on the page" if ways else "Join the studio's network and try again",
        )
    address = f"http://{ways[int(place)]}:{site.port}/enter?token={site.codes.new_code()}"
    return page(
        request,
        "studio.html.j2",
        ways=ways,
        drawing=qr_svg(address, name=words("studio.code")),
        address=address,
        minutes=int(CODE_LIFE.total_seconds() // 60),
        said="",
    )


routes = (
    Route("/studio", _studio),
    Route("/studio", _asked, methods=["POST"]),
)
