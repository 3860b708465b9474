"""A check run from the page: on frames that are there, and on frames to come."""

import time
from dataclasses import replace
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.kit.dust_frames import DustCamera, Particle, shoot
from tests.sitting.made import reading
from tests.web.trials import HERE, empty_site, finished, land

from eyeplane.asked.kept_checks import all_kept
from eyeplane.errors import InputError
from eyeplane.imaging import open_picture
from eyeplane.records import FrameReading, MeasureSettings
from eyeplane.sitting.live import LiveSitting
from eyeplane.web import Site, make_app
from eyeplane.web.pages.kit_new import paths_of


@pytest.fixture
def made(tmp_path: Path) -> tuple[Site, LiveSitting]:
    """Return a site whose sitting holds two frames of a wall with a speck on the sensor."""
    site, live = empty_site(tmp_path)
    for seed in (1, 2):
        live.take(wall(tmp_path, seed))
    return site, live


def wall(folder: Path, seed: int) -> FrameReading:
    """Return what is measured of a frame of a wall, which is written."""
    body = DustCamera(
        width_px=600, height_px=400, particles=(Particle(at_share=(0.2, 0.25), diameter_um=60.0),)
    )
    path = shoot(body, folder / f"wall {seed}.jpg", seed=seed)
    exposure = open_picture(path, settings=MeasureSettings()).exposure
    return replace(reading(str(path), exposure=exposure, faces=[]), status="nobody")


def test_frames_of_a_sitting_are_checked_and_the_result_is_kept(
    made: tuple[Site, LiveSitting],
) -> None:
    site, _ = made
    with TestClient(make_app(site), base_url=HERE, headers={"origin": HERE}) as client:
        assert "Check the sensor for dust" in client.get("/kit/new/dust").text
        asked = {"frames": "1-2", "sitting": "t1", "kit": "Body 7", "f_number": "f/8"}
        answer = client.post("/kit/run/dust", data=asked, follow_redirects=False)
        assert answer.status_code == 303, answer.text
        where = finished(client)
        kept = all_kept(site.store_path, "dust")
        assert where == f"/kit/dust/{kept[0].number}"
        assert (kept[0].kit, kept[0].result["working_f_number"]) == ("Body 7", 8.0)
        assert kept[0].result["frames"] == 2
        assert "1 speck on the sensor" in client.get(where).text
        assert client.get("/kit/work/piece").status_code == 286
        assert client.get("/kit/work/piece").headers["hx-redirect"] == where


def test_frames_from_now_on_are_counted_and_checked(
    made: tuple[Site, LiveSitting], tmp_path: Path
) -> None:
    site, live = made
    with TestClient(make_app(site), base_url=HERE, headers={"origin": HERE}) as client:
        answer = client.post("/kit/guide/dust", data={"sitting": "t1"}, follow_redirects=False)
        assert answer.headers["location"] == "/kit/trial"
        assert "f/16:</span> three frames" in client.get("/kit/trial").text
        land(live, [wall(tmp_path, 3), wall(tmp_path, 4)])
        assert "f/16:</span> 2 of 3, one more" in client.get("/kit/trial").text
        land(live, [wall(tmp_path, 5)])
        assert "All steps are full." in client.get("/kit/trial").text
        client.post("/steadiness/trial/finish")
        finished(client)
        assert all_kept(site.store_path, "dust")[0].result["frames"] == 3
        assert "A guided trial" in client.get("/steadiness/trial").text  # it has ended


@pytest.mark.parametrize(
    ("kind", "given", "said"),
    [
        ("dust", {}, "no frames are named"),
        ("dust", {"frames": "3"}, "the sitting has frames 1 to 2"),
        ("dust", {"frames": "1-99999999999"}, "is no frame"),
        ("dust", {"frames": "<script>"}, "is no frame"),
        ("dust", {"frames": "1", "f_number": "wide"}, "is no aperture"),
        ("dust", {"frames": "1", "print_cm": "-5"}, "is no length"),
        ("dust", {"frames": "1", "kit": "x" * 99}, "is no name"),
        ("dust", {"frames": "1", "sitting": "zz"}, "no open sitting"),
        ("glass", {"frames": "1", "before": "1"}, "the only one"),
        ("glass", {"frames": "1", "clean": "1"}, "no kit is named"),
        ("chart", {"frames": "1", "paper": "A9"}, "there is no chart on"),
        ("chart", {"frames": "1", "ruler_mm": "0"}, "is no length of a ruler"),
        ("focus", {"frames": "1", "sitter_distance": "1 mm"}, "nobody sits"),
    ],
)
def test_what_cannot_be_asked_is_refused_before_any_work(
    made: tuple[Site, LiveSitting], kind: str, given: dict[str, str], said: str
) -> None:
    with TestClient(make_app(made[0]), base_url=HERE, headers={"origin": HERE}) as client:
        answer = client.post(f"/kit/run/{kind}", data={"sitting": "t1", **given})
        assert answer.status_code in {404, 422}
        assert said in answer.text
        assert "Nothing is being worked out." in client.get("/kit/work").text


def test_frames_that_tell_nothing_are_told_where_the_result_would_be(
    made: tuple[Site, LiveSitting],
) -> None:
    with TestClient(make_app(made[0]), base_url=HERE, headers={"origin": HERE}) as client:
        client.post("/kit/run/chart", data={"sitting": "t1", "frames": "1"})
        deadline = time.monotonic() + 120
        while 'role="alert"' not in (text := client.get("/kit/work").text):
            assert time.monotonic() < deadline
            time.sleep(0.1)
        alert = text.partition('role="alert">')[2].partition("<")[0]
        assert alert.startswith("wall 1.jpg: none of our printed sheets is in this frame")
        assert "eyeplane kit" not in alert


def test_without_a_sitting_the_page_says_to_open_one(tmp_path: Path) -> None:
    site = Site(store_path=tmp_path / "s.sqlite3")
    with TestClient(make_app(site), base_url=HERE, headers={"origin": HERE}) as client:
        assert "No sitting is open." in client.get("/kit/new/glass").text
        answer = client.post("/kit/run/glass", data={"frames": "1"})
        assert answer.status_code == 422
        assert "no sitting is open" in answer.text


def test_frames_that_are_gone_are_not_passed_over(made: tuple[Site, LiveSitting]) -> None:
    assert len(paths_of(made[1], (1, 2))) == 2
    with pytest.raises(InputError, match="frame 9 is not there any more"):
        paths_of(made[1], (1, 9, 2))
