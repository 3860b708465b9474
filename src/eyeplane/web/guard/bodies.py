"""How much a request may send: as much as the largest form here, and no more."""

from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from eyeplane.web.forms import FORM_LIMIT_BYTES
from eyeplane.web.guard.refuse import refuse


class Bounded:
    """An ASGI layer that turns away what is too large, announced or not.

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
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        announced = Headers(scope=scope).get("content-length", "0")
        if not announced.isdecimal():
            await refuse(scope, receive, send, 400, "site.trouble.request")
            return
        if len(announced) > 9 or int(announced) > FORM_LIMIT_BYTES:
            await refuse(scope, receive, send, 413, "site.trouble.large")
            return
        came = 0

        async def counted() -> Message:
            nonlocal came
            message = await receive()
            came += len(message.get("body", b""))
            if came > FORM_LIMIT_BYTES:  # it was sent in pieces, without saying how much
                raise HTTPException(413)
            return message

        await self.app(scope, counted, send)
