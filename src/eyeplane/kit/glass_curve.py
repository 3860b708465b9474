"""The camera's own tone curve in its JPEGs, which nobody tells: how far it may bend an answer."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

SHOULDERS = (0.35, 0.5, 0.75, 1.1, 1.7, 3.0, 1e6)  # light, white = 1, at which half is reached
STRAIGHT = SHOULDERS[-1]  # bends nothing
DEEP_TOE = 1.25  # power that a contrasty picture style puts on the shadows; from memory, .1
SOFT_SHOULDER = 0.7  # light, white = 1, at which a soft style reaches half; from memory, .2
SAME_EV = 0.1  # below it the two frames go through the same piece of the curve
BINS = 40  # of the light of the first frame, each with as many pixels
FLOOR = 0.02  # of the mean light: what is darker is held against this
SURE_RATIO = 0.6  # misfit of a bent curve over that of the straight one, to be believed
BENT_RATIO = 0.5  # misfit of a power law over that of added light: below it the style changed
BENT_POWER = 0.06  # of that power, from 1


@dataclass(frozen=True, slots=True, kw_only=True)
class ToneCurve:
    """A guess at a camera's tone curve: a power in the shadows, a shoulder in the lights.

    Attributes
    ----------
    toe : float
        The power: above 1 it deepens shadows.
    shoulder : float
        Light at which half of the top is reached, white = 1.
    """

    toe: float = 1.0
    shoulder: float = STRAIGHT

    def light(self, shown: Array) -> Array:
        """Return the light behind what a file shows.

        Parameters
        ----------
        shown : ndarray
            Linear light of the file, white = 1.

        Returns
        -------
        ndarray
            Light of the scene, on a scale of its own.
        """
        top = 1 / (1 + self.shoulder**self.toe)
        part = np.clip(shown, 0.0, 1.02) * top
        return np.asarray(self.shoulder * (part / (1 - part)) ** (1 / self.toe))

    def slope(self, shown: Array) -> Array:
        """Return the change of what is shown with the light, where it is shown.

        Parameters
        ----------
        shown : ndarray
            Linear light of the file, white = 1.

        Returns
        -------
        ndarray
            Of the curve itself.
        """
        ends = np.clip(shown, 1e-4, 1.0)
        step = 1e-3 * ends
        rise = self.light(ends + step) - self.light(ends - step)
        return np.asarray(2 * step / rise)


def likely_curve(first: Array, second: Array) -> tuple[ToneCurve, bool]:
    """Return the tone curve that two exposures of one view speak for.

    Parameters
    ----------
    first, second : ndarray
        Light of both where it is known, [n], white = 1.

    Returns
    -------
    tuple of (ToneCurve, bool)
        The curve (straight where both were exposed alike), and whether the style itself differs.

    Notes
    -----
    Behind the right curve the second is a straight line over the first: gain and added light. Held
    against it is a power law, which is what a change of contrast between the two frames makes.
    """
    across, up = _medians(first, second)
    if len(across) < 8:
        return ToneCurve(), False
    ratio = float(np.median(np.log2((up + 1e-6) / (across + 1e-6))))
    curves = [ToneCurve()]
    if abs(ratio) > SAME_EV:
        curves = [ToneCurve(shoulder=one) for one in SHOULDERS]
    misfits = [_misfit(curve, across, up) for curve in curves]
    best = int(np.argmin(misfits))
    if misfits[best] > SURE_RATIO * misfits[-1]:  # a halo bends the line as well, a little
        best = len(curves) - 1
    power, bent = _power(across, up)
    changed = abs(power - 1) > BENT_POWER and bent < BENT_RATIO * misfits[best]
    return curves[best], bool(changed)


def expected_light(first: Array, second: Array, picture: Array) -> Array:
    """Return a picture as the relation of two exposures of one view would show it.

    Parameters
    ----------
    first, second : ndarray
        Light of both where it is known, [n], white = 1.
    picture : ndarray
        The first, of any shape.

    Returns
    -------
    ndarray
        Of the same shape: exposure, tone curve and an even veil of the second are in it.
    """
    from scipy.interpolate import PchipInterpolator  # noqa: PLC0415  slow to load for --help

    across, up = _medians(first, second)
    across, places = np.unique(across, return_index=True)
    up = np.maximum.accumulate(up[places])
    if len(across) < 4:
        return picture * float(second.mean() / max(first.mean(), 1e-9))
    course = PchipInterpolator(across, up)
    shown = np.asarray(course(np.clip(picture, across[0], across[-1])), float)
    ends = (len(across) // 8 + 1, -(len(across) // 8) - 2)
    low = (up[ends[0]] - up[0]) / (across[ends[0]] - across[0])
    high = (up[-1] - up[ends[1]]) / (across[-1] - across[ends[1]])
    shown += low * np.minimum(picture - across[0], 0.0)
    return np.asarray(shown + high * np.maximum(picture - across[-1], 0.0))


def _medians(first: Array, second: Array) -> tuple[Array, Array]:
    order = np.argsort(first)
    parts = np.array_split(order, BINS)
    pairs = [(np.median(first[p]), np.median(second[p])) for p in parts if len(p) > 8]
    if not pairs:
        return np.zeros(0), np.zeros(0)
    across, up = np.array(pairs).T
    keep = (across < 0.9) & (up < 0.9) & (across > 1e-4)
    return across[keep], up[keep]


def _misfit(curve: ToneCurve, across: Array, up: Array) -> float:
    x, y = curve.light(across), curve.light(up)
    weights = curve.slope(up) / (FLOOR * float(up.mean()) + up)
    return _left_over(np.stack([x, np.ones_like(x)], axis=1), y, weights)


def _left_over(columns: Array, values: Array, weights: Array) -> float:
    found, *_ = np.linalg.lstsq(columns * weights[:, None], values * weights, rcond=None)
    away = np.abs((values - columns @ found) * weights)
    return float(np.sqrt(np.mean(away**2))) + 1e-4


def _power(across: Array, up: Array) -> tuple[float, float]:
    x, y = np.log(across), np.log(up + 1e-6)
    weights = up / (FLOOR * float(up.mean()) + up)
    columns = np.stack([x, np.ones_like(x)], axis=1)
    found, *_ = np.linalg.lstsq(columns * weights[:, None], y * weights, rcond=None)
    return float(found[0]), _left_over(columns, y, weights)
