"""Frames of a dusty sensor, made with Monte-Carlo light. Points are (x, y), arrays [y, x].

Every shadow is traced: from each pixel rays go back to points drawn over the exit pupil, and those
that meet the particle on the cover are lost. Nothing of the project's own geometry is used.
"""

from dataclasses import dataclass, field, replace
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, TiffImagePlugin

RAYS = 600  # a pixel; the spread of one pixel's loss p is sqrt(p (1 - p) / 600), 0.6 % at 2 %


@dataclass(frozen=True, slots=True, kw_only=True)
class Particle:
    """An opaque disc, or a hair, on the cover; places as shares of the sensor, as stored."""

    at_share: tuple[float, float]
    diameter_um: float
    length_um: float = 0.0
    angle_deg: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DustCamera:
    """A body with dust, and the light it is held against."""

    width_px: int = 1200
    height_px: int = 800
    pitch_um: float = 6.0
    f_number: float = 16.0
    cover_um: float = 2000.0
    cover_index: float = 1.52
    pupil_mm: float = 60.0
    particles: tuple[Particle, ...] = ()
    level: float = 0.35
    electrons: float = 40_000.0
    vignetting: float = 0.35
    gradient: float = 0.25
    fold: float = 0.0
    texture: float = 0.0
    texture_px: float = 6.0
    pattern: float = 0.002
    hot: int = 0
    quality: int = 92
    orientation: int = 1
    body: str = "Rendered body"
    serial: str = "1"
    lens: str = "Rendered 50 mm"
    focal_length_mm: float = 50.0
    notes: dict[int, object] = field(default_factory=dict)

    def seen(self, **changes: object) -> "DustCamera":
        """Return the same body otherwise used."""
        return replace(self, **changes)  # type: ignore[arg-type]  # names are checked by replace


def losses(camera: DustCamera, rng: np.random.Generator) -> NDArray[np.float64]:
    """Return the share of light that arrives at each pixel, 1 without dust."""
    passed = np.ones((camera.height_px, camera.width_px))
    for particle in camera.particles:
        _cast(passed, camera, particle, rng)
    return passed


def _cast(
    passed: NDArray[np.float64], camera: DustCamera, particle: Particle, rng: np.random.Generator
) -> None:
    air_um = camera.cover_um / camera.cover_index
    pupil_um = camera.pupil_mm * 1000
    pupil_radius_um = pupil_um / camera.f_number / 2
    middle = np.array([camera.width_px, camera.height_px]) / 2
    size = np.array([camera.width_px, camera.height_px])
    at_um = (np.array(particle.at_share) * size - middle) * camera.pitch_um
    shadow_um = at_um * pupil_um / (pupil_um - air_um)  # from the pupil's middle past the particle
    half = (max(particle.diameter_um, particle.length_um) + air_um / camera.f_number) / 2
    half_px = int(np.ceil(half * 1.05 / camera.pitch_um)) + 2
    cx, cy = (shadow_um / camera.pitch_um + middle).astype(int)
    xs = np.arange(max(0, cx - half_px), min(camera.width_px, cx + half_px + 1))
    ys = np.arange(max(0, cy - half_px), min(camera.height_px, cy + half_px + 1))
    if not xs.size or not ys.size:
        return
    px, py = np.meshgrid(xs, ys)
    lost = np.zeros(px.shape)
    for _ in range(RAYS // 20):
        shape = (20, *px.shape)
        x = (px + rng.random(shape) - middle[0]) * camera.pitch_um
        y = (py + rng.random(shape) - middle[1]) * camera.pitch_um
        r = pupil_radius_um * np.sqrt(rng.random(shape))
        turn = 2 * np.pi * rng.random(shape)
        share = air_um / pupil_um
        hx = x + (r * np.cos(turn) - x) * share - at_um[0]
        hy = y + (r * np.sin(turn) - y) * share - at_um[1]
        lost += _met(hx, hy, particle).sum(axis=0)
    passed[np.ix_(ys, xs)] *= 1 - lost / (RAYS // 20 * 20)


def _met(x: NDArray[np.float64], y: NDArray[np.float64], particle: Particle) -> NDArray[np.bool_]:
    if not particle.length_um:
        return np.asarray(x**2 + y**2 < (particle.diameter_um / 2) ** 2)
    turn = np.radians(particle.angle_deg)
    along = x * np.cos(turn) + y * np.sin(turn)
    across = -x * np.sin(turn) + y * np.cos(turn)
    return np.asarray(
        (np.abs(along) < particle.length_um / 2) & (np.abs(across) < particle.diameter_um / 2)
    )


def wall(camera: DustCamera, rng: np.random.Generator) -> NDArray[np.float64]:
    """Return the light of an uneven wall through a lens that darkens its corners."""
    y, x = np.mgrid[0 : camera.height_px, 0 : camera.width_px].astype(float)
    across = (x / camera.width_px - 0.5) * 2
    down = (y / camera.height_px - 0.5) * 2
    light = camera.level * (1 - camera.vignetting * ((across**2 + down**2) / 2) ** 2)
    light *= 1 + camera.gradient * (0.7 * across - 0.4 * down)
    if camera.fold:
        off = (x - 0.3 * camera.width_px - 0.2 * (y - camera.height_px / 2)) / 9.0
        light *= 1 - camera.fold * np.exp(-(off**2)) * np.tanh(off)
    if camera.texture:
        grain = cv2.GaussianBlur(
            rng.standard_normal(light.shape).astype(np.float32), (0, 0), camera.texture_px
        )
        fine = cv2.GaussianBlur(
            rng.standard_normal(light.shape).astype(np.float32), (0, 0), camera.texture_px / 3
        )
        light *= 1 + camera.texture * (grain / grain.std() + fine / fine.std()) / np.sqrt(2)
    return np.asarray(light)


def expose(
    camera: DustCamera, scene: NDArray[np.float64], rng: np.random.Generator
) -> NDArray[np.uint8]:
    """Return the sRGB codes [y, x, 3] of a scene's light through the dust."""
    light = np.clip(scene * losses(camera, rng), 0, None)
    shots = np.stack([rng.poisson(light * camera.electrons * g) / g for g in (0.5, 1.0, 0.6)], -1)
    light3 = shots / camera.electrons + 3.0 / camera.electrons * rng.standard_normal(shots.shape)
    light3 *= 1 + camera.pattern * rng.standard_normal((camera.height_px, 1, 1))
    light3 *= 1 + camera.pattern * rng.standard_normal((1, camera.width_px, 1))
    light3 = np.asarray(cv2.GaussianBlur(light3, (0, 0), 0.55), float)  # demosaicking, roughly
    for _ in range(camera.hot):
        y, x = rng.integers(2, camera.height_px - 2), rng.integers(2, camera.width_px - 2)
        light3[y, x] = 1.0 if rng.random() < 0.5 else 0.0
    light3 = np.clip(light3, 0, 1)
    toe, head = light3 * 12.92, 1.055 * light3 ** (1 / 2.4) - 0.055
    return np.asarray(np.rint(255 * np.where(light3 <= 0.0031308, toe, head)).astype(np.uint8))


def write(camera: DustCamera, codes: NDArray[np.uint8], path: Path, *, second: int = 0) -> Path:
    """Write codes as a JPEG with the camera's notes; `orientation` turns the note, not the file."""
    exif = Image.Exif()
    exif[271], exif[272], exif[274] = "Rendered", camera.body, camera.orientation
    inner = exif.get_ifd(0x8769)
    rational = TiffImagePlugin.IFDRational
    if camera.f_number:
        inner[33437] = rational(round(camera.f_number * 10), 10)
    inner[33434], inner[34855] = rational(1, 60), 100
    inner[37386] = rational(round(camera.focal_length_mm * 10), 10)
    inner[36867] = f"2026:03:0{1 + second // 86400} 10:{second // 60 % 60:02d}:{second % 60:02d}"
    inner[0xA002], inner[0xA003] = camera.width_px, camera.height_px
    per_cm = rational(round(1e7 / camera.pitch_um), 1000)
    inner[0xA20E], inner[0xA20F], inner[0xA210] = per_cm, per_cm, 3
    inner[42034 - 1], inner[42036] = camera.serial, camera.lens
    for tag, value in camera.notes.items():
        inner[tag] = value
    Image.fromarray(codes).save(path, quality=camera.quality, exif=exif, subsampling=2)
    return path


def shoot(camera: DustCamera, path: Path, *, seed: int) -> Path:
    """Write one frame of the wall, the wall another one for each seed."""
    rng = np.random.default_rng(seed)
    return write(camera, expose(camera, wall(camera, rng), rng), path, second=seed % 3600)


def scatter(
    count: int, rng: np.random.Generator, *, depth: tuple[float, float], camera: DustCamera
) -> tuple[Particle, ...]:
    """Return particles well apart, the middles of their shadows losing shares within `depth`."""
    blur_um = camera.cover_um / camera.cover_index / camera.f_number
    gap = 2.6 * blur_um / camera.pitch_um
    placed: list[Particle] = []
    while len(placed) < count:
        at = (rng.uniform(0.04, 0.96), rng.uniform(0.05, 0.95))
        share = np.exp(rng.uniform(*np.log(depth)))
        near = [
            np.hypot(
                (at[0] - p.at_share[0]) * camera.width_px,
                (at[1] - p.at_share[1]) * camera.height_px,
            )
            for p in placed
        ]
        if not near or min(near) > gap:
            placed.append(Particle(at_share=at, diameter_um=float(blur_um * np.sqrt(share))))
    return tuple(placed)
