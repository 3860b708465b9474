"""The sitting's page as the server makes it: whole without scripts, and safe with hostile names."""

import gzip
import json
import re
from dataclasses import replace
from html import unescape
from types import ModuleType

import pytest
from starlette.testclient import TestClient

from eyeplane.records.watched import Watched
from eyeplane.sitting.live import LiveSitting, of_sitting
from eyeplane.web import Site
from eyeplane.web.pages.sitting import SERVED
from eyeplane.web.pages.sitting_asked import ORDERS, Asked, in_order


def plain(markup: str) -> str:
    """Return what is to be read, spaces made one."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", markup)).split())


def numbers(markup: str) -> list[int]:
    """Return the numbers of the frames in the list, in its order."""
    listed = markup.partition("<template")[0]
    return [int(n) for n in re.findall(r'<li class="(?:frame|plain)[^"]*" id="f(\d+)"', listed)]


@pytest.fixture
def many(builder: ModuleType, site: Site) -> LiveSitting:
    """Return a sitting of 133 frames, each burst its own, added to the site."""
    made = builder.make_sitting(copies=13)
    frames = tuple(
        replace(f, burst=None if f.burst is None else f.burst + k // 10 * 10)
        for k, f in enumerate(made.frames)
    )
    live = of_sitting(replace(made, frames=frames), key="many")
    site.add(live)
    return live


def test_the_answer_comes_first(client: TestClient) -> None:
    page = client.get("/sitting/s1")
    assert page.status_code == 200
    text = plain(page.text)
    places = [
        text.index(part)
        for part in (
            "2 of 11 frames hold 60",
            "What costs most is focus",
            "Next time focus on the near iris",
            "What would help most",
            "What repeats",
            "Reach, frame by frame",
            "The frames",
            "Eye windows all share one scale: 5 mm of face to 1 cm of page",
            "Burst 1",
            "Holds 95 cm, the next 35 cm; eyes open.",
            "Frames without an answer",
            "the file ends before the picture does",
        )
    ]
    assert places == sorted(places)


def test_the_nearest_way_leads_to_the_sitting_that_is_shot(client: TestClient, site: Site) -> None:
    found = client.get("/sitting?order=longest", follow_redirects=False)
    assert (found.status_code, found.headers["location"]) == (303, "/sitting/s1?order=longest")
    assert client.get("/sitting/none").status_code == 404
    assert client.get("/sitting/..%2f..%2fetc").status_code == 404
    site._sittings.clear()
    none = client.get("/sitting", follow_redirects=False)
    assert none.headers["location"] == "/sittings"


def test_names_from_strangers_stay_names(client: TestClient, builder: ModuleType) -> None:
    for path in ("/sitting/s1", "/sitting/s1/frame/5", "/sitting/s1/frame/13", "/sitting/s1/rows"):
        body = client.get(path).text
        if not path.endswith("rows"):
            assert "<script>alert" not in body
            assert "<img src=x" not in body
        assert "\x1b" not in body
        assert "\u202e" not in body
    page = client.get("/sitting/s1").text
    assert f'<bdi class="name">{builder.UNICODE}</bdi>' in page
    assert "line\\x1b[2Jbreak\\u202egpj.jpg" in page


def test_eye_windows_are_at_one_scale(client: TestClient) -> None:
    page = client.get("/sitting/s1").text
    found = re.findall(r'<img src="/eye/s1/(\d+)/(\d+)\.jpg[^"]*" width="(\d+)"', page)
    assert len(found) == 11
    # 36 mm of face at 5 mm to 1 cm are 7.2 cm of page, 96 px to the inch of 2.54 cm (CSS).
    # In the group a pixel shows 0.417 mm of face, so that its window ends up to a pixel earlier.
    assert all(abs(int(width) - 36 / 5 * 96 / 2.54) <= 2 for _, _, width in found)
    assert ("11", "2") in {(number, face) for number, face, _ in found}  # who decides in the group
    for number, face, _ in found:
        assert client.get(f"/eye/s1/{number}/{face}.jpg").headers["content-type"] == "image/jpeg"


@pytest.mark.parametrize("order", ORDERS)
def test_every_order_is_served_without_scripts(
    client: TestClient, live: LiveSitting, order: str
) -> None:
    page = client.get(f"/sitting/s1?order={order}").text
    assert numbers(page) == [row.number for row in in_order(live.rows(), Asked(order=order))]
    assert ("Burst 1" in plain(page)) == (order == "capture")


def test_a_narrowed_list_says_how_many_and_of_how_many(client: TestClient) -> None:
    page = client.get("/sitting/s1?cause=focus").text
    assert numbers(page) == [1]
    text = plain(page)
    assert "1 of 13 frames." in text
    assert "1 of 4 frames" in text  # of its burst
    assert '<option value="focus" selected>' in page
    none = client.get("/sitting/s1?name=nowhere").text
    assert numbers(none) == []
    assert "No frame is like that" in plain(none)


def test_a_long_list_comes_in_parts_that_hold_every_frame_once(
    client: TestClient, many: LiveSitting
) -> None:
    seen: list[int] = []
    found: list[int] = []
    for part in (1, 2, 3):
        page = client.get(f"/sitting/many?order=shortest&page={part}").text
        assert f"Part {part} of 3" in plain(page)
        assert ('rel="prev"' in page, 'rel="next"' in page) == (part > 1, part < 3)
        found = numbers(page)
        assert len(found) <= SERVED
        seen += found
    assert seen == [row.number for row in in_order(many.rows(), Asked(order="shortest"))]
    assert numbers(client.get("/sitting/many?order=shortest&page=99").text) == seen[-len(found) :]
    assert "page=2" in client.get("/sitting/many?order=shortest").text


@pytest.mark.parametrize("query", ["order=worst", "cause=<script>", "from=much", "to=-1"])
def test_what_cannot_be_asked_for_is_told(client: TestClient, query: str) -> None:
    for path in ("/sitting/s1", "/sitting/s1/frame/1"):
        page = client.get(f"{path}?{query}")
        assert page.status_code == 422
        assert "in the address" in plain(page.text)
        assert "<script>'" not in page.text


def test_lengths_are_as_the_visitor_is_used_to(client: TestClient) -> None:
    inches = {"cookie": "lengths=inch"}
    text = plain(client.get("/sitting/s1", headers=inches).text)
    assert "2 of 11 frames hold 24 in." in text
    assert "Holds 37 in, the next 14 in; eyes open." in text
    assert "14 in (12–15)" in text
    rows = client.get("/sitting/s1/rows", headers=inches).json()
    assert rows["bursts"]["1"][1] == "Holds 37\u2009in, the next 14\u2009in; eyes open."
    assert ["14\u2009in", "(12–15)"] in rows["sayings"]
    narrowed = client.get("/sitting/s1?from=30&unit=inch", headers=inches)
    assert numbers(narrowed.text) == [2]  # 96 cm; 62 cm are 24 in
    assert 'value="30"' in narrowed.text


def test_rows_say_what_the_served_list_says(client: TestClient, live: LiveSitting) -> None:
    answer = client.get("/sitting/s1/rows")
    data = answer.json()
    rows = live.rows()
    assert data["n"] == [row.number for row in rows]
    assert [data["causes"][cause] for cause in data["cause"]][:3] == ["focus", "nothing", "shake"]
    assert data["reach"] == [None if r.reach_cm is None else r.reach_cm.value for r in rows]
    page = plain(client.get("/sitting/s1").text)
    for k, row in enumerate(rows):
        if row.status == "measured":
            assert " ".join(data["sayings"][data["said"][k]]).split()[0] in page
        else:
            assert data["reasons"][str(row.number)] in page
    assert data["best"] == [0, 1, 0, 0, 1, 0, 0, 0, 0, 0, 0, 0, 0]  # none of a burst of one


def test_rows_are_known_again_until_something_changes(
    client: TestClient, live: LiveSitting
) -> None:
    first = client.get("/sitting/s1/rows")
    tag = {"if-none-match": first.headers["etag"]}
    again = client.get("/sitting/s1/rows", headers=tag)
    assert (again.status_code, again.content) == (304, b"")
    live.choose([1], chosen=True)
    changed = client.get("/sitting/s1/rows", headers=tag)
    assert changed.status_code == 200
    assert changed.json()["chosen"][0] == 1
    # Seen in inches it is another answer.
    other = client.get("/sitting/s1/rows", headers={"cookie": "lengths=inch"})
    assert other.headers["etag"] != changed.headers["etag"]


def test_rows_come_compressed_where_that_is_understood(client: TestClient) -> None:
    plainly = client.get("/sitting/s1/rows", headers={"accept-encoding": "identity"})
    assert "content-encoding" not in plainly.headers
    with client.stream("GET", "/sitting/s1/rows", headers={"accept-encoding": "gzip"}) as answer:
        packed = b"".join(answer.iter_raw())
        assert answer.headers["content-encoding"] == "gzip"
    assert json.loads(gzip.decompress(packed)) == plainly.json()


def test_the_state_counts(client: TestClient, live: LiveSitting) -> None:
    before = client.get("/sitting/s1/state").json()
    assert (before["frames"], before["chosen"]) == (13, 0)
    live.choose([1, 2], chosen=True)
    after = client.get("/sitting/s1/state").json()
    assert (after["chosen"], after["revision"] > before["revision"]) == (2, True)


def test_an_empty_sitting_says_so(client: TestClient, site: Site, live: LiveSitting) -> None:
    new = LiveSitting(key="new", name="Erste", folder=None, viewing=live.viewing)
    site.add(new)
    page = client.get("/sitting/new")
    assert page.status_code == 200
    assert "No frame is here yet" in plain(page.text)
    new.watched_by(lambda: Watched(watching=True, waiting=12))
    assert "The first 12 frames are being measured" in plain(client.get("/sitting/new").text)
    assert client.get("/sitting/new/rows").json()["n"] == []
    assert client.get("/sitting/new/chosen.txt").text == ""


def test_each_frame_shows_the_number_that_a_check_asks_for(client: TestClient) -> None:
    listed = client.get("/sitting/s1").text.partition("<template")[0]
    shown = re.findall(r'id="f(\d+)">.*?<span class="number">(\d+)</span>', listed, re.DOTALL)
    assert [number for number, _ in shown] == [str(n) for n in numbers(listed)]
    assert all(number == said for number, said in shown)
