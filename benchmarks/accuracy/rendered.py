"""Near eye of the rendered heads against the thin lens's blur, and motion against its truth."""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from eyeplane.imaging import open_picture
from eyeplane.measure import fit_blur, measure_noise, window_spectrum
from eyeplane.records import Blur, MeasureSettings


@dataclass(frozen=True, slots=True)
class EyeRow:
    """One frame: truth, the blur at its near eye, and the size of the noise over the truth's."""

    frame: dict[str, Any]
    blur: Blur
    noise_ratio: float


def measure_eyes(folder: Path, *, side_px: int = 128, every: int = 1) -> list[EyeRow]:
    """Return a row for every n-th frame of a folder with truth.json."""
    frames = json.loads((folder / "truth.json").read_text(encoding="utf-8"))["frames"]
    return [_measure(folder, frame, side_px) for frame in frames[::every]]


def _measure(folder: Path, frame: dict[str, Any], side_px: int) -> EyeRow:
    picture = open_picture(folder / frame["file"], settings=MeasureSettings())
    x, y = frame["near_iris_px"]
    left = min(max(int(x - side_px / 2), 0), picture.width_px - side_px)
    top = min(max(int(y - side_px / 2), 0), picture.height_px - side_px)
    window = picture.luma_window(left, top, side_px, side_px)
    noise = measure_noise([window], iso=frame["iso"], quantization=picture.quantization)
    spectrum = window_spectrum(window, quantization=picture.quantization, noise=noise)
    level, white = float(window.luma.mean()), frame["electrons_at_white"]
    luma_power = 0.2126**2 + 0.7152**2 + 0.0722**2
    true = (luma_power * (level * white + frame["read_noise_e"] ** 2)) ** 0.5 / white / level
    ratio = noise.contrast_at(level).value / true if noise is not None else float("nan")
    return EyeRow(frame, fit_blur([spectrum] if spectrum is not None else []), ratio)
