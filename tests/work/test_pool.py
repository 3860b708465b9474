import contextlib
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import psutil
import pytest
from tests.work import fakes

from eyeplane.errors import EyeplaneError, InputError
from eyeplane.work import default_workers, run_all, run_each

ROOT = Path(__file__).parents[2]


def children() -> list[psutil.Process]:
    """Return our measuring processes: not Python's own tracker, not the page tests' browser."""
    found = []
    for process in psutil.Process().children():
        with contextlib.suppress(psutil.Error):
            line = " ".join(process.cmdline())
            if "python" in process.name() and "resource_tracker" not in line:
                found.append(process)
    return found


def test_order_and_worker_count_change_nothing() -> None:
    paths = [f"frame-{n:03d}" for n in range(40)]
    here = dict(run_all(fakes.sometimes_slow, paths, workers=0))
    one = dict(run_all(fakes.sometimes_slow, paths, workers=1))
    three = dict(run_all(fakes.sometimes_slow, paths[::-1], workers=3))
    assert here == one == three
    assert list(here) == paths
    assert children() == []


def test_every_path_comes_exactly_once_as_it_completes() -> None:
    paths = [f"frame-{n}" for n in range(12)]
    came = [path for path, _ in run_all(fakes.sometimes_slow, paths, workers=2)]
    assert sorted(came) == sorted(paths)


@pytest.mark.parametrize(("kind", "word"), [("abort", "SIGABRT"), ("exit", "exit status 3")])
def test_a_crash_costs_its_own_frame_only(kind: str, word: str) -> None:
    paths = [f"frame-{n}" for n in range(6)]
    paths.insert(2, f"{kind}.jpg")
    done = {d.path: d for d in run_each(fakes.troubled, paths, workers=2)}
    assert set(done) == set(paths)
    bad = done.pop(f"{kind}.jpg")
    assert bad.lost
    assert bad.reading.status == "unreadable"
    assert word in bad.reading.reason
    assert "twice" in bad.reading.reason
    assert all(d.reading == fakes.hash_only(p) and not d.lost for p, d in done.items())


@pytest.mark.slow
def test_several_crashes_in_a_row_with_one_process() -> None:
    paths = ["segv.1", "segv.2", "good.1", "segv.3", "good.2"]
    done = {d.path: d.reading.status for d in run_each(fakes.troubled, paths, workers=1)}
    assert done == {p: "unreadable" if "segv" in p else "nobody" for p in paths}


def test_a_frame_that_only_once_kills_its_process_is_measured(tmp_path: Path) -> None:
    paths = [str(tmp_path / "a.once"), "good"]
    done = {d.path: d for d in run_each(fakes.dies_once, paths, workers=2)}
    assert done[paths[0]].reading == fakes.hash_only(paths[0])
    assert not done[paths[0]].lost


def test_a_frame_that_takes_too_long_is_given_up() -> None:
    paths = ["hang", *[f"frame-{n}" for n in range(4)]]
    start = time.monotonic()
    done = {d.path: d for d in run_each(fakes.troubled, paths, workers=2, limit_s=1.0)}
    assert time.monotonic() - start < 8
    assert done["hang"].lost
    assert "took longer than 1 s" in done["hang"].reading.reason
    assert {d.reading.status for p, d in done.items() if p != "hang"} == {"nobody"}
    assert children() == []


def test_a_slow_consumer_is_no_slow_frame() -> None:
    statuses = []
    for _, reading in run_all(fakes.hash_only, [str(n) for n in range(4)], workers=2, limit_s=0.4):
        time.sleep(0.5)
        statuses.append(reading.status)
    assert statuses == ["nobody"] * 4


@pytest.mark.parametrize("workers", [0, 1])
def test_an_error_is_a_reason(workers: int) -> None:
    done = {d.path: d for d in run_each(fakes.troubled, ["raise", "good"], workers=workers)}
    assert done["raise"].reading.status == "unreadable"
    assert "ValueError: a bad number" in done["raise"].reading.reason
    assert not done["raise"].lost
    assert done["good"].reading.status == "nobody"


def test_each_process_keeps_to_one_thread_and_ours_keeps_its_environment() -> None:
    before = dict(os.environ)
    ((_, reading),) = run_all(fakes.environment, ["a"], workers=1)
    assert reading.width_px == 1
    assert dict(os.environ) == before


def test_closing_ends_all_processes_at_once() -> None:
    run = run_each(fakes.troubled, ["good", "hang", "hang"], workers=2)
    next(run)
    assert children() != []
    start = time.monotonic()
    run.close()
    assert time.monotonic() - start < 1.5
    assert children() == []


def test_nothing_to_do_starts_nothing() -> None:
    assert list(run_all(fakes.hash_only, [], workers=2)) == []


def test_wrong_numbers_are_refused() -> None:
    with pytest.raises(InputError, match="-1 processes"):
        list(run_all(fakes.hash_only, ["a"], workers=-1))
    with pytest.raises(InputError, match="time limit"):
        list(run_all(fakes.hash_only, ["a"], workers=1, limit_s=0))
    assert 1 <= default_workers() <= (os.cpu_count() or 1)


class Unloadable:
    """Pickles well, but cannot be loaded: like a broken installation."""

    def __call__(self, path: str) -> None:
        raise AssertionError(path)

    def __reduce__(self) -> tuple[object, ...]:
        return (os._exit, (7,))


@pytest.mark.slow
def test_processes_that_never_start_are_an_error_and_not_a_loop() -> None:
    with pytest.raises(EyeplaneError, match="exit status 7"):
        list(run_all(Unloadable(), ["a", "b"], workers=2))  # type: ignore[arg-type]  # on purpose
    assert children() == []


@pytest.mark.slow
def test_memory_stays_flat_over_500_frames() -> None:
    ours = psutil.Process()
    sizes = []
    for n, _ in enumerate(run_all(fakes.large, [str(n) for n in range(500)], workers=2)):
        if n in (50, 499):
            sizes.append(ours.memory_info().rss)
    assert sizes[1] - sizes[0] < 20e6  # 450 readings of 1 MB each went by


SCRIPT = """
import sys
sys.path.insert(0, sys.argv[1])
from eyeplane.work import run_all
from tests.work import fakes
if __name__ == "__main__":
    try:
        for path, _ in run_all(fakes.troubled, ["good", "hang", "hang"], workers=2):
            print(path, flush=True)
    except KeyboardInterrupt:
        print("stopped", flush=True)
"""


def start(tmp_path: Path) -> tuple[subprocess.Popen[str], list[psutil.Process]]:
    """Start a run of its own and wait until it hangs in two processes."""
    script = tmp_path / "script.py"
    script.write_text(SCRIPT, encoding="utf-8")
    run = subprocess.Popen(
        [sys.executable, str(script), str(ROOT)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        # What starts the tests in the background may have told them to ignore Ctrl-C.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # noqa: PLW1509
    )
    assert run.stdout is not None
    assert run.stdout.readline() == "good\n"
    return run, psutil.Process(run.pid).children()


@pytest.mark.slow
def test_ctrl_c_stops_cleanly(tmp_path: Path) -> None:
    run, processes = start(tmp_path)
    os.killpg(run.pid, signal.SIGINT)  # as a terminal does: to everybody in the group
    out, err = run.communicate(timeout=10)
    assert (out, err, run.returncode) == ("stopped\n", "", 0)
    _, alive = psutil.wait_procs(processes, timeout=3)
    assert alive == []


@pytest.mark.slow
def test_processes_go_when_their_parent_is_killed(tmp_path: Path) -> None:
    run, processes = start(tmp_path)
    assert len(processes) >= 2
    run.kill()
    run.wait()
    for pipe in (run.stdout, run.stderr):
        assert pipe is not None
        pipe.close()
    _, alive = psutil.wait_procs(processes, timeout=5)
    for process in alive:
        process.kill()
    assert alive == []
