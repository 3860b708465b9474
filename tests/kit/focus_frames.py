"""A simulated camera with a thin lens before a folded focus target: every panel at its depth.

Panels are painted with the exact mean over parts of a pixel, then blurred by discs whose diameter
the thin lens gives for the depth of each place: each place takes its light from the two of a set
of evenly blurred pictures whose discs are next to its own. Points (x, y) px, arrays [y, x].
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import fft, special
from tests.kit.coverage import coverage

from eyeplane.kit.focus_design import focus_sheet
from eyeplane.kit.focus_layout import FORWARD, WINGS, FocusLayout, focus_layout

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class FocusScene:
    """A target, a camera and where its focus lies; angles in degrees, lengths in mm."""

    paper: str = "A4"
    focal_length_mm: float = 85.0
    f_number: float = 1.8
    pitch_um: float = 20.0
    width_px: int = 1000
    height_px: int = 700
    distance_mm: float = 1500.0
    offset_mm: float = 0.0
    folds_deg: tuple[float, float, float, float] = (45.0, 45.0, 45.0, 45.0)
    tilt_deg: float = 0.0
    turn_deg: float = 0.0
    roll_deg: float = 0.0
    shift_mm: tuple[float, float] = (0.0, 0.0)
    least_px: float = 0.45
    motion_px: float = 0.0  # length of a movement across the frame
    print_scale: float = 1.0
    white: float = 0.6
    black: float = 0.03
    noise_e: float = 20000.0
    steps: int = 2

    @property
    def focus_mm(self) -> float:
        """Return where the lens is focused, from the lens."""
        return self.distance_mm + self.offset_mm

    @property
    def image_px(self) -> float:
        """Return the distance of the image from the lens."""
        image = self.focal_length_mm * self.focus_mm / (self.focus_mm - self.focal_length_mm)
        return 1000 * image / self.pitch_um

    def turned(self) -> Array:
        """Return the rotation of the target."""
        a, b, c = np.radians([self.tilt_deg, self.turn_deg, self.roll_deg])
        tilt = np.array([[1, 0, 0], [0, np.cos(a), np.sin(a)], [0, -np.sin(a), np.cos(a)]])
        turn = np.array([[np.cos(b), 0, -np.sin(b)], [0, 1, 0], [np.sin(b), 0, np.cos(b)]])
        roll = np.array([[np.cos(c), -np.sin(c), 0], [np.sin(c), np.cos(c), 0], [0, 0, 1]])
        return np.asarray(roll @ tilt @ turn)

    def corners(self, layout: FocusLayout, panel: str) -> Array:
        """Return three corners of a panel in space: upper left, upper right, lower left."""
        left, top, right, bottom = (
            self.print_scale * (v - layout.middle_mm[k % 2])
            for k, v in enumerate(layout.bounds_mm(panel))  # type: ignore[arg-type]
        )
        x0, x1, z0, z1 = left, right, 0.0, 0.0
        if panel != "middle":
            angle = math.radians(self.folds_deg[WINGS.index(panel)])
            long = right - left
            away = (-1 if panel in FORWARD else 1) * long * math.sin(angle)
            if panel.endswith("left"):
                x0, z0 = right - long * math.cos(angle), away
            else:
                x1, z1 = left + long * math.cos(angle), away
        flat = np.array([(x0, top, z0), (x1, top, z1), (x0, bottom, z0)])
        return np.asarray(flat @ self.turned().T + [*self.shift_mm, self.distance_mm])


def photograph_target(scene: FocusScene, rng: np.random.Generator | None = None) -> Array:
    """Return a frame of the target in linear light, 1.0 at the white of the file."""
    layout = focus_layout(scene.paper)
    high, wide = scene.height_px * scene.steps, scene.width_px * scene.steps
    sharp = np.full((high, wide), 0.3 * scene.white)
    depth = np.full((high, wide), np.nan)
    patches = [(np.array(p.corners_mm), p.level) for p in focus_sheet(scene.paper).patches]
    for panel in (*[w for w in WINGS if w not in FORWARD], "middle", *FORWARD):
        _paint(sharp, depth, scene, layout, panel, patches)
    frame = _blurred(sharp, depth, scene)
    if rng is not None:
        frame = rng.poisson(np.maximum(frame, 0) * scene.noise_e) / scene.noise_e
    return frame


def _paint(
    sharp: Array,
    depth: Array,
    scene: FocusScene,
    layout: FocusLayout,
    panel: str,
    patches: list[tuple[Array, float]],
) -> None:
    bounds = layout.bounds_mm(panel)  # type: ignore[arg-type]
    corner, across, down = scene.corners(layout, panel)
    axes = np.stack([across - corner, down - corner])

    def placed(points: Array) -> Array:
        share = (points - bounds[:2]) / (bounds[2] - bounds[0], bounds[3] - bounds[1])
        solid = corner + share @ axes
        flat = scene.image_px * solid[:, :2] / solid[:, 2:]
        return np.asarray(scene.steps * (flat + np.array([scene.width_px, scene.height_px]) / 2))

    page = _box(*bounds)
    for points, level in [(page, 1.0), *patches]:
        inside = _clipped(points, bounds)
        if len(inside) < 3:
            continue
        places = placed(inside)
        low = np.maximum(np.floor(places.min(axis=0)).astype(int), 0)
        end = np.minimum(np.ceil(places.max(axis=0)).astype(int), sharp.shape[::-1])
        if not np.all(end > low):
            continue
        value = scene.black + level * (scene.white - scene.black)
        part = sharp[low[1] : end[1], low[0] : end[0]]
        share = coverage(places - low, *(end - low))
        part += share * (value - part)
        if points is page:
            y, x = np.mgrid[low[1] : end[1], low[0] : end[0]] + 0.5
            rays = np.stack(
                [
                    (x / scene.steps - scene.width_px / 2) / scene.image_px,
                    (y / scene.steps - scene.height_px / 2) / scene.image_px,
                    np.ones_like(x),
                ]
            )
            normal = np.cross(*axes)
            away = (normal @ corner) / np.einsum("k,kyx->yx", normal, rays)
            area = depth[low[1] : end[1], low[0] : end[0]]
            area[share > 0.5] = away[share > 0.5]


def _blurred(sharp: Array, depth: Array, scene: FocusScene) -> Array:
    """Return the picture with each place blurred as its depth asks, in whole pixels."""
    pupil_px = scene.image_px * scene.focal_length_mm / scene.f_number
    filled = np.where(np.isnan(depth), scene.distance_mm, depth)
    discs = _pixels(pupil_px * np.abs(1 / filled - 1 / scene.focus_mm), scene.steps)
    levels = _levels(float(discs.max()))
    margin = 8 * scene.steps
    padded = np.pad(sharp.astype(np.float32), margin, mode="edge")
    shape = [fft.next_fast_len(n, real=True) for n in padded.shape]
    spectrum = fft.rfft2(padded, s=shape)
    u = fft.rfftfreq(shape[1]) * scene.steps
    v = fft.fftfreq(shape[0])[:, None] * scene.steps
    radius = np.hypot(u, v)
    base = np.exp(-2 * (math.pi * scene.least_px * radius) ** 2) * np.sinc(scene.motion_px * u)
    spectrum *= base.astype(np.float32)
    frame = np.zeros((scene.height_px, scene.width_px))
    for k, level in enumerate(levels):
        weight = _weight(discs, levels, k)
        if not weight.any():
            continue
        x = math.pi * level * radius
        disc = np.where(x > 1e-6, 2 * special.j1(x) / np.maximum(x, 1e-6), 1.0).astype(np.float32)
        blurred = fft.irfft2(spectrum * disc, s=shape)[
            margin : margin + sharp.shape[0], margin : margin + sharp.shape[1]
        ]
        frame += weight * _pixels(blurred, scene.steps)
    return frame


def _levels(most_px: float) -> Array:
    """Return diameters of discs in px, close together where they are small."""
    small = np.arange(0.0, min(most_px, 3.0) + 0.75, 0.75)
    if most_px <= small[-1]:
        return np.asarray(small)
    count = 1 + math.ceil(4 * math.log2(most_px / small[-1]))
    return np.unique(np.concatenate([small, np.geomspace(small[-1], most_px * 1.001, count + 1)]))


def _pixels(fine: Array, steps: int) -> Array:
    high, wide = fine.shape
    return np.asarray(fine.reshape(high // steps, steps, wide // steps, steps).mean(axis=(1, 3)))


def _weight(values: Array, levels: Array, k: int) -> Array:
    """Return the hat of the k-th level: linear in the square of the disc, which variances are."""
    square, own = values**2, levels**2
    weight = np.zeros_like(values)
    if k > 0:
        rising = (square - own[k - 1]) / (own[k] - own[k - 1])
        weight = np.where((square > own[k - 1]) & (square <= own[k]), rising, weight)
    elif len(own) == 1:
        return np.ones_like(values)
    else:
        weight = np.where(square <= own[0], 1.0, weight)
    if k + 1 < len(own):
        falling = (own[k + 1] - square) / (own[k + 1] - own[k])
        weight = np.where((square > own[k]) & (square < own[k + 1]), falling, weight)
    return np.asarray(weight)


def _box(left: float, top: float, right: float, bottom: float) -> Array:
    return np.array([(left, top), (right, top), (right, bottom), (left, bottom)])


def _clipped(points: Array, bounds: tuple[float, float, float, float]) -> Array:
    """Return a convex or concave polygon within a box (Sutherland and Hodgman 1974)."""
    for axis, limit, sign in (
        (0, bounds[0], 1),
        (0, bounds[2], -1),
        (1, bounds[1], 1),
        (1, bounds[3], -1),
    ):
        kept = []
        for k in range(len(points)):
            here, there = points[k], points[(k + 1) % len(points)]
            inside, next_inside = (sign * (p[axis] - limit) >= 0 for p in (here, there))
            if inside:
                kept.append(here)
            if inside != next_inside:
                share = (limit - here[axis]) / (there[axis] - here[axis])
                kept.append(here + share * (there - here))
        points = np.array(kept).reshape(-1, 2)
        if not len(points):
            break
    return points
