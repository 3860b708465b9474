"""The whole chain on rendered heads, nets only, against truth.json; prints one table.

Run: python -m benchmarks.accuracy.chain [every N-th frame]
"""

import json
import os
import platform
import sys
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from eyeplane.diagnose import answer_frame
from eyeplane.measure import measure_frame
from eyeplane.records import (
    FaceAnswer,
    FaceReading,
    FrameReading,
    Measured,
    MeasureSettings,
    Viewing,
)

DATA = (
    Path(os.environ.get("EYEPLANE_TEST_DATA", Path(__file__).parents[3] / "shared" / "data"))
    / "rendered"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """One rendered head with its truth and what was measured on it."""

    file: str
    truth: dict[str, Any]
    frame: dict[str, Any]
    reading: FaceReading
    answer: FaceAnswer

    @property
    def near_right(self) -> bool | None:
        """Return whether the near eye was named right; None where it was left open."""
        if self.reading.face.near is None:
            return None
        return self._distance(self.reading.face.near) < self._distance(
            "right" if self.reading.face.near == "left" else "left"
        )

    def _distance(self, side: str) -> float:
        eye = next(e for e in self.reading.face.eyes if e.side == side)
        return float(np.hypot(*np.subtract(eye.iris_px, self.truth["near_iris_px"])))

    @property
    def near_size_px(self) -> Measured | None:
        """Return the size measured at the true near eye, with its interval."""
        side = min(("left", "right"), key=self._distance)
        return next(e for e in self.reading.eyes if e.side == side).blur.size_px

    @property
    def near_blur_px(self) -> float | None:
        """Return the size measured at the true near eye."""
        size = self.near_size_px
        return None if size is None else size.value


def measured(job: tuple[str, dict[str, Any]]) -> list[Head]:
    """Return the heads of one frame, each truth joined to the face nearest to it."""
    path, frame = job
    reading: FrameReading = measure_frame(path, MeasureSettings())
    answer = answer_frame(reading, Viewing())
    heads = []
    for truth in frame.get("heads", [frame]):
        if not reading.faces:
            continue
        gaps = [
            min(np.hypot(*np.subtract(e.iris_px, truth["near_iris_px"])) for e in f.face.eyes)
            for f in reading.faces
        ]
        i = int(np.argmin(gaps))
        heads.append(
            Head(
                file=frame["file"],
                truth=truth,
                frame=frame,
                reading=reading.faces[i],
                answer=answer.faces[i],
            )
        )
    return heads


def jobs(every: int) -> list[tuple[str, dict[str, Any]]]:
    """Return (path, truth) of the rendered frames."""
    found = []
    for folder in ("single", "group", "full"):
        frames = json.loads((DATA / folder / "truth.json").read_text())["frames"]
        found += [(str(DATA / folder / f["file"]), f) for f in frames]
    return found[::every]


def line(name: str, values: list[float], *, unit: str = "") -> str:
    """Return median, 90 % and bias of some errors."""
    if not values:
        return f"{name:44s} no cases"
    v = np.asarray(values)
    size = np.abs(v)
    return (
        f"{name:44s} n {len(v):3d}  median {np.median(size):6.3f}"
        f"  90 % {np.quantile(size, 0.9):6.3f}  bias {np.median(v):+6.3f} {unit}"
    )


def main() -> None:
    """Print the table."""
    every = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    print(platform.machine(), "Python", platform.python_version(), "rendered heads, every", every)
    work = jobs(every)
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        heads = [h for found in pool.map(measured, work) for h in found]
    print("frames", len(work), "heads", len(heads))
    named = [h.near_right for h in heads if abs(h.truth["yaw_deg"]) >= 4]
    print("near eye", Counter(named), "of those turned by 4 degrees or more")
    still = [h for h in heads if not h.frame.get("motion")]
    sizes(still)
    offsets(still)
    motion([h for h in heads if h.frame.get("motion")])
    print("causes, still:", Counter(h.answer.cause for h in still))


def sizes(heads: list[Head]) -> None:
    """Print how well sizes at the near eye come out."""
    told = [(h.near_blur_px, h.truth["near_iris_blur_px"], h) for h in heads]
    print("near eye without size:", sum(m is None for m, _, _ in told))
    pairs = [(m, t) for m, t, _ in told if m is not None]
    for low, high in ((1, 3), (3, 8), (8, 30)):
        print(
            line(
                f"size {low}-{high} px, relative", [m / t - 1 for m, t in pairs if low <= t < high]
            )
        )
    print(line("sharp frames read, px", [m for m, t in pairs if t < 0.5]))
    sharp = np.array([m for m, t in pairs if t < 1.5])
    soft = np.array([m for m, t in pairs if t > 6])
    print(f"sharp below soft in {np.mean(sharp[:, None] < soft[None]):.4f} of pairs")
    inside = [
        next(e for e in h.reading.eyes if e.side == h.reading.face.near).blur.size_px
        for h in heads
        if h.near_right and h.near_blur_px is not None
    ]
    truth = [
        h.truth["near_iris_blur_px"] for h in heads if h.near_right and h.near_blur_px is not None
    ]
    cover = [
        s.low <= t <= s.high for s, t in zip(inside, truth, strict=True) if s is not None and t > 2
    ]
    print(f"90 % intervals above 2 px hold the truth in {np.mean(cover):.2f} of {len(cover)}")


def offsets(heads: list[Head]) -> None:
    """Print how well the focus offset comes out."""
    for name, low, high in (("f/2.8 and wider", 0, 2.9), ("f/5.6", 5, 6)):
        here = [h for h in heads if low < h.frame["f_number"] < high]
        called = [h for h in here if h.answer.offset_mm is not None]
        errors = [h.answer.offset_mm.value - h.truth["focus_error_mm"] for h in called]  # type: ignore[union-attr]  # called have one
        off = [h for h in called if h.answer.offset_mm.low > 0 or h.answer.offset_mm.high < 0]  # type: ignore[union-attr]  # as above
        right = [(h.answer.offset_mm.value > 0) == (h.truth["focus_error_mm"] > 0) for h in off]  # type: ignore[union-attr]  # as above
        cover = [
            h.answer.offset_mm.low <= h.truth["focus_error_mm"] <= h.answer.offset_mm.high  # type: ignore[union-attr]  # as above
            for h in called
        ]
        print(line(f"offset {name}", errors, unit="mm"))
        print(
            f"   called {len(called)} of {len(here)}, side said {len(right)}, right {sum(right)},"
            f" intervals hold {np.mean(cover):.2f}"
        )
    sharp = [h for h in heads if h.truth["near_iris_blur_px"] < 0.5]
    wrong = [h.file for h in sharp if h.answer.cause == "focus"]
    print(f"in focus yet called focus: {len(wrong)} of {len(sharp)} {wrong}")


def motion(heads: list[Head]) -> None:
    """Print how motion comes out."""
    for px in (2, 4, 8, 12, 16):
        here = [h for h in heads if h.frame["motion"]["px"] == px]
        if not here:
            continue
        lines = [h for h in here if h.reading.together.kind == "line"]
        turn = [
            abs((h.reading.together.angle_deg - h.frame["motion"]["angle"] + 90) % 180 - 90)
            for h in lines
        ]
        length = [h.reading.together.line_px.value / px - 1 for h in lines]  # type: ignore[union-attr]  # likewise
        kinds = Counter((h.frame["motion"]["kind"], h.answer.cause) for h in here)
        print(line(f"motion {px} px: line seen in {len(lines)} of {len(here)}; length", length))
        print("   angle median", np.median(turn) if turn else None, "called", dict(kinds))


if __name__ == "__main__":
    main()
