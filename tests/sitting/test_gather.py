from pathlib import Path

import pytest
from tests.sitting import fakes

from eyeplane.errors import StoreError
from eyeplane.records import FrameReading, MeasureSettings
from eyeplane.sitting.gather import Measuring, gather, time_left
from eyeplane.sitting.options import Progress, RunOptions

FAKE = Measuring(function=fakes.measure, version="1")


def fill(folder: Path, count: int) -> list[str]:
    folder.mkdir(exist_ok=True)
    paths = [folder / f"{n:02d}.jpg" for n in range(count)]
    for n, path in enumerate(paths):
        path.write_text(f"frame {n}", encoding="utf-8")
    return [str(path) for path in paths]


class Bench:
    """Gathers again and again with one store, noting which files were really measured."""

    def __init__(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.store, self.log = tmp_path / "store.sqlite3", tmp_path / "log"
        monkeypatch.setenv(fakes.LOG, str(self.log))
        self.progress: list[Progress] = []

    def run(
        self, paths: list[str], *, workers: int = 0, again: bool = False, version: str = "1"
    ) -> tuple[dict[str, FrameReading], list[str]]:
        self.log.write_text("", encoding="utf-8")
        self.progress.clear()
        readings = gather(
            paths,
            settings=MeasureSettings(),
            options=RunOptions(store_path=self.store, workers=workers, again=again),
            measuring=Measuring(function=fakes.measure, version=version),
            progress=self.progress.append,
        )
        return readings, sorted(self.log.read_text(encoding="utf-8").split())


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Bench:
    return Bench(tmp_path, monkeypatch)


def test_what_is_measured_is_not_measured_again(bench: Bench, tmp_path: Path) -> None:
    paths = fill(tmp_path / "a", 6)
    first, calls = bench.run(paths[:4])
    assert calls == ["00.jpg", "01.jpg", "02.jpg", "03.jpg"]
    second, calls = bench.run(paths)
    assert calls == ["04.jpg", "05.jpg"]
    assert list(second) == paths
    assert first.items() <= second.items()
    assert bench.progress[-1] == Progress(done=6, total=6, from_store=4, unreadable=0, left_s=None)


def test_again_measures_all_and_doubles_nothing(bench: Bench, tmp_path: Path) -> None:
    paths = fill(tmp_path / "a", 3)
    first, _ = bench.run(paths)
    second, calls = bench.run(paths, again=True)
    assert len(calls) == 3
    assert second == first
    assert bench.run(paths)[1] == []


def test_another_version_measures_again(bench: Bench, tmp_path: Path) -> None:
    paths = fill(tmp_path / "a", 2)
    bench.run(paths)
    assert len(bench.run(paths, version="2")[1]) == 2


def test_store_workers_and_order_change_no_reading(bench: Bench, tmp_path: Path) -> None:
    paths = fill(tmp_path / "a", 8)
    fresh, _ = bench.run(paths, workers=2)
    stored, calls = bench.run(paths[::-1], workers=0)
    here, _ = bench.run(paths, workers=0, again=True)
    assert calls == []
    assert fresh == stored == here


def test_the_unreadable_are_tried_again_but_not_those_that_crash(
    bench: Bench, tmp_path: Path
) -> None:
    paths = fill(tmp_path / "a", 3)
    Path(paths[0]).write_bytes(b"broken for now")
    Path(paths[1]).write_bytes(b"abort")
    readings, _ = bench.run(paths, workers=1)
    assert [readings[p].status for p in paths] == ["unreadable", "unreadable", "measured"]
    assert "crash" in readings[paths[1]].reason
    assert bench.progress[-1].unreadable == 2
    readings, calls = bench.run(paths, workers=1)
    assert calls == ["00.jpg"]
    assert "crash" in readings[paths[1]].reason


def test_each_reading_is_kept_before_it_is_counted(tmp_path: Path) -> None:
    paths = fill(tmp_path / "a", 5)
    options = RunOptions(store_path=tmp_path / "store.sqlite3", workers=0)

    def stop(progress: Progress) -> None:
        if progress.done == 3:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        gather(paths, settings=MeasureSettings(), options=options, measuring=FAKE, progress=stop)
    seen: list[Progress] = []
    gather(
        paths,
        settings=MeasureSettings(),
        options=options,
        measuring=FAKE,
        progress=seen.append,
    )
    assert seen[-1].from_store == 3


def test_a_store_that_cannot_be_used_says_so_before_anything_is_measured(
    bench: Bench, tmp_path: Path
) -> None:
    bench.store = tmp_path
    with pytest.raises(StoreError):
        bench.run(fill(tmp_path / "a", 2))
    assert bench.progress == []


def test_time_left_is_told_from_the_third_frame_on(bench: Bench, tmp_path: Path) -> None:
    bench.run(fill(tmp_path / "a", 8))
    told = [progress.left_s for progress in bench.progress]
    # The first frame also loads libraries, so it does not count; then three must be known.
    assert [left is None for left in told] == [True] * 3 + [False] * 5
    assert told[-1] is not None
    assert told[-1].value == 0.0


def test_time_left_is_the_median_by_the_frames_left() -> None:
    left = time_left([1.0, 2.0, 3.0, 4.0, 50.0], frames=10, workers=2)
    assert left is not None
    assert (left.low, left.value, left.high) == (10.0, 15.0, 20.0)
    assert time_left([1.0, 2.0], frames=10, workers=2) is None
    few = time_left([2.0, 2.0, 2.0], frames=1, workers=8)  # one frame is not done by eight
    assert few is not None
    assert few.value == 2.0
