"""Slanted edges of a known point spread, sampled by the pixels' areas; arrays [y, x]."""

import numpy as np
from numpy.typing import NDArray
from scipy import special

FloatArray = NDArray[np.float64]
PARTS = 16  # of a pixel, along each side
KERNELS = (  # name, size in px, frequency of half contrast at 5° (check-values, computed two ways)
    ("step", 0.0, 0.6040),
    ("gauss", 0.5, 0.3231),
    ("gauss", 0.8, 0.2201),
    ("gauss", 1.5, 0.1227),
    ("gauss", 3.0, 0.0622),
    ("disc", 2.0, 0.3122),
    ("disc", 4.0, 0.1708),
    ("disc", 8.0, 0.0874),
)


def spread_share(distance_px: FloatArray, kernel: str, size_px: float) -> FloatArray:
    """Return the share of light at a distance from a sharp edge, after the kernel."""
    if kernel == "gauss":
        return np.asarray(0.5 * special.erfc(-distance_px / (size_px * np.sqrt(2))))
    if kernel == "disc":
        t = np.clip(2 * distance_px / size_px, -1, 1)
        return np.asarray(0.5 + (np.arcsin(t) + t * np.sqrt(1 - t * t)) / np.pi)
    return (distance_px > 0).astype(float)


def edge(
    kernel: str = "gauss",
    size_px: float = 0.8,
    *,
    normal_deg: float = 5.0,
    side_px: int = 80,
    levels: tuple[float, float] = (0.1, 0.6),
    bend_px: float = 0.0,
) -> FloatArray:
    """Return an edge whose normal into the bright side stands so, counter-clockwise, y up."""
    n = side_px * PARTS
    y, x = np.mgrid[0:n, 0:n]
    x, y = (x + 0.5) / PARTS - side_px / 2, (y + 0.5) / PARTS - side_px / 2
    a = np.radians(normal_deg)
    across, along = x * np.cos(a) - y * np.sin(a), x * np.sin(a) + y * np.cos(a)
    share = spread_share(across - bend_px * (2 * along / side_px) ** 2, kernel, size_px)
    pixels = share.reshape(side_px, PARTS, side_px, PARTS).mean((1, 3))
    return np.asarray(levels[0] + (levels[1] - levels[0]) * pixels)


def true_mtf(
    frequency_per_px: FloatArray, kernel: str, size_px: float, *, normal_deg: float = 5.0
) -> FloatArray:
    """Return the kernel's transfer times that of a square pixel, along the edge's normal."""
    a = np.radians(normal_deg)
    pixel = np.sinc(frequency_per_px * np.cos(a)) * np.sinc(frequency_per_px * np.sin(a))
    if kernel == "gauss":
        return np.asarray(pixel * np.exp(-2 * (np.pi * size_px * frequency_per_px) ** 2))
    if kernel == "disc":
        z = np.maximum(np.pi * size_px * frequency_per_px, 1e-9)
        return np.asarray(np.abs(pixel * 2 * special.j1(z) / z))
    return np.asarray(np.abs(pixel))
