"""How a live sitting of many known frames opens: rows, answers, whole, and opening it again.

Readings of rendered frames are repeated under other names, other content hashes and capture times
20 s apart (bursts of three). Prints wall time, seconds of the processor in this process, resident
memory, and how long `rows()` takes meanwhile; then the opening of the same sitting as it was left.
Run: OMP_NUM_THREADS=1 python benchmarks/bench_live.py STORE [frames, 500 unless said]
where STORE is a store in which `eyeplane measure` kept the readings of rendered frames.
"""

import json
import os
import platform
import sqlite3
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from eyeplane.records import FrameReading, MeasureSettings, from_plain
from eyeplane.sitting.gather import standard_measuring
from eyeplane.sitting.live import LiveSitting
from eyeplane.store import Store

FOLDER = Path("/sittings/many")
LIMIT_S = 1800.0


def repeated(store: Path, count: int) -> list[FrameReading]:
    """Return so many readings."""
    with sqlite3.connect(f"file:{store}?mode=ro", uri=True) as database:
        texts = [text for (text,) in database.execute("SELECT reading FROM readings ORDER BY id")]
    base = [from_plain(FrameReading, json.loads(text)) for text in texts]
    base = [one for one in base if one.status == "measured"]
    found = []
    for number in range(count):
        burst, shot = divmod(number, 3)
        one = base[number % len(base)]
        exposure = replace(one.exposure, captured_s=1000.0 + 20 * burst + 0.5 * shot)
        path, sha256 = str(FOLDER / f"{number:05d}.jpg"), f"{number:064x}"
        found.append(replace(one, path=path, sha256=sha256, exposure=exposure))
    return found


def resident_mib() -> int:
    """Return the memory of this process, where the system tells it."""
    try:
        return (
            int(Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGESIZE") >> 20
        )
    except OSError:
        return 0


class Clock:
    """Wall time and processor time since it was made."""

    def __init__(self) -> None:
        self.wall_s, self.cpu_s = time.perf_counter(), time.process_time()

    def told(self, what: str) -> None:
        """Print both."""
        wall_s, cpu_s = time.perf_counter() - self.wall_s, time.process_time() - self.cpu_s
        print(f"{wall_s:8.2f} s ({cpu_s:7.2f} s cpu, {resident_mib()} MiB)  {what}", flush=True)


def until_settled(live: LiveSitting, clock: Clock) -> None:
    """Print how it goes until all is worked out."""
    slowest_s = told_s = 0.0
    begun_s = time.monotonic()
    while not live.settle(0.0) and time.monotonic() - begun_s < LIMIT_S:
        before_s = time.perf_counter()
        rows = live.rows()
        slowest_s = max(slowest_s, time.perf_counter() - before_s)
        if time.monotonic() - told_s > 10.0:
            told_s = time.monotonic()
            caused = sum(row.cause != "cannot tell" for row in rows)
            clock.told(f"{caused} causes, {live.state().answering} sentences to come")
        time.sleep(0.1)
    clock.told(f"all is worked out; rows() took {1000 * slowest_s:.1f} ms at most")


def main() -> None:
    """Measure and print."""
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 500
    print(platform.machine(), platform.python_version(), f"{os.cpu_count()} cores, {count} frames")
    found = repeated(Path(sys.argv[1]), count)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "store.sqlite3"
        with Store(path, measure_version=standard_measuring().version) as store:
            for one in found:
                store.put(one, MeasureSettings())
        clock = Clock()
        live = LiveSitting.open(FOLDER, store_path=path, learns=False)
        for one in found:
            live.take(one)
        clock.told("all rows are there, with reach and eyes")
        until_settled(live, clock)
        whole = live.whole()
        live.close()
        clock = Clock()
        live = LiveSitting.open(FOLDER, store_path=path, learns=False)
        rows = live.rows()
        same = live.whole() == whole and all(row.answered for row in rows)
        clock.told(f"opened again, {len(rows)} rows{', all as it was' if same else ': not alike'}")
        live.close()


if __name__ == "__main__":
    main()
