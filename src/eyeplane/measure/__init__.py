"""Pixels to numbers with their spread: the blur at a place, the noise of a frame."""

from eyeplane.measure.blur import fit_blur, measure_blur, unknown_blur
from eyeplane.measure.noise import Noise, measure_noise
from eyeplane.measure.spectrum import Spectrum, window_spectrum

__all__ = [
    "Noise",
    "Spectrum",
    "fit_blur",
    "measure_blur",
    "measure_noise",
    "unknown_blur",
    "window_spectrum",
]
