"""From coded pixels to linear-light luma: one table a channel, made once a picture."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Curve = Callable[[NDArray[np.float64]], NDArray[np.float64]]

SRGB_LUMA_WEIGHTS = (0.2126, 0.7152, 0.0722)  # IEC 61966-2-1:1999, CIE Y of the primaries (D65)
ADOBE_LUMA_WEIGHTS = (0.29734, 0.62736, 0.07529)  # Adobe RGB (1998), 2005-05, section 4.3.5.3
ADOBE_GAMMA = 563 / 256  # Adobe RGB (1998), 2005-05, section 4.3.1.2


def srgb_to_linear(code: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return linear light for sRGB codes.

    Parameters
    ----------
    code : ndarray
        0 to 1.

    Returns
    -------
    ndarray
        0 to 1.

    References
    ----------
    IEC 61966-2-1:1999, section 5.2.
    """
    toe = code / 12.92
    return np.where(code <= 0.04045, toe, ((np.maximum(code, 0) + 0.055) / 1.055) ** 2.4)


def linear_to_srgb(linear: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return sRGB codes for linear light.

    Parameters
    ----------
    linear : ndarray
        0 to 1.

    Returns
    -------
    ndarray
        0 to 1.

    References
    ----------
    IEC 61966-2-1:1999, section 5.3.
    """
    toe = linear * 12.92
    head = 1.055 * np.maximum(linear, 0) ** (1 / 2.4) - 0.055
    return np.where(linear <= 0.0031308, toe, head)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tone:
    """How the codes of a picture turn into luminance.

    Attributes
    ----------
    curves : tuple of callable
        Code 0 to 1 → linear 0 to 1, for red, green, blue.
    weights : tuple of float
        Share of each channel in the luminance of white; they sum to 1.
    """

    curves: tuple[Curve, Curve, Curve]
    weights: tuple[float, float, float]

    def tables(self, levels: int) -> NDArray[np.float32]:
        """Return each channel's part of the luma for every code.

        Parameters
        ----------
        levels : int
            256 or 65536.

        Returns
        -------
        ndarray
            Of float32 [3, levels]; the last column sums to 1.
        """
        code = np.linspace(0.0, 1.0, levels)
        rows = [w * c(code) for w, c in zip(self.weights, self.curves, strict=True)]
        return np.asarray(rows, dtype=np.float32)


def _adobe_curve(code: NDArray[np.float64]) -> NDArray[np.float64]:
    return code**ADOBE_GAMMA


def _identity(code: NDArray[np.float64]) -> NDArray[np.float64]:
    return code


SRGB = Tone(curves=(srgb_to_linear,) * 3, weights=SRGB_LUMA_WEIGHTS)
ADOBE_RGB = Tone(curves=(_adobe_curve,) * 3, weights=ADOBE_LUMA_WEIGHTS)
LINEAR = Tone(curves=(_identity,) * 3, weights=SRGB_LUMA_WEIGHTS)
