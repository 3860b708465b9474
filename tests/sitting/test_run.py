import os
import random
from pathlib import Path

import pytest
from tests.sitting import fakes, made

from eyeplane.errors import InputError
from eyeplane.records import STANDARD_PRINT_CM, MeasureSettings, Viewing
from eyeplane.sitting import Measuring, RunOptions, make_sitting, measure_sitting, sitting_json
from eyeplane.sitting.run import sitting_name

FAKE = Measuring(function=fakes.measure, version="1")


def fill(folder: Path, times: list[float], suffix: str = ".jpg") -> None:
    folder.mkdir(exist_ok=True)
    for n, time_s in enumerate(times):
        (folder / f"{n:02d}{suffix}").write_text(f"frame {time_s}", encoding="utf-8")


def options(tmp_path: Path, workers: int = 0) -> RunOptions:
    return RunOptions(store_path=tmp_path / "store.sqlite3", workers=workers)


def test_from_a_folder_to_a_sitting(tmp_path: Path) -> None:
    shoot = tmp_path / "Ilves"
    fill(shoot, [100.0, 50.0, 50.5, 51.0])
    (shoot / "nobody.jpg").write_text("nobody 60", encoding="utf-8")
    (shoot / "broken.jpg").write_text("broken", encoding="utf-8")
    (shoot / "00.NEF").write_text("raw", encoding="utf-8")
    sitting = measure_sitting([shoot], options=options(tmp_path), measuring=FAKE)
    assert sitting.name == "Ilves"
    names = [Path(frame.reading.path).name for frame in sitting.frames]
    assert names == ["01.jpg", "02.jpg", "03.jpg", "nobody.jpg", "00.jpg", "broken.jpg"]
    assert [frame.burst for frame in sitting.frames] == [1, 1, 1, None, 2, None]
    assert sum(frame.best_of_burst for frame in sitting.frames) == 2
    assert sitting.frames[4].best_of_burst
    assert sitting.frames[4].companions == (str(shoot / "00.NEF"),)
    assert (sitting.measured, sitting.nobody, sitting.unreadable) == (4, 1, 1)
    assert sitting.goal_cm == STANDARD_PRINT_CM
    holding = [
        f
        for f in sitting.frames
        if f.answer.reach_cm and f.answer.reach_cm.value >= 40 * (1 - 1e-6)
    ]
    assert sitting.holding == len(holding)
    assert sum(count.frames for count in sitting.causes) == 4 - sitting.holding
    assert sitting.lines[0].startswith(f"{sitting.holding} of 4 frames hold")


def test_workers_order_and_a_second_run_change_nothing(tmp_path: Path) -> None:
    shoot = tmp_path / "shoot"
    fill(shoot, [float(n // 3 * 10 + n % 3) for n in range(9)])
    one = measure_sitting([shoot], options=options(tmp_path), measuring=FAKE)
    stored = measure_sitting([shoot], options=options(tmp_path), measuring=FAKE)
    files = sorted(shoot.iterdir(), reverse=True)
    two = measure_sitting(
        files,
        options=RunOptions(store_path=tmp_path / "other.sqlite3", workers=2),
        measuring=FAKE,
    )
    assert one == stored == two


def test_readings_in_any_order_make_the_same_sitting() -> None:
    frames = [(made.reading(f"{n:02d}.jpg", at_s=n // 4 * 7.0), ()) for n in range(12)]
    sitting = make_sitting(frames, viewing=Viewing(print_cm=30.0), name="x")
    random.Random(1).shuffle(frames)  # noqa: S311  no secrets here
    assert make_sitting(frames, viewing=Viewing(print_cm=30.0), name="x") == sitting
    assert sitting.goal_cm == 30.0


def test_another_print_needs_no_measuring(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shoot = tmp_path / "shoot"
    fill(shoot, [0.0, 10.0])
    measure_sitting([shoot], options=options(tmp_path), measuring=FAKE)
    monkeypatch.setenv(fakes.LOG, str(tmp_path / "log"))
    viewing = Viewing(print_cm=5.0, distance_cm=200.0)
    sitting = measure_sitting([shoot], viewing=viewing, options=options(tmp_path), measuring=FAKE)
    assert not (tmp_path / "log").exists()
    assert (sitting.goal_cm, sitting.viewing) == (5.0, viewing)


def test_spots_are_part_of_what_is_measured(tmp_path: Path) -> None:
    shoot = tmp_path / "shoot"
    fill(shoot, [0.0])
    measure_sitting([shoot], options=options(tmp_path), measuring=FAKE)
    settings = MeasureSettings(spots_px=((3.5, 4.5),))
    sitting = measure_sitting([shoot], settings=settings, options=options(tmp_path), measuring=FAKE)
    assert [spot.at_px for spot in sitting.frames[0].reading.spots] == [(3.5, 4.5)]


def test_a_broken_jpeg_is_measured_from_its_raw(tmp_path: Path) -> None:
    shoot = tmp_path / "shoot"
    fill(shoot, [0.0, 10.0])
    fill(shoot, [0.0, 10.0], suffix=".nef")
    (shoot / "00.jpg").write_text("broken", encoding="utf-8")
    sitting = measure_sitting([shoot], options=options(tmp_path), measuring=FAKE)
    raw, jpeg = sitting.frames
    assert (raw.reading.path, raw.companions) == (
        str(shoot / "00.nef"),
        (str(shoot / "00.jpg"),),
    )
    assert jpeg.reading.path == str(shoot / "01.jpg")
    (shoot / "00.nef").write_text("broken too", encoding="utf-8")
    sitting = measure_sitting([shoot], options=options(tmp_path), measuring=FAKE)
    assert sitting.unreadable == 1
    assert sitting.frames[-1].reading.path == str(shoot / "00.jpg")


def test_an_empty_folder_is_an_empty_sitting(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    sitting = measure_sitting([tmp_path / "empty"], options=options(tmp_path), measuring=FAKE)
    assert sitting.frames == ()
    assert sitting.lines == ("No face was measured.", "", "", "")
    assert sitting_json(sitting)["frames"] == []


def test_a_missing_folder_is_an_input_error(tmp_path: Path) -> None:
    with pytest.raises(InputError):
        measure_sitting([tmp_path / "none"], options=options(tmp_path), measuring=FAKE)


def test_the_name_of_a_sitting(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in "abcd":
        fill(tmp_path / name, [0.0])
    assert sitting_name([tmp_path / "a" / "00.jpg", tmp_path / "a"]) == "a"
    assert sitting_name([tmp_path / name for name in "abcd"]) == "a, b, c and 1 more"
    monkeypatch.chdir(tmp_path / "b")
    assert sitting_name([Path()]) == "b"
    assert sitting_name([Path(os.sep)]) == os.sep
    named = RunOptions(store_path=tmp_path / "s", workers=0, name="Marta Ilves")
    assert measure_sitting([tmp_path / "a"], options=named, measuring=FAKE).name == "Marta Ilves"


@pytest.mark.slow
def test_real_frames_end_to_end(data: Path, tmp_path: Path) -> None:
    # Two rendered frames and a file that is none: the real measuring, in processes.
    frames = sorted((data / "rendered" / "single").glob("*.jpg"))[:2]
    (tmp_path / "not.jpg").write_bytes(b"no picture at all, only words")
    sitting = measure_sitting([*frames, tmp_path / "not.jpg"], options=options(tmp_path, workers=2))
    assert (sitting.measured, sitting.nobody, sitting.unreadable) == (2, 0, 1)
    assert "picture" in sitting.frames[-1].reading.reason
    assert {frame.reading.path for frame in sitting.frames[:2]} == {str(p) for p in frames}
