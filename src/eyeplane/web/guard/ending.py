"""Streams of events: so many at once, and all of them end when the site does."""

import anyio
import anyio.lowlevel
from starlette.datastructures import Headers
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from eyeplane.web.guard.refuse import refuse
from eyeplane.web.guard.streams import Streams


class Ending:
    """An ASGI layer that knows the streams of events and can end them.

    Parameters
    ----------
    app : ASGIApp
        What stands behind it.
    streams : Streams
        Where they are counted.
    """

    def __init__(self, app: ASGIApp, *, streams: Streams) -> None:
        self.app, self.streams = app, streams

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
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        begun = finished = over = False
        with anyio.CancelScope() as stream:

            async def sent(message: Message) -> None:
                nonlocal begun, finished, over
                if over:  # answered already: what streams on stops here
                    await anyio.lowlevel.checkpoint()
                    return
                if message["type"] == "http.response.start" and _is_stream(message):
                    if scope["method"] == "HEAD":  # the headers are all that was asked for
                        await send(message)
                        await send({"type": "http.response.body", "body": b""})
                        over = True
                    elif not self.streams.add(stream):
                        await refuse(scope, receive, send, 503, "site.trouble.busy")
                        over = True
                    if over:
                        stream.cancel()
                        return
                    begun = True
                await send(message)
                finished = message["type"] == "http.response.body" and not message.get("more_body")

            try:
                await self.app(scope, receive, sent)
            finally:
                self.streams.drop(stream)
        if begun and not finished:
            await send({"type": "http.response.body", "body": b"", "more_body": False})


def _is_stream(message: Message) -> bool:
    kind = Headers(raw=message["headers"]).get("content-type", "")
    return kind.startswith("text/event-stream")
