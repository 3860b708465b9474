"""Plans and sittings that were measured: what they teach, and whether they agree."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

import eyeplane.cli.demo
from eyeplane.asked.plan_scene_options import TABLES
from eyeplane.asked.plan_taught import learned_texts, most_told
from eyeplane.cli import main
from eyeplane.records import KitFocus, Learned, Measured

FRAMES = Path(eyeplane.cli.demo.__file__).parent / "demo_sitting"


def kit(name: str, frames: int, bias_mm: float, *, setting: str = "") -> KitFocus:
    return KitFocus(
        kit=name,
        setting=setting,
        frames=frames,
        bias_mm=Measured(value=bias_mm, low=bias_mm - 2, high=bias_mm + 2.5),
        spread_mm=Measured(value=6.0, low=4.0, high=9.0),
    )


LEARNED = Learned(
    focus=(kit("A", 9, -3.0), kit("B", 40, 1.25), kit("B", 90, 7.0, setting="f/1.4")),
    shake_deg_per_s=Measured(value=0.5, low=0.1, high=2.0),
    sitter_mm_per_s=Measured(value=22.0, low=3.0, high=160.0),
)


def test_what_was_learned_is_read_back_as_it_was() -> None:
    texts = learned_texts(LEARNED)
    options = {option.name: option for option in TABLES["sitter"]}
    read = {name: options[name].typed(text).value for name, text in texts.items()}
    told = {name: (v.value, v.interval) for name, v in read.items()}  # type: ignore[attr-defined]
    assert told == {
        "shake": (0.5, (0.1, 2.0)),
        "focus-bias": (1.25, (-0.75, 3.75)),
        "focus-spread": (6.0, (4.0, 9.0)),
        "sitter-speed": (22.0, (3.0, 160.0)),
    }


def test_the_kit_with_most_frames_counts_not_one_of_its_settings() -> None:
    assert most_told(LEARNED.focus) == LEARNED.focus[1]
    assert most_told(()) is None
    assert learned_texts(Learned()) == {}


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store in which the demo sitting is measured."""
    path = tmp_path_factory.mktemp("store") / "s.sqlite3"
    result = CliRunner().invoke(
        main, ["plan", "against", str(FRAMES), "--store", str(path), "--json", "-"]
    )
    assert result.exit_code == 0, result.output
    return path


@pytest.mark.slow
def test_one_frame_is_not_called_frames(store: Path) -> None:
    frame = min(FRAMES.glob("*.jpg"))
    words = ["plan", "sitter", "--learn-from", str(frame), "--store", str(store)]
    result = CliRunner().invoke(main, words)
    assert result.exit_code == 2
    assert "the one frame there teaches nothing yet" in " ".join(result.output.split())


@pytest.mark.slow
def test_the_demo_sitting_against_a_plan(store: Path) -> None:
    words = ["plan", "against", str(FRAMES), "--store", str(store), "--print-cm", "25"]
    told = json.loads(CliRunner().invoke(main, [*words, "--json", "-"]).stdout)
    assert told["frames"] + told["left_out"] <= len(list(FRAMES.glob("*.jpg")))
    share = told["foretold_share"]
    assert 0 <= share["low"] <= share["value"] <= share["high"] <= 1
    assert told["held_share"]["value"] == pytest.approx(told["held"] / told["frames"], abs=1e-3)
    text = CliRunner().invoke(main, words).stdout
    assert told["text"] in text
    larger = CliRunner().invoke(main, [*words[:-1], "60", "--json", "-"]).stdout
    assert json.loads(larger)["foretold_share"]["value"] <= share["value"]


@pytest.mark.slow
def test_a_plan_learns_from_a_sitting_and_remembers_it(store: Path) -> None:
    words = ["plan", "sitter", "--store", str(store), "--json", "-", "--kit", "studio"]
    first = CliRunner().invoke(main, [*words, "--learn-from", str(FRAMES)])
    assert first.exit_code == 0, first.output
    usual = json.loads(CliRunner().invoke(main, [*words[:-2]]).stdout)
    learned, again = (json.loads(r.stdout) for r in (first, CliRunner().invoke(main, words)))
    assert learned["settings"] == again["settings"] != usual["settings"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["against", "nowhere"], "nowhere"),
        (["against", ".", "--who", "kid 4"], "--who: 'kid 4' does not say who sits"),
        (["against", ".", "--stabiliser", "much"], "--stabiliser"),
        (["sitter", "--learn-from", "nowhere"], "nowhere"),
        (["sitter", "--shake", "0.5", "--steadiness", "1/60"], "said twice"),
        (["sitter", "--shake", "0.5 mm"], "rate of turning"),
    ],
)
def test_what_cannot_be_used_is_said(
    words: list[str], said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    result = CliRunner().invoke(main, ["plan", *words])
    assert result.exit_code == 2
    assert said in result.stderr
    assert "Traceback" not in result.stderr
    assert result.stderr.count("\n") == 1


def test_a_folder_without_frames_is_said(tmp_path: Path) -> None:
    store = str(tmp_path / "s.sqlite3")
    result = CliRunner().invoke(main, ["plan", "against", str(tmp_path), "--store", store])
    assert result.exit_code == 2
    assert "no frames were found there" in result.stderr
