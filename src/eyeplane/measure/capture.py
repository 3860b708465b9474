"""How soft the capture itself is: one spread for a frame, told by its sharpest places.

Demosaicking, the camera's own sharpening and the lens at its best soften every place of a frame
alike, and blur of 1 to 3 px cannot be told from it by one window. But no place can be sharper than
the capture: the sharpest windows of a frame bound it from above.
"""

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.measure.abreast import ALONE, Abreast
from eyeplane.measure.profile import TEMPER
from eyeplane.measure.spectrum import (
    USUAL_CAPTURE_PX2,
    USUAL_CAPTURE_SD_PX2,
    Spectrum,
    grid_for,
)
from eyeplane.measure.whittle import fit_parameters, signal_cells

SPREADS_PX2 = np.arange(
    -0.25, 0.4501, 0.05
)  # of a Gaussian, squared, each axis; below 0: sharpened
SHARPENED_PX2 = 0.03  # below 0 the prior falls by e for each of these: by sharpening in the camera
MOST_WEIGHT = 4.0  # log-likelihood that one window may add: no single window decides
TEXTURE_SD_PX2 = 0.03  # real texture bends the fall of the spectrum by as much, in a 192 px window
TEXTURE_SIDE_PX = 192.0
LEAST_CELLS = 32  # of signal, as for blur


@dataclass(frozen=True, slots=True, kw_only=True)
class Capture:
    """The softness of the capture.

    Attributes
    ----------
    spread_px2, sd_px2 : float
        Squared Gaussian spread a axis and its standard deviation; below 0 where the camera
        sharpened.
    """

    spread_px2: float = USUAL_CAPTURE_PX2
    sd_px2: float = USUAL_CAPTURE_SD_PX2

    def of(self, spectrum: Spectrum) -> Spectrum:
        """Return a window that is to be read with this capture.

        Parameters
        ----------
        spectrum : Spectrum
            One window.

        Returns
        -------
        Spectrum
            A copy.
        """
        return replace(spectrum, capture_px2=self.spread_px2, capture_sd_px2=self.sd_px2)


def capture_of(spectra: Sequence[Spectrum], *, abreast: Abreast = ALONE) -> Capture:
    """Return the softness of the capture that all windows of a frame share.

    Parameters
    ----------
    spectra : sequence of Spectrum
        Windows of one frame, in any order, sharp and soft.
    abreast : Abreast
        Who works on them.

    Returns
    -------
    Capture
        What is usual where there is no window with texture.

    Notes
    -----
    Each window's spread is the capture's plus blur, so its likelihood bounds the capture from
    above only; the bounds multiply.
    """
    log = _prior()
    for bound in abreast.map(_bound, spectra):
        if bound is not None:
            log = log + bound
    mass = np.exp(log - log.max())
    mass /= mass.sum()
    mean = float(mass @ SPREADS_PX2)
    return Capture(spread_px2=mean, sd_px2=math.sqrt(float(mass @ (SPREADS_PX2 - mean) ** 2)))


def _prior() -> NDArray[np.float64]:
    usual = -0.5 * ((SPREADS_PX2 - USUAL_CAPTURE_PX2) / USUAL_CAPTURE_SD_PX2) ** 2
    sharpened = -0.5 * (USUAL_CAPTURE_PX2 / USUAL_CAPTURE_SD_PX2) ** 2 + SPREADS_PX2 / SHARPENED_PX2
    return np.asarray(np.where(SPREADS_PX2 < 0, sharpened, usual))


def _bound(spectrum: Spectrum) -> NDArray[np.float64] | None:
    """Return the log-likelihood of each spread of the capture by one window, at most 0."""
    models = _models(spectrum.side_px, spectrum.step)
    bare = replace(spectrum, capture_px2=0.0, capture_sd_px2=1e-4)
    logs, found = fit_parameters(bare, models, rough=True)
    best = int(np.argmax(logs))
    if signal_cells(spectrum, models[best], found[best]) < LEAST_CELLS:
        return None
    likely = _softened(np.exp(TEMPER * (logs - logs.max())), spectrum.side_px)
    # However much blur there is on top: the best over all larger spreads.
    bound = np.maximum.accumulate(np.log(likely / likely.max())[::-1])[::-1]
    return np.asarray(np.maximum(bound, -MOST_WEIGHT))


def _softened(likely: NDArray[np.float64], side_px: int) -> NDArray[np.float64]:
    """Return a likelihood widened by what texture bends: more in small windows."""
    spread = TEXTURE_SD_PX2 * TEXTURE_SIDE_PX / side_px
    off = SPREADS_PX2[:, None] - SPREADS_PX2[None]
    weight = np.exp(-0.5 * (off / spread) ** 2)
    weight /= weight.sum(axis=1, keepdims=True)
    return np.maximum(weight @ likely, 1e-12)


@functools.lru_cache(maxsize=64)
def _models(side_px: int, step: int) -> NDArray[np.float64]:
    """Return [spreads, angles, rings], squared transfer of Gaussians."""
    grid = grid_for(side_px)
    radius2 = grid.sample_x**2 + grid.sample_y**2
    rows = [
        (np.exp(-4 * math.pi**2 * s / step**2 * radius2) * grid.sample_weight).sum(axis=1)
        for s in SPREADS_PX2
    ]
    models = np.reshape(rows, (len(rows), *grid.counts.shape))
    return np.ascontiguousarray(models.transpose(0, 2, 1))
