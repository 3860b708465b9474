"""Ladders of simulated photographers whose limits are known: do the intervals hold them?

Run: python -m benchmarks.accuracy.ladder [runs] [photographer[/design] ...]
It prints, for each photographer and design, how many runs in a hundred hold the true limit of 50,
80, 90 and 95 % of the frames in the 90 % interval, the median error in stops, and the median width.
"""

import sys
import time

import numpy as np
from tests.learn.photographers import DESIGNS, Photographer

from eyeplane.learn.ladder_fit import SHARES

PHOTOGRAPHERS = {
    "usual": Photographer(half_s=1 / 60, scale_stops=0.75, lapse=0.0),
    "usual, 2 % lapses": Photographer(half_s=1 / 60, scale_stops=0.75, lapse=0.02),
    "even": Photographer(half_s=1 / 125, scale_stops=0.45, lapse=0.02),
    "uneven": Photographer(half_s=1 / 40, scale_stops=1.2, lapse=0.02),
    "fast sitter": Photographer(half_s=1 / 200, scale_stops=0.75, lapse=0.02),
}


def coverage(who: Photographer, design: str, runs: int, rng: np.random.Generator) -> str:
    """Return one line of the table."""
    times, each = DESIGNS[design]
    hits = dict.fromkeys(SHARES, 0)
    errors: dict[float, list[float]] = {share: [] for share in SHARES}
    widths = []
    for _ in range(runs):
        posterior = who.shoot(rng, times, each).posterior
        for share in SHARES:
            low, value, high = posterior.limit_stops(share)
            truth = who.limit_stops(share)
            hits[share] += low <= truth <= high
            errors[share].append(value - truth)
            if share == 0.9:
                widths.append(high - low)
    shares = "  ".join(
        f"{100 * hits[s] / runs:5.1f} ({float(np.median(errors[s])):+.2f})" for s in SHARES
    )
    return f"{shares}   {float(np.median(widths)):.1f}"


def lapses(runs: int, seed: int) -> None:
    """Print how far 2 % of lapses move each limit, the same draws with and without."""
    for design, (times, each) in DESIGNS.items():
        moved: dict[float, list[float]] = {share: [] for share in SHARES}
        for run in range(runs):
            clean, lapsed = (
                Photographer(lapse=lapse)
                .shoot(np.random.default_rng((seed, run)), times, each)
                .posterior
                for lapse in (0.0, 0.02)
            )
            for share in SHARES:
                moved[share].append(lapsed.limit_stops(share)[1] - clean.limit_stops(share)[1])
        told = "  ".join(f"{100 * s:.0f} %: {float(np.mean(moved[s])):+.3f}" for s in SHARES)
        print(f"2 % lapses move the limits by (stops, mean), {design:7s}  {told}", flush=True)


def main() -> None:
    """Print the tables."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    asked = sys.argv[2:] or [*PHOTOGRAPHERS, "lapses"]
    rng = np.random.default_rng(20)
    print(f"{runs} runs each; held in the 90 % interval, % (median error, stops), at 50 80 90 95 %")
    for name in asked:
        if name == "lapses":
            lapses(runs, 20)
            continue
        name, _, only = name.partition("/")  # noqa: PLW2901  the design is split off
        for design in [only] if only else DESIGNS:
            start = time.perf_counter()
            line = coverage(PHOTOGRAPHERS[name], design, runs, rng)
            took = (time.perf_counter() - start) / runs * 1000
            print(f"{name:18s} {design:7s} {line}   {took:.0f} ms a fit", flush=True)


if __name__ == "__main__":
    main()
