"""Known blur, noise and JPEG put on patches that were truly sharp: measuring, the other way round.

Kernels are drawn by oversampling, independently of the transfer functions that the fit uses.
"""

import io
import math
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from eyeplane.imaging import LumaWindow
from eyeplane.imaging.tone import linear_to_srgb, srgb_to_linear
from eyeplane.measure import Noise

Array = NDArray[np.float64]
LINEAR = srgb_to_linear(np.arange(256) / 255)
SLOPE = np.gradient(LINEAR)


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One degraded window and what was done to it; kind "sharp", "disc", "line" or "mixed"."""

    source: str
    kind: str
    size_px: float
    angle_deg: float
    window: LumaWindow
    quantization: Array
    noise: Noise
    disc_px: float = 0.0  # beside the line of a "mixed" case


def disc_kernel(diameter_px: float, *, finer: int = 9) -> Array:
    """Return a uniform disc, drawn nine times finer and averaged."""
    reach = math.ceil(diameter_px / 2) + 1
    count = (2 * reach + 1) * finer
    y, x = np.mgrid[:count, :count] - (count - 1) / 2
    inside = (x**2 + y**2 <= (diameter_px / 2 * finer) ** 2).astype(float)
    kernel = inside.reshape(2 * reach + 1, finer, 2 * reach + 1, finer).sum(axis=(1, 3))
    return np.asarray(kernel / kernel.sum())


def line_kernel(length_px: float, angle_deg: float) -> Array:
    """Return a straight path of even speed; counter-clockwise from +x, y up."""
    reach = math.ceil(length_px / 2) + 1
    kernel = np.zeros((2 * reach + 1, 2 * reach + 1))
    angle = math.radians(angle_deg)
    for step in np.linspace(-length_px / 2, length_px / 2, max(64, int(length_px * 16))):
        x, y = reach + step * math.cos(angle), reach - step * math.sin(angle)
        row, column = int(y), int(x)
        down, right = y - row, x - column
        kernel[row, column] += (1 - down) * (1 - right)
        kernel[row, column + 1] += (1 - down) * right
        kernel[row + 1, column] += down * (1 - right)
        kernel[row + 1, column + 1] += down * right
    return np.asarray(kernel / kernel.sum())


def blurred(linear: Array, kind: str, size_px: float, angle_deg: float = 0.0) -> Array:
    """Return the patch as a lens out of focus or a moving camera would have drawn it."""
    if kind == "sharp" or size_px <= 0:
        return linear
    kernel = disc_kernel(size_px) if kind == "disc" else line_kernel(size_px, angle_deg)
    return np.asarray(cv2.filter2D(linear, cv2.CV_64F, kernel, borderType=cv2.BORDER_REFLECT))


def exposed(linear: Array, snr: float, rng: np.random.Generator) -> tuple[Array, Noise]:
    """Return the patch with photon (80 %) and read noise, and what a camera's ISO would tell."""
    mean = float(linear.mean())
    variance = (mean / snr) ** 2
    spread = np.sqrt(0.8 * variance * np.clip(linear, 0, None) / mean + 0.2 * variance)
    told = math.exp(0.6 * rng.normal()) ** 2  # ISO tells the noise within a factor of 1.8 or so
    noise = Noise(
        read=0.2 * variance * told,
        photon=0.8 * variance / mean * told,
        low_factor=0.4,
        high_factor=2.7,
        source="iso",
    )
    return linear + rng.normal(size=linear.shape) * spread, noise


def processed(code: Array, rng: np.random.Generator) -> Array:
    """Return sRGB codes (0 to 1) after smoothing and sharpening such as cameras do."""
    smooth = cv2.bilateralFilter(code.astype(np.float32), 5, 0.03, 1.0).astype(float)
    return np.asarray(
        smooth + rng.uniform(0.3, 1.0) * (smooth - cv2.GaussianBlur(smooth, (0, 0), 1.0))
    )


def stored(code: Array, quality: int) -> tuple[LumaWindow, Array]:
    """Return sRGB codes (0 to 1) after JPEG, in linear light, and the file's table."""
    packed = io.BytesIO()
    Image.fromarray(np.clip(code * 255 + 0.5, 0, 255).astype(np.uint8)).save(
        packed, "JPEG", quality=quality
    )
    picture: Any = Image.open(packed)
    table = np.array(picture.quantization[0], float).reshape(8, 8)
    back = np.asarray(picture)
    window = LumaWindow(
        luma=LINEAR[back].astype(np.float32),
        clipped=back >= 250,
        x_px=0,
        y_px=0,
        encoding_slope=SLOPE[back].astype(np.float32),
    )
    return window, table


def degraded(
    source: str,
    linear: Array,
    asked: tuple[str, float, float],
    rng: np.random.Generator,
    *,
    side_px: int,
    camera: bool = False,
) -> Case:
    """Return a case: glass of 0.4 to 0.7 px, asked (kind, size, angle), noise, sRGB, JPEG 90.

    A "mixed" case gets a disc of 2 to 6 px beside its line.
    """
    kind, size_px, angle_deg = asked
    disc_px = float(rng.uniform(2.0, 6.0)) if kind == "mixed" else 0.0
    glass = cv2.GaussianBlur(linear.astype(float), (0, 0), rng.uniform(0.4, 0.7))
    drawn = blurred(np.asarray(glass, float), kind, size_px, angle_deg)
    if disc_px > 0:
        drawn = blurred(drawn, "disc", disc_px)
    edge = (drawn.shape[0] - side_px) // 2
    drawn = drawn[edge : edge + side_px, edge : edge + side_px]
    noisy, noise = exposed(drawn, math.exp(rng.uniform(math.log(10), math.log(100))), rng)
    code = linear_to_srgb(np.clip(noisy, 0, 1))
    window, table = stored(processed(code, rng) if camera else code, quality=90)
    return Case(
        source=source,
        kind=kind,
        size_px=size_px,
        angle_deg=angle_deg,
        window=window,
        quantization=table,
        noise=noise,
        disc_px=disc_px,
    )
