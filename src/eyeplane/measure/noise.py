"""Noise of a frame: photons and read-out, from its flat places and from the ISO setting."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeplane.imaging import LumaWindow
from eyeplane.light import ISO_SPREAD, PITCHES_UM, REFERENCE_PITCH_UM, noise_variance
from eyeplane.records import Exposure, Measured

BLOCK_PX = 8  # as JPEG's blocks
FLAT_QUANTILE = 0.1  # of blocks by residual: the quietest, since texture only ever adds
FLAT_CORRECTION = 0.75  # that quantile of the mean of 64 squared residuals of pure noise, which
# the filter correlates (worked out by a run with white noise: 0.74 to 0.76)
FILTER_POWER = 36.0  # sum of squares of the filter: exact
SHORT_LENS_MM = 12.0  # shorter lenses sit on small sensors; from memory
PHONE_EQUIVALENT_MM = 28.0  # common view of phones and of small cameras at rest; from memory
IMAGE_SPREAD = 0.35  # of ln(noise) by the image alone: smoothing in the camera, read as a share
SMOOTHED_AWAY = 1.2  # noise before smoothing in the camera over noise after it, on the whole
FLAT_SHARE = 0.35  # JPEG rounds off about this of a step, rms, and may have hidden as much noise
FILTER = np.array([[1, -2, 1], [-2, 4, -2], [1, -2, 1]], np.float32)


@dataclass(frozen=True, slots=True, kw_only=True)
class Noise:
    """Variance of linear luma (white = 1) as read plus photon × level.

    Attributes
    ----------
    read, photon : float
        Variance at level 0, and its growth with the level.
    low_factor, high_factor : float
        Ends of the 90 % interval of the standard deviation, over its value.
    source : {"image", "iso", "image and iso"}
        What it rests on.
    """

    read: float
    photon: float
    low_factor: float
    high_factor: float
    source: str

    def contrast_at(self, level: float) -> Measured:
        """Return standard deviation over mean at a level.

        Parameters
        ----------
        level : float
            Linear luma, > 0, white = 1.

        Returns
        -------
        Measured
            Noise contrast per pixel.
        """
        level = max(level, 1e-4)
        value = float(np.sqrt(self.read + self.photon * level) / level)
        return Measured(value=value, low=value * self.low_factor, high=value * self.high_factor)


def measure_noise(
    windows: Sequence[LumaWindow],
    *,
    iso: float | None,
    quantization: NDArray[np.float64] | None,
    pitch_um: float | None = None,
) -> Noise | None:
    """Return the noise of a frame.

    Parameters
    ----------
    windows : sequence of LumaWindow
        Any places of it; flat ones tell most.
    iso : float or None
        EXIF.
    quantization : ndarray or None
        Luma JPEG table; a coarse one hides noise, so that the interval opens upwards.
    pitch_um : float or None
        Distance of pixel centres: a pixel holds electrons by its area. None is taken as
        `REFERENCE_PITCH_UM`.

    Returns
    -------
    Noise or None
        None with neither windows nor ISO.
    """
    read, photon = noise_variance(
        iso=iso if iso is not None and iso > 0 else 100.0,
        pitch_um=REFERENCE_PITCH_UM if pitch_um is None else max(pitch_um, PITCHES_UM[0]),
    )
    seen = [_image_noise(w, quantization) for w in windows]
    ratios = [
        (0.5 * math.log(found.variance / (read + photon * found.level)), found.spread)
        for found in seen
        if found is not None
    ]
    known_iso = iso is not None and iso > 0
    if not ratios and not known_iso:
        return None
    factor, spread = 0.0, ISO_SPREAD
    if ratios:
        factor, spread = sorted(ratios)[len(ratios) // 2]
        if known_iso:
            share = ISO_SPREAD**2 / (ISO_SPREAD**2 + spread**2)
            factor, spread = factor * share, spread * math.sqrt(share)
    scale = math.exp(2 * factor)
    return Noise(
        read=read * scale,
        photon=photon * scale,
        low_factor=math.exp(-1.645 * spread),
        high_factor=math.exp(1.645 * spread),
        source=("image and iso" if known_iso else "image") if ratios else "iso",
    )


@dataclass(frozen=True, slots=True)
class _Seen:
    level: float
    variance: float
    spread: float  # of ln(standard deviation)


def _image_noise(window: LumaWindow, quantization: NDArray[np.float64] | None) -> _Seen | None:
    """Return the noise of a window's quietest blocks, with what the file may hide of it."""
    rows, columns = (n // BLOCK_PX for n in window.luma.shape)
    if rows * columns < 16:
        return None
    size = (rows * BLOCK_PX, columns * BLOCK_PX)
    luma = np.ascontiguousarray(window.luma[: size[0], : size[1]])
    residual = cv2.filter2D(luma, -1, FILTER) ** 2 / FILTER_POWER
    blocks = (rows, BLOCK_PX, columns, BLOCK_PX)
    power = residual.reshape(blocks).mean(axis=(1, 3))
    level = luma.reshape(blocks).mean(axis=(1, 3))
    use = ~window.clipped[: size[0], : size[1]].reshape(blocks).any(axis=(1, 3)) & (level > 1e-4)
    if use.sum() < 16:
        return None
    contrast = (power / level)[use]  # photon noise: variance over level is the same everywhere
    quiet = contrast <= np.quantile(contrast, 2 * FLAT_QUANTILE)
    at = float(level[use][quiet].mean())
    variance = float(np.quantile(contrast, FLAT_QUANTILE)) * at / FLAT_CORRECTION
    hidden = 0.0
    if window.encoding_slope is not None:
        slopes = window.encoding_slope[: size[0], : size[1]].reshape(blocks).mean(axis=(1, 3))
        step2 = 1 / 12 if quantization is None else float(_hidden(quantization))
        hidden = float((slopes[use][quiet] ** 2).mean()) * step2
    if variance + hidden <= 0:
        return None
    spread = IMAGE_SPREAD + 0.3 * math.log((variance + hidden) / max(variance, 0.05 * hidden))
    return _Seen(at, SMOOTHED_AWAY**2 * (variance + 0.5 * hidden), spread)


def _hidden(quantization: NDArray[np.float64]) -> float:
    """Return the noise variance, in codes, that the quantisation may have rounded away."""
    return float(((FLAT_SHARE * quantization) ** 2).mean())


def likely_pitch_um(exposure: Exposure, *, pitch_um: Measured | None, long_edge_px: int) -> float:
    """Return the pixel pitch to expect noise by.

    Parameters
    ----------
    exposure : Exposure
        For the focal length.
    pitch_um : Measured or None
        The pitch, if the file tells it.
    long_edge_px : int
        Long edge of the frame.

    Returns
    -------
    float
        The pitch if known. Else, behind a lens of under 12 mm, that of a sensor on which this
        lens sees as 28 mm do on 36 × 24 mm: phones and small cameras. Else `REFERENCE_PITCH_UM`.
    """
    if pitch_um is not None:
        return pitch_um.value
    focal_mm = exposure.focal_length_mm
    if focal_mm is None or focal_mm >= SHORT_LENS_MM or long_edge_px <= 0:
        return REFERENCE_PITCH_UM
    return 36_000.0 * focal_mm / PHONE_EQUIVALENT_MM / long_edge_px
