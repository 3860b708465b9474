"""Two frames eye to eye, as the page stands without scripts."""

import json
import re

import pytest
from starlette.testclient import TestClient
from tests.web.framed import EYE_PX, HEIGHT_PX, MM_PER_PX, WIDTH_PX

from eyeplane.records.live import FrameRow
from eyeplane.sitting.live import LiveSitting
from eyeplane.web.words import words


def given(text: str) -> dict[str, object]:
    """Return what the page tells its script."""
    found = re.search(r'<script type="application/json" id="frames">(.*?)</script>', text)
    assert found is not None
    told: dict[str, object] = json.loads(found[1])
    return told


def windows(text: str) -> list[tuple[str, int, int]]:
    """Return the eye windows of a page: address, width, height."""
    found = re.findall(r'<img src="(/eye/[^"]+)" width="(\d+)" height="(\d+)"', text)
    return [(address, int(width), int(height)) for address, width, height in found]


def test_both_eyes_their_sentences_and_reaches(framed_client: TestClient) -> None:
    text = framed_client.get("/eyes/s1?a=1&b=2").text
    assert "Near eye holds 35 cm. Focus lay 14 mm behind it." in text
    assert "Near eye holds 95 cm." in text
    shown = windows(text)
    assert [address.partition("?")[0] for address, *_ in shown] == [
        "/eye/s1/1/0.jpg",
        "/eye/s1/2/0.jpg",
    ]
    # 343 px of 0.134 mm at 5 mm of face to 1 cm of page, 96 CSS px to the inch: the same for both.
    assert all(width == round(343 * MM_PER_PX * 96 / 2.54 / 5) for _, width, _ in shown)
    assert framed_client.get(shown[0][0]).status_code == 200


def test_the_script_is_told_where_the_near_eyes_are(framed_client: TestClient) -> None:
    told = given(framed_client.get("/eyes/s1?a=1&b=2").text)
    assert told["numbers"] == [1, 2]
    for view in told["sides"]:  # type: ignore[attr-defined]
        assert (view["width"], view["height"]) == (WIDTH_PX, HEIGHT_PX)
        assert (view["x"], view["y"]) == EYE_PX
        assert view["face_mm_per_px"] == pytest.approx(MM_PER_PX)
        # 60 cm over 3000 px is 0.2 mm; 96 CSS px to the inch where the screen was not measured.
        assert view["print_px_per_px"] == pytest.approx(0.2 * 96 / 25.4)
    framed_client.cookies.set("screen_px_per_mm", "6.04")
    told = given(framed_client.get("/eyes/s1?a=1&b=2").text)
    assert told["sides"][0]["print_px_per_px"] == pytest.approx(0.2 * 6.04)  # type: ignore[index]


def test_the_frame_beside_is_the_best_of_the_burst(framed_client: TestClient) -> None:
    assert given(framed_client.get("/eyes/s1?a=3").text)["numbers"] == [3, 2]
    assert given(framed_client.get("/eyes/s1?a=2").text)["numbers"] == [2, 1]
    assert len(given(framed_client.get("/eyes/s1").text)["numbers"]) == 2  # type: ignore[arg-type]


def test_next_goes_round_the_burst_and_leaves_the_other_out(framed_client: TestClient) -> None:
    seen = []
    path = "/eyes/s1?a=1&b=2"
    for _ in range(4):
        text = framed_client.get(path).text
        seen.append(given(text)["numbers"][1])  # type: ignore[index]
        found = re.search(r'href="([^"]+)" data-key="next"', text)
        assert found is not None
        path = found[1].replace("&amp;", "&")
    assert seen == [2, 3, 4, 2]


def test_swapping_and_the_way_back(framed_client: TestClient) -> None:
    text = framed_client.get("/eyes/s1?a=1&b=2").text
    assert 'data-key="swap" href="/eyes/s1?a=2&amp;b=1"' in text
    assert 'href="/sitting/s1"' in text


def test_either_frame_can_be_chosen_and_the_choice_taken_back(
    client: TestClient, live: LiveSitting
) -> None:
    form = {"n": "2", "chosen": "yes", "a": "1", "b": "2", "fa": "", "fb": "0"}
    answer = client.post("/eyes/s1/choose", data=form, follow_redirects=False)
    assert answer.status_code == 303
    assert answer.headers["location"] == "/eyes/s1?a=1&b=2&fb=0"
    chosen = live.frame(2)
    assert chosen is not None
    assert chosen.chosen
    text = client.get("/eyes/s1?a=1&b=2").text
    assert words("eyes.unchoose") in text
    client.post("/eyes/s1/choose", data=form | {"chosen": "no"})
    again = live.frame(2)
    assert again is not None
    assert not again.chosen


def test_any_sitter_of_a_group_can_be_looked_at(client: TestClient) -> None:
    rows = {row.sitters: row.number for row in _rows(client)}
    group = rows[3]
    text = client.get(f"/eyes/s1?a={group}&b=1").text
    found = re.findall(
        rf'href="(/eyes/s1\?a={group}&amp;b=1&amp;fa=\d)"( aria-current="true")?', text
    )
    assert len(found) == 3
    assert [bool(shown) for _, shown in found].count(True) == 1
    other = next(address for address, shown in found if not shown).replace("&amp;", "&")
    assert windows(text)[0] != windows(client.get(other).text)[0]


def _rows(client: TestClient) -> tuple[FrameRow, ...]:
    rows: tuple[FrameRow, ...] = client.app.state.site.sitting("s1").rows()  # type: ignore[attr-defined]
    return rows


def test_frames_without_anybody_or_unreadable_are_told(client: TestClient) -> None:
    numbers = {row.status: row.number for row in _rows(client)}
    text = client.get(f"/eyes/s1?a={numbers['nobody']}&b={numbers['unreadable']}").text
    assert words("eyes.nobody") in text
    assert "the file ends before the picture does" in text
    assert given(text)["sides"] == [None, None]
    assert "\u202e" not in text
    assert "\x1b" not in text


def test_hostile_names_and_numbers(client: TestClient) -> None:
    assert "<script>alert" not in client.get("/eyes/s1?a=5&b=6").text
    for path in ("/eyes/s1?a=99999", "/eyes/s1?a=x", f"/eyes/s1?a=1&b={'9' * 5000}", "/eyes/no"):
        assert client.get(path).status_code == 404, path[:40]
    assert client.get("/eyes/s1?a=1&b=2&fa=77&fb=-1").status_code == 200
    answer = client.post(
        "/eyes/s1/choose", data={"n": "x", "a": "<b>", "chosen": "yes"}, follow_redirects=False
    )
    assert answer.status_code == 303
    assert "<" not in answer.headers["location"]
