"""The Now page as it is asked for: what it says, what it takes."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from types import ModuleType

import pytest
from starlette.testclient import TestClient

from eyeplane.records.live import LiveFrame, RunWarning
from eyeplane.records.watched import Watched
from eyeplane.sitting.live import LiveSitting, of_sitting
from eyeplane.web import Site, make_app
from eyeplane.web.pages.now_eye import eye_address
from eyeplane.web.pages.now_shown import ago_words
from eyeplane.web.words import words

GROUP, NOBODY, UNREADABLE = 11, 12, 13  # numbers in the hand-made sitting


def shows(page: str, text: str) -> bool:
    """Return whether a page shows a text, whatever spaces stand before its units."""
    return text in page.replace("\u202f", " ").replace("\u2009", " ")


def test_the_answer_comes_first(client: TestClient) -> None:
    page = client.get("/now?frame=1").text
    assert shows(page, "Near eye holds 35 cm. Focus lay 14 mm behind it.")
    assert shows(page, '<p class="large">35 cm</p>')
    assert shows(page, "(30–39)") or shows(page, "(30–35)")
    assert shows(page, "Focus on the near iris, or close to f/4: then it holds 80 cm.")
    assert shows(page, "focus plane 14 mm behind")
    assert page.count("<h1") == 1


def test_without_a_number_it_is_the_newest_frame(client: TestClient) -> None:
    assert f'data-number="{UNREADABLE}" data-held="0"' in client.get("/now").text


@pytest.mark.parametrize("asked", ["0", "99", "-1", "1e3", "x", "9" * 400, "", "1%00"])
def test_a_frame_that_is_not_there_is_the_newest(client: TestClient, asked: str) -> None:
    page = client.get(f"/now?frame={asked}")
    assert page.status_code == 200
    assert f'data-number="{UNREADABLE}" data-held="0"' in page.text


def test_a_held_frame_says_how_many_are_newer(client: TestClient) -> None:
    page = client.get("/now?frame=3").text
    assert 'data-held="1"' in page
    assert words("now.newer", count=10) in page
    assert 'href="/now?frame=2"' in page  # the one before


def test_a_frame_without_anybody_says_so_and_keeps_the_last_answer(client: TestClient) -> None:
    page = client.get(f"/now?frame={NOBODY}").text
    assert words("now.nobody") in page
    assert shows(page, words("now.answered", n=GROUP, said="22 cm"))
    assert f'href="/now?frame={GROUP}"' in page
    assert 'class="large"' not in page


def test_an_unreadable_frame_says_why(client: TestClient) -> None:
    page = client.get(f"/now?frame={UNREADABLE}").text
    assert "the file ends before the picture does" in page
    assert f'href="/now?frame={GROUP}"' in page
    assert "\u202e" not in page  # its name turns lines around


def test_markup_in_a_name_stays_text(client: TestClient) -> None:
    page = client.get("/now?frame=5").text
    assert "<img src=x" not in page
    assert "&lt;script&gt;" in page


def test_what_cannot_be_told_is_said_in_words(client: TestClient) -> None:
    page = client.get("/now?frame=6").text
    assert '<span class="untold">cannot tell</span>' in page


def test_without_a_sitting_the_way_is_told(site: Site) -> None:
    bare = Site(store_path=site.store_path)
    with TestClient(make_app(bare), base_url="http://127.0.0.1:8765") as client:
        page = client.get("/now").text
    assert words("now.none") in page
    assert 'href="/sittings"' in page


def test_before_the_first_frame_it_waits(site: Site, live: LiveSitting) -> None:
    site.add(LiveSitting(key="new", name="New", folder=None, viewing=live.viewing))
    with TestClient(make_app(site), base_url="http://127.0.0.1:8765") as client:
        assert words("now.waiting") in client.get("/now").text


def test_before_the_first_answer_it_says_what_is_being_done(site: Site, live: LiveSitting) -> None:
    new = LiveSitting(key="new", name="New", folder=None, viewing=live.viewing)
    site.add(new)
    with TestClient(make_app(site), base_url="http://127.0.0.1:8765") as client:
        new.watched_by(lambda: Watched(watching=True, waiting=1200))
        page = client.get("/now").text
        assert words("now.first", count=1200) in page
        assert words("now.waiting") not in page  # they have landed
        new.watched_by(lambda: Watched(watching=True, writing=("a.jpg",)))
        page = client.get("/now").text
        assert words("now.first_written") in page
        assert words("now.waiting") not in page


def test_a_faultless_frame_that_falls_short_says_why(builder: ModuleType, site: Site) -> None:
    made = builder.make_sitting()
    frame = made.frames[0]
    small = replace(frame, answer=replace(frame.answer, cause="none", advice=""))
    held = replace(frame.answer.reach_cm, value=200.0, low=180.0, high=220.0)
    large = replace(small, answer=replace(small.answer, reach_cm=held))
    for one, said in ((small, True), (large, False), (frame, False)):
        site.add(of_sitting(replace(made, frames=(one,)), key="one"))
        with TestClient(make_app(site), base_url="http://127.0.0.1:8765") as client:
            page = client.get("/now").text
        assert (words("now.few_pixels") in page) is said


def test_a_piece_is_never_kept_and_is_the_same_answer(client: TestClient) -> None:
    piece = client.get("/now/piece?frame=1")
    assert piece.headers["cache-control"] == "no-store"
    assert "<html" not in piece.text
    start = piece.text.index('<section id="now-answer"')
    end = piece.text.index("</section>", start)
    assert piece.text[start:end] in client.get("/now?frame=1").text


def test_lengths_are_those_the_visitor_is_used_to(client: TestClient) -> None:
    client.cookies.set("lengths", "inch")
    page = client.get("/now/piece?frame=1").text
    assert shows(page, "14 in")
    assert not shows(page, "35 cm")
    assert shows(page, "14 mm behind")  # at the face it stays


def test_the_eye_is_as_large_as_on_the_print(client: TestClient) -> None:
    """By hand: 36 mm of face at 0.134 mm to a pixel, 0.1 mm of print to a pixel, 96/25.4 px."""
    page = client.get("/now?frame=1").text
    assert f'width="{269 * 0.1 * 96 / 25.4:.2f}"' in page
    assert words("now.not_calibrated") in page
    client.cookies.set("screen_px_per_mm", "6.25")
    page = client.get("/now?frame=1").text
    assert f'width="{269 * 0.1 * 6.25:.2f}"'.replace('0"', '"') in page
    assert words("now.not_calibrated") not in page


def test_an_eye_window_is_kept_for_ever_by_its_version(client: TestClient) -> None:
    answer = client.get(eye_address("s1", 1, 0, "ab" * 32))
    assert answer.headers["content-type"] == "image/jpeg"
    assert answer.content.startswith(b"\xff\xd8")
    assert "immutable" in answer.headers["cache-control"]
    assert "private" in answer.headers["cache-control"]
    plain = client.get("/eye/s1/1/0.jpg")
    assert plain.headers["cache-control"] == "private, no-cache"
    again = client.get("/eye/s1/1/0.jpg", headers={"if-none-match": plain.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")


@pytest.mark.parametrize(
    "path",
    [
        *("s1/1/9", "s1/99/0", "s1/0/0", "s1/-1/0", "nobody/1/0", f"s1/{'9' * 300}/0"),
        *("s1/1/x", "s1/1e0/0", f"s1/{NOBODY}/0", "s1/１/0", "..%2f..%2fetc/1/0"),
    ],
)
def test_an_eye_that_is_not_there_is_not_found(client: TestClient, path: str) -> None:
    assert client.get(f"/eye/{path}.jpg").status_code == 404


def test_a_frame_is_chosen_and_taken_back(client: TestClient, live: LiveSitting) -> None:
    answer = client.post("/now/choose", data={"frame": "2", "chosen": "1"}, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/now")
    assert live.frame(2).chosen  # type: ignore[union-attr]  # it is there
    assert words("now.chosen") in client.get("/now?frame=2").text
    held = {"frame": "2", "chosen": "0", "held": "2"}
    answer = client.post("/now/choose", data=held, follow_redirects=False)
    assert answer.headers["location"] == "/now?frame=2"
    assert not live.frame(2).chosen  # type: ignore[union-attr]  # as above


@pytest.mark.parametrize("number", ["99", "x", "", "-1"])
def test_no_frame_no_choice(client: TestClient, number: str) -> None:
    answer = client.post("/now/choose", data={"frame": number, "chosen": "1"})
    assert answer.status_code == 422
    assert words("now.no_frame") in answer.text


def test_names_belong_to_places_of_this_sitting(client: TestClient, live: LiveSitting) -> None:
    live.name_sitters(["", "", "", "", "Fifth"])  # of a larger group, earlier
    client.post("/now/names", data={"name-1": "Anna", "name-2": "<b>", "held": str(GROUP)})
    assert live.sitter_names() == {1: "Anna", 2: "<b>", 5: "Fifth"}
    page = client.get(f"/now?frame={GROUP}").text
    assert ">Anna</text>" in page
    assert "&lt;b&gt;" in page
    assert 'value="Anna"' in page


def test_a_name_too_long_is_refused_in_words(client: TestClient) -> None:
    answer = client.post("/now/names", data={"name-1": "x" * 200})
    assert answer.status_code == 422
    assert words("now.names.shorter") in answer.text


def test_a_single_sitter_has_no_names_to_type(client: TestClient) -> None:
    assert "name-1" not in client.get("/now?frame=1").text
    assert "name-3" in client.get(f"/now?frame={GROUP}").text


def test_the_last_good_frame_and_how_long_ago(
    client: TestClient, live: LiveSitting, monkeypatch: pytest.MonkeyPatch
) -> None:
    good = live.frame(2)
    assert good is not None

    def landed(seconds: float) -> LiveFrame:
        return replace(good, landed_at=datetime.now(tz=UTC) - timedelta(seconds=seconds))

    monkeypatch.setattr(live, "last_good", lambda: landed(40.4))
    page = client.get("/now?frame=3").text
    assert shows(page, "Last good frame 40 s ago")
    assert 'data-age="40.4' in page
    monkeypatch.setattr(live, "last_good", lambda: None)
    assert words("now.good.none") in client.get("/now?frame=3").text


@pytest.mark.parametrize(
    ("age_s", "said"),
    [(0.0, "0 s"), (59.9, "59 s"), (60.0, "1 min"), (3599.0, "59 min"), (7200.0, "2 h")],
)
def test_how_long_ago_is_rounded_down(age_s: float, said: str) -> None:
    assert ago_words(age_s) == said


def test_a_warning_stands_until_a_frame_holds_again(
    client: TestClient, live: LiveSitting, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = RunWarning(
        kind="same cause", number=9, text="Three frames in a row shaken.", advice="Go to 1/400 s."
    )
    monkeypatch.setattr(live, "warnings", lambda: (told,))
    monkeypatch.setattr(live, "last_good", lambda: live.frame(2))
    page = client.get("/now").text
    assert page.count(told.text) == 1
    assert told.advice in page
    assert told.text not in client.get("/now?frame=8").text  # it was not noticed yet
    monkeypatch.setattr(live, "last_good", lambda: live.frame(10))
    assert told.text not in client.get("/now").text


def test_what_is_being_written_and_trouble_are_told(
    client: TestClient, live: LiveSitting, monkeypatch: pytest.MonkeyPatch
) -> None:
    state = replace(live.state(), writing=("a.jpg", "b.jpg"), trouble="the card is gone")
    monkeypatch.setattr(live, "state", lambda: state)
    page = client.get("/now").text
    assert words("now.writing", count=2) in page
    assert '<p class="run">the card is gone</p>' in page  # the sentence says what it stops
    monkeypatch.setattr(live, "state", lambda: replace(state, writing=(), waiting=1, trouble=""))
    assert words("now.measuring", count=1) in client.get("/now").text


def test_a_frame_with_many_sitters_is_shown(builder: ModuleType, site: Site) -> None:
    made = builder.make_sitting()
    frame = made.frames[GROUP - 1]
    many = replace(
        frame,
        reading=replace(frame.reading, faces=frame.reading.faces[:3] * 10),
        answer=replace(frame.answer, faces=frame.answer.faces[:3] * 10),
    )
    site.add(of_sitting(replace(made, frames=(many,)), key="many"))
    with TestClient(make_app(site), base_url="http://127.0.0.1:8765") as client:
        page = client.get("/now").text
    assert page.count('id="name-') == 30
