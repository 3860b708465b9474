"""How often what sittings taught holds the truth: photographers made up with known numbers.

`python -m benchmarks.accuracy.learned [RUNS]`: each run is a photographer with three lenses of
three, one and two sittings, of whose frames some show no motion, and two kits of known focus. Told
are the shares of 90 % intervals that hold the truth, how much better borrowing foretells frames
to come than each lens alone, and how long it all takes with a store of many years.
"""

import math
import sys
import time

import numpy as np
from tests.learn.simulated import Photographer, offsets, speeds

from eyeplane.learn.focus import fit_focus_groups
from eyeplane.learn.speeds_levels import exposures_speed, fit_speed_groups
from eyeplane.records import Measured

Q90 = 1.2816
SITTINGS = (3, 1, 2)


def inside(found: Measured, truth: float) -> bool:
    """Return whether an interval holds the truth."""
    return found.low <= truth <= found.high


def score(values: np.ndarray, middle: float, sd: float) -> float:
    """Return the mean logarithm of a normal density, without its constant."""
    return float(np.mean(-0.5 * ((values - middle) / sd) ** 2 - math.log(sd)))


def shake(runs: int, rng: np.random.Generator) -> None:
    """Print the shares for speeds."""
    person = Photographer()
    total = math.hypot(person.within, person.between_sittings)
    middles: list[list[bool]] = [[] for _ in SITTINGS]
    fast: list[list[bool]] = [[] for _ in SITTINGS]
    new, gains = [], []
    for _ in range(runs):
        lessons, truths = speeds(rng, SITTINGS, person)
        fit = fit_speed_groups(lessons)
        if fit is None:
            continue
        for n, (group, truth) in enumerate(zip(fit.groups, truths, strict=True)):
            middles[n].append(inside(group.middle(), truth))
            fast[n].append(inside(group.beyond(Q90), truth + Q90 * total))
        new.append(inside(fit.new.middle(), rng.normal(person.middle, person.between_groups)))
        gains.append(gain(rng, fit_one=fit.groups[1], truth=truths[1], total=total))
    for n, count in enumerate(SITTINGS):
        print(
            f"shake, lens of {count} sittings: middle {np.mean(middles[n]):.3f}, "
            f"nine in ten {np.mean(fast[n]):.3f}"
        )
    print(f"shake, a lens not measured yet: {np.mean(new):.3f}")
    print(f"frames to come, lens of one sitting: log score {np.mean(gains):+.3f} of the best one")


def gain(rng: np.random.Generator, *, fit_one: object, truth: float, total: float) -> float:
    """Return how far the score of frames to come lies below that of the truth."""
    to_come = rng.normal(truth, total, 400)
    told = exposures_speed(fit_one)  # type: ignore[arg-type]  # a GroupPosterior
    sd = math.log(told.high / told.low) / (2 * 1.6449)
    return score(to_come, math.log(told.value), sd) - score(to_come, truth, total)


def focus(runs: int, rng: np.random.Generator) -> None:
    """Print the shares for the focus of kits."""
    biases, spreads, called = [], [], []
    for run in range(runs):
        on_eye = run % 2 == 0
        kits = tuple(
            (0.0 if on_eye else float(rng.normal(0, 6)), float(rng.uniform(3, 9))) for _ in range(2)
        )
        for found, (bias, spread) in zip(fit_focus_groups(offsets(rng, kits)), kits, strict=True):
            if found is None:
                continue
            biases.append(inside(found.bias_mm, bias))
            spreads.append(inside(found.spread_mm, spread))
            if on_eye:
                called.append(not inside(found.bias_mm, 0.0))
    print(f"focus: bias {np.mean(biases):.3f}, spread {np.mean(spreads):.3f}")
    print(f"focus: kits on the eye whose interval excludes it {np.mean(called):.3f}")


def pace(rng: np.random.Generator) -> None:
    """Print how long fits of many sittings take."""
    for sittings in (10, 100, 500):
        lessons, _ = speeds(rng, (sittings // 5,) * 5, bursts=10, frames=3)
        start = time.perf_counter()
        fit_speed_groups(lessons)
        took = time.perf_counter() - start
        told = offsets(rng, ((2.0, 5.0),) * 5, sittings=sittings // 5, bursts=10, frames=3)
        start = time.perf_counter()
        fit_focus_groups(told)
        print(
            f"{sittings} sittings, {30 * sittings} frames: shake {took:.2f} s, "
            f"focus {time.perf_counter() - start:.2f} s"
        )


def main(runs: int) -> None:
    """Print everything."""
    shake(runs, np.random.default_rng(1))
    focus(runs, np.random.default_rng(2))
    pace(np.random.default_rng(3))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 500)
