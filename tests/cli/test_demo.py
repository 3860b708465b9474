"""The demo: what it needs is there, and it says where its report lies."""

import json
import re
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from click.testing import CliRunner
from PIL import Image

from eyeplane.cli import main
from eyeplane.cli.demo import demo_folder
from eyeplane.records import Sitting


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
    out = tmp_path / "a" / "demo"
    out.mkdir(parents=True)
    (out / "readings.sqlite3").write_text("an older run")
    result = CliRunner().invoke(main, ["demo", "--out", str(out)])
    assert result.exit_code == 0, result.output
    assert not (out / "readings.sqlite3").exists()
    assert asked["options"].store_path == out / "readings.sqlite3"
    assert asked["options"].name == "Marta Ilves"
    assert asked["viewing"].print_cm == 20
    assert "invented" in result.stdout
    assert "2 of 11 frames hold 60 cm." in result.stdout
    assert f"The report: {out / 'report.html'}" in result.stdout
    assert f"The plan: {out / 'plan.html'}" in result.stdout
    assert "Marta Ilves" in (out / "plan.html").read_text("utf-8")
    assert re.search(
        r"f/[\d.]+ at 1/\d+.s and ISO \d+: about \d+.% of frames hold 60.cm", result.stdout
    )
    assert "Marta Ilves, a violinist" in (out / "report.html").read_text("utf-8")


def test_a_folder_that_cannot_be_made_is_status_2(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    result = CliRunner().invoke(main, ["demo", "--out", str(tmp_path / "file" / "demo")])
    assert result.exit_code == 2
    assert "the folder cannot be used" in result.stderr
