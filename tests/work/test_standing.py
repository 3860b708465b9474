"""Processes that stay up: newest first, a bad file costs itself, nothing is left behind."""

import os
import time
from collections.abc import Callable, Iterator
from functools import partial
from multiprocessing import connection
from pathlib import Path

import psutil
import pytest
from tests.work import fakes

from eyeplane.errors import EyeplaneError
from eyeplane.records import FrameReading
from eyeplane.work import StandingPool
from eyeplane.work.done import Done


@pytest.fixture
def pool() -> Iterator[Callable[..., StandingPool]]:
    """Yield a way to make pools that end with the test."""
    made: list[StandingPool] = []

    def make(function: Callable[[str], FrameReading], **how: object) -> StandingPool:
        made.append(StandingPool(function, workers=1, **how))  # type: ignore[arg-type]
        made[-1].start()
        return made[-1]

    yield make
    for one in made:
        one.stop()


def collect(pool: StandingPool, count: int, limit_s: float = 90.0) -> list[Done]:
    """Return so many frames that came back."""
    found: list[Done] = []
    until = time.monotonic() + limit_s
    while len(found) < count:
        assert time.monotonic() < until
        connection.wait(pool.pipes, min(0.5, pool.left_s()))
        found += pool.collect()
    return found


def hand(pool: StandingPool, path: str, *, fresh: bool) -> None:
    """Give a frame to the pool as soon as one is free."""
    until = time.monotonic() + 90
    while not pool.hand(path, fresh=fresh):
        assert time.monotonic() < until
        connection.wait(pool.pipes, 0.5)
        assert pool.collect() == []


def test_readings_come_back_and_processes_stay(pool: Callable[..., StandingPool]) -> None:
    one = pool(fakes.hash_only)
    hand(one, "/a.jpg", fresh=True)
    (done,) = collect(one, 1)
    before = one.processes
    hand(one, "/b.jpg", fresh=False)
    (other,) = collect(one, 1)
    assert (done.reading, other.reading) == (fakes.hash_only("/a.jpg"), fakes.hash_only("/b.jpg"))
    assert one.processes == before
    assert len(before) == 2


def test_one_process_is_kept_for_what_has_just_landed(pool: Callable[..., StandingPool]) -> None:
    one = pool(fakes.troubled)
    hand(one, "/hang-old.jpg", fresh=False)
    until = time.monotonic() + 90
    while time.monotonic() < until and one.in_hand == ["/hang-old.jpg"]:
        connection.wait(one.pipes, 0.2)
        one.collect()
        assert not one.hand("/old.jpg", fresh=False), "what lay there must wait"
        if one.hand("/new.jpg", fresh=True):
            break
    (done,) = collect(one, 1)
    assert done.path == "/new.jpg"


def test_a_crash_costs_its_frame_alone(pool: Callable[..., StandingPool], tmp_path: Path) -> None:
    one = pool(fakes.troubled)
    hand(one, "/segv.jpg", fresh=True)
    (done,) = collect(one, 1)
    assert done.lost
    assert done.reading.reason.startswith("the file makes the decoder crash (SIGSEGV), twice.")
    hand(one, "/raise.jpg", fresh=True)
    assert "ValueError: a bad number" in collect(one, 1)[0].reading.reason
    hand(one, "/good.jpg", fresh=True)
    assert collect(one, 1)[0].reading == fakes.hash_only("/good.jpg")
    once = pool(fakes.dies_once)
    hand(once, str(tmp_path / "x.once"), fresh=True)
    (done,) = collect(once, 1)
    assert not done.lost, "memory may have been short: tried once more"


def test_a_frame_that_hangs_is_given_up(pool: Callable[..., StandingPool]) -> None:
    one = pool(fakes.troubled, limit_s=0.5)
    hand(one, "/hang.jpg", fresh=True)
    (done,) = collect(one, 1)
    assert done.lost
    assert "longer than 0.5 s" in done.reading.reason
    hand(one, "/good.jpg", fresh=True)
    assert collect(one, 1)[0].reading == fakes.hash_only("/good.jpg")


def test_it_warms_up_before_it_is_ready(pool: Callable[..., StandingPool], tmp_path: Path) -> None:
    mark = tmp_path / "warm.once"
    one = pool(fakes.hash_only, warm=partial(fakes.touch, str(mark)))
    hand(one, "/a.jpg", fresh=True)
    assert mark.exists()
    assert collect(one, 1)[0].reading == fakes.hash_only("/a.jpg")
    # An error while warming up is of no consequence.
    other = pool(fakes.hash_only, warm=partial(fakes.touch, str(tmp_path / "no" / "x")))
    hand(other, "/a.jpg", fresh=True)
    assert collect(other, 1)[0].reading == fakes.hash_only("/a.jpg")


def test_all_processes_leave_at_the_end(pool: Callable[..., StandingPool]) -> None:
    one = pool(fakes.troubled)
    hand(one, "/hang.jpg", fresh=True)
    numbers = one.processes
    before_s = time.monotonic()
    one.stop()
    one.stop()
    assert time.monotonic() - before_s < 15  # three, and a busy machine
    assert one.processes == []
    assert not any(psutil.pid_exists(number) for number in numbers)


def test_an_installation_that_is_broken_is_told(pool: Callable[..., StandingPool]) -> None:
    one = pool(fakes.hash_only, warm=partial(os._exit, 7))
    with pytest.raises(EyeplaneError, match=r"ended while it started \(exit status 7\)"):
        collect(one, 1)


def test_the_keen_process_measures_in_its_own_way(pool: Callable[..., StandingPool]) -> None:
    one = pool(fakes.hash_only, keen=fakes.more_at_once)
    hand(one, "/old.jpg", fresh=False)
    hand(one, "/fresh.jpg", fresh=True)
    widths = {done.path: done.reading.width_px for done in collect(one, 2)}
    assert widths == {"/fresh.jpg": 2, "/old.jpg": 1}
