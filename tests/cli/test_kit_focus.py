"""`eyeplane kit focus`: from frames to an answer, a log and what plans use."""

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from tests.kit.camera import write_frame

from eyeplane.asked.plan_options import KIT
from eyeplane.cli import kit_focus
from eyeplane.cli.main import main
from eyeplane.records import Measured
from eyeplane.records.kit_focus import TargetFrame
from eyeplane.store import KitLog, Memory

FRAMES = Path(__file__).parents[1] / "data" / "focus_target"


def run(*arguments: object) -> tuple[int, str]:
    done = CliRunner().invoke(main, ["kit", "focus", *map(str, arguments)])
    return done.exit_code, done.output


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Put ten frames with known offsets in place of those that would be read."""
    offsets = 12 + np.array([-3, -2, -1, -1, 0, 0, 1, 1, 2, 3])
    frames = tuple(
        TargetFrame(
            path=f"{k}.jpg",
            kit="Body with 85 mm",
            f_number=1.8,
            focal_length_mm=85.0,
            distance_mm=1500.0,
            offset_mm=Measured(value=v, low=v - 0.7, high=v + 0.7),
        )
        for k, v in enumerate(map(float, offsets))
    )
    monkeypatch.setattr(kit_focus, "read_frames", lambda *_, **__: frames)


@pytest.mark.usefixtures("told")
def test_what_was_found_is_kept_for_plans_at_the_distance_that_was_asked(tmp_path: Path) -> None:
    store = tmp_path / "s.sqlite3"
    status, text = run(tmp_path, "--store", store, "--kit", "portraits")
    assert status == 0, text
    assert "Focus misses the same way each time: 12" in text
    with Memory(store) as memory:
        kept = memory.recall("kit", "portraits")
    assert kept is not None
    typed = dict(kept.typed)
    assert typed["focus-bias"].startswith("12 mm (10.")
    assert "hold at 1.50" in " ".join(text.split())
    status, text = run(tmp_path, "--store", store, "--kit", "portraits", "--sitter-distance", "3m")
    assert status == 0, text
    with Memory(store) as memory:
        kept = memory.recall("kit", "portraits")
    assert kept is not None
    # (3000 − 85)² / (1500 − 85)² of it, a little more since the plane lies behind.
    assert 50 < float(dict(kept.typed)["focus-bias"].split(" ")[0]) < 53
    with KitLog(store) as log:
        assert [one.kit for one in log.all("focus")] == ["portraits", "portraits"]


@pytest.mark.usefixtures("told")
def test_a_plan_takes_what_was_remembered(tmp_path: Path) -> None:
    store = tmp_path / "s.sqlite3"
    assert run(tmp_path, "--store", store, "--kit", "portraits")[0] == 0
    with Memory(store) as memory:
        kept = memory.recall("kit", "portraits")
    assert kept is not None
    by_name = {option.name: option for option in KIT}
    assert {name for name, _ in kept.typed} == {"focus-bias", "focus-spread"}
    for name, text in kept.typed:
        by_name[name].typed(text)


@pytest.mark.usefixtures("told")
def test_json_holds_the_record(tmp_path: Path) -> None:
    target = tmp_path / "focus.json"
    store = tmp_path / "s.sqlite3"
    assert run(tmp_path, "--store", store, "--json", target, "--page", tmp_path / "p.html")[0] == 0
    told = json.loads(target.read_text(encoding="utf-8"))
    result = told.get("result", told)
    assert result["verdict"] == "offset"
    assert result["groups"][0]["bias_mm"]["value"] == pytest.approx(12.0, abs=0.2)
    assert "Focus misses the same way each time" in (tmp_path / "p.html").read_text(
        encoding="utf-8"
    )


@pytest.mark.slow
def test_a_rendered_frame_is_read_from_its_file(tmp_path: Path) -> None:
    status, text = run(FRAMES / "f1.8-behind-14.jpg", "--store", tmp_path / "s.sqlite3")
    assert status == 0, text
    assert "Focus of this frame lay 14" in text


def test_bad_input_is_one_sentence_and_status_2(tmp_path: Path) -> None:
    store = ("--store", tmp_path / "s.sqlite3")
    wall = write_frame(tmp_path / "wall.jpg", np.full((200, 300), 0.4))
    (tmp_path / "torn.jpg").write_bytes(wall.read_bytes()[:400])
    for arguments, words in (
        ((wall,), "no focus target is seen"),
        ((tmp_path / "torn.jpg",), "torn"),
        ((tmp_path / "none",), "no such file"),
        ((wall, "--ruler-mm", "20"), "ruler of 20 mm"),
        ((wall, "--sitter-distance", "near"), "--sitter-distance"),
        ((wall, "--sitter-distance", "1mm"), "nobody sits"),
        ((wall, "--kit", " "), "--kit"),
    ):
        status, text = run(*arguments, *store)
        assert status == 2, (arguments, text)
        assert words in " ".join(text.split()) or arguments[0] == tmp_path / "torn.jpg", text
    (tmp_path / "empty").mkdir()
    status, text = run(tmp_path / "empty", *store)
    assert (status, "no frames" in text) == (2, True)


@pytest.mark.parametrize("words", [["kit", "chart"], ["kit", "focus"], ["kit", "dust"], ["ladder"]])
def test_help_names_paths_and_lengths_alike(words: list[str]) -> None:
    help_text = CliRunner().invoke(main, [*words, "--help"]).output
    assert "PATH..." in help_text.splitlines()[0]
    if "--ruler-mm" in help_text:
        assert "--ruler-mm MM " in help_text
