"""A guided trial followed from its first frame to its result, over a reload and a restart."""

import re
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.web.trials import (
    FORM,
    HERE,
    PRINT_CM,
    TIMES,
    empty_site,
    finished,
    ladder_readings,
    land,
)

from eyeplane.asked.kept_checks import all_kept
from eyeplane.records import Viewing, from_plain
from eyeplane.records.ladder import LadderResult
from eyeplane.sitting.ladder import ladder_of
from eyeplane.sitting.ladder_asked import LadderAsked
from eyeplane.sitting.live import LiveSitting
from eyeplane.sitting.run import make_sitting
from eyeplane.store import Memory
from eyeplane.web import Site, make_app

READINGS = ladder_readings()


@pytest.fixture
def made(tmp_path: Path) -> tuple[Site, LiveSitting]:
    """Return a site with an empty sitting."""
    return empty_site(tmp_path)


@pytest.fixture
def visitor(made: tuple[Site, LiveSitting]) -> Iterator[TestClient]:
    """Yield a visitor who has begun a ladder."""
    with TestClient(make_app(made[0]), base_url=HERE, headers={"origin": HERE}) as client:
        answer = client.post("/steadiness/trial", data={**FORM, "time": list(TIMES)})
        assert answer.status_code == 200, answer.text
        yield client


def said(client: TestClient) -> str:
    """Return what the page says to do now."""
    found = re.search(r'<h1 class="next">(.*?)</h1>', client.get("/steadiness/trial").text)
    assert found is not None
    return re.sub("<[^>]*>", "", found[1]).replace("\u202f", " ")


def awaited(client: TestClient, *words: str) -> None:
    """Wait until the page says something."""
    for _ in range(300):
        text = client.get("/steadiness/trial/piece").text
        if all(one in text for one in words):
            return
        time.sleep(0.2)
    pytest.fail("it was never said")


def test_frames_are_counted_as_they_land(
    visitor: TestClient, made: tuple[Site, LiveSitting]
) -> None:
    live = made[1]
    assert said(visitor) == "1/500 s: six frames"
    land(live, READINGS[:4])
    assert said(visitor) == "1/500 s: 4 of 6, two more"
    land(live, READINGS[4:5])
    assert said(visitor) == "1/500 s: 5 of 6, one more"
    land(live, READINGS[5:10])
    assert said(visitor) == "1/250 s: 4 of 6, two more"


def test_only_what_changed_is_sent_again(
    visitor: TestClient, made: tuple[Site, LiveSitting]
) -> None:
    land(made[1], READINGS[:2])
    piece = visitor.get("/steadiness/trial/piece")
    mark = re.search(r"mark=([\d-]+)", piece.text)
    assert mark is not None
    same = f"/steadiness/trial/piece?mark={mark[1]}"
    assert visitor.get(same).status_code == 204
    land(made[1], READINGS[2:3])
    assert "3 of 6" in visitor.get(same).text


def test_frames_that_lay_there_before_do_not_count(
    visitor: TestClient, made: tuple[Site, LiveSitting]
) -> None:
    """They get later numbers, being measured while the trial goes on."""
    made[1].take(READINGS[0])
    land(made[1], READINGS[1:3])
    assert said(visitor) == "1/500 s: 2 of 6, four more"


def test_a_frame_that_does_not_fit_is_named_at_once(
    visitor: TestClient, made: tuple[Site, LiveSitting]
) -> None:
    land(made[1], READINGS[:1])
    exposure = replace(READINGS[1].exposure, exposure_time_s=1 / 1000)
    land(made[1], [replace(READINGS[1], exposure=exposure)])
    text = visitor.get("/steadiness/trial").text.replace("\u202f", " ")
    assert "Frame 2, 0001.jpg: 1/1000 s is not part of this trial." in text
    assert "1/500 s:</span> 1 of 6, five more" in text


@pytest.mark.usefixtures("visitor")
def test_it_goes_on_after_a_restart_and_waits_for_its_sitting(
    made: tuple[Site, LiveSitting],
) -> None:
    land(made[1], READINGS[:4])
    again = Site(store_path=made[0].store_path)
    with TestClient(make_app(again), base_url=HERE, headers={"origin": HERE}) as later:
        assert "Its sitting is not open" in later.get("/steadiness/trial").text
        again.add(made[1])
        assert said(later) == "1/500 s: 4 of 6, two more"
        assert "A trial is going on: back to it" in later.get("/steadiness").text


@pytest.mark.slow
def test_its_result_is_the_ladder_of_the_same_frames_and_kept_as_the_command_keeps_it(
    made: tuple[Site, LiveSitting],
) -> None:
    """Three times and twelve frames, so that it is quick; the answer is wide, and the same."""
    site, live = made
    times = ("1/250", "1/60", "1/15")
    readings = ladder_readings(times, 4)
    with TestClient(make_app(site), base_url=HERE, headers={"origin": HERE}) as client:
        client.post("/steadiness/trial", data={**FORM, "each": "4", "time": list(times)})
        land(live, readings)
        assert said(client) == "All steps are full."
        awaited(client, "So far, from 12 frames", "frames in 10 hold")
        client.post("/steadiness/trial/finish")
        where = finished(client)
        kept = all_kept(site.store_path, "ladder")
        assert where == f"/steadiness/ladder/{kept[0].number}"
        text = client.get(where).text
        assert "Remembered for the kit Studio: shake" in text
        assert "<b>Trial</b>" not in text
        assert "frames in 10 hold" in client.get("/steadiness").text
        assert "How slow may you go" in client.get("/steadiness/trial").text
    asked = LadderAsked(
        prints_cm=(PRINT_CM,), stabiliser="off", sitter="adult", name="<b>Trial</b>"
    )
    viewing = Viewing(distance_cm=50.0, print_cm=PRINT_CM)
    sitting = make_sitting([(one, ()) for one in readings], viewing=viewing, name="x")
    assert from_plain(LadderResult, kept[0].result) == ladder_of(sitting.frames, asked)
    assert kept[0].kit == "Studio"
    with Memory(site.store_path) as memory:  # type: ignore[arg-type]  # is given
        remembered = memory.recall("kit", "Studio")
    assert remembered is not None
    assert [name for name, _ in remembered.typed] == ["shake"]


def test_what_is_to_be_shot_next_can_be_added(made: tuple[Site, LiveSitting]) -> None:
    """All hold at two fast times: five frames each at the two whole stops slower are to follow."""
    site, live = made
    times = ("1/2000", "1/1000")
    with TestClient(make_app(site), base_url=HERE, headers={"origin": HERE}) as client:
        client.post("/steadiness/trial", data={**FORM, "time": list(times)})
        land(live, ladder_readings(times, 6))
        awaited(client, "Go on slower: five frames each at 1/500 and 1/250", "Add these frames")
        client.post("/steadiness/trial/more")
        assert said(client) == "1/500 s: five frames"
        client.post("/steadiness/trial/more")  # a slip of the finger
        assert client.get("/steadiness/trial").text.count("0 of 5") == 2


def test_giving_up_leaves_the_frames_and_ends_it(
    visitor: TestClient, made: tuple[Site, LiveSitting]
) -> None:
    land(made[1], READINGS[:4])
    visitor.post("/steadiness/trial/drop")
    assert visitor.get("/steadiness/trial/piece").status_code == 286
    assert made[1].state().frames == 4
    answer = visitor.post("/steadiness/trial/finish")
    assert answer.status_code == 422
    assert "no trial is going on" in answer.text


@pytest.mark.parametrize(
    ("changed", "said_so"),
    [
        ({"time": []}, "a ladder of 0 shutter times"),
        ({"time": ["1/250"]}, "a ladder of 1 shutter time "),
        ({"time": ["1/250", "soon"]}, "is no time"),
        ({"each": "0"}, "Give a whole number from 1 to 60"),
        ({"each": "many"}, "Give a whole number"),
        ({"print_cm": "nan"}, "is no length"),
        ({"share": "100"}, "from 1 to 99"),
        ({"subject": "wall"}, "not one of ours"),
        ({"stabiliser": "ibis"}, "not one of ours"),
        ({"kit": "x" * 99}, "is no name"),
        ({"sitting": "../../etc"}, "no open sitting"),
    ],
)
def test_a_trial_that_cannot_be_is_refused(
    made: tuple[Site, LiveSitting], changed: dict[str, object], said_so: str
) -> None:
    with TestClient(make_app(made[0]), base_url=HERE, headers={"origin": HERE}) as client:
        form = {**FORM, "time": list(TIMES), **changed}
        answer = client.post("/steadiness/trial", data=form)
        assert answer.status_code in {404, 422}
        assert said_so in answer.text.replace("&#39;", "'")
        assert "How slow may you go" in client.get("/steadiness/trial").text


@pytest.mark.parametrize(
    ("way", "first"), [("adult", "1/500"), ("adult-stabilised", "1/125"), ("child", "1/1000")]
)
def test_times_are_proposed_for_who_sits_and_how_it_is_held(
    client: TestClient, way: str, first: str
) -> None:
    text = client.get(f"/steadiness/trial?way={way}").text
    ticked = re.findall(r'name="time" value="([^"]+)" checked', text)
    assert len(ticked) == 6
    assert ticked[0] == first
    assert "a tired hand" in text
    assert "their guardian is present" in text
