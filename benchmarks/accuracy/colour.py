"""Longitudinal colour: known discs of each colour put on sharp places, against what is read.

Windows: the sharpest places of camera files, shrunk (their colours and textures are real; blur,
lateral colour, noise, mosaic and JPEG are put on here). Heads: sharp rendered frames whose places
are blurred colour by colour as the thin lens would, a kit's colour learned from some, the side of
the focus told in others. The lenses are modelled: red 60 and blue 40 um behind green at 85 mm,
1/1400 and 1/2100 of the focal length, as doublets of ordinary glasses leave (from memory).
"""

import math
import sys
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from benchmarks.accuracy.degrade import LINEAR, disc_kernel
from benchmarks.accuracy.patches import SHRINK
from numpy.typing import NDArray
from PIL import Image

from eyeplane.imaging import Picture, open_picture
from eyeplane.imaging.tone import SRGB_LUMA_WEIGHTS, linear_to_srgb
from eyeplane.measure import Noise
from eyeplane.measure.colour import colour_at
from eyeplane.records import ColourBlur, Measured, MeasureSettings

Array = NDArray[np.float64]
Sizes = tuple[float, float, float]  # discs of red, green, blue in px
SIDE_PX = 320
PER_PHOTOGRAPH = 3
PX_PER_UM = 1.0 / (1.8 * 6.0)  # disc per defocus at f/1.8 on pixels of 6 um
RED_UM, BLUE_UM = 60.0, 40.0
FARTHEST_UM = 80.0  # of the sensor from green's image: 25 mm at 1.5 m
CLEAR_PX2 = 5.0  # differences below this blur nothing that anybody sees


@dataclass(frozen=True, slots=True, kw_only=True)
class FileKind:
    """How a window becomes a file: Pillow's subsampling 0, 1, 2 is 4:4:4, 4:2:2, 4:2:0."""

    name: str
    quality: int
    subsampling: int
    side_px: int = 128
    mosaic: bool = False


KINDS = (
    FileKind(name="4:4:4, 95", quality=95, subsampling=0),
    FileKind(name="4:4:4, 85", quality=85, subsampling=0),
    FileKind(name="4:2:2, 95", quality=95, subsampling=1),
    FileKind(name="4:2:0, 97", quality=97, subsampling=2),
    FileKind(name="4:2:0, 90", quality=90, subsampling=2),
    FileKind(name="4:2:2, 97, mosaic", quality=97, subsampling=1, mosaic=True),
    FileKind(name="4:2:0, 92, 256 px", quality=92, subsampling=2, side_px=256),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourRow:
    """One window: the discs that were put on, and what was read."""

    source: str
    sizes_px: Sizes
    read: ColourBlur | None

    def pairs(self) -> list[tuple[float, Measured]]:
        """Return (true difference, reading) of red and of blue."""
        if self.read is None:
            return []
        red, green, blue = (s**2 for s in self.sizes_px)
        return [(red - green, self.read.red_px2), (blue - green, self.read.blue_px2)]


def sharp_colour_patches(people: Path) -> list[tuple[str, Array]]:
    """Return (photograph, linear-light RGB patch of 320 px), up to three a photograph."""
    found: list[tuple[str, Array]] = []
    for number, times in SHRINK.items():
        name = f"people-{number:02d}"
        with Image.open(people / f"{name}.jpg") as picture:
            codes = np.asarray(picture.convert("RGB"))
        rows, columns = (n // times * times for n in codes.shape[:2])
        codes = codes[:rows, :columns]
        linear = _shrunk(LINEAR.astype(np.float32)[codes], times)
        clipped = _shrunk((codes >= 250).astype(np.float32), times).max(axis=2) > 0
        found += [(name, patch) for patch in _sharpest(linear, clipped)]
    return found


def _shrunk(values: NDArray[np.float32], times: int) -> Array:
    size = (values.shape[1] // times, values.shape[0] // times)
    return np.asarray(cv2.resize(values, size, interpolation=cv2.INTER_AREA), float)


def _sharpest(linear: Array, clipped: NDArray[np.bool_]) -> list[Array]:
    luma = linear @ np.array(SRGB_LUMA_WEIGHTS)
    mean = np.asarray(cv2.blur(luma, (256, 256)))
    detail = np.asarray(cv2.blur(cv2.Laplacian(luma, cv2.CV_64F) ** 2, (64, 64)))
    detail = detail / np.maximum(mean, 0.02) ** 2
    score = np.asarray(cv2.blur(np.minimum(detail, np.quantile(detail, 0.9)), (192, 192)))
    score[(np.asarray(cv2.blur(clipped.astype(float), (256, 256))) > 0.03) | (mean < 0.03)] = 0
    half = SIDE_PX // 2
    score[:half] = score[-half:] = 0
    score[:, :half] = score[:, -half:] = 0
    patches = []
    for _ in range(PER_PHOTOGRAPH):
        y, x = np.unravel_index(int(score.argmax()), score.shape)
        if score[y, x] <= 0:
            break
        patches.append(linear[y - half : y + half, x - half : x + half])
        score[max(0, y - 200) : y + 200, max(0, x - 200) : x + 200] = 0
    return patches


def through_lens(
    linear: Array, sizes_px: Sizes, rng: np.random.Generator, *, lateral_px: float
) -> Array:
    """Return a patch with a disc of its own in each colour, red and blue shifted by up to a px."""
    drawn = np.empty_like(linear)
    for c, size in enumerate(sizes_px):
        plane = np.asarray(cv2.GaussianBlur(linear[..., c], (0, 0), 0.5))
        if abs(size) > 0.3:
            kernel = disc_kernel(abs(size))
            plane = np.asarray(
                cv2.filter2D(plane, cv2.CV_64F, kernel, borderType=cv2.BORDER_REFLECT)
            )
        if c != 1 and lateral_px > 0:
            angle, far = rng.uniform(0, 2 * np.pi), rng.uniform(0, lateral_px)
            move = np.array([[1, 0, far * math.cos(angle)], [0, 1, far * math.sin(angle)]])
            plane = np.asarray(
                cv2.warpAffine(
                    plane,
                    move,
                    plane.shape[::-1],
                    flags=cv2.INTER_CUBIC,
                    borderMode=cv2.BORDER_REFLECT,
                )
            )
        drawn[..., c] = plane
    return drawn


def with_noise(
    drawn: Array, snr: float, rng: np.random.Generator, *, mosaic: bool
) -> tuple[Array, Noise]:
    """Return the patch with photon (80 %) and read noise, and what a camera's ISO would tell."""
    level = float(drawn[..., 1].mean())
    variance = (level / snr) ** 2
    if mosaic:
        plane = drawn[..., 1].copy()
        plane[::2, ::2], plane[1::2, 1::2] = drawn[::2, ::2, 0], drawn[1::2, 1::2, 2]
        drawn = plane
    spread = np.sqrt(variance * (0.8 * np.clip(drawn, 0, None) / level + 0.2))
    noisy = drawn + rng.normal(size=drawn.shape) * spread
    if mosaic:
        codes = np.clip(noisy * 60000, 0, 65535).astype(np.uint16)
        noisy = cv2.demosaicing(codes, cv2.COLOR_BayerRGGB2RGB_EA).astype(float) / 60000
    told = 0.561 * variance * math.exp(0.3 * rng.normal()) ** 2
    noise = Noise(
        read=0.2 * told, photon=0.8 * told / level, low_factor=0.5, high_factor=2.0, source="iso"
    )
    return noisy, noise


def as_file(linear: Array, kind: FileKind, folder: Path) -> Picture:
    """Return the patch opened again from a JPEG."""
    codes = np.clip(linear_to_srgb(np.clip(linear, 0, 1)) * 255 + 0.5, 0, 255).astype(np.uint8)
    path = folder / "window.jpg"
    Image.fromarray(codes).save(path, quality=kind.quality, subsampling=kind.subsampling)
    return open_picture(path, settings=MeasureSettings())


def luma_disc(sizes_px: Sizes, rng: np.random.Generator) -> Measured:
    """Return what the luma's fit would read: the root of the mean square, 8 % off."""
    weights = np.array(SRGB_LUMA_WEIGHTS)
    size = math.sqrt(float(weights @ np.square(sizes_px))) * math.exp(0.08 * rng.normal())
    if size < 2.0:
        return Measured(value=size, low=0.0, high=size + 1.5)
    return Measured(value=size, low=0.85 * size, high=1.18 * size)


def lens_sizes(rng: np.random.Generator) -> Sizes:
    """Return the discs of a lens with colour, the sensor anywhere about green's image."""
    x = rng.uniform(-FARTHEST_UM, FARTHEST_UM)
    return PX_PER_UM * abs(x - RED_UM), PX_PER_UM * abs(x), PX_PER_UM * abs(x - BLUE_UM)


def equal_sizes(rng: np.random.Generator) -> Sizes:
    """Return the discs of a lens without colour."""
    size = float(rng.choice([0.0, 3.0, 6.0, 10.0]))
    return size, size, size


def window_rows(
    patches: Sequence[tuple[str, Array]],
    kind: FileKind,
    draw: Callable[[np.random.Generator], Sizes],
    *,
    count: int,
    seed: int = 1,
) -> list[ColourRow]:
    """Return readings of `count` windows, patches in turn."""
    rng = np.random.default_rng(seed)
    rows = []
    with tempfile.TemporaryDirectory() as folder:
        for index in range(count):
            source, patch = patches[index % len(patches)]
            sizes = draw(rng)
            drawn = through_lens(patch, sizes, rng, lateral_px=1.0)
            snr = math.exp(rng.uniform(math.log(15), math.log(100)))
            noisy, noise = with_noise(drawn, snr, rng, mosaic=kind.mosaic)
            picture = as_file(noisy, kind, Path(folder))
            spare = (SIDE_PX - kind.side_px) // 2
            move = rng.integers(-min(30, spare), min(30, spare) + 1, 2)
            at = (SIDE_PX / 2 + float(move[0]), SIDE_PX / 2 + float(move[1]))
            disc = luma_disc(sizes, rng)
            read = colour_at(picture, at, kind.side_px, noise=noise, disc_px=disc)
            rows.append(ColourRow(source=source, sizes_px=sizes, read=read))
    return rows


def told(rows: Sequence[ColourRow]) -> float:
    """Return the share of windows that say something."""
    return float(np.mean([row.read is not None for row in rows]))


def coverage(rows: Sequence[ColourRow]) -> float:
    """Return how often the 90 % intervals hold the truth."""
    return float(np.mean([m.low <= t <= m.high for row in rows for t, m in row.pairs()]))


def called(rows: Sequence[ColourRow], *, clear: bool) -> tuple[float, float]:
    """Return shares of differences whose sign is called, of all read, and of those rightly."""
    pairs = [p for row in rows for p in row.pairs() if not clear or abs(p[0]) > CLEAR_PX2]
    signed = [(t, m) for t, m in pairs if m.low > 0 or m.high < 0]
    right = [t * m.value > 0 for t, m in signed]
    return len(signed) / max(len(pairs), 1), float(np.mean(right)) if right else math.nan


def main(people: Path, count: int) -> None:
    """Print the table of windows."""
    patches = sharp_colour_patches(people)
    print("file | told | coverage | called > 5 px² | right | no colour: told | coverage | called")
    for kind in KINDS:
        rows = window_rows(patches, kind, lens_sizes, count=count)
        none = window_rows(patches, kind, equal_sizes, count=count, seed=2)
        share, right = called(rows, clear=True)
        print(
            f"{kind.name} | {told(rows):.2f} | {coverage(rows):.2f} | {share:.2f} | {right:.3f} | "
            f"{told(none):.2f} | {coverage(none):.2f} | {called(none, clear=False)[0]:.2f}"
        )


if __name__ == "__main__":
    cv2.setNumThreads(1)
    main(Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 100)
