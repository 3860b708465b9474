"""The stream of events: no frame skipped, none told twice, nothing kept for who does not listen."""

import asyncio
import json
import socket
import threading
import time
from collections.abc import AsyncIterator, Callable
from contextlib import aclosing
from dataclasses import replace
from types import ModuleType
from typing import Any

import pytest
from starlette.requests import Request
from tests.browser.web.looking import serving

from eyeplane.records import FrameReading
from eyeplane.sitting.live import LiveSitting
from eyeplane.web import Site
from eyeplane.web.figures import Figures
from eyeplane.web.pages import now_events
from eyeplane.web.pages.now_events import Listener, beat, event_of, known_number, told_of
from eyeplane.web.pages.now_journal import SHOWN, Entry, entries_after, latest_entries
from eyeplane.web.seen import Seen


def reading(builder: ModuleType, number: int) -> FrameReading:
    """Return a frame as it lands: nobody on it, so that answering takes no time."""
    made: FrameReading = builder.reading_of(f"n{number:05d}.jpg", (), status="nobody")
    return replace(made, sha256=f"{number:064d}")


def events_in(text: str) -> list[tuple[str, int | None, dict[str, Any]]]:
    """Return the events of a stream: name, id and what they say (WHATWG HTML, section 9.2)."""
    found = []
    for block in text.split("\n\n"):
        fields = dict(
            line.split(": ", 1) for line in block.split("\n") if line and not line.startswith(":")
        )
        if "data" in fields:
            number = int(fields["id"]) if "id" in fields else None
            found.append((fields["event"], number, json.loads(fields["data"])))
    return found


async def taken(told: AsyncIterator[str], *, frames: int) -> list[int]:
    """Return the numbers of so many frames, as they are told."""
    found: list[int] = []
    async for piece in told:
        found += [n for name, n, _ in events_in(piece) if name == "frame" and n is not None]
        if len(found) >= frames:
            break
    return found


def listening(site: Site, live: LiveSitting | None, last: int = 0) -> Listener:
    """Return a page that knows a frame last."""
    return Listener(site=site, live=live, last=last, seen=Seen())


def test_every_frame_is_told_once_and_in_order_while_others_land(
    site: Site, live: LiveSitting, builder: ModuleType
) -> None:
    first = live.state().last_number

    async def several() -> list[list[int]]:
        async def one(after: int) -> list[int]:
            async with aclosing(listening(site, live, after).told()) as told:
                return await asyncio.wait_for(taken(told, frames=first + 60 - after), 20)

        def land() -> None:
            for n in range(60):
                live.take(reading(builder, n))

        found = asyncio.gather(*(one(after) for after in (0, 5, first)))
        await asyncio.sleep(0.05)
        landing = threading.Thread(target=land)
        landing.start()
        told = await found
        landing.join()
        return told

    for after, told in zip((0, 5, first), asyncio.run(several()), strict=True):
        assert told == list(range(after + 1, first + 61))


def test_who_comes_again_is_told_from_where_it_was(
    site: Site, live: LiveSitting, builder: ModuleType
) -> None:
    """Connections break at any moment: what the page heard and what it hears after is whole."""

    async def broken() -> list[int]:
        heard: list[int] = []
        for part in (4, 3, 22):
            async with aclosing(listening(site, live, heard[-1] if heard else 0).told()) as told:
                heard += await asyncio.wait_for(taken(told, frames=part), 10)
            for n in range(8):
                live.take(reading(builder, 100 * part + n))
        return heard

    first = live.state().last_number
    heard = asyncio.run(broken())
    assert heard == list(range(1, len(heard) + 1))
    assert len(heard) >= first + 16


def test_the_header_of_a_browser_that_comes_again_counts(site: Site) -> None:
    del site

    def asked(query: str, header: str | None) -> int:
        headers = [] if header is None else [(b"last-event-id", header.encode())]
        scope = {"type": "http", "query_string": query.encode(), "headers": headers}
        return known_number(Request(scope))

    assert asked("after=5", "9") == 9
    assert asked("after=9", "5") == 9  # an address is as old as the page: the later one holds
    assert asked("after=7", None) == 7
    for bad in ("", "x", "-3", "1e9", "9" * 40, "١٢"):
        assert asked(f"after={bad}", bad if bad.isascii() else None) == 0


def test_a_page_of_another_sitting_is_told_to_begin_anew(site: Site, live: LiveSitting) -> None:
    async def ended() -> list[str]:
        names: list[str] = []
        async with aclosing(listening(site, live).told()) as told:
            async for piece in told:
                names += [name for name, _, _ in events_in(piece)]
                if "state" in names:
                    site.add(LiveSitting(key="n", name="N", folder=None, viewing=live.viewing))
        return names

    assert asyncio.run(asyncio.wait_for(ended(), 10))[-1] == "anew"


def test_a_page_that_knows_more_than_there_is_begins_anew(site: Site, live: LiveSitting) -> None:
    async def ended() -> list[str]:
        async with aclosing(listening(site, live, 10_000).told()) as told:
            return [name async for piece in told for name, _, _ in events_in(piece)]

    assert asyncio.run(asyncio.wait_for(ended(), 10)) == ["beat", "anew"]


def test_a_site_that_ends_says_nothing_more(site: Site, live: LiveSitting) -> None:
    async def ended() -> list[str]:
        site.closing.set()
        async with aclosing(listening(site, live).told()) as told:
            return [name async for piece in told for name, _, _ in events_in(piece)]

    assert asyncio.run(asyncio.wait_for(ended(), 10)) == ["beat"]


def test_a_quiet_line_gives_signs_of_life(
    site: Site, live: LiveSitting, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(now_events, "QUIET_S", 0.1)
    monkeypatch.setattr(now_events, "LOOK_S", 0.05)

    async def quiet() -> int:
        beats = 0
        async with aclosing(listening(site, live, live.state().last_number).told()) as told:
            async for piece in told:
                beats += piece.count("event: beat")
                assert piece.count(": here\n") == piece.count("event: beat")
                if beats >= 4:
                    break
        return beats

    assert asyncio.run(asyncio.wait_for(quiet(), 5)) == 4


def test_who_goes_is_forgotten(site: Site, live: LiveSitting) -> None:
    ended: list[Callable[[], None]] = []
    listen = live.listen

    def counted(heard: Callable[[], None]) -> Callable[[], None]:
        end = listen(heard)

        def over() -> None:
            ended.append(heard)
            end()

        return over

    live.listen = counted  # type: ignore[method-assign]  # to see that it is ended

    async def gone() -> None:
        for _ in range(5):
            async with aclosing(listening(site, live).told()) as told:
                await taken(told, frames=2)

    asyncio.run(gone())
    assert len(ended) == 5


def test_a_loop_that_has_stopped_does_not_stop_the_watching(
    site: Site, live: LiveSitting, builder: ModuleType
) -> None:
    """Who tells of a frame must never fail because a page's server is gone."""
    loop = asyncio.new_event_loop()

    async def begun() -> None:
        listener = listening(site, live)
        told = listener.told()
        await anext(told)  # and never closed

    loop.run_until_complete(begun())
    loop.close()
    live.take(reading(builder, 1))  # would raise


@pytest.mark.parametrize("text", ["a\nevent: x", "\r\n\r\ndata: 1", "\x00\u2028", "</script>"])
def test_no_text_breaks_out_of_its_event(text: str) -> None:
    whole = event_of("frame", {"sentence": text}, number=3)
    assert whole.endswith("\n\n")
    assert events_in(whole) == [("frame", 3, {"sentence": text})]
    assert whole.count("\n") == 4


def test_lengths_in_events_are_the_visitors(site: Site) -> None:
    del site
    entry = Entry(number=1, said="35 cm", holds=False, sentence="Holds 60 cm.", landed_at=None)
    told = told_of(entry, Seen(figures=Figures(lengths="inch")))
    assert (told["said"], told["sentence"], told["age_s"]) == ("14 in", "Holds 24 in.", None)


def test_a_sleeping_telephone_costs_nothing_and_is_told_all_when_it_wakes(
    site: Site, live: LiveSitting, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is sent to a line that nobody reads stays below what its buffers hold."""
    told: list[int] = []

    def counted(entry: Entry, seen: Seen) -> dict[str, object]:
        told.append(entry.number)
        return {**told_of(entry, seen), "padding": "x" * 4000}  # so that buffers are full early

    monkeypatch.setattr(now_events, "told_of", counted)
    frames = 2000
    entries = [
        Entry(number=n, said="nobody", holds=None, sentence="", landed_at=None)
        for n in range(1, frames + 1)
    ]
    monkeypatch.setattr(
        now_events, "entries_after", lambda _, after, limit: entries[after : after + limit]
    )
    state = replace(live.state(), frames=frames)
    monkeypatch.setattr(live, "state", lambda: state)
    with serving(site) as address:
        host, port = address.removeprefix("http://").split(":")
        with socket.create_connection((host, int(port))) as line:
            ask = f"GET /now/events?sitting=s1&after=0 HTTP/1.1\r\nHost: {host}:{port}\r\n\r\n"
            line.sendall(ask.encode())
            asleep, until = -1, time.monotonic() + 60
            while len(told) != asleep or not told:  # nothing more is made ready, nobody reads
                assert time.monotonic() < until
                asleep = len(told)
                time.sleep(0.5)
            assert asleep < frames / 2
            line.settimeout(60)
            heard = b""
            while b"id: 2000\n" not in heard[-20_000:]:
                heard += line.recv(1 << 20)
    numbers = [int(part.split(b"\n", 1)[0]) for part in heard.split(b"\nid: ")[1:]]
    assert numbers == list(range(1, frames + 1))


def test_entries_come_in_order_and_no_more_than_asked(live: LiveSitting) -> None:
    last = live.state().last_number
    assert [e.number for e in entries_after(live, 0, 5)] == [1, 2, 3, 4, 5]
    assert [e.number for e in entries_after(live, last - 2, 25)] == [last - 1, last]
    assert entries_after(live, last, 25) == []


def test_the_stream_is_one(site: Site) -> None:
    with serving(site) as address:
        host, port = address.removeprefix("http://").split(":")
        with socket.create_connection((host, int(port))) as line:
            ask = f"GET /now/events?sitting=other HTTP/1.1\r\nHost: {host}:{port}\r\n\r\n"
            line.sendall(ask.encode())
            line.settimeout(60)
            heard = line.recv(65536)
            while b"anew" not in heard:
                heard += line.recv(65536)
    head = heard.partition(b"\r\n\r\n")[0].lower()
    assert b"text/event-stream" in head
    assert b"no-store" in head


def test_a_sign_of_life_is_a_comment_and_an_event() -> None:
    assert beat().startswith(": here\n")
    assert events_in(beat())[0][0] == "beat"


def test_a_page_that_knows_how_it_stands_is_not_told_again(site: Site, live: LiveSitting) -> None:
    async def heard(revision: int) -> list[str]:
        last = live.state().last_number
        page = Listener(site=site, live=live, last=last, seen=Seen(), revision=revision)
        async with aclosing(page.told()) as told:
            await anext(told)
            live.choose([2], chosen=not live.frame(2).chosen)  # type: ignore[union-attr]  # is there
            first = await asyncio.wait_for(anext(told), 60)
        return [name for name, _, _ in events_in(first)]

    assert asyncio.run(heard(live.state().revision)) == ["state"]
    assert asyncio.run(heard(-1)) == ["state"]


def test_a_sitting_with_frames_missing_is_shown_on(
    site: Site, live: LiveSitting, builder: ModuleType
) -> None:
    """Numbers stay given though frames are away: the page must not begin anew for ever."""
    for n in range(20):
        live.take(reading(builder, n))
    for number in range(2, 12):
        live._book.drop(live._book.held[number])
    last = live.state().given
    assert live.state().frames < last
    assert [entry.number for entry in latest_entries(live)][-1] == last
    assert len(latest_entries(live)) == min(SHOWN, last - 10)

    async def named() -> str:
        async with aclosing(listening(site, live, last).told()) as told:
            async for piece in told:
                for name, _, _ in events_in(piece):
                    if name != "beat":
                        return name
        return ""

    assert asyncio.run(asyncio.wait_for(named(), 10)) == "state"
