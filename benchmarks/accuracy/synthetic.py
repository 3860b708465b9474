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
RANGES_PX = {
    "sharp": (0.0, 0.0),
    "disc": (1.0, 20.0),
    "line": (2.0, 30.0),
    "big": (20.0, 60.0),
    "mixed": (8.0, 24.0),
}
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


def coverage_left_out(rows: Sequence[Row], kind: str, low_px: float, high_px: float) -> float:
    """Return the coverage of intervals whose width is calibrated on the other photographs only.

    A factor on the interval's ends (in ln(size + 1 px) about the value) is chosen so that nine in
    ten hold the truth on all photographs but one, and tried on that one; all in turn.
    """
    chosen = _chosen(rows, kind, low_px, high_px)
    needed = np.array([_needed(c, m) for c, _, m in chosen])
    source = np.array([c.source for c, _, _ in chosen])
    held = []
    for name in np.unique(source):
        factor = np.quantile(needed[source != name], 0.9)
        held.append(needed[source == name] <= factor)
    return float(np.mean(np.concatenate(held)))


def _needed(case: Case, read: Measured) -> float:
    """Return by how much an interval had to be wider, as a factor, to hold the truth just so."""
    true, value = math.log1p(case.size_px), math.log1p(read.value)
    end = math.log1p(read.high if true > value else read.low)
    return abs(true - value) / max(abs(end - value), 1e-9)


def mixed_errors(rows: Sequence[Row]) -> tuple[float, NDArray[np.float64], NDArray[np.float64]]:
    """Return share called a line, its relative length errors, and those of the disc beside."""
    mixed = [(c, b) for c, b in rows if c.kind == "mixed"]
    lines = [(c, b) for c, b in mixed if b.kind == "line" and b.size_px is not None]
    length = [b.size_px.value / c.size_px - 1 for c, b in lines if b.size_px is not None]
    beside = [
        b.disc_beside_px.value / c.disc_px - 1 for c, b in lines if b.disc_beside_px is not None
    ]
    return len(lines) / max(len(mixed), 1), np.array(length), np.array(beside)


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
