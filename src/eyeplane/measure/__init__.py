"""Pixels to numbers with their spread: blur, noise, and a whole frame from file to reading."""

from eyeplane.measure.blur import fit_blur, measure_blur, unknown_blur
from eyeplane.measure.frame import measure_frame
from eyeplane.measure.noise import Noise, likely_pitch_um, measure_noise
from eyeplane.measure.spectrum import Spectrum, window_spectrum
from eyeplane.records import MEASURE_VERSION

__all__ = [
    "MEASURE_VERSION",
    "Noise",
    "Spectrum",
    "fit_blur",
    "likely_pitch_um",
    "measure_blur",
    "measure_frame",
    "measure_noise",
    "unknown_blur",
    "window_spectrum",
]
