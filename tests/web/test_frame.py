"""The page of one frame: everything that the report says of it, and the way on."""

import re
from html import unescape

import pytest
from starlette.testclient import TestClient

from eyeplane.deliver import write_report
from eyeplane.deliver.pages import page_of
from eyeplane.records.live import LiveFrame
from eyeplane.sitting.live import LiveSitting
from eyeplane.sitting.live_held import Held
from eyeplane.web.pages.sitting_asked import Asked, in_order


def plain(markup: str) -> str:
    body = re.sub(r"<(style|script|head)\b.*?</\1>", " ", markup, flags=re.DOTALL)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", body)).split())


def test_the_reasons_are_those_of_the_report(
    client: TestClient, live: LiveSitting, tmp_path: object
) -> None:
    path = tmp_path / "report.html"  # type: ignore[operator]  # pytest gives a Path
    write_report(live.sitting(), path)
    report = path.read_text("utf-8")
    notes = re.findall(r'<article class="note.*?</article>', report, re.DOTALL)
    assert len(notes) == 11
    for note in notes:
        name = plain(re.search(r'<bdi class="name">.*?</bdi>', note)[0])  # type: ignore[index]
        row = next(row for row in live.rows() if row.name == name)
        page = plain(client.get(f"/sitting/s1/frame/{row.number}").text)
        cells = re.findall(r"<(?:dd|dt|td|th|caption|figcaption)[^>]*>(.*?)</", note, re.DOTALL)
        missing = [cell for cell in map(plain, cells) if cell and cell not in page]
        assert missing == []
        sentence = plain(re.search(r'<p class="sentence">.*?</p>', note)[0])  # type: ignore[index]
        assert sentence in page


def test_a_frame_without_an_answer_says_why(client: TestClient) -> None:
    text = plain(client.get("/sitting/s1/frame/13").text)
    assert "the file ends before the picture does" in text
    assert "line\\x1b[2Jbreak\\u202egpj.jpg" in text
    assert "nobody was found on it" in plain(client.get("/sitting/s1/frame/12").text)


def test_the_way_on_keeps_the_order(client: TestClient, live: LiveSitting) -> None:
    order = [row.number for row in in_order(live.rows(), Asked(order="longest", cause=""))]
    for place, number in enumerate(order):
        page = client.get(f"/sitting/s1/frame/{number}?order=longest").text
        assert f"{place + 1} of {len(order)}" in page
        found = re.findall(r'rel="(prev|next)" data-key="[a-z]+" href="([^"]+)"', page)
        ways = [("prev", n) for n in order[max(place - 1, 0) : place]]
        ways += [("next", n) for n in order[place + 1 : place + 2]]
        assert found == [(way, f"/sitting/s1/frame/{n}?order=longest") for way, n in ways]


def test_a_frame_outside_the_narrowed_list_is_still_shown(client: TestClient) -> None:
    page = plain(client.get("/sitting/s1/frame/2?cause=focus").text)
    assert "Not among the frames you narrowed the list to" in page


def test_it_leads_to_the_best_of_its_burst_and_to_the_print(client: TestClient) -> None:
    page = client.get("/sitting/s1/frame/1").text
    assert 'href="/eyes/s1?a=1&amp;b=2"' in page
    assert 'href="/print/s1/1"' in page
    assert "Holds 95" in page
    best = client.get("/sitting/s1/frame/2").text
    assert 'href="/eyes/s1?a=2"' in best
    assert "Best of its burst." in best
    assert 'class="of-burst"' not in client.get("/sitting/s1/frame/7").text


def test_choosing_comes_back_to_the_frame(client: TestClient, live: LiveSitting) -> None:
    form = {"choose": "4", "at": "4", "as-order": "longest"}
    back = client.post("/sitting/s1/choose", data=form, follow_redirects=False)
    assert back.headers["location"] == "/sitting/s1/frame/4?order=longest"
    page = client.get("/sitting/s1/frame/4").text
    assert "1 chosen" in page
    assert 'name="drop" value="4"' in page
    client.post("/sitting/s1/undo", data={"at": "4"})
    assert not any(row.chosen for row in live.rows())


@pytest.mark.parametrize("number", ["0", "14", "99999", "9" * 5000, "x", "-1", "1.0", "%00", "¹"])
def test_what_no_frame_has_is_not_here(client: TestClient, number: str) -> None:
    answer = client.get(f"/sitting/s1/frame/{number}")
    assert answer.status_code == 404


def test_no_place_on_earth_is_ever_shown(client: TestClient, live: LiveSitting) -> None:
    for row in live.rows():
        page = plain(client.get(f"/sitting/s1/frame/{row.number}").text)
        assert not re.search(r"gps|latitude|longitude", page, re.IGNORECASE)
        assert "/ilves/" not in page  # nor where on the disk it lies


def test_a_frame_is_shown_without_working_out_the_others(
    client: TestClient, live: LiveSitting, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of thousands of frames each takes milliseconds, and tens of them while it waits."""
    expected = page_of(live.sitting())
    seen = live._whole_frame
    asked: list[int] = []

    def whole(held: Held) -> LiveFrame | None:
        asked.append(held.number)
        return seen(held)

    monkeypatch.setattr(live, "_whole_frame", whole)
    assert client.get("/sitting/s1/frame/3").status_code == 200
    assert set(asked) == {3}
    assert client.get("/sitting/s1").status_code == 200
    assert set(asked) == {3}
    outlined = page_of(live.outlined())
    for part in ("day", "goal", "lines", "counts", "tally", "habits", "bars", "reach", "kits"):
        assert getattr(outlined, part) == getattr(expected, part), part


def test_where_an_advice_may_hurt_it_is_cautioned(client: TestClient, live: LiveSitting) -> None:
    fired = [n for n in range(1, live.state().given + 1) if _flash(live, n)]
    assert fired
    for number in (fired[0], 1):
        for address in (f"/sitting/s1/frame/{number}", f"/now?frame={number}"):
            text = client.get(address).text
            assert ("photosensitive" in text) == (number in fired), address


def _flash(live: LiveSitting, number: int) -> bool:
    found = live.frame(number)
    return found is not None and bool(found.frame.reading.exposure.flash_fired)
