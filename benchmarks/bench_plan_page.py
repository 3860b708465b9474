"""How long a plan's page takes to follow while something is dragged: request to answer, by kind.

Beside it the same in milliseconds of the processor, which others on the machine lengthen less.
Asked: under 150 ms from a drag to its picture, so some 120 ms from request to answer.
Run: python benchmarks/bench_plan_page.py [REPEATS]
"""

import os
import platform
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from starlette.testclient import TestClient

from eyeplane.web import Site, make_app

# What is dragged, one step further each time, so that no plan is one that was made before.
DRAGGED: dict[str, Callable[[int], str]] = {
    "sitter, camera": lambda k: (
        f"/plan/sitter/piece?quick=yes&background=1.2m&distance={1900 + k}mm"
    ),
    "sitter, plane": lambda k: f"/plan/sitter/piece?quick=yes&focus-bias={k % 90 + 5 + k / 1000}mm",
    "group, rear row": lambda k: f"/plan/group/piece?quick=yes&light=EV+12&row-spacing={600 + k}mm",
    "group, plane": lambda k: f"/plan/group/piece?quick=yes&light=EV+12&focus-bias={k + 5}mm",
    "lean-in, lean": lambda k: f"/plan/burst/piece?quick=yes&lean={40 + k / 10}+mm/s",
}


def main() -> None:
    """Print minimum, median and the nine-in-ten of the time from request to answer."""
    repeats = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    print(f"{platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}")
    with tempfile.TemporaryDirectory() as folder:
        site = Site(store_path=Path(folder) / "store.sqlite3")
        with TestClient(make_app(site), base_url="http://127.0.0.1:8765") as client:
            taken: dict[str, list[float]] = {name: [] for name in DRAGGED}
            worked: dict[str, list[float]] = {name: [] for name in DRAGGED}
            for k in range(repeats + 2):
                for name, address in DRAGGED.items():
                    start, at_work = time.perf_counter(), time.process_time()
                    answer = client.get(address(k))
                    if k > 1:
                        taken[name].append(1000 * (time.perf_counter() - start))
                        worked[name].append(1000 * (time.process_time() - at_work))
                    if answer.status_code != 200:
                        raise SystemExit(f"{name}: {answer.status_code}")
    for name, times in taken.items():
        late = statistics.quantiles(times, n=10)[-1]
        print(
            f"{name:16} min {min(times):4.0f} ms, median {statistics.median(times):4.0f} ms, "
            f"nine in ten {late:4.0f} ms; processor {statistics.median(worked[name]):4.0f} ms"
        )


if __name__ == "__main__":
    main()
