"""How well dust is found, missed and sized: frames with known dust, traced ray by ray.

Run: python benchmarks/accuracy/dust.py [FRAMES A CASE]
"""

import sys
import tempfile
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.kit.dust_frames import DustCamera, scatter, shoot
from tests.kit.test_dust import partners

from eyeplane.kit.dust import DustRequest, check_dust

BASE = DustCamera(width_px=900, height_px=600)
CASES = {
    "f/11": BASE.seen(f_number=11.0),
    "f/16": BASE,
    "f/22": BASE.seen(f_number=22.0),
    "f/16, grain": BASE.seen(electrons=8_000.0),
    "f/16, fold, hot pixels": BASE.seen(fold=0.03, hot=60),
    "f/16, JPEG 75": BASE.seen(quality=75),
    "f/16, 4 µm pixels": BASE.seen(pitch_um=4.0),
    "f/16, wall of 1 %": BASE.seen(texture=0.01),
}


def main(frames: int) -> None:
    """Print a table."""
    print("case | frames | found of 2 % and deeper | false a frame | in interval: d, depth | limit")
    with tempfile.TemporaryDirectory() as folder:
        for name, base in CASES.items():
            told = np.zeros(6)
            limits = []
            for k in range(frames):
                rng = np.random.default_rng(1000 + k)
                camera = base.seen(particles=scatter(10, rng, depth=(0.02, 0.6), camera=base))
                path = shoot(camera, Path(folder) / "a.jpg", seed=1000 + k)
                result = check_dust([path], DustRequest()).result
                met, lone = partners(camera, result.shadows)
                blur = camera.cover_um / camera.cover_index / camera.f_number
                in_d = in_depth = 0
                for particle, one in met.items():
                    depth = (particle.diameter_um / blur) ** 2
                    in_depth += one.depth_share.low <= depth <= one.depth_share.high
                    if one.particle_um is not None:
                        in_d += one.particle_um.low <= particle.diameter_um <= one.particle_um.high
                told += (len(met), 10, len(lone), in_d, in_depth, len(met))
                if result.limit is not None:
                    limits.append(result.limit.depth_share)
            print(
                f"{name} | {frames} | {told[0] / told[1]:.3f} | {told[2] / frames:.2f} | "
                f"{told[3] / told[5]:.2f}, {told[4] / told[5]:.2f} | {np.median(limits):.3f}",
                flush=True,
            )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10)
