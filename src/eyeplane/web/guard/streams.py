"""Streams of events: so many at once, and all of them end when the site does."""

import anyio
from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST = 64  # streams at once; a studio has a handful of devices with a few pages each


class Streams:
    """The streams that are open; used from the server's own thread alone."""

    def __init__(self) -> None:
        self._open: set[anyio.CancelScope] = set()
        self._ended = False

    def __len__(self) -> int:
        return len(self._open)

    def add(self, stream: anyio.CancelScope) -> None:
        """Count a stream in.

        Parameters
        ----------
        stream : CancelScope
            By which it can be ended.

        Raises
        ------
        HTTPException
            503 if there are too many, or the site is about to end.
        """
        if self._ended or len(self._open) >= MOST:
            raise HTTPException(503)
        self._open.add(stream)

    def drop(self, stream: anyio.CancelScope) -> None:
        """Count a stream out; one that was never counted in is no trouble.

        Parameters
        ----------
        stream : CancelScope
            As added.
        """
        self._open.discard(stream)

    def end(self) -> None:
        """End all streams, and let no other begin."""
        self._ended = True
        for stream in tuple(self._open):
            stream.cancel()


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
        started = finished = False
        with anyio.CancelScope() as stream:

            async def sent(message: Message) -> None:
                nonlocal started, finished
                if message["type"] == "http.response.start":
                    kind = Headers(raw=message["headers"]).get("content-type", "")
                    if kind.startswith("text/event-stream"):
                        if scope["method"] == "HEAD":  # the headers are all that was asked for
                            await send(message)
                            await send({"type": "http.response.body", "body": b""})
                            stream.cancel()
                            return
                        self.streams.add(stream)
                        started = True
                await send(message)
                finished = message["type"] == "http.response.body" and not message.get("more_body")

            try:
                await self.app(scope, receive, sent)
            finally:
                self.streams.drop(stream)
        if started and not finished:
            await send({"type": "http.response.body", "body": b"", "more_body": False})
