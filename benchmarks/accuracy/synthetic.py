"""Synthetic blur of real patches: what was put on against what is measured."""

import math
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
from benchmarks.accuracy.degrade import Case, degraded
from benchmarks.accuracy.patches import sharp_patches
from numpy.typing import NDArray

from eyeplane.measure import measure_blur
from eyeplane.records import Blur, Measured

KINDS = ("sharp", "disc", "line", "disc", "line")
RANGES_PX = {"sharp": (0.0, 0.0), "disc": (1.0, 20.0), "line": (2.0, 30.0), "big": (20.0, 60.0)}
BINS = {
    "disc": ((1, 3), (3, 8), (8, 20), (20, 60)),
    "line": ((2, 5), (5, 12), (12, 30)),
}
Row = tuple[Case, Blur]


def make_cases(
    people: Path,
    *,
    count: int,
    side_px: int,
    camera: bool = False,
    seed: int = 7,
    kinds: Sequence[str] = KINDS,
) -> list[Case]:
    """Return `count` cases, sizes log-uniform, photographs and kinds in turn."""
    patches = sharp_patches(people)
    rng = np.random.default_rng(seed)
    cases = []
    for index in range(count):
        source, patch = patches[index % len(patches)]
        kind = kinds[(index + index // len(patches)) % len(kinds)]
        low, high = RANGES_PX[kind]
        size = 0.0 if low == 0 else math.exp(rng.uniform(math.log(low), math.log(high)))
        asked = ("disc" if kind == "big" else kind, size, rng.uniform(0.0, 180.0))
        cases.append(degraded(source, patch, asked, rng, side_px=side_px, camera=camera))
    return cases


def measured_rows(cases: Sequence[Case]) -> list[Row]:
    """Return each case with what is measured on it."""
    return [
        (c, measure_blur([c.window], quantization=c.quantization, noise=c.noise)) for c in cases
    ]


def errors(rows: Sequence[Row], kind: str, low_px: float, high_px: float) -> NDArray[np.float64]:
    """Return relative errors of the size as a disc or line of true discs or lines in a range."""
    chosen = _chosen(rows, kind, low_px, high_px)
    return np.array([m.value / c.size_px - 1 for c, _, m in chosen])


def coverage(rows: Sequence[Row], kind: str, low_px: float, high_px: float) -> float:
    """Return how often the 90 % interval holds the truth."""
    chosen = _chosen(rows, kind, low_px, high_px)
    return float(np.mean([m.low <= c.size_px <= m.high for c, _, m in chosen]))


def angle_errors(rows: Sequence[Row], low_px: float, high_px: float) -> NDArray[np.float64]:
    """Return |error| of the direction of true lines, degrees."""
    return np.array(
        [
            abs((b.line_angle_deg - c.angle_deg + 90) % 180 - 90)
            for c, b, _ in _chosen(rows, "line", low_px, high_px)
            if b.line_angle_deg is not None
        ]
    )


def called_right(rows: Sequence[Row]) -> tuple[float, float]:
    """Return shares of discs >= 3 px and lines >= 5 px that are called, and called rightly."""
    large = [(c, b) for c, b in rows if c.size_px >= {"disc": 3, "line": 5, "sharp": 1e9}[c.kind]]
    called = [(c, b) for c, b in large if b.kind in ("disc", "line")]
    right = [c.kind == b.kind for c, b in called]
    return len(called) / max(len(large), 1), float(np.mean(right)) if right else math.nan


def sharp_auc(rows: Sequence[Row], least_px: float) -> float:
    """Return how often a sharp window reads below one with a disc of at least `least_px`."""
    sharp = _readings(rows, lambda c: c.kind == "sharp")
    soft = _readings(rows, lambda c: c.kind == "disc" and c.size_px >= least_px)
    return float(np.mean(sharp[:, None] < soft[None]))


def _readings(rows: Sequence[Row], want: Callable[[Case], bool]) -> NDArray[np.float64]:
    return np.array([b.disc_px.value for c, b in rows if want(c) and b.disc_px is not None])


def _chosen(
    rows: Sequence[Row], kind: str, low_px: float, high_px: float
) -> list[tuple[Case, Blur, Measured]]:
    chosen = []
    for case, blur in rows:
        found = blur.disc_px if kind == "disc" else blur.line_px
        if case.kind == kind and low_px <= case.size_px < high_px and found is not None:
            chosen.append((case, blur, found))
    return chosen
