"""Sheets found in simulated frames: how far places, poses and bows are off, and by what intervals.

Run as `python -m benchmarks.accuracy.find_sheet [FRAMES]` from the project's folder.
"""

import sys
import tempfile
from pathlib import Path

import numpy as np
from tests.kit.camera import Camera, Pose, photographed, render

from eyeplane.errors import InputError
from eyeplane.kit.chart_design import chart_sheet
from eyeplane.kit.sheet_search import find_sheet
from eyeplane.records import Measured
from eyeplane.records.printed import PAPERS_MM

PLACES = np.array([(x, y) for x in np.linspace(12, 285, 9) for y in np.linspace(12, 198, 7)])
SIGMAS_PX = (0.0, 0.6, 1.2, 2.4)


def camera_of(rng: np.random.Generator) -> Camera:
    """Return the camera of a small frame: a usual pose, a lens that distorts, paper bent a bit."""
    pose = Pose(
        distance_mm=float(rng.uniform(980, 1400)),
        tilt_deg=float(rng.normal(0, 2)),
        turn_deg=float(rng.normal(0, 2)),
        roll_deg=float(rng.choice([0, 180]) + rng.normal(0, 2)),
        shift_mm=(float(rng.normal(0, 4)), float(rng.normal(0, 2))),
    )
    return Camera(
        pose=pose,
        focal_length_mm=85.0,
        pitch_um=30.0,
        width_px=1200,
        height_px=800,
        k1=float(rng.normal(0, 0.02)),
        k2=float(rng.normal(0, 0.008)),
        bow_mm=float(rng.choice([0.0, rng.uniform(-2, 2)])),
    )


def told(interval: Measured | None, true: float) -> bool:
    return interval is not None and interval.low <= true <= interval.high


def main() -> None:
    frames = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    rng = np.random.default_rng(6)
    sheets = [chart_sheet(paper) for paper in PAPERS_MM]
    off: dict[float, list[float]] = {sigma: [] for sigma in SIGMAS_PX}
    held: dict[str, list[bool]] = {"tilt": [], "turn": [], "bow": []}
    angles, bows, missed = [], [], []
    with tempfile.TemporaryDirectory() as folder:
        for k in range(frames):
            camera, sigma = camera_of(rng), SIGMAS_PX[k % len(SIGMAS_PX)]
            light = {"rng": rng, "full_well_e": 8000.0, "read_noise_e": 6.0, "vignetting": 0.4}
            frame = render(sheets[0], camera, blur=sigma, **light)  # type: ignore[arg-type]  # by name
            picture = photographed(Path(folder) / "a.jpg", frame, pitch_um=30.0)
            try:
                found = find_sheet(picture, sheets)
            except InputError as error:
                missed.append(error.what)
                continue
            error_px = found.to_px(PLACES) - camera.to_px(PLACES, sheets[0])
            off[sigma].append(float(np.sqrt(np.mean(error_px**2))))
            pose = camera.pose
            held["tilt"].append(told(found.tilt_deg, pose.tilt_deg))
            held["turn"].append(told(found.turn_deg, pose.turn_deg))
            held["bow"].append(told(found.bow_mm, abs(camera.bow_mm)))
            for angle, true in ((found.tilt_deg, pose.tilt_deg), (found.turn_deg, pose.turn_deg)):
                if angle is not None:
                    angles.append(angle.value - true)
            if found.bow_mm is not None:
                bows.append(found.bow_mm.value - abs(camera.bow_mm))
    print(f"{frames} frames, {len(missed)} refused: {sorted(set(missed))}")
    for sigma, errors in off.items():
        if not errors:
            continue
        print(
            f"σ {sigma:.1f} px: places off by {np.median(errors):.3f} px (median of root mean "
            f"squares), at most {max(errors):.3f}"
        )
    print(f"tilts off by {np.sqrt(np.mean(np.square(angles))):.3f}° (root mean square)")
    print(f"bows off by {np.sqrt(np.mean(np.square(bows))):.2f} mm (root mean square)")
    for name, inside in held.items():
        print(f"90 % interval of the {name} holds the truth in {np.mean(inside):.0%}")


if __name__ == "__main__":
    main()
