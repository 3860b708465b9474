"""Render frames of the folded focus target with a thin lens, by path tracing (mitsuba 3).

Run with a Python that has mitsuba, and this project and its dependencies on the path:

    PYTHONPATH=src:.:<site-packages of the project> python benchmarks/render_focus.py FOLDER [NAME…]

Writes the frames that `tests/data/focus_target/` ships, with their truth in `truth.json`. The
camera of mitsuba has an aperture of finite size focused at a plane across its axis; it knows no
image distance, so that of the thin lens sets the field of view: v = f s / (s − f). Panels shine
by themselves (each with its own brightness and a gradient), which spares the light's sampling
noise; what is left of the lens's lies below the photon noise that is added (see `spp`).
"""

import json
import math
import sys
from dataclasses import asdict, dataclass
from pathlib import Path

import mitsuba as mi
import numpy as np
from tests.kit.camera import write_frame
from tests.kit.coverage import coverage

from eyeplane.kit.focus_design import focus_sheet
from eyeplane.kit.focus_layout import FORWARD, WINGS, FocusLayout, Panel, focus_layout

mi.set_variant("llvm_ad_mono")

WIDE_PX, HIGH_PX, PITCH_UM = 1500, 1000, 14.0
TEXTURE_PER_MM = 14
WHITE, BLACK, AROUND = 0.62, 0.03, 0.16
PASS_SPP = 25  # a square number, for the sampler


@dataclass(frozen=True, kw_only=True)
class Case:
    """A frame to be rendered; offset + behind the field, angles in degrees."""

    name: str
    paper: str = "A4"
    focal_length_mm: float = 85.0
    f_number: float = 1.8
    distance_mm: float = 1500.0  # of the field's middle from the lens, along its axis
    offset_mm: float = 0.0
    folds_deg: tuple[float, float, float, float] = (45.0, 45.0, 45.0, 45.0)
    tilt_deg: float = 0.0  # + the upper edge farther away
    turn_deg: float = 0.0  # + the right edge farther away
    roll_deg: float = 0.0
    shift_mm: tuple[float, float] = (0.0, 0.0)  # to the right, down
    noise_e: float = 20000.0  # electrons at white
    quality: int = 90
    spp: int = 100
    seed: int = 1


CASES = (
    Case(name="f1.8-on", offset_mm=0.0, shift_mm=(6.0, -4.0)),
    Case(
        name="f1.8-behind-14",
        offset_mm=14.0,
        tilt_deg=4.0,
        roll_deg=2.0,
        folds_deg=(42, 47, 50, 40),
    ),
    Case(
        name="f1.8-front-22",
        offset_mm=-22.0,
        turn_deg=-5.0,
        noise_e=6000.0,
        quality=85,
        folds_deg=(48, 44, 39, 46),
    ),
    Case(
        name="f2.8-behind-9",
        f_number=2.8,
        offset_mm=9.0,
        turn_deg=6.0,
        tilt_deg=-3.0,
        roll_deg=-3.0,
    ),
    Case(
        name="f4-front-12", f_number=4.0, offset_mm=-12.0, distance_mm=1400.0, shift_mm=(-10.0, 8.0)
    ),
    Case(
        name="f2.8-far-behind-25",
        f_number=2.8,
        focal_length_mm=135.0,
        distance_mm=2400.0,
        offset_mm=25.0,
        turn_deg=3.0,
    ),
    Case(name="f2.8-beyond-95", f_number=2.8, offset_mm=95.0),
    Case(name="f1.8-flat", offset_mm=4.0, folds_deg=(2.0, 1.0, 2.0, 1.5), spp=100),
)


def texture(layout: FocusLayout, bounds: tuple[float, float, float, float]) -> np.ndarray:
    """Return the reflectance of a panel [y, x], exact mean over each texel."""
    left, top, right, bottom = bounds
    wide = round((right - left) * TEXTURE_PER_MM)
    high = round((bottom - top) * TEXTURE_PER_MM)
    scale = np.array([wide / (right - left), high / (bottom - top)])
    page = np.full((high, wide), WHITE)
    for patch in focus_sheet(layout.paper).patches:
        corners = (np.array(patch.corners_mm) - (left, top)) * scale
        low = np.maximum(np.floor(corners.min(axis=0)).astype(int), 0)
        end = np.minimum(np.ceil(corners.max(axis=0)).astype(int), (wide, high))
        if np.all(end > low):
            level = BLACK + patch.level * (WHITE - BLACK)
            part = page[low[1] : end[1], low[0] : end[0]]
            part += coverage(corners - low, *(end - low)) * (level - part)
    return page


def panel_corners(case: Case, layout: FocusLayout, panel: Panel) -> np.ndarray:
    """Return upper left, upper right, lower right, lower left in the camera's space, mm:
    right, down, away."""
    left, top, right, bottom = (
        layout.bounds_mm(panel)[k] - layout.middle_mm[k % 2] for k in range(4)
    )
    if panel == "middle":
        flat = [(left, top, 0.0), (right, top, 0.0), (right, bottom, 0.0), (left, bottom, 0.0)]
    else:
        angle = math.radians(case.folds_deg[WINGS.index(panel)])
        way = -1.0 if panel in FORWARD else 1.0
        long = right - left
        out, away = long * math.cos(angle), way * long * math.sin(angle)
        if panel.endswith("left"):
            x0, x1, z0, z1 = right - out, right, away, 0.0
        else:
            x0, x1, z0, z1 = left, left + out, 0.0, away
        flat = [(x0, top, z0), (x1, top, z1), (x1, bottom, z1), (x0, bottom, z0)]
    a, b, c = np.radians([case.tilt_deg, case.turn_deg, case.roll_deg])
    tilt = np.array([[1, 0, 0], [0, np.cos(a), np.sin(a)], [0, -np.sin(a), np.cos(a)]])
    turn = np.array([[np.cos(b), 0, -np.sin(b)], [0, 1, 0], [np.sin(b), 0, np.cos(b)]])
    roll = np.array([[np.cos(c), -np.sin(c), 0], [np.sin(c), np.cos(c), 0], [0, 0, 1]])
    turned = np.array(flat) @ (roll @ tilt @ turn).T
    return np.asarray(turned + np.array([*case.shift_mm, case.distance_mm]))


def shape(case: Case, layout: FocusLayout, panel: Panel) -> dict[str, object]:
    """Return a panel as a shining rectangle; the camera's space seen with y up and x to the left,
    as mitsuba's camera has it."""
    corners = panel_corners(case, layout, panel) * np.array([-1.0, -1.0, 1.0])
    upper_left, upper_right, _, lower_left = corners
    across, up = (upper_right - upper_left) / 2, (upper_left - lower_left) / 2
    middle = lower_left + across + up
    normal = np.cross(across, up)
    matrix = np.eye(4)
    matrix[:3, 0], matrix[:3, 1], matrix[:3, 2], matrix[:3, 3] = (
        across,
        up,
        normal / np.linalg.norm(normal),
        middle,
    )
    page = texture(layout, layout.bounds_mm(panel))
    rng = np.random.default_rng(case.seed + sum(map(ord, panel)))
    shade, slope = rng.uniform(0.75, 1.1), rng.uniform(-0.12, 0.12)
    page = page * shade * (1 + slope * np.linspace(-1, 1, page.shape[1]))
    return {
        "type": "rectangle",
        "to_world": mi.ScalarTransform4f(matrix),
        "emitter": {
            "type": "area",
            "radiance": {
                "type": "bitmap",
                "bitmap": mi.Bitmap(page[::-1, :, None].astype(np.float32)),
                "raw": True,
                "format": "variant",
                "wrap_mode": "clamp",
            },
        },
        "bsdf": {"type": "diffuse", "reflectance": 0.0},
    }


def rendered(case: Case) -> np.ndarray:
    """Return a frame in linear light [y, x], without noise but the sampling's."""
    layout = focus_layout(case.paper)
    focus = case.distance_mm + case.offset_mm
    image = case.focal_length_mm * focus / (focus - case.focal_length_mm)
    scene = {
        "type": "scene",
        "integrator": {"type": "path", "max_depth": 1},
        "around": {"type": "constant", "radiance": AROUND},
        "sensor": {
            "type": "thinlens",
            "aperture_radius": case.focal_length_mm / case.f_number / 2,
            "focus_distance": focus,
            "fov_axis": "x",
            "fov": math.degrees(2 * math.atan(WIDE_PX * PITCH_UM / 2000 / image)),
            "near_clip": 10.0,
            "far_clip": 1e5,
            "to_world": mi.ScalarTransform4f().look_at(
                origin=[0, 0, 0], target=[0, 0, 1], up=[0, 1, 0]
            ),
            "film": {
                "type": "hdrfilm",
                "width": WIDE_PX,
                "height": HIGH_PX,
                "pixel_format": "luminance",
                "component_format": "float32",
                "rfilter": {"type": "box"},
            },
            "sampler": {"type": "multijitter", "sample_count": PASS_SPP},
        },
    }
    for panel in ("middle", *WINGS):
        scene[panel.replace(" ", "_")] = shape(case, layout, panel)
    loaded = mi.load_dict(scene)
    total = np.zeros((HIGH_PX, WIDE_PX))
    passes = max(1, case.spp // PASS_SPP)
    for k in range(passes):
        total += np.array(mi.render(loaded, spp=PASS_SPP, seed=1000 * case.seed + k)).reshape(
            HIGH_PX, WIDE_PX
        )
    return total / passes


def main(folder: Path, names: list[str]) -> None:
    """Render the cases and write frames and truth."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "truth.json"
    truth = json.loads(path.read_text(encoding="utf-8")) if path.exists() else {}
    for case in CASES:
        if names and case.name not in names:
            continue
        frame = rendered(case)
        rng = np.random.default_rng(case.seed)
        frame = rng.poisson(np.maximum(frame, 0) * case.noise_e) / case.noise_e
        write_frame(
            folder / f"{case.name}.jpg",
            frame,
            pitch_um=PITCH_UM,
            focal_length_mm=case.focal_length_mm,
            f_number=case.f_number,
            quality=case.quality,
            body="Thin lens",
            lens=f"{case.focal_length_mm:.0f} mm",
        )
        truth[case.name] = asdict(case)
        print(case.name, f"{(folder / f'{case.name}.jpg').stat().st_size / 1e3:.0f} kB", flush=True)
        path.write_text(json.dumps(truth, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2:])
