"""Reach that a plan predicts against the reach told from the pixels, on rendered heads.

The plan is given the geometry of each frame (kit, aperture, focus plane, eye) and the length of
its motion, no glass and no diffraction (the renderer's lens is ideal), and the noise that its ISO
brings; the measuring sees the file. Both reaches are for the whole sensor of which a frame is a
part.
Run: python -m benchmarks.accuracy.plan_rendered [every N-th frame]
"""

import platform
import sys
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from benchmarks.accuracy import chain

from eyeplane.light.noise import noise_contrast
from eyeplane.optics import Spreads, reaches_cm
from eyeplane.plan.blurs import disc_um
from eyeplane.records import STANDARD_VIEWING_CM, Measured

# Name, kind of blur, and its least and largest size in px.
CLASSES = (
    ("in focus", "disc", 0.0, 0.5),
    ("disc of 0.5 to 1.5 px", "disc", 0.5, 1.5),
    ("disc of 1.5 to 3 px", "disc", 1.5, 3.0),
    ("disc of 3 to 8 px", "disc", 3.0, 8.0),
    ("disc of 8 px and more", "disc", 8.0, 99.0),
    ("motion of 2 to 4 px", "line", 2.0, 4.5),
    ("motion of 8 to 16 px", "line", 8.0, 99.0),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """One eye: what the plan predicts and what was measured.

    Attributes
    ----------
    file : str
        The frame.
    disc_px, line_px : float
        What the plan says blurs the near eye.
    predicted_cm : float
        Reach by the plan.
    measured_cm : Measured
        Reach by the pixels.
    """

    file: str
    disc_px: float
    line_px: float
    predicted_cm: float
    measured_cm: Measured

    @property
    def ratio(self) -> float:
        """Return the measured reach over the predicted one."""
        return self.measured_cm.value / self.predicted_cm

    @property
    def held(self) -> bool:
        """Return whether the measured interval holds the prediction."""
        return self.measured_cm.low <= self.predicted_cm <= self.measured_cm.high


def compared(heads: Sequence[chain.Head]) -> list[Compared]:
    """Return prediction and measurement for every head with a reach."""
    found = []
    for head in heads:
        frame, reach = head.frame, head.answer.reach_cm
        if reach is None:
            continue
        pitch_um = 1000 * frame["pitch_mm"]
        disc = disc_um(
            focal_length_mm=frame["focal_mm"],
            f_number=frame["f_number"],
            focus_mm=frame["focus_mm"],
            eye_mm=head.truth["near_iris_depth_mm"],
        )
        disc_px = float(disc) / pitch_um
        line_px = float(frame["motion"]["px"]) if frame["motion"] else 0.0
        whole_px = max(frame["sensor_px"])
        predicted = reaches_cm(
            Spreads(
                disc_px=disc_px,
                line_px=line_px,
                noise_contrast=noise_contrast(iso=float(frame["iso"]), pitch_um=pitch_um),
            ),
            long_edge_px=whole_px,
            viewing_cm=STANDARD_VIEWING_CM,
        )
        scale = whole_px / max(frame["crop"][2:])
        found.append(
            Compared(
                file=frame["file"],
                disc_px=disc_px,
                line_px=line_px,
                predicted_cm=float(predicted),
                measured_cm=Measured(
                    value=reach.value * scale, low=reach.low * scale, high=reach.high * scale
                ),
            )
        )
    return found


def of_class(rows: Sequence[Compared], name: str) -> list[Compared]:
    """Return the rows of one of `CLASSES`."""
    kind, low, high = next(c[1:] for c in CLASSES if c[0] == name)
    if kind == "line":
        return [r for r in rows if low <= r.line_px < high]
    return [r for r in rows if r.line_px == 0 and low <= r.disc_px < high]


def summary(rows: Sequence[Compared]) -> str:
    """Return median, the middle four in five, and how often the interval holds the prediction."""
    if not rows:
        return "none"
    ratio = np.array([r.ratio for r in rows])
    low, middle, high = np.quantile(ratio, (0.1, 0.5, 0.9))
    held = np.mean([r.held for r in rows])
    return f"{len(rows):3d} | {middle:.2f} | {low:.2f} to {high:.2f} | {held:.2f}"


def main() -> None:
    """Print the table."""
    every = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    print(f"{platform.machine()}, Python {platform.python_version()}; every frame {every}")
    heads = [head for job in chain.jobs(every) for head in chain.measured(job)]
    rows = compared(heads)
    print(f"{len(heads)} heads, {len(heads) - len(rows)} without a reach")
    print("| near eye | heads | measured over predicted, median | 4 in 5 | interval holds |")
    print("| --- | --- | --- | --- | --- |")
    for name, *_ in CLASSES:
        print(f"| {name} | {summary(of_class(rows, name))} |")
    print(f"| all without motion | {summary([r for r in rows if r.line_px == 0])} |")


if __name__ == "__main__":
    main()
