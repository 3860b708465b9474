"""The stream of events of the Now page: every frame that lands, once, in order, with its number.

Nothing is kept for a listener but the number it knows last: what landed since is read from the
sitting when there is room on the line. A telephone that sleeps costs a few kilobytes, however much
lands meanwhile, and is told everything in order when it wakes.
"""

import asyncio
import json
import time
from collections.abc import AsyncGenerator, AsyncIterator, Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse
from starlette.routing import Route

from eyeplane.sitting.live import LiveSitting
from eyeplane.web.page import site_of
from eyeplane.web.pages.now_eye import number_in
from eyeplane.web.pages.now_journal import Entry, entries_after
from eyeplane.web.seen import Seen, seen_by
from eyeplane.web.site import Site

RETRY_MS = 1000  # what a browser waits before it comes again
QUIET_S = 5.0  # a sign of life after so long without news; the page waits for two and a half
LOOK_S = 1.0  # how often it is looked whether the sitting is still the current one
BATCH = 25  # frames read at a time


@dataclass(slots=True)
class Listener:
    """One open page.

    Attributes
    ----------
    site : Site
        The site.
    live : LiveSitting or None
        The sitting it shows; None: there is none yet.
    last : int
        The frame it knows last.
    seen : Seen
        How the visitor sees pages.
    revision : int
        How the sitting stood when it was shown; −1: not known.
    """

    site: Site
    live: LiveSitting | None
    last: int
    seen: Seen
    revision: int = -1
    _changed: asyncio.Event = field(default_factory=asyncio.Event)

    async def told(self) -> AsyncGenerator[str]:
        """Yield all that is told, until the visitor goes or the site stops.

        Yields
        ------
        str
            Events as of the standard (WHATWG HTML, section 9.2, server-sent events).
        """
        end = self._listen()
        spoke_s = time.monotonic()
        try:
            yield f"retry: {RETRY_MS}\n\n" + beat()
            while not self._over():
                async for event in self._news():
                    spoke_s = time.monotonic()
                    yield event
                if time.monotonic() - spoke_s >= QUIET_S:
                    spoke_s = time.monotonic()
                    yield beat()
                await self._wait()
            if not self._closing():
                yield event_of("anew", {})
        finally:
            end()

    async def _news(self) -> AsyncIterator[str]:
        """Yield the frames that landed since, then how the sitting stands if that changed."""
        if self.live is None:
            return
        self._changed.clear()
        revision = self.live.state().revision
        while entries := await run_in_threadpool(entries_after, self.live, self.last, BATCH):
            for entry in entries:
                self.last = entry.number
                yield event_of("frame", told_of(entry, self.seen), number=entry.number)
        if revision != self.revision:
            self.revision = revision
            yield event_of("state", {"revision": revision})

    async def _wait(self) -> None:
        try:
            await asyncio.wait_for(self._changed.wait(), LOOK_S)
        except TimeoutError:
            return

    def _over(self) -> bool:
        """Return whether what the page shows is no longer the current sitting, or its journal."""
        if self._closing() or self.site.current() is not self.live:
            return True
        return self.live is not None and self.live.state().given < self.last

    def _closing(self) -> bool:
        return self.site.closing.is_set()

    def _listen(self) -> Callable[[], None]:
        if self.live is None:
            return lambda: None
        loop, changed = asyncio.get_running_loop(), self._changed

        def heard() -> None:
            try:
                loop.call_soon_threadsafe(changed.set)
            except RuntimeError:  # the site has stopped; nobody listens any more
                return

        return self.live.listen(heard)


def told_of(entry: Entry, seen: Seen) -> dict[str, object]:
    """Return a frame as the page's scripts are told of it.

    Parameters
    ----------
    entry : Entry
        The frame.
    seen : Seen
        How the visitor sees pages.

    Returns
    -------
    dict
        Its line, whether it holds, the sentence, and how old it is in seconds; None for a frame
        that lay there before.
    """
    age_s = None
    if entry.landed_at is not None:
        age_s = round((datetime.now(tz=UTC) - entry.landed_at).total_seconds(), 2)
    return {
        "said": seen.figures.text(entry.said),
        "holds": entry.holds,
        "sentence": seen.figures.text(entry.sentence),
        "age_s": age_s,
        "sent_s": round(time.time(), 3),
    }


def event_of(name: str, data: dict[str, object], *, number: int | None = None) -> str:
    """Return one event.

    Parameters
    ----------
    name : str
        What it is.
    data : dict
        What it says; one line of JSON, so that no text can break out of it.
    number : int or None
        The frame it is about: its id.

    Returns
    -------
    str
        With its empty line.
    """
    start = "" if number is None else f"id: {number}\n"
    return f"{start}event: {name}\ndata: {json.dumps(data)}\n\n"


def beat() -> str:
    """Return a sign of life.

    Returns
    -------
    str
        A comment for what lies between, an event for the page: scripts never see comments.
    """
    return f": here\n{event_of('beat', {'sent_s': round(time.time(), 3)})}"


def known_number(request: Request) -> int:
    """Return the frame that a visitor knows last.

    Parameters
    ----------
    request : Request
        With the header Last-Event-ID (a browser that comes again by itself), else with `after`.

    Returns
    -------
    int
        The later of both; 0 where neither is a number.
    """
    said = (request.headers.get("last-event-id", ""), request.query_params.get("after", ""))
    return max(number_in(text) or 0 for text in said)


async def _events(request: Request) -> Response:
    site, key = site_of(request), request.query_params.get("sitting", "")
    live = site.current()
    known = known_number(request)
    revision = number_in(request.query_params.get("revision", ""))
    listener = Listener(
        site=site,
        live=live,
        last=known,
        seen=seen_by(request),
        revision=-1 if revision is None else revision,
    )
    mine = key == ("" if live is None else live.key)
    told = listener.told() if mine else _once(event_of("anew", {}))
    return StreamingResponse(
        told,
        media_type="text/event-stream",
        headers={"cache-control": "no-store", "x-accel-buffering": "no"},
    )


async def _once(event: str) -> AsyncGenerator[str]:
    yield event


routes = (Route("/now/events", _events),)
