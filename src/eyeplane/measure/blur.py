"""What the blur is: one point spread for one or several windows, or "cannot tell".

Directions count counter-clockwise from +x as seen in the picture.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.imaging import LumaWindow
from eyeplane.measure.bank import DISCS_PX, LINES_PX, disc_bank, line_bank, line_models
from eyeplane.measure.noise import Noise
from eyeplane.measure.profile import measured_size
from eyeplane.measure.spectrum import ANGLES, Spectrum, window_spectrum
from eyeplane.measure.whittle import fit_models
from eyeplane.records import Blur, BlurKind, Measured

LEAST_DISC_PX = 3.0  # below it texture and blur are confounded and disc or line is chance
LEAST_LINE_PX = 5.0
CALL_GAIN = 4.0  # tempered log-likelihood between disc and line that a call needs
TEMPER = 0.5
LARGEST_SHARE = (
    0.3  # of a window's side: larger discs have their first zero below 4 cycles per window
)
WINDOW_CAP = 200.0
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


def fit_blur(spectra: Sequence[Spectrum], *, lines: bool = True) -> Blur:
    """Return the point spread that explains the spectra best.

    Parameters
    ----------
    spectra : sequence of Spectrum
        Of windows that share one blur.
    lines : bool
        Whether motion is considered; without it the answer comes about ten times faster.

    Returns
    -------
    Blur
        Kind "cannot tell" with no size where there is too little texture.
    """
    if not spectra:
        return unknown_blur()
    single = [fit_models(s, disc_bank(s.side_px, s.step)) for s in spectra]
    bases = [float(logs[0]) for logs in single]
    fits = max(LARGEST_SHARE * s.side_px * s.step for s in spectra) >= DISCS_PX
    sizes, discs = DISCS_PX[fits], _together(single, bases)[fits]
    disc = measured_size(sizes, discs)
    line = _best_line(spectra, bases) if lines else None
    return _decide(disc, line, none=float(discs[0]), best=float(discs.max()))


def _together(logs: Sequence[NDArray[np.float64]], bases: Sequence[float]) -> NDArray[np.float64]:
    """Return the tempered sum over windows, none of which may count without end."""
    parts = [p - b for p, b in zip(logs, bases, strict=True)]
    return np.asarray(
        TEMPER * sum(np.sign(p) * WINDOW_CAP * np.log1p(np.abs(p) / WINDOW_CAP) for p in parts)
    )


@dataclass(frozen=True, slots=True)
class _Line:
    length_px: Measured
    angle_deg: float
    log: float


def _best_line(spectra: Sequence[Spectrum], bases: Sequence[float]) -> _Line:
    def profile(lines: list[tuple[float, float, float]]) -> NDArray[np.float64]:
        return _together(
            [fit_models(s, line_models(s.side_px, s.step, lines)) for s in spectra], bases
        )

    coarse = _together([fit_models(s, line_bank(s.side_px, s.step)) for s in spectra], bases)
    row, column = divmod(int(np.argmax(coarse)), ANGLES)
    length, angle = LINES_PX[row], (column + 0.5) * math.pi / ANGLES
    turns = np.linspace(-0.75, 0.75, 7) * math.pi / ANGLES
    angle += _peak(turns, profile([(length, angle + t, 0.0) for t in turns]))
    lengths = length * np.geomspace(0.6, 1.7, 15)
    logs = profile([(x, angle, 0.0) for x in lengths])
    return _Line(measured_size(lengths, logs), math.degrees(angle) % 180.0, float(logs.max()))


def _peak(at: NDArray[np.float64], logs: NDArray[np.float64]) -> float:
    """Return where a parabola through the largest value and its neighbours peaks."""
    k = min(max(int(np.argmax(logs)), 1), len(at) - 2)
    before, here, after = logs[k - 1 : k + 2]
    bend = before - 2 * here + after
    shift = 0.5 * (before - after) / bend if bend < 0 else 0.0
    return float(at[k] + np.clip(shift, -1.0, 1.0) * (at[1] - at[0]))


def _decide(disc: Measured, line: _Line | None, *, none: float, best: float) -> Blur:
    gain = line.log - best if line is not None else 0.0
    kind: BlurKind = "cannot tell"
    if line is not None and gain > CALL_GAIN and line.length_px.value >= LEAST_LINE_PX:
        kind = "line"
    elif disc.low < SHARP_PX and disc.high < LEAST_DISC_PX:
        kind = "none"
    elif disc.low >= SHARP_PX and disc.value >= LEAST_DISC_PX and gain < -CALL_GAIN:
        kind = "disc"
    moved = line if kind == "line" else None
    return Blur(
        kind=kind,
        size_px=moved.length_px if moved else disc,
        angle_deg=moved.angle_deg if moved else None,
        disc_px=disc,
        line_px=line.length_px if line else None,
        line_angle_deg=line.angle_deg if line else None,
        line_gain=gain,
        sharp_gain=min(0.0, none - max(best, line.log if line else best)),
    )
