"""Focus stack: is the frame that reads least blurred at a place the one that is sharpest there?

The reference is classical and knows nothing of spectra: energy of the Laplacian after a Gaussian
of 1 px, highest along the stack. A place counts where that energy peaks clearly (a factor of 3
over its median) and nothing is clipped.
"""

from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeplane.imaging import Picture, open_picture
from eyeplane.measure import Noise, fit_blur, likely_pitch_um, measure_noise, window_spectrum
from eyeplane.records import MeasureSettings

PEAK = 3.0


@dataclass(frozen=True, slots=True)
class Stack:
    """[frames, places]: size that is measured, upper end of its interval, reference energy."""

    size_px: NDArray[np.float64]
    high_px: NDArray[np.float64]
    energy: NDArray[np.float64]

    def within_one(self, readings: NDArray[np.float64]) -> tuple[int, float]:
        """Return the number of clear places and the share found within one step."""
        clear = self.energy.max(axis=0) > PEAK * np.median(self.energy, axis=0)
        off = np.abs(readings.argmin(axis=0) - self.energy.argmax(axis=0))
        return int(clear.sum()), float(np.mean(off[clear] <= 1))


def measure_stack(folder: Path, *, side_px: int = 256) -> Stack:
    """Return readings of all frames over a grid of places without overlap."""
    rows = [_frame(path, side_px) for path in sorted(folder.glob("board-*.jpg"))]
    values = np.array(rows)
    unclipped = values[:, :, 3].max(axis=0) < 0.02
    size, high, energy = (values[:, unclipped, k] for k in range(3))
    return Stack(size, high, energy)


def _frame(path: Path, side_px: int) -> list[tuple[float, float, float, float]]:
    picture = open_picture(path, settings=MeasureSettings())
    noise = measure_noise(
        [],
        iso=picture.exposure.iso,
        quantization=picture.quantization,
        pitch_um=likely_pitch_um(
            picture.exposure, pitch_um=picture.pitch_um, long_edge_px=picture.width_px
        ),
    )
    return [
        _place(picture, x, y, side_px, noise)
        for y in range(0, picture.height_px - side_px + 1, side_px)
        for x in range(0, picture.width_px - side_px + 1, side_px)
    ]


def _place(
    picture: Picture, x: int, y: int, side_px: int, noise: Noise | None
) -> tuple[float, float, float, float]:
    window = picture.luma_window(x, y, side_px, side_px)
    spectrum = window_spectrum(window, quantization=picture.quantization, noise=noise)
    disc = fit_blur([spectrum] if spectrum is not None else [], lines=False).disc_px
    luma = window.luma.astype(float) / max(float(window.luma.mean()), 1e-6)
    detail = cv2.Laplacian(cv2.GaussianBlur(luma, (0, 0), 1.0), cv2.CV_64F) ** 2
    size, high = (disc.value, disc.high) if disc is not None else (999.0, 999.0)
    return size, high, float(detail.mean()), float(window.clipped.mean())
