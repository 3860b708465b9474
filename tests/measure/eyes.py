"""Eyes drawn by a small ray tracer of our own: a spherical cornea over a flat iris, lids, lights.

Camera far away along +z (towards the camera); picture x right, y down. The mirror is traced with
vectors, pixel by pixel, independently of `eyeplane.optics.mirror`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

Array = NDArray[np.float64]

RADIUS_MM = 7.8
IRIS_MM = 11.71  # diameter


@dataclass(frozen=True, slots=True, kw_only=True)
class Lamp:
    """A light: its side as on a clock, angle off the lens, size, brightness, square or round."""

    clock: float
    off_deg: float
    width_deg: float
    height_deg: float
    light: float = 0.8
    round: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnEye:
    """What is drawn: scale, gaze (sines, + right and down), iris and how far lids are open."""

    mm_per_px: float = 0.1
    gaze: tuple[float, float] = (0.0, 0.0)
    iris: float = 0.06
    white: float = 0.35
    skin: float = 0.3
    upper_lid_mm: float = -4.2
    lower_lid_mm: float = 5.3
    blur_px: float = 0.0
    sideways_px: float = 0.0
    noise: float = 0.002


def turned_to(direction: Array) -> Array:
    """Return the rotation that takes z to a direction, about the axis across both (Rodrigues)."""
    axis = np.cross([0.0, 0.0, 1.0], direction)
    sine, cosine = float(np.linalg.norm(axis)), float(direction[2])
    if sine < 1e-12:
        return np.eye(3)
    x, y, z = axis / sine
    k = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.asarray(np.eye(3) + sine * k + (1 - cosine) * k @ k)


def lit(lamp: Lamp, rays: Array) -> NDArray[np.bool_]:
    """Return which directions [..., 3] meet a lamp."""
    clock, off = np.radians(lamp.clock * 30.0), np.radians(lamp.off_deg)
    middle = np.array([np.sin(off) * np.sin(clock), -np.sin(off) * np.cos(clock), np.cos(off)])
    own = rays @ turned_to(middle)  # the lamp's axes: its own x and y, and towards it
    across = np.degrees(np.arctan2(own[..., 0], own[..., 2])) / (lamp.width_deg / 2)
    down = np.degrees(np.arctan2(own[..., 1], own[..., 2])) / (lamp.height_deg / 2)
    if lamp.round:
        return np.asarray(across**2 + down**2 <= 1.0)
    return np.asarray((np.abs(across) <= 1.0) & (np.abs(down) <= 1.0))


def draw_eye(eye: DrawnEye, lamps: Sequence[Lamp], rng: np.random.Generator) -> Array:
    """Return linear light [y, x] of an eye whose iris' middle lies in the middle of the picture."""
    fine = 4 if eye.mm_per_px > 0.08 else 2  # parts of a pixel that are traced
    side = 2 * round(1.4 * IRIS_MM / eye.mm_per_px / 2)
    steps = (np.arange(side * fine) + 0.5) / fine - side / 2
    x, y = np.meshgrid(steps * eye.mm_per_px, steps * eye.mm_per_px)
    # The limbus lies before the centre of the cornea's curve, towards where the eye looks.
    ahead = np.sqrt(RADIUS_MM**2 - (IRIS_MM / 2) ** 2)
    u, v = x + ahead * eye.gaze[0], y + ahead * eye.gaze[1]
    radius2 = u**2 + v**2
    on = radius2 < 0.999 * RADIUS_MM**2
    w = np.sqrt(np.where(on, RADIUS_MM**2 - radius2, 0.0))
    normal = np.stack([u, v, w], axis=-1) / RADIUS_MM
    rays = 2 * normal[..., 2:] * normal - np.array([0.0, 0.0, 1.0])
    look = np.array([*eye.gaze, np.sqrt(1 - eye.gaze[0] ** 2 - eye.gaze[1] ** 2)])
    cornea = on & (normal @ look * RADIUS_MM > ahead)
    turn, out = np.arctan2(y, x), np.hypot(x, y)
    fibres = 1 + 0.25 * np.sin(23 * turn) + 0.15 * np.sin(57 * turn + 1.0)
    picture = np.where(cornea, eye.iris * fibres, eye.white)
    picture = np.where(cornea & (out < 1.8), 0.006, picture)
    seen = np.nonzero(cornea)
    for lamp in lamps:
        picture[seen] += lamp.light * lit(lamp, rays[seen])
    lid = (y < eye.upper_lid_mm + 0.02 * x**2) | (y > eye.lower_lid_mm - 0.03 * x**2)
    edge = np.minimum(
        np.abs(y - eye.upper_lid_mm - 0.02 * x**2), np.abs(y - eye.lower_lid_mm + 0.03 * x**2)
    )
    picture = np.where(lid, np.where(edge < 0.4, 0.1, eye.skin), picture)
    small = picture.reshape(side, fine, side, fine).mean(axis=(1, 3))
    if eye.blur_px > 0.0:
        small = cv2.filter2D(small, -1, disc(eye.blur_px), borderType=cv2.BORDER_REPLICATE)
    if eye.sideways_px > 0.0:
        line = np.ones((1, round(eye.sideways_px))) / round(eye.sideways_px)
        small = cv2.filter2D(small, -1, line, borderType=cv2.BORDER_REPLICATE)
    return np.asarray(small + eye.noise * rng.normal(size=small.shape))


def disc(diameter_px: float) -> Array:
    """Return a disc of sum 1, its edge drawn with parts of pixels."""
    half = int(np.ceil(diameter_px / 2)) + 1
    fine = (np.arange((2 * half + 1) * 8) + 0.5) / 8 - half - 0.5
    inside = np.hypot(*np.meshgrid(fine, fine)) <= diameter_px / 2
    kernel = inside.reshape(2 * half + 1, 8, 2 * half + 1, 8).mean(axis=(1, 3))
    return np.asarray(kernel / kernel.sum())


def save_jpeg(linear: Array, path: Path) -> Path:
    """Write linear light as a grey sRGB JPEG (IEC 61966-2-1) of quality 92."""
    light = np.clip(linear, 0.0, 1.0)
    code = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    Image.fromarray(np.rint(255 * code).astype(np.uint8)).save(path, quality=92, subsampling=0)
    return path
