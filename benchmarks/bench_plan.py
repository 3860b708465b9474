"""How long planning takes: single plans, a sweep of 10 000 points, and the command from cold.

Prints median and minimum of N rounds for each, the rounds of all interleaved; the same in seconds
of the processor, which others on the machine lengthen less; and the ratio to a fixed piece of work
(a sort of a million numbers). Asked: a single plan in 20 ms, the sweep in 2 s on one core, the
command in a fresh process in 0.6 s.
Run: OMP_NUM_THREADS=1 python benchmarks/bench_plan.py [rounds, 9 unless said]
"""

import os
import platform
import statistics
import subprocess  # starts the command itself, nothing else
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from eyeplane.plan import plan_burst, plan_group, plan_sitter, sweep_sitter
from eyeplane.records import (
    BurstRequest,
    GroupRequest,
    PlanChoice,
    PlanKit,
    PlanLight,
    PlanPrint,
    SitterRequest,
)

TIMES = 10  # single plans a round
KIT = PlanKit(focal_length_mm=85.0)
LIGHT = PlanLight(exposure_ev=8.3)  # 800 lx
PROMISE = PlanPrint(print_cm=60.0)
SITTER = SitterRequest(
    kit=KIT,
    light=LIGHT,
    promise=PROMISE,
    framing="head-and-shoulders",
    yaw_deg=25.0,
    background_mm=1200.0,
)
GROUP = GroupRequest(
    kit=PlanKit(focal_length_mm=50.0), light=LIGHT, promise=PROMISE, distance_mm=3500.0
)
BURST = BurstRequest(sitting=SITTER)
COMMAND = (
    *("plan", "sitter", "--focal-length", "85mm", "--sensor", "36x24", "--pixels", "6000x4000"),
    *("--framing", "head-and-shoulders", "--yaw", "25", "--print-cm", "60", "--light", "800 lx"),
    *("--json", "-"),
)


def fixed_work() -> None:
    np.sort(np.random.default_rng(1).random(1_000_000))


def cold() -> None:
    """Run the command in a fresh process."""
    command = Path(sys.executable).with_name("eyeplane")
    subprocess.run([command, *COMMAND], check=True, stdout=subprocess.DEVNULL)  # noqa: S603  # ours


def sweep_settled() -> None:
    """Sweep 10 000 points with aperture, shutter and ISO settled, distance and turn free."""
    settled = SitterRequest(
        kit=KIT,
        light=LIGHT,
        promise=PROMISE,
        distance_mm=2000.0,
        choice=PlanChoice(f_number=2.8, shutter_s=1 / 250, iso=800.0),
    )
    found = sweep_sitter(
        settled,
        {
            "distance_mm": list(np.linspace(1200, 4000, 100)),
            "yaw_deg": list(np.linspace(0, 60, 100)),
        },
    )
    assert len(found) == 10_000


def sweep_best() -> None:
    """Sweep 10 000 points, the best settings found at each."""
    found = sweep_sitter(
        SITTER,
        {"exposure_ev": list(np.linspace(4, 12, 100)), "yaw_deg": list(np.linspace(0, 60, 100))},
    )
    assert len(found) == 10_000


JOBS: dict[str, tuple[Callable[[], object], float]] = {
    "one sitter": (lambda: plan_sitter(SITTER), 0.020),
    "one group": (lambda: plan_group(GROUP), 0.020),
    "one lean-in": (lambda: plan_burst(BURST), 0.020),
    "sweep of 10 000, settled": (sweep_settled, 2.0),
    "sweep of 10 000, best found": (sweep_best, 2.0),
    "`eyeplane plan sitter`, cold": (cold, 0.6),
}


def processor_s() -> float:
    """Return the seconds that this process and its children have had of the processor."""
    spent = os.times()
    return spent.user + spent.system + spent.children_user + spent.children_system


def timed(job: Callable[[], object]) -> tuple[float, float]:
    """Return how long a job took, and how long on the processor."""
    began, had = time.perf_counter(), processor_s()
    job()
    return time.perf_counter() - began, processor_s() - had


def several(job: Callable[[], object]) -> Callable[[], object]:
    """Return a job done ten times: the processor's clock ticks in hundredths of a second."""
    return lambda: [job() for _ in range(TIMES)]


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 9
    print(f"{platform.platform()}, Python {platform.python_version()}, {os.cpu_count()} cores")
    print(f"load {os.getloadavg()[0]:.1f} at the start; {rounds} rounds, all interleaved")
    for job, _ in JOBS.values():
        job()  # tables and imports that only the first call makes
    wall: dict[str, list[float]] = {name: [] for name in JOBS}
    own: dict[str, list[float]] = {name: [] for name in JOBS}
    ratio: dict[str, list[float]] = {name: [] for name in JOBS}
    for _ in range(rounds):
        for name, (job, asked) in JOBS.items():
            count = TIMES if asked < 0.1 else 1
            _, base = timed(several(fixed_work))
            took, had = timed(several(job) if count > 1 else job)
            wall[name].append(took / count)
            own[name].append(had / count)
            ratio[name].append(had / count / (base / TIMES))
    for name, (_job, asked) in JOBS.items():
        print(
            f"{name:29s} median {statistics.median(wall[name]) * 1e3:6.0f} ms, minimum"
            f" {min(wall[name]) * 1e3:6.0f}; processor {statistics.median(own[name]) * 1e3:6.0f},"
            f" minimum {min(own[name]) * 1e3:6.0f}; asked {asked * 1e3:5.0f};"
            f" {statistics.median(ratio[name]):6.2f} of the fixed work"
        )


if __name__ == "__main__":
    main()
