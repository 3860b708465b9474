"""What the blur is: one point spread for one or several windows, or "cannot tell".

Directions count counter-clockwise from +x as seen in the picture.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.imaging import LumaWindow
from eyeplane.measure.abreast import ALONE, Abreast
from eyeplane.measure.bank import DISCS_PX, disc_bank
from eyeplane.measure.edges import EdgeReading, read_edges
from eyeplane.measure.line import BestLine, best_line
from eyeplane.measure.noise import Noise
from eyeplane.measure.profile import measured_size, together
from eyeplane.measure.spectrum import Spectrum, window_spectrum
from eyeplane.measure.support import disc_support
from eyeplane.measure.whittle import fit_parameters, noise_sd, signal_cells
from eyeplane.records import Blur, BlurKind, Measured

LEAST_DISC_PX = 3.0  # below it texture and blur are confounded and disc or line is chance
LEAST_LINE_PX = 5.0  # shorter ones are found in pictures without motion as well
LEAST_MOVE_PX = 3.0  # a likely line from here on keeps a frame from being called unblurred
DOUBT_GAIN = 2.0  # and below which, on either side, nothing is excluded
CALL_GAIN = 4.0  # tempered log-likelihood between disc and line that a call needs
LARGEST_SHARE = 0.3  # of a window's side: the first zero of larger discs lies below 4 cycles of it
DISC_PER_LINE = 0.816  # sqrt(16 / 24): disc of the line's variance, averaged over both axes
LEAST_TEXTURE = 9.0  # contrast over the least noise there must be: less may be coarse grain, which
# looks sharp
LEAST_CELLS = 32  # two rings of signal: less cannot tell blur from the fall of texture
SHARP_PX = 1.0  # an interval that reaches below this may be no blur at all


def measure_blur(
    windows: Sequence[LumaWindow],
    *,
    quantization: NDArray[np.float64] | None,
    noise: Noise | None,
) -> Blur:
    """Return one point spread fitted to all windows together.

    Parameters
    ----------
    windows : sequence of LumaWindow
        Places that share one blur, each 48 px or larger.
    quantization : ndarray or None
        Luma JPEG table [v, u] of the upright frame; None if not a JPEG.
    noise : Noise or None
        Expected noise of the frame.

    Returns
    -------
    Blur
        Kind "cannot tell" with no size where the windows hold too little texture.
    """
    spectra = [window_spectrum(w, quantization=quantization, noise=noise) for w in windows]
    return fit_blur([s for s in spectra if s is not None])


def unknown_blur() -> Blur:
    """Return the blur of a place about which nothing can be said.

    Returns
    -------
    Blur
        "cannot tell", without sizes.
    """
    return Blur(
        kind="cannot tell",
        size_px=None,
        angle_deg=None,
        disc_px=None,
        line_px=None,
        line_angle_deg=None,
        line_gain=0.0,
        sharp_gain=0.0,
    )


def fit_blur(spectra: Sequence[Spectrum], *, lines: bool = True, abreast: Abreast = ALONE) -> Blur:
    """Return the point spread that explains the spectra best.

    Parameters
    ----------
    spectra : sequence of Spectrum
        Of windows that share one blur.
    lines : bool
        Whether motion is considered; without it the answer comes about ten times faster.
    abreast : Abreast
        Who works on the windows.

    Returns
    -------
    Blur
        Kind "cannot tell" with no size where there is too little texture.
    """
    if not spectra:
        return unknown_blur()
    largest = max(LARGEST_SHARE * s.side_px * s.step for s in spectra)
    sizes = DISCS_PX[largest >= DISCS_PX]
    found = abreast.map(lambda s: _fitted(s, len(sizes)), spectra)
    found = [w for w in found if _has_texture(w)]
    if not found:
        return unknown_blur()
    spectra = [w.spectrum for w in found]
    bases = [float(w.logs[0]) for w in found]
    edges = abreast.map(_edges, found)
    discs = together([w.logs for w in found], bases) + disc_support(edges, sizes)
    disc = measured_size(sizes, discs)
    line = best_line(spectra, bases, edges, abreast=abreast) if lines else None
    return _decide(disc, line, none=float(discs[0]), best=float(discs.max()))


@dataclass(frozen=True, slots=True, eq=False)
class _Window:
    spectrum: Spectrum
    logs: NDArray[np.float64]  # of each disc
    best: NDArray[np.float64]  # parameters at the best one


def _fitted(spectrum: Spectrum, count: int) -> _Window:
    bank = disc_bank(spectrum.side_px, spectrum.step)[:count]
    logs, parameters = fit_parameters(spectrum, bank)
    return _Window(spectrum, logs, parameters[int(np.argmax(logs))])


def _edges(window: _Window) -> EdgeReading | None:
    spectrum = window.spectrum
    return read_edges(spectrum.luma, noise_sd=noise_sd(spectrum, window.best))


def _has_texture(window: _Window) -> bool:
    spectrum = window.spectrum
    surely_noise = math.sqrt(spectrum.noise) * math.exp(-1.645 * spectrum.noise_spread)
    if spectrum.texture < LEAST_TEXTURE * surely_noise:
        return False
    model = disc_bank(spectrum.side_px, spectrum.step)[int(np.argmax(window.logs))]
    return signal_cells(spectrum, model, window.best) >= LEAST_CELLS


def _decide(disc: Measured, line: BestLine | None, *, none: float, best: float) -> Blur:
    gain = line.log - best if line is not None else 0.0
    moves = line is not None and gain > DOUBT_GAIN and line.length_px.value >= LEAST_MOVE_PX
    kind: BlurKind = "cannot tell"
    if line is not None and gain > CALL_GAIN and line.length_px.value >= LEAST_LINE_PX:
        kind = "line"
    elif disc.low < SHARP_PX and disc.high < LEAST_DISC_PX and not moves:
        kind = "none"
    elif (
        disc.low >= SHARP_PX
        and disc.value >= LEAST_DISC_PX
        and (line is None or gain < -DOUBT_GAIN)
    ):
        kind = "disc"
    moved = line if kind == "line" else None
    size = disc
    if line is not None and moves and kind == "cannot tell":
        size = _either(disc, line, likely=gain > CALL_GAIN)
    return Blur(
        kind=kind,
        size_px=moved.length_px if moved else size,
        angle_deg=moved.angle_deg if moved else None,
        disc_px=disc,
        line_px=line.length_px if line else None,
        line_angle_deg=line.angle_deg if line else None,
        line_gain=gain,
        sharp_gain=min(0.0, none - max(best, line.log if line else best)),
        disc_beside_px=moved.beside_px if moved else None,
    )


def _either(disc: Measured, line: BestLine, *, likely: bool) -> Measured:
    """Return a disc that stands for either answer: of equal mean spread per axis as the line."""
    length = line.length_px
    return Measured(
        value=DISC_PER_LINE * length.value if likely else disc.value,
        low=min(disc.low, DISC_PER_LINE * length.low),
        high=max(disc.high, DISC_PER_LINE * length.high),
    )
