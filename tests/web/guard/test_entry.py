"""Who is let in on the studio's network: codes and sessions, right, wrong, used, too old."""

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from html import unescape
from pathlib import Path
from threading import Thread
from typing import cast

import anyio
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from eyeplane.web import Site, make_app
from eyeplane.web.guard.codes import CODE_LIFE, LETTERS, MOST_CODES, SESSION_LIFE, Codes
from eyeplane.web.guard.sessions import SessionsHere, SessionsInStore
from eyeplane.web.guard.streams import LONGEST_S
from eyeplane.web.guard.tries import ALL, EACH, WINDOW_S, Tries
from eyeplane.web.words import words

HERE = "http://127.0.0.1:8765"


class Clock:
    """A clock that a test sets; it begins now, since the store forgets what ended before."""

    def __init__(self) -> None:
        self.time = datetime.now(tz=UTC)

    def __call__(self) -> datetime:
        return self.time


@pytest.fixture
def clock() -> Clock:
    """Return a clock."""
    return Clock()


@pytest.fixture
def studio(tmp_path: Path, clock: Clock) -> Site:
    """Return a site on the network."""
    site = Site(store_path=tmp_path / "store.sqlite3", studio=True)
    site.codes = Codes(SessionsInStore(tmp_path / "store.sqlite3"), now=clock)
    return site


def visitor(site: Site, *, at: str = HERE, address: str = "192.168.1.20") -> TestClient:
    return TestClient(make_app(site), base_url=at, headers={"origin": at}, client=(address, 50_000))


@pytest.fixture
def phone(studio: Site) -> Iterator[TestClient]:
    """Yield a device that is not in."""
    with visitor(studio) as found:
        yield found


def enter(phone: TestClient, token: str) -> int:
    answer = phone.post("/enter", data={"token": token}, follow_redirects=False)
    return answer.status_code


@pytest.mark.parametrize("path", ["/", "/sittings", "/settings", "/studio", "/now/events", "/x"])
def test_nothing_is_shown_to_who_is_not_in(phone: TestClient, path: str) -> None:
    answer = phone.get(path)
    assert answer.status_code == 403
    assert words("site.refused.session") in answer.text
    assert "/sittings" not in answer.text  # no way on either
    assert phone.post(path).status_code == 403


def test_style_is_for_everybody(phone: TestClient) -> None:
    assert phone.get("/static/site.css").status_code == 200
    assert phone.get("/static/../sittings").status_code == 403


def test_a_code_lets_one_device_in_once(studio: Site, phone: TestClient) -> None:
    code = studio.codes.new_code()
    assert phone.get(f"/enter?token={code}").status_code == 200  # looking uses nothing up
    assert phone.head(f"/enter?token={code}").status_code == 200
    assert enter(phone, code) == 303
    assert phone.get("/settings").status_code == 200
    with visitor(studio, address="192.168.1.21") as other:
        assert enter(other, code) == 403
        assert other.get("/settings").status_code == 403


def test_the_cookie_is_kept_from_scripts_and_other_sites(studio: Site, phone: TestClient) -> None:
    answer = phone.post("/enter", data={"token": studio.codes.new_code()}, follow_redirects=False)
    name, *flags = [part.strip() for part in answer.headers["set-cookie"].split(";")]
    assert re.fullmatch(r"eyeplane_session=[\w-]{32}", name)
    assert {flag.lower() for flag in flags} == {
        "httponly",
        "samesite=strict",
        "path=/",
        f"max-age={int(SESSION_LIFE.total_seconds())}",
    }
    assert answer.headers["cache-control"] == "no-store"


def test_the_page_shows_no_code_but_the_one_in_the_address(studio: Site, phone: TestClient) -> None:
    code = studio.codes.new_code()
    assert code not in phone.get("/enter").text
    odd = phone.get("/enter?token=%22%3E%3Cscript%3Ealert(1)%3C/script%3E")
    assert "<script>alert" not in odd.text


def test_a_code_does_not_outlive_its_minutes(studio: Site, phone: TestClient, clock: Clock) -> None:
    code = studio.codes.new_code()
    clock.time += CODE_LIFE
    assert enter(phone, code) == 403
    code = studio.codes.new_code()
    clock.time += CODE_LIFE - timedelta(seconds=1)
    assert enter(phone, code) == 303


def test_a_session_ends(studio: Site, phone: TestClient, clock: Clock) -> None:
    enter(phone, studio.codes.new_code())
    clock.time += SESSION_LIFE - timedelta(seconds=1)
    assert phone.get("/settings").status_code == 200
    clock.time += timedelta(seconds=1)
    assert phone.get("/settings").status_code == 403


def test_a_session_outlives_a_restart_and_only_hashes_are_kept(
    studio: Site, phone: TestClient, clock: Clock, tmp_path: Path
) -> None:
    code = studio.codes.new_code()
    enter(phone, code)
    session = phone.cookies["eyeplane_session"]
    kept = b"".join(file.read_bytes() for file in tmp_path.iterdir())
    assert session.encode() not in kept
    assert code.encode() not in kept
    again = Site(store_path=studio.store_path, studio=True)
    again.codes = Codes(SessionsInStore(tmp_path / "store.sqlite3"), now=clock)
    with visitor(again) as device:
        assert device.get("/settings").status_code == 403
        device.cookies.set("eyeplane_session", session)
        assert device.get("/settings").status_code == 200


@pytest.mark.parametrize(
    "wrong", ["", "x", "A" * LETTERS, "A" * 10_000, "é" * LETTERS, "\x00" * LETTERS, "' OR 1=1 --"]
)
def test_a_wrong_code_lets_nobody_in(studio: Site, phone: TestClient, wrong: str) -> None:
    right = studio.codes.new_code()
    assert enter(phone, wrong) == 403
    assert enter(phone, right[:-1]) == 403
    assert enter(phone, right) == 303  # and uses up no right one


@pytest.mark.parametrize("cookie", ["", "A" * LETTERS, "A" * 5000, '"', "%00"])
def test_a_made_up_cookie_is_none(phone: TestClient, cookie: str) -> None:
    headers = {"cookie": f"eyeplane_session={cookie}"}
    assert phone.get("/settings", headers=headers).status_code == 403


def test_codes_cannot_be_tried_out(studio: Site, phone: TestClient) -> None:
    answers = [
        phone.post("/enter", data={"token": "A" * LETTERS}, follow_redirects=False)
        for _ in range(20)
    ]
    assert [one.status_code for one in answers] == [403] * EACH + [429] * (20 - EACH)
    wait_s = int(answers[-1].headers["retry-after"])
    assert 0 < wait_s <= WINDOW_S
    assert words("enter.wait", count=5) in answers[-1].text
    assert enter(phone, studio.codes.new_code()) == 429  # not even with a right one
    with visitor(studio, address="192.168.1.21") as other:
        assert enter(other, studio.codes.new_code()) == 303


def test_a_forwarded_address_is_not_believed(studio: Site) -> None:
    with visitor(studio) as liar:
        answers = [
            liar.post(
                "/enter",
                data={"token": "x"},
                headers={"x-forwarded-for": f"10.0.0.{n}", "forwarded": f"for=10.0.0.{n}"},
            ).status_code
            for n in range(EACH + 1)
        ]
    assert answers[-1] == 429


def test_no_other_site_can_use_a_code(studio: Site, phone: TestClient) -> None:
    code = studio.codes.new_code()
    answer = phone.post("/enter", data={"token": code}, headers={"origin": "http://evil.example"})
    assert answer.status_code == 403
    assert enter(phone, code) == 303


def test_who_is_in_shows_a_code_to_others(studio: Site, phone: TestClient) -> None:
    enter(phone, studio.codes.new_code())
    assert "token=" not in phone.get("/studio").text
    with visitor(studio, at="http://192.168.1.7:8765", address="192.168.1.7") as desk:
        enter(desk, studio.codes.new_code())
        shown = desk.post("/studio", data={"way": "0"})
        found = re.search(r"http://192\.168\.1\.7:8765/enter\?token=([\w-]{32})", shown.text)
        assert found
        assert shown.text.count(found[1]) == 1
        assert desk.post("/studio", data={"way": "99"}).status_code == 422
        assert desk.post("/studio", data={"way": "../x"}).status_code == 422
    with visitor(studio, address="192.168.1.22") as tablet:
        assert enter(tablet, found[1]) == 303


def test_all_others_can_be_put_out(studio: Site, phone: TestClient) -> None:
    enter(phone, studio.codes.new_code())
    waiting = studio.codes.new_code()
    with visitor(studio, address="127.0.0.1") as desk:
        enter(desk, studio.codes.new_code())
        answer = desk.post("/studio", data={"out": "yes"})
        assert unescape(words("studio.out_done")) in answer.text
        assert desk.get("/settings").status_code == 200
    assert phone.get("/settings").status_code == 403
    assert enter(phone, waiting) == 403


def test_the_machine_s_own_address_and_name_are_its_own(
    studio: Site, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("socket.gethostname", lambda: "Studio-Mac.lan")
    with visitor(studio, at="http://192.168.1.7:8765") as found:  # the address it was reached at
        assert found.get("/enter").status_code == 200
        for name in ("studio-mac", "studio-mac.local:8765", "Studio-Mac.LAN"):
            assert found.get("/enter", headers={"host": name}).status_code == 200
        for name in ("192.168.1.8", "evil.example", "studio-mac.evil.example", "0300.0250.1.7"):
            assert found.get("/enter", headers={"host": name}).status_code == 421


def test_without_the_network_there_is_nothing_to_enter(client: TestClient) -> None:
    assert client.get("/enter?token=x", follow_redirects=False).headers["location"] == "/"
    assert words("studio.here_alone") in client.get("/studio").text
    assert "token=" not in client.post("/studio").text


def test_codes_are_long_and_never_the_same() -> None:
    codes = Codes()
    made = [codes.new_code() for _ in range(100)]
    assert len(set(made)) == 100
    assert all(len(code) * 6 >= 128 for code in made)  # 6 bits a letter (RFC 4648, section 5)
    assert [codes.exchange(code) is not None for code in made] == [False] * 92 + [True] * MOST_CODES


@settings(max_examples=40)
@given(st.text(max_size=64))
def test_any_text_is_compared(text: str) -> None:
    codes = Codes()
    assert codes.exchange(text) is None
    assert not codes.holds(text)
    assert not codes.knows(text)


class Ticking:
    """A clock in seconds."""

    def __init__(self) -> None:
        self.time_s = 0.0

    def __call__(self) -> float:
        return self.time_s


def test_tries_come_back_with_time() -> None:
    clock = Ticking()
    tries = Tries(now_s=clock)
    assert [tries.wait_s("10.0.0.1") for _ in range(EACH)] == [0] * EACH
    assert tries.wait_s("10.0.0.1") == WINDOW_S
    assert tries.wait_s("10.0.0.2") == 0
    clock.time_s = WINDOW_S - 0.5
    assert tries.wait_s("10.0.0.1") == 1
    clock.time_s = WINDOW_S
    assert tries.wait_s("10.0.0.1") == 0


def test_tries_are_bounded_for_all_together_and_for_a_network_of_one_holder() -> None:
    tries = Tries(now_s=Ticking())
    assert [tries.wait_s(f"fe80::{n:x}") for n in range(EACH + 1)][-1] > 0  # one /64
    waits = [tries.wait_s(f"10.0.{n}.1") for n in range(ALL)]
    assert waits.count(0) == ALL - EACH
    tries.succeeded("10.0.1.1")
    assert tries.wait_s("10.9.9.9") > 0


def test_a_store_that_fails_is_told_and_lets_nobody_in(studio: Site, phone: TestClient) -> None:
    assert studio.store_path is not None
    studio.store_path.write_bytes(b"not a database, but long enough to look like one" * 99)
    answer = phone.get("/settings", headers={"cookie": f"eyeplane_session={'A' * LETTERS}"})
    assert answer.status_code == 503
    assert "--store" in answer.text
    assert str(studio.store_path) not in answer.text  # nor where it lies


def test_whoever_is_put_out_while_being_looked_up_stays_out() -> None:
    class Slow(SessionsHere):
        """Sessions in a store that is slow: meanwhile all are put out."""

        putting: Thread | None = None

        def find(self, hashed: str) -> datetime | None:
            found = super().find(hashed)
            self.putting = Thread(target=codes.end_all)
            self.putting.start()
            self.putting.join(0.2)
            return found

    kept = Slow()
    codes = Codes(kept)
    session = codes.new_session()
    codes._known.clear()  # as after a restart
    codes.holds(session)
    assert kept.putting is not None
    kept.putting.join(10)
    assert not codes.knows(session)
    assert not codes.holds(session)


def test_a_device_that_asks_for_many_things_after_a_restart_is_let_in(studio: Site) -> None:
    session = studio.codes.new_session()
    again = Site(store_path=studio.store_path, studio=True)
    again.keep_sessions()
    with visitor(again) as device:
        device.cookies.set("eyeplane_session", session)
        for _ in range(3 * EACH):
            again.codes._known.clear()  # as if all were asked before the first answer
            assert device.get("/settings").status_code == 200


def test_a_device_that_is_put_out_is_told_of_no_more_frames(
    studio: Site, phone: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Stream:
        """A stream that is open, as far as it can be ended."""

        deadline, ended = float("inf"), False

        def cancel(self) -> None:
            self.ended = True

    monkeypatch.setattr(anyio, "current_time", lambda: 100.0)
    stream, late = (cast("anyio.CancelScope", Stream()) for _ in range(2))
    assert studio.streams.add(stream)
    assert stream.deadline == 100.0 + LONGEST_S  # who is in comes again, who is not does not
    enter(phone, studio.codes.new_code())
    phone.post("/studio", data={"out": "yes"})
    assert cast("Stream", stream).ended
    assert studio.streams.add(late)  # those who are in still have theirs
    assert not cast("Stream", late).ended
