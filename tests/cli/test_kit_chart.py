"""`eyeplane kit chart`: what is shown, kept for plans and for the next check, and refused."""

import datetime
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from tests.deliver.chart_builder import aperture, reading

from eyeplane.asked import check_chart
from eyeplane.asked.check_chart import glass_texts
from eyeplane.asked.plan_options import KIT
from eyeplane.asked.typed import Learned
from eyeplane.cli import main
from eyeplane.kit.chart import ChartAsked
from eyeplane.records import Measured
from eyeplane.records.kit_chart import ChartResult
from eyeplane.store import KitLog, Memory


class Asked:
    """What the reading was asked for; gives a reading made by hand."""

    def __init__(self, result: ChartResult) -> None:
        self.result = result
        self.paths: list[str] = []
        self.asked: ChartAsked | None = None

    def __call__(self, paths: Sequence[Path], asked: ChartAsked, **_: object) -> ChartResult:
        self.paths, self.asked = [path.name for path in paths], asked
        return self.result


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "chart"
    made.mkdir()
    for name in ("a.jpg", "b.jpg"):
        (made / name).write_bytes(b"\xff\xd8")
    return made


def run(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    result: ChartResult,
    *words: str,
) -> tuple[int, str, str, Asked]:
    asked = Asked(result)
    monkeypatch.setattr(check_chart, "read_chart", asked)
    with pytest.raises(SystemExit) as ended:
        main(["kit", "chart", *words])
    out, err = capsys.readouterr()
    return int(ended.value.code or 0), out, err, asked


def test_text_page_and_json(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    folder: Path,
    tmp_path: Path,
) -> None:
    store, page, told = (str(tmp_path / n) for n in ("s.sqlite3", "p.html", "r.json"))
    words = [str(folder), "--store", store, "--page", page, "--json", told, "--paper", "a3"]
    status, out, _, asked = run(monkeypatch, capsys, reading(), *words, "--ruler-mm", "249")
    assert status == 0
    assert asked.paths == ["a.jpg", "b.jpg"]
    assert asked.asked is not None
    assert (asked.asked.paper, asked.asked.ruler_mm) == ("A3", 249.0)
    assert "Sharpest at f/4" in out
    assert "Sharpest at f/4" in Path(page).read_text(encoding="utf-8")
    plain = json.loads(Path(told).read_text(encoding="utf-8"))
    assert plain["check"] == "chart"
    assert plain["sharpest_f_number"] == 4.0
    with KitLog(Path(store)) as log:
        kept = log.last("chart", "Body with 85mm")
    assert kept is not None
    assert kept.result["paper"] == "A3"
    with Memory(Path(store)) as memory:
        assert memory.names("kit") == ()  # no name, nothing for plans


def test_the_glass_goes_into_the_kits_plans(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    folder: Path,
    tmp_path: Path,
) -> None:
    store = tmp_path / "s.sqlite3"
    words = [str(folder), "--store", str(store), "--kit", "Ilves 85"]
    _, out, _, _ = run(monkeypatch, capsys, reading(), *words)
    assert (
        "Remembered for the kit Ilves 85: --glass '2 um (1.5 to 2.2)', "
        "--glass-wide '4 um (3.7 to 4.3)', --widest 'f/2'" in " ".join(out.split())
    )
    assert out.splitlines()[1].startswith("Ilves 85 · 85 mm")
    with Memory(store) as memory:
        recalled = memory.recall("kit", "ilves 85")
    assert recalled is not None
    assert dict(recalled.typed) == {
        "glass": "2 um (1.5 to 2.2)",
        "glass-wide": "4 um (3.7 to 4.3)",
        "widest": "f/2",
    }
    readers: dict[str, Any] = {option.name: option for option in KIT}
    values = {name: readers[name].typed(text).value for name, text in recalled.typed}
    assert values == {
        "glass": Learned(value=2.0, interval=(1.5, 2.2)),
        "glass-wide": Learned(value=4.0, interval=(3.7, 4.3)),
        "widest": 2.0,
    }
    with KitLog(store) as log:
        assert log.last("chart", "Ilves 85") is not None
    # a widest aperture that was typed stays, and that the chart began elsewhere is said
    with Memory(store) as memory:
        memory.remember("kit", "Ilves 85", {"widest": "f/1.4"}, today=datetime.date(2026, 1, 1))
    _, out, _, _ = run(monkeypatch, capsys, reading(), *words)
    assert "Photograph it wide open as well" in out.replace("\n    ", " ")
    with Memory(store) as memory:
        again = memory.recall("kit", "Ilves 85")
    assert again is not None
    assert dict(again.typed)["widest"] == "f/1.4"


def test_glass_that_may_be_the_prints_is_not_kept(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    folder: Path,
    tmp_path: Path,
) -> None:
    unsure = reading(glass_best_um=Measured(value=0.0, low=0.0, high=2.2))
    assert glass_texts(unsure) == {}
    assert glass_texts(reading(glass_best_um=None)) == {}
    store = tmp_path / "s.sqlite3"
    words = [str(folder), "--store", str(store), "--kit", "Ilves 85"]
    _, out, _, _ = run(monkeypatch, capsys, unsure, *words)
    assert "No glass was remembered" in out
    assert "a print's own edges may be all that these frames show of it" in " ".join(out.split())
    with Memory(store) as memory:
        assert memory.recall("kit", "Ilves 85") is None


def test_glass_that_may_be_none_is_kept_with_an_interval_down_to_none() -> None:
    texts = glass_texts(
        reading(
            glass_best_um=Measured(value=1.0, low=0.0, high=2.0),
            glass_wide_um=Measured(value=0.0, low=0.0, high=0.7),
        )
    )
    assert texts == {"glass": "1 um (0 to 2)", "glass-wide": "0 um (0 to 0.7)"}
    readers: dict[str, Any] = {option.name: option for option in KIT}
    for name, text in texts.items():
        assert readers[name].typed(text).value.interval[0] == 0.0


def test_one_frame_at_an_aperture_is_not_kept_since_its_focus_may_have_been_missed(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    folder: Path,
    tmp_path: Path,
) -> None:
    once = reading(apertures=(aperture(2.0, 0.2), aperture(4.0, frames=("d.jpg",)), aperture(8.0)))
    store = tmp_path / "s.sqlite3"
    words = [str(folder), "--store", str(store), "--kit", "Ilves 85"]
    _, out, _, _ = run(monkeypatch, capsys, once, *words)
    told = " ".join(out.split())
    assert "No glass was remembered for the kit Ilves 85: one frame alone (at f/4)" in told
    assert "missed focus" in told
    assert "three frames at each aperture, focused anew" in told
    assert "Glass for plans, if no frame missed its focus, as" in told
    with Memory(store) as memory:
        assert memory.recall("kit", "Ilves 85") is None
    # a lone frame that was sharpened or shaken tells no glass anyway
    lone = aperture(4.0, frames=("d.jpg",), sharpened=True, glass_um=None)
    aside = reading(apertures=(aperture(2.0), lone))
    _, out, _, _ = run(monkeypatch, capsys, aside, *words)
    assert "No glass was remembered" not in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["nowhere"], "no such file or folder"),
        (["--kit", "  "], "is no name"),
        (["--paper", "A5"], "A5"),
        (["--ruler-mm", "0"], "0"),
    ],
)
def test_what_cannot_be_used_ends_with_2(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    folder: Path,
    words: list[str],
    said: str,
) -> None:
    given = words if words[0] == "nowhere" else [str(folder), *words]
    status, out, err, _ = run(monkeypatch, capsys, reading(), *given)
    assert status == 2
    assert out == ""
    assert said in err


def test_an_empty_folder_says_what_to_give(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    status, _, err, _ = run(monkeypatch, capsys, reading(), str(tmp_path))
    assert status == 2
    assert "no frames were found there" in err
