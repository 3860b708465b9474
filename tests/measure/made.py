"""Pictures made from mathematics: texture with a 1/f amplitude spectrum, and discs drawn on it."""

import numpy as np
from numpy.typing import NDArray

from eyeplane.imaging import LumaWindow
from eyeplane.measure import Noise

Array = NDArray[np.float64]

NOISE = Noise(read=4e-8, photon=1e-6, low_factor=0.6, high_factor=1.7, source="iso")


def natural_texture(side_px: int, rng: np.random.Generator, *, fall: float = 2.3) -> Array:
    """Return linear light of mean 0.2 with a power spectrum f^-fall: mathematics, own source."""
    fy = np.fft.fftfreq(side_px)[:, None]
    fx = np.fft.fftfreq(side_px)[None]
    radius = np.maximum(np.hypot(fy, fx), 1 / side_px)
    spectrum = np.fft.fft2(rng.normal(size=(side_px, side_px))) * radius ** (-fall / 2)
    texture = np.fft.ifft2(spectrum).real
    return np.asarray(0.2 + 0.03 * texture / texture.std())


def spread(picture: Array, transfer: Array) -> Array:
    """Return the picture with its spectrum multiplied, periodic edges."""
    return np.asarray(np.fft.ifft2(np.fft.fft2(picture) * transfer).real)


def frequencies(side_px: int) -> tuple[Array, Array]:
    """Return fx, fy (y up) of `fft2`."""
    fy = -np.fft.fftfreq(side_px)[:, None] + 0 * np.fft.fftfreq(side_px)[None]
    fx = 0 * fy + np.fft.fftfreq(side_px)[None]
    return np.asarray(fx), np.asarray(fy)


def window_of(linear: Array, *, noise_seed: int | None = 0) -> LumaWindow:
    """Return the picture as a window, with noise as `NOISE` says."""
    luma = linear
    if noise_seed is not None:
        sd = np.sqrt(NOISE.read + NOISE.photon * np.maximum(linear, 0))
        luma = linear + np.random.default_rng(1000 + noise_seed).normal(size=linear.shape) * sd
    return LumaWindow(
        luma=luma.astype(np.float32),
        clipped=np.asarray(luma >= 0.98),
        x_px=0,
        y_px=0,
        encoding_slope=None,
    )
