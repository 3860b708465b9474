"""`eyeplane kit dust` as it is typed."""

import json
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner
from PIL import Image
from tests.kit.dust_frames import DustCamera, Particle, shoot

from eyeplane.cli.main import main
from eyeplane.records.check_json import check_schema
from eyeplane.records.kit_dust import DustResult
from eyeplane.store import KitLog

SPECK = Particle(at_share=(0.15, 0.2), diameter_um=48.0)
LATER = Particle(at_share=(0.8, 0.7), diameter_um=40.0)
CAMERA = DustCamera(width_px=900, height_px=600, particles=(SPECK,))


def run(*typed: object) -> tuple[int, str]:
    """Return exit status and what was printed."""
    done = CliRunner().invoke(main, [str(one) for one in ("kit", "dust", *typed)])
    return done.exit_code, done.output


def test_the_answer_says_where_to_wipe_and_warns(tmp_path: Path) -> None:
    frame = shoot(CAMERA, tmp_path / "a.jpg", seed=1)
    page, told = tmp_path / "dust.html", tmp_path / "dust.json"
    store = tmp_path / "store.sqlite3"
    status, text = run(frame, "--store", store, "--page", page, "--json", told, "--why")
    assert status == 0
    assert "1 speck on the sensor; it shows at f/5.6" in text
    assert "lower left, 0.8, 0.7" in text
    assert "Cleaning can ruin a sensor" in text
    assert "Blower first" in text
    assert "Never canned air" in text
    assert "b = t/(n N)" in text
    result = json.loads(told.read_text())
    jsonschema.validate(result, check_schema("dust", DustResult))
    assert result["shadows"][0]["field"] == "lower left"
    written = page.read_text()
    assert "base plate" in written
    assert "contrast raised" in written


def test_what_is_new_since_last_time(tmp_path: Path) -> None:
    store = tmp_path / "store.sqlite3"
    first = shoot(CAMERA, tmp_path / "a.jpg", seed=1)
    second = shoot(CAMERA.seen(particles=(SPECK, LATER)), tmp_path / "b.jpg", seed=2)
    assert "Since" not in run(first, "--store", store)[1]
    status, text = run(second, "--store", store, "--f-number", "f/8")
    assert status == 0
    assert "Since 2026-03-01: 1 new, 1 still there and 0 gone." in text
    assert "still there" in text
    assert "at f/8" in text
    again = run(second, "--store", store, "--kit", "another body")[1]
    assert "Since" not in again


def told_otherwise(frame: Path, to: Path, **tags: str) -> Path:
    """Write a frame again with other tags of its time, or with none at all."""
    with Image.open(frame) as image:
        exif = image.getexif()
        for tag, value in tags.items():
            exif.get_ifd(0x8769)[int(tag.removeprefix("tag"))] = value
        image.save(to, quality=95, exif=exif.tobytes() if tags else b"")
    return to


# Two cameras that write no name would be taken for one, and each other's dust for new or gone.
def test_bodies_without_a_name_are_held_against_nothing(tmp_path: Path) -> None:
    store = tmp_path / "store.sqlite3"
    full = replace(CAMERA, pitch_um=40.0, particles=())  # 36 mm wide, as is taken if nobody says
    for number, particles in enumerate(((), (Particle(at_share=(0.5, 0.5), diameter_um=400.0),))):
        taken = shoot(full.seen(particles=particles), tmp_path / f"{number}.jpg", seed=number)
        bare = told_otherwise(taken, tmp_path / f"bare{number}.jpg")
        status, text = run(bare, "--store", store, "--taken-at", "f/16")
        assert status == 0
        assert "Since" not in text
        assert "held against no earlier check and not kept" in " ".join(text.split())
    with KitLog(store) as log:
        assert log.all() == ()
    for number in range(2):
        _, text = run(tmp_path / f"bare{number}.jpg", "--store", store, "--kit", "old one")
        assert "does not name the body" not in " ".join(text.split())
        assert ("Since" in text) == bool(number)


# 9999 with its offset lies beyond what a date can hold; any day to come hides later checks.
@pytest.mark.parametrize("year", ["9999", "2190"])
def test_a_clock_set_ahead_does_not_hide_later_checks(tmp_path: Path, year: str) -> None:
    store = tmp_path / "store.sqlite3"
    frame = shoot(CAMERA, tmp_path / "a.jpg", seed=1)
    ahead = told_otherwise(
        frame, tmp_path / "ahead.jpg", tag36867=f"{year}:12:31 23:59:59", tag36881="-12:00"
    )
    assert run(ahead, "--store", store)[0] == 0
    assert run(ahead, "--store", store)[0] == 0
    with KitLog(store) as log:
        assert [one.done_at <= datetime.now(UTC) for one in log.all()] == [True, True]


def test_a_clean_sensor_needs_no_caution(tmp_path: Path) -> None:
    frame = shoot(CAMERA.seen(particles=()), tmp_path / "a.jpg", seed=1)
    status, text = run(frame, "--store", tmp_path / "store.sqlite3")
    assert status == 0
    assert "No dust that shows at f/16." in text
    assert "had to take" in text
    assert "ruin" not in text


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (("--f-number", "wide"), "'wide' is no aperture: give one like f/5.6"),
        (("--taken-at", "0"), "'0' is no aperture"),
        (("--print-cm", "none"), "'none' is no length"),
    ],
)
def test_what_cannot_be_used_is_refused(typed: tuple[str, ...], said: str, tmp_path: Path) -> None:
    status, text = run(tmp_path, *typed)
    assert status == 2
    assert said in text


def test_a_folder_without_frames(tmp_path: Path) -> None:
    status, text = run(tmp_path, "--store", tmp_path / "store.sqlite3")
    assert status == 2
    assert "no frames were found there" in text


def test_a_frame_that_cannot_be_read_is_told_and_the_others_are_used(tmp_path: Path) -> None:
    folder = tmp_path / "frames"
    folder.mkdir()
    shoot(CAMERA, folder / "a.jpg", seed=1)
    (folder / "b.jpg").write_bytes(b"\xff\xd8\xff no picture")
    status, text = run(folder, "--store", tmp_path / "store.sqlite3")
    assert status == 0
    assert "1 speck" in text
    assert "Not used: b.jpg" in text
