"""Headers that every answer carries: what a browser may load, embed, remember and hand on."""

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

# Everything comes from this site; no inline script or style, no frame, no plug-in (CSP Level 3,
# W3C). data: and blob: images are the eye windows and what OpenSeadragon makes of tiles.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
    "connect-src 'self'; font-src 'self'; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'; object-src 'none'"
)
# A finished page of its own (a plan card, a report): its styles and pictures lie in it, it runs no
# script, posts nothing and counts as of no site.
PAPER_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; form-action 'none'; "
    "base-uri 'none'; frame-ancestors 'none'; object-src 'none'; sandbox"
)
# Features that pages here never use; only names that browsers know, else they complain (W3C,
# Permissions Policy). Sound and keeping the screen awake are used.
DENIED = (
    "accelerometer",
    "camera",
    "display-capture",
    "geolocation",
    "gyroscope",
    "magnetometer",
    "microphone",
    "midi",
    "payment",
    "usb",
)
ALWAYS = {
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    # With "no-referrer" browsers send "Origin: null" with forms of the site itself (Fetch standard,
    # section 3.2.5), which no same-origin check can tell from a foreign one. This one hands nothing
    # to other sites either.
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": ", ".join(f"{name}=()" for name in DENIED),
    "x-dns-prefetch-control": "off",
}


def secure(headers: MutableHeaders) -> None:
    """Put the headers of this site on an answer.

    Parameters
    ----------
    headers : MutableHeaders
        Of the answer; a policy of its own is kept only if it is `PAPER_POLICY`, and what says how
        long it may be kept stays.
    """
    for name, value in ALWAYS.items():
        headers[name] = value
    if headers.get("content-security-policy") != PAPER_POLICY:
        headers["content-security-policy"] = POLICY
    headers.setdefault("cache-control", "no-store")
    for name in list(headers):
        if name.startswith("access-control-"):
            del headers[name]


class Secured:
    """An ASGI layer that puts the headers on every answer.

    Parameters
    ----------
    app : ASGIApp
        What stands behind it.
    """

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request.

        Parameters
        ----------
        scope : Scope
            The request.
        receive : Receive
            Where its body comes from.
        send : Send
            Where the answer goes.
        """

        async def sent(message: Message) -> None:
            if message["type"] == "http.response.start":
                secure(MutableHeaders(scope=message))
            await send(message)

        await self.app(scope, receive, sent if scope["type"] == "http" else send)
