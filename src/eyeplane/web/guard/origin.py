"""Where a request comes from: changes only from this site's own pages.

Browsers say it in Origin (RFC 6454; Fetch standard, section 3.2), in Sec-Fetch-Site (Fetch Metadata
Request Headers, W3C; only where the address counts as trustworthy, so not on a studio's network)
and in Referer. No script of another site can forge any of them.
"""

from urllib.parse import urlsplit

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Receive, Scope, Send

from eyeplane.web.guard.hosts import read_host
from eyeplane.web.guard.refuse import refuse


def same_origin(headers: Headers, *, scheme: str) -> bool:
    """Return whether a change comes from a page of this site.

    Parameters
    ----------
    headers : Headers
        Of the request; its Host was found to be this machine's.
    scheme : str
        "http" or "https".

    Returns
    -------
    bool
        By Origin; where there is none by Sec-Fetch-Site, else by Referer. False if none says so.
    """
    host = headers.get("host", "")
    origin = headers.get("origin")
    if origin is not None:
        return len(headers.getlist("origin")) == 1 and _is_of(origin, host, scheme, whole=True)
    site = headers.get("sec-fetch-site")
    if site is not None:
        return site == "same-origin"
    return _is_of(headers.get("referer", ""), host, scheme, whole=False)


def asked_by_another(headers: Headers) -> bool:
    """Return whether a page of another site asks for something other than to be left for this one.

    Parameters
    ----------
    headers : Headers
        Of a request that changes nothing.

    Returns
    -------
    bool
        True for a picture, script or data that another site's page wants; false for somebody who
        follows a link, and where the browser does not say.
    """
    if headers.get("sec-fetch-site") not in {"cross-site", "same-site"}:
        return False
    followed = headers.get("sec-fetch-mode") == "navigate"
    return not (followed and headers.get("sec-fetch-dest") in {"document", "empty"})


class OwnOrigin:
    """An ASGI layer that lets changes through only from this site's own pages.

    Parameters
    ----------
    app : ASGIApp
        What stands behind it.
    """

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or turn it away.

        Parameters
        ----------
        scope : Scope
            The request.
        receive : Receive
            Where its body comes from.
        send : Send
            Where the answer goes.
        """
        if scope["type"] == "http":
            headers = Headers(scope=scope)
            if scope["method"] not in {"GET", "HEAD"}:
                if not same_origin(headers, scheme=scope.get("scheme", "http")):
                    await refuse(scope, receive, send, 403, "site.refused.origin")
                    return
            elif asked_by_another(headers):
                await refuse(scope, receive, send, 403, "site.refused.elsewhere")
                return
        await self.app(scope, receive, send)


def _is_of(address: str, host: str, scheme: str, *, whole: bool) -> bool:
    try:
        parts = urlsplit(address)
    except ValueError:
        return False
    if parts.scheme != scheme or (whole and address != f"{scheme}://{parts.netloc}"):
        return False
    named, own = read_host(parts.netloc, scheme=scheme), read_host(host, scheme=scheme)
    return named is not None and named == own
