"""The demo: what it needs is there, and it says where its report lies."""

import json
import re
import shlex
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from click.testing import CliRunner
from PIL import Image

from eyeplane.cli import main
from eyeplane.cli.demo import demo_folder
from eyeplane.imaging import open_picture
from eyeplane.records import MeasureSettings, Sitting
from eyeplane.sitting.known import known_sittings
from eyeplane.sitting.lessons import is_rendered
from eyeplane.sitting.live import LiveSitting


def test_the_demo_sitting_is_whole() -> None:
    """8 to 15 frames, at most 15 MB, its client, story and print named."""
    with demo_folder() as folder:
        frames = sorted(folder.glob("*.jpg"))
        about = json.loads((folder / "about.json").read_text("utf-8"))
        assert 8 <= len(frames) <= 15
        assert sum(frame.stat().st_size for frame in frames) <= 15_000_000
        for frame in frames:
            with Image.open(frame) as picture:
                assert min(picture.size) >= 1000
        assert about["client"]
        assert "invented" in about["story"]
        assert about["print_cm"] > 0
        assert (folder / "LICENSE.txt").is_file()


def test_the_demo_prints_its_table_and_says_where_the_report_lies(
    builder: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: dict[str, Any] = {}

    def fake(paths: list[Path], **given: object) -> Sitting:
        asked.update(given, paths=paths)
        sitting: Sitting = builder.make_sitting()
        return sitting

    monkeypatch.setattr("eyeplane.cli.demo.measure_sitting", fake)
    monkeypatch.setattr("eyeplane.cli.demo.shutil.which", {"eyeplane": "/bin/eyeplane"}.get)
    out = tmp_path / "a" / "demo"
    out.mkdir(parents=True)
    (out / "readings.sqlite3").write_text("an older run")
    result = CliRunner().invoke(main, ["demo", "--out", str(out)])
    assert result.exit_code == 0, result.output
    assert asked["options"].store_path == out / "readings.sqlite3"
    assert asked["options"].name == "Marta Ilves"
    assert asked["viewing"].print_cm == 20
    assert "invented" in result.stdout
    assert "2 of 11 frames hold 60 cm." in result.stdout
    assert f"The report: {out / 'report.html'}" in result.stdout
    assert f"The plan: {out / 'plan.html'}" in result.stdout
    command = f"eyeplane serve --store {shlex.quote(str(out / 'readings.sqlite3'))}\n"
    assert f"The same in the pages: {command}" in result.stdout
    assert "Marta Ilves" in (out / "plan.html").read_text("utf-8")
    assert re.search(
        r"f/[\d.]+ at 1/\d+.s and ISO \d+: about \d+.% of frames .*hold 60.cm", result.stdout
    )
    assert "Marta Ilves, a violinist" in (out / "report.html").read_text("utf-8")


def test_the_pages_find_the_demo_by_its_name_and_its_frames_teach_nothing(
    builder: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = builder.make_sitting()
    monkeypatch.setattr("eyeplane.cli.demo.measure_sitting", lambda *_, **__: made)
    monkeypatch.setattr("eyeplane.cli.demo.shutil.which", {}.get)  # as after `make demo`
    monkeypatch.setattr("sys.argv", ["my tools/eyeplane", "demo"])
    result = CliRunner().invoke(main, ["demo", "--out", str(tmp_path)])
    assert "The same in the pages: 'my tools/eyeplane' serve --store" in result.stdout
    store = tmp_path / "readings.sqlite3"
    with demo_folder() as folder:
        (found,) = known_sittings(store)
        assert (found.name, found.folder, found.there) == ("Marta Ilves", folder, True)
        live = LiveSitting.open(folder, store_path=store)
        live.close()
        assert (live.key, live.viewing.print_cm) == (found.key, 20)
        for frame in folder.glob("*.jpg"):
            assert is_rendered(open_picture(frame, settings=MeasureSettings()).exposure)


def test_a_folder_that_cannot_be_made_is_status_2(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    result = CliRunner().invoke(main, ["demo", "--out", str(tmp_path / "file" / "demo")])
    assert result.exit_code == 2
    assert "the folder cannot be used" in result.stderr
