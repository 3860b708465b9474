"""The site served for real, in a process of its own: started, stopped, its port taken."""

import asyncio
import http.client
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import cast

import pytest
from starlette.requests import Request
from starlette.responses import StreamingResponse
from starlette.routing import Route
from starlette.testclient import TestClient
from uvicorn.server import ServerState

from eyeplane.errors import InputError
from eyeplane.web import Site, make_app
from eyeplane.web.guard import line, streams
from eyeplane.web.serving import settings, take_port

SERVED = """
import asyncio, signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)  # tests in the background ignore it
from starlette.responses import StreamingResponse
from starlette.routing import Route
from eyeplane.web import Site, serving

async def stream(request):
    async def events():
        while True:
            yield "data: x\\n\\n"
            await asyncio.sleep(0.05)
    return StreamingResponse(events(), media_type="text/event-stream")

def fails(request):
    raise RuntimeError("a secret")

made = serving.make_app
def make_app(site):
    app = made(site)
    app.router.routes.insert(0, Route("/stream", stream))
    app.router.routes.insert(0, Route("/fails", fails))
    return app
serving.make_app = make_app
taken = serving.take_port(0, network=False)
print(taken.getsockname()[1], flush=True)
serving.serve(Site(), taken)
"""


# Requests that no browser sends, and what they are answered with.
ODD = {
    b"GET /keys HTTP/1.1\r\nHost: 127.0.0.1\r\nX: " + b"x" * 400_000 + b"\r\n\r\n": b"400",
    b"GET /keys HTTP/1.1\r\n\r\n": b"400",
    b"GET /keys HTTP/1.1\r\nHost: 127.0.0.1\r\nHost: evil.example\r\n\r\n": b"400",
    b"GET http://evil.example/keys HTTP/1.1\r\nHost: evil.example\r\n\r\n": b"421",
    b"GET /keys HTTP/1.0\r\n\r\n": b"400",
    b"GET /keys HTTP/1.1\r\nHost: 127.0.0.1\r\nX: a\x00b\r\n\r\n": b"400",
    b"\x16\x03\x01\x00\xa5\x01\x00\r\n\r\n": b"400",  # the beginning of TLS
}


@pytest.fixture
def served(tmp_path: Path) -> Iterator[tuple[subprocess.Popen[str], int]]:
    """Yield a process that serves a site, and its port."""
    process = subprocess.Popen(
        [sys.executable, "-c", SERVED],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=tmp_path,
    )
    assert process.stdout is not None
    port = int(process.stdout.readline())
    yield process, port
    process.kill()
    process.communicate()


@contextmanager
def asked(port: int, path: str) -> Iterator[http.client.HTTPResponse]:
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    with closing(line):
        line.request("GET", path)
        with line.getresponse() as answer:
            yield answer


def raw(port: int, request: bytes) -> bytes:
    with socket.create_connection(("127.0.0.1", port), timeout=60) as line:
        line.sendall(request)
        return line.recv(65_536)


@pytest.mark.slow
def test_it_ends_at_once_though_a_stream_is_open(
    served: tuple[subprocess.Popen[str], int],
) -> None:
    process, port = served
    with asked(port, "/stream") as streamed:
        assert streamed.read(9) == b"data: x\n\n"
        with asked(port, "/keys") as answer:  # the site tells nobody what serves it
            assert "server" not in {name.lower() for name, _ in answer.getheaders()}
        with asked(port, "/fails") as failed:
            assert failed.status == 500
            assert b"secret" not in failed.read()
        for odd, status in ODD.items():
            assert raw(port, odd).split(b" ")[1] == status, odd[:60]
        began = time.monotonic()
        process.send_signal(signal.SIGINT)
        streamed.read()  # the stream ends; cut off, it would raise IncompleteRead here
        assert time.monotonic() - began < 20.0  # a tenth of a second on a quiet machine
    _, told = process.communicate(timeout=60)
    assert process.returncode in {-signal.SIGINT, 130}  # KeyboardInterrupt, for the command
    assert "a secret" in told  # the terminal says what happened, the page does not
    assert "graceful shutdown exceeded" not in told


SLOW = """
from eyeplane.web import Site, serving
from eyeplane.web.guard import line
line.ASKED_WITHIN_S, line.MOST_EACH, line.MOST_OTHERS = 0.5, 4, 1
taken = serving.take_port(0, network=False)
print(taken.getsockname()[1], flush=True)
serving.serve(Site(), taken)
"""
HALVES = (
    b"",
    b"GET /keys HTTP/1.1\r\nHost: 127.0.0.1\r\nX: ",
    b"POST /settings HTTP/1.1\r\nHost: 127.0.0.1:PORT\r\nOrigin: http://127.0.0.1:PORT\r\n"
    b"Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 20\r\n\r\nevening=",
    b"GET /keys HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\nGET /now HTTP/1.1\r\n",
)


@pytest.mark.slow
def test_no_device_keeps_the_lines_to_itself(tmp_path: Path) -> None:
    process = subprocess.Popen(
        [sys.executable, "-c", SLOW],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=tmp_path,
    )
    assert process.stdout is not None
    port = int(process.stdout.readline())
    try:
        lines = [socket.create_connection(("127.0.0.1", port), timeout=60) for _ in HALVES]
        for line, half in zip(lines, HALVES, strict=True):
            line.sendall(half.replace(b"PORT", str(port).encode()))
        with socket.create_connection(("127.0.0.1", port), timeout=60) as one_more:
            until_ended(one_more)  # the fifth of one device
        for line in lines:  # half a request holds none for long
            until_ended(line)
            line.close()
        with asked(port, "/keys") as answer:
            assert answer.status == 200
    finally:
        process.kill()
        _, told = process.communicate()
    assert "Traceback" not in told


def until_ended(line: socket.socket) -> None:
    """Wait until the other side ends a connection, whatever it says before; or time out."""
    with suppress(ConnectionError):
        while line.recv(65_536):
            pass


class Wire:
    """A connection of some device, as far as who takes it looks at it."""

    def __init__(self, address: str) -> None:
        self.address, self.ended = address, False

    def get_extra_info(self, name: str) -> tuple[str, int] | None:
        return (self.address, 50_000) if name == "peername" else None

    def abort(self) -> None:
        self.ended = True


def test_some_lines_are_always_left_for_this_machine(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(line, "MOST_OTHERS", 3)

    async def made() -> list[bool]:
        config, state = settings(Site()), ServerState()
        wires = [Wire(f"192.168.1.{n}") for n in range(5)] + [Wire("127.0.0.1")]
        for wire in wires:
            one = line.Line(config, state, {})
            one.connection_made(cast("asyncio.Transport", wire))
            if wire.ended:
                state.connections.discard(one)
        return [wire.ended for wire in wires]

    assert asyncio.run(made()) == [False, False, False, True, True, False]


def test_a_port_that_is_taken_is_told() -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        with pytest.raises(InputError, match=f"port {port}: another program has it"):
            take_port(port, network=False)


def test_only_this_machine_is_bound_unless_it_is_for_the_studio() -> None:
    for network, address in ((False, "127.0.0.1"), (True, "0.0.0.0")):  # noqa: S104
        with take_port(0, network=network) as taken:
            assert taken.getsockname()[0] == address


def test_no_header_says_who_asks_and_nothing_is_written_down() -> None:
    config = settings(Site())
    assert not config.proxy_headers
    assert not config.access_log
    assert not config.server_header
    assert config.ws == "none"


async def _events(request: Request) -> StreamingResponse:
    del request

    async def endless() -> Iterator[bytes]:  # type: ignore[misc]  # an async generator
        while True:
            yield b"data: x\n\n"

    return StreamingResponse(endless(), media_type="text/event-stream")


def test_head_of_a_stream_is_its_headers() -> None:
    app = make_app(Site())
    app.router.routes.insert(0, Route("/stream", _events))
    with TestClient(app, base_url="http://127.0.0.1") as client:
        answer = client.head("/stream")
    assert answer.headers["content-type"].startswith("text/event-stream")
    assert answer.content == b""


def test_there_are_only_so_many_streams(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(streams, "MOST", 0)
    site = Site()
    app = make_app(site)
    app.router.routes.insert(0, Route("/stream", _events))
    with TestClient(app, base_url="http://127.0.0.1") as client:
        answer = client.get("/stream")
    assert answer.status_code == 503
    assert re.search("Wait some seconds", answer.text)
    assert len(site.streams) == 0
