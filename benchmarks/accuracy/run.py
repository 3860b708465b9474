"""Print how accurately blur is measured: python -m benchmarks.accuracy.run [DATA]."""

import platform
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from benchmarks.accuracy.rendered import EyeRow, measure_eyes
from benchmarks.accuracy.stack import measure_stack
from benchmarks.accuracy.synthetic import (
    BINS,
    Row,
    angle_errors,
    called_right,
    coverage,
    errors,
    make_cases,
    measured_rows,
    sharp_auc,
)

COUNT = 690  # 30 for each patch


def main(arguments: Sequence[str]) -> None:
    data = Path(arguments[0]) if arguments else Path(__file__).parents[3] / "shared" / "data"
    print(f"{platform.machine()}, Python {platform.python_version()}, {platform.system()}")
    for side_px, camera in ((256, False), (256, True), (128, False)):
        cases = make_cases(data / "people", count=COUNT, side_px=side_px, camera=camera)
        measured_rows(cases[:1])  # compiles
        start = time.perf_counter()
        rows = measured_rows(cases)
        each_ms = (time.perf_counter() - start) / len(rows) * 1e3
        how = ", smoothed and sharpened" if camera else ""
        print(
            f"\nSynthetic blur, {side_px} px window{how}: {len(rows)} cases, {each_ms:.0f} ms each"
        )
        print_synthetic(rows)
    big = measured_rows(make_cases(data / "people", count=69, side_px=256, kinds=("big",)))
    print("\nLarge discs, 256 px window")
    print_sizes(big, "disc", 20, 60)
    print_rendered(measure_eyes(data / "rendered" / "single"))
    stack = measure_stack(data / "focus_stack")
    print("\nFocus stack, 256 px places: sharpest frame within one step")
    print("  by the size: {} places, {:.3f}".format(*stack.within_one(stack.size_px)))
    print("  by its upper end: {} places, {:.3f}".format(*stack.within_one(stack.high_px)))


def print_synthetic(rows: Sequence[Row]) -> None:
    for kind, bins in BINS.items():
        for low, high in bins[:3]:
            print_sizes(rows, kind, low, high)
    called, right = called_right(rows)
    print(f"  disc or line: called {called:.2f}, right when called {right:.3f}")
    print(
        f"  sharp below disc >= 2 px: {sharp_auc(rows, 2):.3f}, >= 3 px: {sharp_auc(rows, 3):.3f}"
    )


def print_sizes(rows: Sequence[Row], kind: str, low_px: float, high_px: float) -> None:
    found = errors(rows, kind, low_px, high_px)
    middle, tail = np.quantile(np.abs(found), (0.5, 0.9))
    line = f"  {kind} {low_px:g}-{high_px:g} px: n {len(found)}, error {middle:.3f} / {tail:.3f}"
    held = coverage(rows, kind, low_px, high_px)
    line += f", bias {np.median(found):+.3f}, interval holds {held:.2f}"
    if kind == "line":
        turned = np.quantile(angle_errors(rows, low_px, high_px), (0.5, 0.9))
        line += f", angle {turned[0]:.1f} / {turned[1]:.1f} deg"
    print(line)


def print_rendered(rows: Sequence[EyeRow]) -> None:
    print("\nRendered heads, near eye, 128 px window")
    still = [r for r in rows if r.frame["motion"] is None and r.blur.disc_px is not None]
    true = np.array([r.frame["near_iris_blur_px"] for r in still])
    read = np.array([r.blur.disc_px.value for r in still if r.blur.disc_px is not None])
    for low, high in ((1, 3), (3, 8), (8, 30)):
        chosen = (true >= low) & (true < high)
        off = np.quantile(np.abs(read[chosen] / true[chosen] - 1), (0.5, 0.9))
        print(f"  {low}-{high} px: n {chosen.sum()}, error {off[0]:.3f} / {off[1]:.3f}")
    print(f"  sharp (0 px) reads up to {read[true == 0].max():.1f} px")
    pairs = np.mean(read[true < 1.5][:, None] < read[true > 6][None])
    print(f"  below 1.5 px ranked before above 6 px: {pairs:.3f}")
    for row in rows:
        motion, line = row.frame["motion"], row.blur.line_px
        if motion is not None and line is not None and motion["px"] >= 4:
            told = f"{motion['px']} px at {motion['angle']} deg"
            disc = row.frame["near_iris_blur_px"]
            answer = f"{row.blur.kind}, {line.value:.1f} px at {row.blur.line_angle_deg:.0f} deg"
            print(f"  {told}, disc {disc:.1f} px: {answer}")
    for iso in (100, 1600, 6400):
        ratio = np.median([r.noise_ratio for r in rows if r.frame["iso"] == iso])
        print(f"  noise at ISO {iso}: {ratio:.2f} of the truth")


if __name__ == "__main__":
    main(sys.argv[1:])
