"""The chart read from simulated frames of known lenses: places, glass, faults found and not.

JPEG of quality 92 with noise of photons and of reading, vignetting, distortion, a chart that
stands a little askew.
Run: python -m benchmarks.accuracy.chart [places|faults] [frames of each] [seed]
"""

import platform
import sys
import tempfile
from pathlib import Path

import numpy as np
from tests.kit.chart_lens import HEIGHT, WIDTH, Lens, camera, photograph

from eyeplane.kit.chart import read_chart
from eyeplane.records.kit_chart import ChartResult

EDGE_DEG = 5.0  # of the chart's edges


def errors(result: ChartResult, lens: Lens) -> tuple[list[float], list[bool]]:
    """Return the errors of all places as shares, and whether their intervals hold the truth."""
    off, held = [], []
    for aperture in result.apertures:
        for place in aperture.places:
            at = (1 + place.x_share) * WIDTH / 2, (1 + place.y_share) * HEIGHT / 2
            truth = lens.half_per_px(aperture.f_number or 0.0, at, EDGE_DEG)
            off.append(place.mtf50_per_px.value / truth - 1)
            held.append(place.mtf50_per_px.low <= truth <= place.mtf50_per_px.high)
    return off, held


def one(lens: Lens, f_number: float, rng: np.random.Generator, folder: Path) -> ChartResult:
    """Return one frame, read."""
    tilt, turn = rng.normal(0, 0.3, 2)
    path = folder / "frame.jpg"
    photograph(path, lens, f_number, rng, stand=camera(tilt_deg=tilt, turn_deg=turn))
    return read_chart([path])


def places(count: int, rng: np.random.Generator, folder: Path) -> None:
    off: list[float] = []
    held: list[bool] = []
    alarms = 0
    for _ in range(count):
        lens = Lens(best_um=rng.uniform(1.5, 4), edge_share=rng.uniform(0, 1.2))
        result = one(lens, float(rng.choice([1.8, 2.8, 4.0, 8.0])), rng, folder)
        more, inside = errors(result, lens)
        off, held = off + more, held + inside
        alarms += bool(result.faults)
    print(f"places {len(off)}: mean {100 * np.mean(off):+.2f} %, sd {100 * np.std(off):.2f} %,")
    print(f"  worst {100 * np.max(np.abs(off)):.1f} %, in their interval {np.mean(held):.2f}")
    print(f"good lenses {count}: false alarms {alarms}")


def faults(count: int, rng: np.random.Generator, folder: Path) -> None:
    kinds = (("right side", "soft_right_share"), ("lower right corner", "soft_corner_share"))
    for name, kind in kinds:
        for size in (0.3, 0.5, 0.8):
            found = 0
            for _ in range(count):
                told = one(Lens(**{kind: size}), 1.8, rng, folder).faults
                found += any(f.where == name and f.explained == "lens or camera" for f in told)
            print(f"{name} {100 * size:.0f} % more blur: found {found} of {count}", flush=True)


def main(part: str, count: int, seed: int) -> None:
    rng = np.random.default_rng(seed)
    print(platform.processor() or platform.machine(), platform.python_version())
    with tempfile.TemporaryDirectory() as made:
        {"places": places, "faults": faults}[part](count, rng, Path(made))


if __name__ == "__main__":
    told = [*sys.argv[1:], *("places", "20", "5")[len(sys.argv) - 1 :]]
    main(told[0], int(told[1]), int(told[2]))
