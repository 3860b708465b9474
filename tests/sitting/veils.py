"""Sittings made from real frames: scenes that are reframed, relit and changed, with or without a
veil. Light is added in linear light, as ISO 9358:1994 describes veiling glare.
"""

from dataclasses import dataclass, field
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeplane.imaging import open_picture
from eyeplane.imaging.tone import linear_to_srgb, srgb_to_linear
from eyeplane.measure.veil import read_zones
from eyeplane.records import MeasureSettings, Veil

Light = NDArray[np.float32]
WIDTH, HEIGHT = 240, 160
SOURCES = ("people/*.jpg", "nobody/*.jpg", "rendered/full/*1.jpg", "rendered/group/*1.jpg")
TO_LIGHT = srgb_to_linear(np.arange(256) / 255.0).astype(np.float32)
TO_CODE = np.rint(255 * linear_to_srgb(np.linspace(0, 1, 8192))).astype(np.uint8)


def sources(data: Path) -> list[NDArray[np.uint8]]:
    """Return real frames, small, sRGB."""
    paths = [path for pattern in SOURCES for path in sorted(data.glob(pattern))]
    settings = MeasureSettings()
    return [open_picture(path, settings=settings).rgb_small(600)[0] for path in paths]


@dataclass(kw_only=True)
class Scene:
    """One set-up: a crop of a real frame, lit from somewhere, held by hand or on a tripod."""

    rng: np.random.Generator
    source: NDArray[np.uint8]
    sway: float  # of the frame's height, from frame to frame
    half: float = field(init=False)
    middle: NDArray[np.float64] = field(init=False)
    slant: NDArray[np.float64] = field(init=False)

    def __post_init__(self) -> None:
        height, width = self.source.shape[:2]
        self.half = min(width / 3, height / 2) * self.rng.uniform(0.65, 0.9)
        room = np.array([width - 3 * self.half, height - 2 * self.half])
        self.middle = np.array([1.5, 1.0]) * self.half + room * self.rng.uniform(0, 1, 2)
        self.slant = self.rng.normal(0, 0.25, 2)

    def light(self) -> Light:
        """Return the next frame's linear light [y, x, 3]."""
        height, width = self.source.shape[:2]
        half = min(self.half * np.exp(self.rng.normal(0, self.sway / 2)), width / 3, height / 2)
        x, y = self.middle + 2 * self.half * self.rng.normal(0, self.sway, 2)
        left = int(np.clip(x - 1.5 * half, 0, width - 3 * half))
        top = int(np.clip(y - half, 0, height - 2 * half))
        piece = self.source[top : top + int(2 * half), left : left + int(3 * half)]
        codes = cv2.resize(piece, (WIDTH, HEIGHT), interpolation=cv2.INTER_AREA)
        gain = shade(self.slant) * np.float32(2 ** self.rng.normal(0, 0.15))
        return np.asarray(TO_LIGHT[codes] * gain, np.float32)


def shade(slant: NDArray[np.float64]) -> Light:
    """Return light that falls off to a side, [y, x, 1]."""
    x, y = np.linspace(-1, 1, WIDTH), np.linspace(-1, 1, HEIGHT)
    return np.asarray(np.exp(slant[0] * x[None] + slant[1] * y[:, None])[..., None], np.float32)


def patch(place: str, edge: float = 0.04) -> Light:
    """Return where a veil lies: 1 inside, soft edge, at least a fifth of the frame, [y, x, 1]."""
    x, y = np.linspace(0, 1, WIDTH)[None], np.linspace(0, 1, HEIGHT)[:, None]
    away = {
        "the left side": x + 0 * y,
        "the right side": 1 - x + 0 * y,
        "the top": y + 0 * x,
        "the bottom": 1 - y + 0 * x,
        "the whole frame": 0 * (x + y),
    }.get(place)
    inside = 0.32 if "side" in place else 0.45
    if away is None:
        corner = (0.0 if "left" in place else 1.0, 0.0 if "upper" in place else 1.0)
        away, inside = ((x - corner[0]) ** 4 + (y - corner[1]) ** 4) ** 0.25, 0.52
    return (1 / (1 + np.exp((away - inside) / edge)))[..., None].astype(np.float32)


def read(light: Light, rng: np.random.Generator, *, orientation: int = 1) -> Veil:
    """Return the zones of a frame with photon noise, coded in 8 bits."""
    grain = rng.normal(0, 1, light.shape).astype(np.float32)
    noisy = light + 0.005 * grain * np.sqrt(np.maximum(light, 0) + 0.01)
    codes = TO_CODE[(np.clip(noisy, 0, 1) * 8191).astype(np.uint16)]
    darkest, level, coarse, fine = (
        tuple(float(v) for v in part.ravel()) for part in read_zones(codes)
    )
    return Veil(
        columns=6,
        rows=4,
        darkest=darkest,
        coarse=coarse,
        fine=fine,
        level=level,
        orientation=orientation,
    )
