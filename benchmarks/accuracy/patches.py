"""Truly sharp patches: the sharpest places of camera files, shrunk two or three times."""

from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from eyeplane.imaging.tone import SRGB_LUMA_WEIGHTS, srgb_to_linear

# Number of the photograph in the people folder -> how many times it is shrunk: as small as leaves
# 320 px on the short edge. Those below 1500 px are too small to shrink.
SHRINK = {1: 3, 3: 2, 4: 3, 5: 2, 6: 3, 7: 2, 8: 3, 10: 2, 12: 3}
PER_PHOTOGRAPH = 3


def sharp_patches(people: Path) -> list[tuple[str, NDArray[np.float64]]]:
    """Return (photograph, linear-light patch of 320 or 384 px), up to three a photograph."""
    found: list[tuple[str, NDArray[np.float64]]] = []
    for number, times in SHRINK.items():
        name = f"people-{number:02d}"
        with Image.open(people / f"{name}.jpg") as picture:
            codes = np.asarray(picture.convert("RGB"))
        linear = srgb_to_linear(codes / 255.0) @ np.array(SRGB_LUMA_WEIGHTS)
        luma, clipped = _shrunk(linear, times), _shrunk(codes.max(axis=2) >= 250, times) > 0
        found += [(name, patch) for patch in _sharpest(luma, clipped)]
    return found


def _shrunk(values: NDArray[np.generic], times: int) -> NDArray[np.float64]:
    rows, columns = (n // times for n in values.shape)
    cut = values[: rows * times, : columns * times].astype(float)
    return np.asarray(cut.reshape(rows, times, columns, times).mean(axis=(1, 3)))


def _sharpest(luma: NDArray[np.float64], clipped: NDArray[np.bool_]) -> list[NDArray[np.float64]]:
    side = 384 if min(luma.shape) >= 420 else 320
    mean = np.asarray(cv2.blur(luma, (256, 256)))
    detail = np.asarray(cv2.blur(cv2.Laplacian(luma, cv2.CV_64F) ** 2, (64, 64)))
    detail = detail / np.maximum(mean, 0.02) ** 2
    score = np.asarray(cv2.blur(np.minimum(detail, np.quantile(detail, 0.9)), (192, 192)))
    score[(np.asarray(cv2.blur(clipped.astype(float), (256, 256))) > 0.03) | (mean < 0.03)] = 0
    half = side // 2
    score[:half] = score[-half:] = 0
    score[:, :half] = score[:, -half:] = 0
    patches = []
    for _ in range(PER_PHOTOGRAPH):
        y, x = np.unravel_index(int(score.argmax()), score.shape)
        if score[y, x] <= 0:
            break
        patches.append(luma[y - half : y + half, x - half : x + half])
        score[max(0, y - 200) : y + 200, max(0, x - 200) : x + 200] = 0
    return patches
