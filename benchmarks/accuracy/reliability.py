"""Are the stated chances of causes right as often as they say? On rendered heads, nets only.

Run: python -m benchmarks.accuracy.reliability [every N-th frame]

Truth: "motion" if head or camera moved by 4 px or more (shake, sitter and motion count alike, since
most of these frames show nothing static); "focus" (or depth) if the near iris is out of focus by
more than 2 px; "none" if by less than 1 px. What lies between is left out: it is either.
"""

import itertools
import os
import platform
import sys
from collections import Counter
from collections.abc import Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from benchmarks.accuracy.chain import jobs

from eyeplane.diagnose.case import case_of, sitters
from eyeplane.diagnose.cause import judged
from eyeplane.diagnose.reach import print_view
from eyeplane.measure import measure_frame
from eyeplane.records import Exposure, FrameReading, Learned, MeasureSettings, Viewing

KINDS = {
    "motion": ("shake", "sitter", "motion"),
    "focus": ("focus", "depth"),
    "none": ("none", "pixels"),
    "glass": ("glass",),
    "noise": ("noise",),
}
MOVED_PX, SOFT_PX, SHARP_PX = 4.0, 2.0, 1.0
BINS = (0.0, 0.5, 0.7, 0.8, 0.9, 0.95, 0.98, 1.0)
Joined = tuple[dict[str, Any], dict[str, Any], FrameReading, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """One head: its truth (None: either), the cause that was named, chances by kind of cause."""

    file: str
    yaw_deg: float
    truth: str | None
    cause: str
    chances: dict[str, float]

    @property
    def best(self) -> str:
        """Return the most probable kind."""
        return max(self.chances, key=lambda k: self.chances[k])


def true_kind(frame: dict[str, Any], head: dict[str, Any]) -> str | None:
    """Return what a head suffers from; None where it lies between."""
    motion, blur_px = frame.get("motion"), head["near_iris_blur_px"]
    if motion is not None:
        return "motion" if motion["px"] >= MOVED_PX else None
    if blur_px > SOFT_PX:
        return "focus"
    return "none" if blur_px < SHARP_PX else None


def joined(job: tuple[str, dict[str, Any]]) -> list[Joined]:
    """Return (frame's truth, head's truth, reading, index of its face) of one frame's heads."""
    path, frame = job
    reading = measure_frame(path, MeasureSettings())
    found = []
    for head in frame.get("heads", [frame]) if reading.faces else []:
        gaps = [
            min(np.hypot(*np.subtract(e.iris_px, head["near_iris_px"])) for e in f.face.eyes)
            for f in reading.faces
        ]
        found.append((frame, head, reading, int(np.argmin(gaps))))
    return found


def stated(one: Joined, *, settings: bool = True) -> Stated:
    """Return what is said of one head, with or without the camera's settings."""
    frame, head, reading, index = one
    if not settings:
        reading = replace(reading, exposure=Exposure(), pitch_um=None)
    view = print_view(reading, Viewing())
    cases = tuple(
        case_of(face, reading, view, sitter=counts)
        for face, counts in zip(reading.faces, sitters(reading), strict=True)
    )
    cause, chances = judged(cases[index], cases, reading, Learned())
    return Stated(
        file=frame["file"],
        yaw_deg=head["yaw_deg"],
        truth=true_kind(frame, head),
        cause=cause,
        chances={
            kind: sum(c.chance for c in chances if c.cause in names)
            for kind, names in KINDS.items()
        },
    )


def told(heads: Iterable[Stated]) -> list[Stated]:
    """Return the heads with a truth and with chances."""
    return [h for h in heads if h.truth is not None and sum(h.chances.values()) > 0]


def curve(
    pairs: Sequence[tuple[float, bool]], bins: Sequence[float] = BINS
) -> list[tuple[float, float, int, float, float]]:
    """Return (low, high, count, mean chance stated, share right) of each bin that holds any."""
    rows = []
    for low, high in itertools.pairwise(bins):
        here = [p for p in pairs if low <= p[0] < high or (high == bins[-1] and p[0] == high)]
        if here:
            said, right = np.mean([p[0] for p in here]), np.mean([p[1] for p in here])
            rows.append((low, high, len(here), float(said), float(right)))
    return rows


def best_pairs(heads: Sequence[Stated]) -> list[tuple[float, bool]]:
    """Return (chance stated, right) of the most probable kind of each head."""
    return [(h.chances[h.best], h.best == h.truth) for h in heads]


def surprise(heads: Sequence[Stated]) -> float:
    """Return the mean of -ln(chance given to the truth): 0 for a seer, 1.1 for a die of three."""
    return float(np.mean([-np.log(max(h.chances[str(h.truth)], 1e-9)) for h in heads]))


def show(name: str, heads: Sequence[Stated]) -> None:
    """Print one reliability curve and what was named."""
    print(f"\n{name}: {len(heads)} heads, mean surprise {surprise(heads):.2f}")
    for low, high, count, said, right in curve(best_pairs(heads)):
        print(f"  stated {low:.2f}-{high:.2f}: n {count:3d}, mean {said:.3f}, right {right:.3f}")
    apart = [(h.chances[k], h.truth == k) for h in heads for k in ("motion", "focus", "none")]
    print("  every kind by itself:")
    for low, high, count, said, right in curve(apart, (0, 0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0)):
        print(f"  stated {low:.2f}-{high:.2f}: n {count:3d}, mean {said:.3f}, true {right:.3f}")
    print("  named (truth, cause):", dict(Counter((h.truth, h.cause) for h in heads)))


def main() -> None:
    """Print reliability with the settings, without them, and by halves."""
    every = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    print(platform.machine(), "Python", platform.python_version(), "rendered heads, every", every)
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        heads = [h for found in pool.map(joined, jobs(every)) for h in found]
    both = told(stated(h) for h in heads)
    show("With the camera's settings", both)
    show("Without them", told(stated(h, settings=False) for h in heads))
    show("Heads to the front (yaw under 20 degrees)", [h for h in both if abs(h.yaw_deg) < 20])
    show("Turned heads", [h for h in both if abs(h.yaw_deg) >= 20])


if __name__ == "__main__":
    main()
