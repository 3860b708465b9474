"""`eyeplane kit glass` from the command line: what it keeps, shows and refuses."""

import json
from pathlib import Path

import jsonschema
import numpy as np
import pytest
from click.testing import CliRunner
from tests.kit.glass_frames import GLARES, GlassCamera, room, taken_through

from eyeplane.cli.main import main
from eyeplane.records.check_json import check_schema
from eyeplane.records.kit_glass import GlassResult
from eyeplane.store import KitLog


@pytest.fixture(scope="module")
def frames(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("frames")
    rng = np.random.default_rng(3)
    taken = taken_through(room(rng, (500, 750)), GLARES["even"], 0.08)
    camera = GlassCamera()
    nameless = {"body": "", "lens": ""}
    return {
        "bare": camera.write(folder / "bare.jpg", taken.clean, rng, **nameless),
        "clean": camera.write(folder / "clean.jpg", taken.clean, rng),
        "veiled": camera.write(folder / "veiled.jpg", taken.veiled, rng),
        "stopped": camera.write(folder / "stopped.jpg", taken.clean, rng, f_number=8.0),
    }


def ran(*words: str | Path) -> tuple[int, str]:
    done = CliRunner().invoke(main, [str(word) for word in ("kit", "glass", *words)])
    return done.exit_code, done.output.replace("\u2009", " ")


def test_clean_glass_is_kept_and_later_frames_held_against_it(
    frames: dict[str, Path], tmp_path: Path
) -> None:
    store = tmp_path / "s.db"
    status, said = ran(frames["clean"], "--clean", "--kit", "Old faithful", "--store", store)
    assert status == 0
    assert "Kept as this kit's clean glass" in said
    page, numbers = tmp_path / "glass.html", tmp_path / "glass.json"
    status, said = ran(
        frames["veiled"],
        "--kit",
        "old faithful",
        "--store",
        store,
        "--page",
        page,
        "--json",
        numbers,
    )
    assert status == 0
    assert "clearer when you kept its record" in said
    assert "blower" in said
    told = json.loads(numbers.read_text(encoding="utf-8"))
    jsonschema.validate(told, check_schema("glass", GlassResult))
    html = page.read_text(encoding="utf-8")
    assert html.count("data:image/jpeg") == 2
    with KitLog(store) as log:
        assert len(log.all("glass", "Old faithful")) == 2
    # At another aperture the record says nothing.
    status, said = ran(frames["stopped"], "--kit", "Old faithful", "--store", store)
    assert status == 0
    assert "no record of this kit" in " ".join(said.split())


def test_two_frames(frames: dict[str, Path], tmp_path: Path) -> None:
    status, said = ran(
        frames["clean"], "--before", frames["veiled"], "--store", tmp_path / "s.db", "--why"
    )
    assert status == 0
    assert "clearer now" in said
    assert "What veil and halo mean" in said


def test_what_cannot_be_used_ends_with_a_sentence(frames: dict[str, Path], tmp_path: Path) -> None:
    store = ("--store", tmp_path / "s.db")
    status, said = ran(frames["clean"], "--before", frames["stopped"], *store)
    assert status == 2
    assert "two apertures" in said
    status, said = ran(tmp_path / "gone.jpg", *store)
    assert status == 2
    empty = tmp_path / "empty"
    empty.mkdir()
    status, said = ran(empty, *store)
    assert status == 2
    assert "no frames were found there" in said
    assert ran(tmp_path / "gone.jpg", *store)[1].count("..") == 0
    status, said = ran(frames["clean"], "--before", frames["clean"], *store)
    assert status == 2
    assert "one and the same" in said


# Two cameras that write no name would be taken for one, and the one's haze for the other's.
def test_a_camera_without_a_name_has_no_record(frames: dict[str, Path], tmp_path: Path) -> None:
    store = tmp_path / "s.db"
    status, said = ran(frames["bare"], "--clean", "--store", store)
    assert status == 2
    assert "Say whose glass it is with --kit" in said
    status, said = ran(frames["bare"], "--store", store)
    assert status == 0
    assert "held against no record and not kept" in " ".join(said.split())
    with KitLog(store) as log:
        assert log.all() == ()
    assert ran(frames["bare"], "--clean", "--kit", "old 50 mm", "--store", store)[0] == 0
    with KitLog(store) as log:
        assert [one.kit for one in log.all()] == ["old 50 mm"]


def test_help_carries_the_cautions() -> None:
    status, said = ran("--help")
    words = " ".join(said.split())
    assert status == 0
    assert "never point the camera at a laser" in words
    assert "never touch the sensor" in words
