"""Attacks on the site, each tried: by other sites' pages, by other names, by odd requests."""

from collections.abc import Iterator
from html import unescape
from pathlib import Path
from types import ModuleType

import pytest
from starlette.routing import Route
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

from eyeplane.sitting.live import of_sitting
from eyeplane.web import Site, make_app
from eyeplane.web.forms import FORM_LIMIT_BYTES
from eyeplane.web.guard.headers import PAPER_POLICY, POLICY
from eyeplane.web.pages import all_routes
from eyeplane.web.words import words

HERE = "http://127.0.0.1:8765"
FORM = {"content-type": "application/x-www-form-urlencoded"}


@pytest.fixture(scope="module")
def whole(builder: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> Site:
    """Return a site with a sitting, for all tests here: none of them is to change anything."""
    site = Site(store_path=tmp_path_factory.mktemp("guard") / "store.sqlite3")
    site.add(of_sitting(builder.make_sitting(), key="s1"))
    return site


@pytest.fixture(scope="module")
def asking(whole: Site) -> Iterator[TestClient]:
    """Yield a client of that site."""
    with TestClient(make_app(whole), base_url=HERE, raise_server_exceptions=False) as found:
        yield found


@pytest.fixture
def bare(asking: TestClient) -> TestClient:
    """Return a visitor that sends no header of its own accord, without cookies."""
    asking.cookies.clear()
    return asking


@pytest.mark.parametrize("host", ["127.0.0.1:8765", "localhost:8765", "LOCALHOST", "[::1]:8765"])
def test_this_machine_by_its_own_names(bare: TestClient, host: str) -> None:
    assert bare.get("/keys", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",  # whose name leads to 127.0.0.1: DNS rebinding
        "evil.example:8765",
        "127.0.0.1.evil.example",
        "localhost.evil.example",
        "192.168.1.7",
        "0.0.0.0",  # noqa: S104  asked for, not taken
        "127.0.0.2",
        "[::ffff:127.0.0.1]",
        "2130706433",
    ],
)
def test_no_other_name_is_served(bare: TestClient, host: str, whole: Site) -> None:
    answer = bare.get("/sittings", headers={"host": host})
    assert answer.status_code == 421
    assert whole.sittings()[0].name not in answer.text
    assert words("site.refused.host") in unescape(answer.text)


@pytest.mark.parametrize(
    "host",
    ["", " ", "localhost.", "127.0.0.1:99999", "a b", "user@127.0.0.1", "127.0.0.1:8765/x", "[::1"],
)
def test_a_host_that_is_none_is_refused(bare: TestClient, host: str) -> None:
    assert bare.get("/keys", headers={"host": host}).status_code == 400


def test_two_hosts_are_refused(bare: TestClient) -> None:
    headers = [("host", "127.0.0.1:8765"), ("host", "evil.example")]
    assert bare.get("/keys", headers=headers).status_code == 400


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"origin": HERE}, 303),
        ({"sec-fetch-site": "same-origin"}, 303),
        ({"referer": f"{HERE}/settings"}, 303),
        ({}, 403),
        ({"origin": "null"}, 403),
        ({"origin": "null", "sec-fetch-site": "same-origin"}, 403),
        ({"origin": ""}, 403),
        ({"origin": "http://evil.example"}, 403),
        ({"origin": "http://127.0.0.1:8766"}, 403),
        ({"origin": "https://127.0.0.1:8765"}, 403),
        ({"origin": "http://localhost:8765"}, 403),
        ({"origin": f"{HERE}.evil.example"}, 403),
        ({"origin": f"http://evil.example@{HERE[7:]}"}, 403),
        ({"origin": f"{HERE}/"}, 403),
        ({"origin": "http://evil.example", "referer": f"{HERE}/"}, 403),
        ({"sec-fetch-site": "cross-site", "referer": f"{HERE}/"}, 403),
        ({"sec-fetch-site": "same-site"}, 403),
        ({"sec-fetch-site": "none"}, 403),
        ({"referer": "http://evil.example/?http://127.0.0.1:8765/"}, 403),
        ({"referer": f"{HERE}.evil.example/"}, 403),
        ({"referer": "http://["}, 403),
    ],
)
def test_a_change_comes_only_from_here(
    bare: TestClient, headers: dict[str, str], status: int
) -> None:
    answer = bare.post(
        "/settings", content="evening=on", headers={**FORM, **headers}, follow_redirects=False
    )
    assert answer.status_code == status
    assert ("set-cookie" in answer.headers) == (status == 303)


CHANGES = sorted(
    {
        route.path
        for route in all_routes()
        if isinstance(route, Route) and "POST" in (route.methods or ())
    }
)


@pytest.mark.parametrize("path", CHANGES)
def test_no_change_of_any_page_without_an_origin(bare: TestClient, path: str) -> None:
    for name in ("key", "number", "n", "face", "check", "id"):
        path = path.replace(f"{{{name}}}", "1").replace(f"{{{name}:int}}", "1")
    assert bare.post(path, headers=FORM).status_code == 403


def test_looking_changes_nothing(bare: TestClient, whole: Site) -> None:
    live = whole.sittings()[0]
    before = live.state().revision
    for path in CHANGES:
        there = path.replace("{key}", live.key).replace("{number:int}", "1")
        answer = bare.get(f"{there}?key=s1&evening=on&chosen=1&frame=1&frames=1&undo=1&out=yes")
        assert answer.status_code < 500
        assert "set-cookie" not in answer.headers
    assert live.state().revision == before


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"sec-fetch-site": "cross-site", "sec-fetch-mode": "no-cors"}, 403),  # <img>, <script>
        ({"sec-fetch-site": "same-site", "sec-fetch-mode": "cors"}, 403),  # another port's page
        ({"sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate"}, 403),
        (
            {
                "sec-fetch-site": "cross-site",
                "sec-fetch-mode": "navigate",
                "sec-fetch-dest": "iframe",
            },
            403,
        ),
        (
            {
                "sec-fetch-site": "cross-site",
                "sec-fetch-mode": "navigate",
                "sec-fetch-dest": "document",
            },
            200,
        ),
        ({"sec-fetch-site": "same-origin", "sec-fetch-mode": "no-cors"}, 200),
        ({"sec-fetch-site": "none", "sec-fetch-mode": "navigate"}, 200),
    ],
)
def test_other_sites_get_nothing_to_embed(
    bare: TestClient, headers: dict[str, str], status: int
) -> None:
    assert bare.get("/keys", headers=headers).status_code == status


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "BREW"])
def test_other_methods_are_refused(bare: TestClient, method: str) -> None:
    answer = bare.request(method, "/settings", headers={"origin": HERE})
    assert answer.status_code == 405
    assert answer.headers["allow"] == "GET, HEAD, POST"
    assert not [name for name in answer.headers if name.startswith("access-control")]


def test_head_is_a_page_without_its_text(bare: TestClient) -> None:
    answer = bare.head("/keys")
    assert (answer.status_code, answer.content) == (200, b"")


@pytest.mark.parametrize("path", ["/keys", "/nothing", "/static/site.css", "/settings?x=%00"])
def test_every_answer_carries_the_headers(bare: TestClient, path: str) -> None:
    headers = bare.get(path).headers
    assert headers["content-security-policy"] == POLICY
    for part in ("frame-ancestors 'none'", "base-uri 'none'", "form-action 'self'"):
        assert part in POLICY
    assert "unsafe" not in POLICY
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"
    assert headers["cross-origin-opener-policy"] == "same-origin"
    assert headers["cross-origin-resource-policy"] == "same-origin"
    assert "camera=()" in headers["permissions-policy"]
    assert ("immutable" in headers["cache-control"]) == path.startswith("/static/")
    assert path.startswith("/static/") or headers["cache-control"] == "no-store"


def test_a_finished_page_has_a_policy_without_scripts() -> None:
    assert "script-src" not in PAPER_POLICY
    assert "default-src 'none'" in PAPER_POLICY
    assert "sandbox" in PAPER_POLICY


def test_what_is_too_large_is_refused(bare: TestClient) -> None:
    large = "x=" + "y" * FORM_LIMIT_BYTES
    answer = bare.post("/settings", content=large, headers={**FORM, "origin": HERE})
    assert answer.status_code == 413
    assert words("site.trouble.large") in answer.text


def test_what_is_too_large_is_refused_though_it_does_not_say_so(bare: TestClient) -> None:
    def pieces() -> Iterator[bytes]:
        yield b"x="
        for _ in range(80):
            yield b"y" * 1024

    answer = bare.post("/settings", content=pieces(), headers={**FORM, "origin": HERE})
    assert answer.status_code == 413


@pytest.mark.parametrize("length", ["-1", "1e3", "99999999999999999999", "0x10"])
def test_a_length_that_is_none_is_refused(bare: TestClient, length: str) -> None:
    headers = {**FORM, "origin": HERE, "content-length": length}
    assert bare.post("/settings", content=b"", headers=headers).status_code in {400, 413}


@pytest.mark.parametrize("kind", ["multipart/form-data; boundary=x", "application/json", "a/b"])
def test_only_forms_are_read(bare: TestClient, kind: str) -> None:
    answer = bare.post("/settings", content="{}", headers={"content-type": kind, "origin": HERE})
    assert answer.status_code == 422


ODD = [
    "../../../../etc/passwd",
    "..%2f..%2f..%2fetc%2fpasswd",
    "%2e%2e/%2e%2e/etc/passwd",
    "....//etc/passwd",
    "/etc/passwd",
    "C:\\Windows\\win.ini",
    "file:///etc/passwd",
    "s1%00.jpg",
    "%c0%ae%c0%ae/x",
    "s1/../s1",
    "9" * 400,
    "-1",
    "1e5",
    "٣",
    "<script>alert(77)</script>",
    "%0d%0aset-cookie:%20x=y",
    "' OR 1=1 --",
]
GETS = sorted(
    {
        route.path
        for route in all_routes()
        if isinstance(route, Route)
        and "GET" in (route.methods or ())
        and "events" not in route.path
    }
)


@pytest.mark.parametrize("path", GETS)
def test_no_parameter_of_any_page_reaches_the_files(bare: TestClient, path: str) -> None:
    secret = Path("/etc/passwd").read_text("utf-8").partition("\n")[0]
    for odd in ODD if "{" in path else ODD[::5]:
        parts = [odd if part.startswith("{") else part for part in path.split("/")]
        asked = "/".join(parts)
        query = f"?a={odd}&b={odd}&key={odd}&name={odd}&print={odd}&back={odd}&token={odd}"
        answer = bare.get(asked + query, follow_redirects=False)
        assert answer.status_code < 500, (asked, answer.text[:200])
        assert secret not in answer.text
        assert "set-cookie" not in answer.headers or "x=y" not in answer.headers["set-cookie"]
        assert "<script>alert(77" not in answer.text
        assert "evil" not in answer.headers.get("location", "")


@pytest.mark.parametrize(
    "back", ["//evil.example", "https://evil.example", "/a\r\nset-cookie: b=c"]
)
def test_nobody_is_sent_to_another_site(bare: TestClient, back: str) -> None:
    answer = bare.post(
        "/settings",
        data={"evening": "on", "back": back},
        headers={"origin": HERE},
        follow_redirects=False,
    )
    assert answer.headers["location"] == "/settings?said=kept"


def test_a_setting_that_is_none_is_told_and_not_kept(bare: TestClient) -> None:
    answer = bare.post("/settings", data={"lengths": "<b>\n"}, headers={"origin": HERE})
    assert answer.status_code == 422
    assert "set-cookie" not in answer.headers
    assert "<b>" not in answer.text


@pytest.mark.parametrize(
    "query", ["iso=100..6400 in 9999", "iso=100..6400 in 30&focal-length=50mm..135mm in 30"]
)
def test_no_address_keeps_the_machine_busy(bare: TestClient, query: str) -> None:
    for path in ("/plan/sitter", "/plan/sitter/piece", "/plan/card.pdf"):
        answer = bare.get(f"{path}?{query}")
        assert answer.status_code == 422
    assert "and 500 are the most" in bare.get(f"/plan/sitter?{query}").text


def test_what_is_remembered_is_bounded(bare: TestClient) -> None:
    many = "&".join(f"x{n}=1" for n in range(300))
    answer = bare.post("/plan/remember", data={"plan": many}, headers={"origin": HERE})
    assert answer.status_code == 422


def test_an_unexpected_failure_shows_no_trace(whole: Site) -> None:
    def fails(request: object) -> None:
        raise RuntimeError(f"a secret of {request!r}")

    app = make_app(whole)
    app.router.routes.insert(0, Route("/fails", fails))
    with TestClient(app, base_url=HERE, raise_server_exceptions=False) as one:
        answer = one.get("/fails")
    assert answer.status_code == 500
    assert "secret" not in answer.text
    assert "Traceback" not in answer.text
    assert words("site.trouble.failed") in answer.text
    assert answer.headers["content-security-policy"] == POLICY


def test_a_page_that_fails_even_in_telling_so_is_still_told(
    whole: Site, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(site: Site) -> None:
        del site
        raise RuntimeError("a secret")

    monkeypatch.setattr(Site, "current", broken)
    with TestClient(make_app(whole), base_url=HERE, raise_server_exceptions=False) as one:
        answer = one.get("/keys")
    assert answer.status_code == 500
    assert answer.text == f"{words('site.trouble.failed')}\n{words('site.trouble.failed_hint')}"
    assert answer.headers["content-security-policy"] == POLICY


def test_there_are_no_sockets(bare: TestClient) -> None:
    with pytest.raises(WebSocketDisconnect), bare.websocket_connect("/now"):
        pass
