"""Frames with known motion: sharp scenes with people, moved in linear light, written as JPEG files.

Scenes are photographs of people shrunk until they are truly sharp, and rendered heads set before
photographed surfaces. Directions count counter-clockwise from +x, y up; arrays are [y, x, rgb].
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import cv2
import numpy as np
from benchmarks.accuracy.degrade import disc_kernel, line_kernel
from numpy.typing import NDArray
from PIL import Image, ImageOps

from eyeplane.imaging.tone import linear_to_srgb, srgb_to_linear

Picture = NDArray[np.float32]
Truth = Literal["still", "shake", "sitter", "rotation", "ghost", "focus"]
QUALITY = 92
WELL = 20_000.0  # electrons at white: ISO 250 on 6 um, from memory
READ = 4.0  # electrons
# Photograph, how many times shrunk, turned by quarters: sharp there, with textured surroundings.
PHOTOGRAPHS = ((4, 2, 0), (6, 2, 0), (7, 2, 0), (8, 2, 0), (10, 2, 0), (12, 2, 0))
HEADS = ("dev_0012", "dev_0026", "dev_0043", "dev_0009")  # in focus on f/5.6 or f/2.8
SURFACES = (("nobody/scene-01", 2), ("nobody/scene-03", 1), ("people/people-08", 2))
CANVAS = (1120, 1680)  # rows, columns
HEAD_ROWS = 640


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """A sharp scene in linear light.

    Attributes
    ----------
    name : str
        Where it is from.
    linear : ndarray
        [y, x, rgb], 0..1.
    heads : tuple of (float, float, float, float)
        Face boxes: x, y, width, height.
    """

    name: str
    linear: Picture
    heads: tuple[tuple[float, float, float, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A frame that was made: its file and what was done to it.

    Attributes
    ----------
    path : Path
        The JPEG.
    scene : str
        Its scene's name.
    truth : str
        What was done.
    size_px, angle_deg : float
        Length of the line (or diameter of the disc) and its direction; for a rotation the
        length drawn half a diagonal from the centre.
    turned_deg : float
        Of a rotation.
    core_share : float
        Of a ghost.
    head : tuple of float or None
        Box of the one head that was changed; None where everything was.
    """

    path: Path
    scene: str
    truth: Truth
    size_px: float
    angle_deg: float
    turned_deg: float = 0.0
    core_share: float = 0.0
    head: tuple[float, float, float, float] | None = None


def photograph(people: Path, number: int, times: int, quarters: int) -> Picture:
    """Return a photograph in linear light, upright, shrunk by averaging."""
    with Image.open(people / f"people-{number:02d}.jpg") as opened:
        upright = ImageOps.exif_transpose(opened).convert("RGB")
    codes = np.rot90(np.asarray(upright), quarters)
    return _shrunk(srgb_to_linear(codes / 255.0), times)


def _shrunk(linear: NDArray[np.floating], times: int) -> Picture:
    rows, columns = (n // times * times for n in linear.shape[:2])
    cut = linear[:rows, :columns].reshape(rows // times, times, columns // times, times, -1)
    return np.asarray(cut.mean(axis=(1, 3)), np.float32)


def rendered_scenes(data: Path) -> Iterator[tuple[str, Picture]]:
    """Return rendered heads before photographed surfaces, heads that fill the frame, the group."""
    for k, head in enumerate(HEADS):
        surface, times = SURFACES[k % len(SURFACES)]
        yield f"{head} on {surface[-8:]}", head_on_wall(data, head, surface, times)
    for head in HEADS[:2]:
        yield f"{head} alone", head_alone(data, head)
    yield "group", _read(data / "rendered/group/grp_0005.jpg")[200:1700, 300:2900]


def head_on_wall(data: Path, head: str, surface: str, times: int) -> Picture:
    """Return a rendered head before a photographed surface, shrunk so many times."""
    wall = _covering(_shrunk(_read(data / f"{surface}.jpg"), times), CANVAS)
    return _set_before(wall, head_alone(data, head))


def head_alone(data: Path, head: str) -> Picture:
    """Return a rendered head that fills the frame."""
    return _read(data / f"rendered/single/{head}.jpg")


def _read(path: Path) -> Picture:
    with Image.open(path) as opened:
        codes = np.asarray(ImageOps.exif_transpose(opened).convert("RGB"))
    return np.asarray(srgb_to_linear(codes / 255.0), np.float32)


def _covering(surface: Picture, shape: tuple[int, int]) -> Picture:
    """Return a surface large enough, mirrored on where it ends."""
    short = [max(0, n - m) for n, m in zip(shape, surface.shape[:2], strict=True)]
    wide = np.pad(surface, ((0, short[0]), (0, short[1]), (0, 0)), mode="symmetric")
    return wide[: shape[0], : shape[1]].copy()


def _set_before(wall: Picture, head: Picture) -> Picture:
    """Return the wall with a head before it, standing on the lower edge of the frame."""
    columns = round(head.shape[1] * HEAD_ROWS / head.shape[0])
    small = cv2.resize(head, (columns, HEAD_ROWS), interpolation=cv2.INTER_AREA)
    top, left = wall.shape[0] - HEAD_ROWS, (wall.shape[1] - columns) // 2
    y, x = np.mgrid[:HEAD_ROWS, :columns]
    edge = np.minimum.reduce([x, columns - 1 - x, y]) / 12.0
    share = np.clip(edge, 0, 1)[..., None].astype(np.float32)
    out = wall.copy()
    under = out[top:, left : left + columns]
    out[top:, left : left + columns] = share * small + (1 - share) * under
    return out


def moved(linear: Picture, length_px: float, angle_deg: float) -> Picture:
    """Return the whole picture drawn along a line."""
    kernel = line_kernel(length_px, angle_deg)
    return np.asarray(cv2.filter2D(linear, cv2.CV_32F, kernel, borderType=cv2.BORDER_REFLECT))


def defocused(linear: Picture, diameter_px: float) -> Picture:
    """Return the whole picture out of focus."""
    kernel = disc_kernel(diameter_px)
    return np.asarray(cv2.filter2D(linear, cv2.CV_32F, kernel, borderType=cv2.BORDER_REFLECT))


def turned(linear: Picture, degrees: float, centre_px: tuple[float, float]) -> Picture:
    """Return the mean of many copies turned evenly from -half to +half of an angle."""
    rows, columns = linear.shape[:2]
    corner = math.hypot(rows, columns) * math.radians(degrees)
    count = max(8, math.ceil(corner / 0.7))
    total = np.zeros_like(linear)
    for step in (np.arange(count) + 0.5) / count - 0.5:
        turn = cv2.getRotationMatrix2D(centre_px, step * degrees, 1.0)
        total += cv2.warpAffine(
            linear, turn, (columns, rows), flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REFLECT
        )
    return np.asarray(total / count, np.float32)


def head_mask(
    shape: tuple[int, ...], head: tuple[float, float, float, float], *, body: bool
) -> Picture:
    """Return a feathered mask of a head with hair and neck, or with all below it too."""
    x, y, width, height = head
    mask = np.zeros(shape[:2], np.float32)
    middle = (round(x + width / 2), round(y + 0.45 * height))
    cv2.ellipse(mask, middle, (round(0.85 * width), round(0.95 * height)), 0, 0, 360, 1.0, -1)
    if body:
        half = 1.4 * width
        left, right = round(x + width / 2 - half), round(x + width / 2 + half)
        mask[round(y + height) :, max(0, left) : max(0, right)] = 1.0
    return np.asarray(cv2.GaussianBlur(mask, (0, 0), 0.08 * height)[..., None])


def changed(scene: Scene, truth: Truth, rng: np.random.Generator) -> tuple[Picture, dict[str, Any]]:
    """Return the scene with one of the truths drawn at random, and what was drawn."""
    size = float(math.exp(rng.uniform(math.log(6), math.log(20))))
    angle = float(rng.uniform(0, 180))
    said: dict[str, Any] = {"size_px": size, "angle_deg": angle}
    sharp = scene.linear
    if truth == "still":
        return sharp, {"size_px": 0.0, "angle_deg": 0.0}
    if truth == "shake":
        return moved(sharp, size, angle), said
    if truth == "rotation":
        rows, columns = sharp.shape[:2]
        degrees = math.degrees(size / (math.hypot(rows, columns) / 2))
        centre = (columns * rng.uniform(0.3, 0.7), rows * rng.uniform(0.3, 0.7))
        return turned(sharp, degrees, centre), {**said, "turned_deg": degrees}
    if truth == "ghost":
        share = float(rng.uniform(0.3, 0.7))
        return share * sharp + (1 - share) * _ghost(sharp, size, angle, rng), {
            **said,
            "core_share": share,
        }
    head = scene.heads[int(rng.integers(len(scene.heads)))]
    mask = head_mask(sharp.shape, head, body=truth == "sitter" and bool(rng.integers(2)))
    said["head"] = head
    other = defocused(sharp, size) if truth == "focus" else moved(sharp, size, angle)
    return mask * other + (1 - mask) * sharp, said


def _ghost(sharp: Picture, size: float, angle: float, rng: np.random.Generator) -> Picture:
    """Return the steady light's line: the core in its middle, or at its end (either curtain)."""
    shift = float(rng.choice([-0.5, 0.0, 0.5])) * size
    dx, dy = shift * math.cos(math.radians(angle)), -shift * math.sin(math.radians(angle))
    matrix = np.array([[1, 0, dx], [0, 1, dy]], float)
    drawn = moved(sharp, size, angle)
    rows, columns = sharp.shape[:2]
    return np.asarray(cv2.warpAffine(drawn, matrix, (columns, rows), borderMode=cv2.BORDER_REFLECT))


def written(linear: Picture, path: Path, *, flash: bool, rng: np.random.Generator) -> Path:
    """Return the JPEG written with photon and read noise and the exposure in its EXIF."""
    light = np.clip(linear, 0, None)
    spread = np.sqrt(light * WELL + READ**2) / WELL
    noisy = light + rng.standard_normal(light.shape, dtype=np.float32) * spread
    codes = np.clip(linear_to_srgb(np.clip(noisy, 0, 1)) * 255 + 0.5, 0, 255).astype(np.uint8)
    exif = Image.Exif()
    exif[0x0110] = "Test"
    exif.get_ifd(0x8769).update(
        {0x829A: 1 / 30, 0x829D: 4.0, 0x8827: 250, 0x9209: int(flash), 0x920A: 85.0}
    )
    Image.fromarray(codes).save(path, quality=QUALITY, exif=exif)
    return path
