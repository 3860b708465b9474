"""A printed sheet as it was found in a frame: where, how large, how it stands, how flat it is.

Points (x, y): mm from the paper's upper left corner as printed, px of the upright frame with pixel
centres at .5.
"""

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from eyeplane.kit.sheet_model import SheetFit
from eyeplane.records import Measured
from eyeplane.records.printed import PrintedSheet

NINETY = 1.645  # standard deviations to either side hold 90 % of a normal spread
FOCAL_LOW, FOCAL_HIGH = 0.85, 1.05  # true focal length, of the one marked: lenses that focus inside
# shorten theirs close up; from memory

BOW_SPREAD = 0.04  # of a bow, as paper is bent round no true parabola: simulated frames

Points = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, eq=False)
class FoundSheet:
    """A sheet in a frame.

    Attributes
    ----------
    sheet : PrintedSheet
        Which it is.
    fit : SheetFit
        Its place in the frame.
    marks : dict
        Number → float [4, 2] px, corners as measured.
    hidden : tuple of int
        Marks that should be in the frame and could not be read.
    blur_px : float
        Median σ of the blur at the marks, the pixel's own area in it.
    contrast : float
        Median contrast of ink and paper at the marks, (paper − ink) / (paper + ink).
    ruler_scale : float
        How much longer the print is than it was drawn.
    pitch_um : float or None
        Distance of pixel centres.
    """

    sheet: PrintedSheet
    fit: SheetFit
    marks: dict[int, Points]
    hidden: tuple[int, ...]
    blur_px: float
    contrast: float
    ruler_scale: float = 1.0
    pitch_um: float | None = None

    def to_px(self, points_mm: Points) -> Points:
        """Return where points of the sheet come in the frame.

        Parameters
        ----------
        points_mm : array_like
            (n, 2) as drawn, whatever the print's scale.

        Returns
        -------
        ndarray
            (n, 2) px.
        """
        return self.fit.model.to_px(np.asarray(points_mm, np.float64))

    def to_mm(self, points_px: Points) -> Points:
        """Return which points of the sheet are seen at points of the frame.

        Parameters
        ----------
        points_px : array_like
            (n, 2) px.

        Returns
        -------
        ndarray
            (n, 2) mm as drawn.
        """
        return self.fit.model.to_mm(np.asarray(points_px, np.float64))

    @property
    def residual_px(self) -> float:
        """Return what the model leaves over at the marks' corners.

        Returns
        -------
        float
            Root mean square along x or y.
        """
        return self.fit.residual_px

    @cached_property
    def scale_px_per_mm(self) -> float:
        """Return how large the sheet is in the frame, at its middle.

        Returns
        -------
        float
            Pixels per mm of the print, both directions together.
        """
        middle = np.array([self.sheet.width_mm, self.sheet.height_mm]) / 2
        ring = middle + np.array([[-1.0, 0.0], [1.0, 0.0], [0.0, -1.0], [0.0, 1.0]])
        left, right, top, low = self.to_px(ring)
        (a, b), (c, d) = (right - left) / 2, (low - top) / 2
        return math.sqrt(abs(a * d - b * c)) / self.ruler_scale

    @cached_property
    def magnification(self) -> float | None:
        """Return image size over object size, at the sheet's middle.

        Returns
        -------
        float or None
            None where the pixel pitch is not known.
        """
        return None if self.pitch_um is None else self.scale_px_per_mm * self.pitch_um / 1000

    @cached_property
    def roll_deg(self) -> Measured:
        """Return how far the sheet is turned in the frame.

        Returns
        -------
        Measured
            Above 0 clockwise, −180 to 180; 90 for a frame held upright.
        """
        return self._angles[0]

    @cached_property
    def tilt_deg(self) -> Measured | None:
        """Return the tilt against the sensor about the sheet's level axis.

        Returns
        -------
        Measured or None
            Above 0: its upper edge is farther away. None where the focal length in pixels is not
            known, and perspective alone cannot tell a tilt.
        """
        return self._angles[1]

    @cached_property
    def turn_deg(self) -> Measured | None:
        """Return the tilt against the sensor about the sheet's upright axis.

        Returns
        -------
        Measured or None
            Above 0: its right edge is farther away. None as for `tilt_deg`.
        """
        return self._angles[2]

    @cached_property
    def distance_mm(self) -> Measured | None:
        """Return how far the sheet's middle is, along the lens's axis.

        Returns
        -------
        Measured or None
            From the lens's front principal plane, which lies somewhere in the lens: f (1 + 1/m).
            The interval allows for what the true focal length may differ from the marked one.
            None where focal length or pitch are not known.
        """
        model = self.fit.model
        if not model.view:
            return None
        distance = float(model.axes()[2][2]) * model.half_mm * self.ruler_scale
        return Measured(value=distance, low=distance * FOCAL_LOW, high=distance * FOCAL_HIGH)

    @cached_property
    def bow_share(self) -> Measured:
        """Return how far the paper is from flat, as a part of its distance.

        Returns
        -------
        Measured
            Sag in the middle of the sheet's long side, over the distance, of a paper bent round
            one axis; 0 for a flat one. Which way it is bent looks like distortion and is not told.
        """
        model = self.fit.model
        q1, q2 = model.bow
        size = math.hypot(q1, q2)
        along = np.array([q1, q2]) / size if size else np.array([1.0, 0.0])
        sd = float(np.sqrt(along @ self.fit.covariance[10:, 10:] @ along))
        # A cylinder z = c u² has q = c / 2; its sag over the half width a is c a².
        reach = 2 * (self.sheet.width_mm / 2 / model.half_mm) ** 2
        if model.view:
            reach *= model.axes()[1]
        sd = math.hypot(sd, BOW_SPREAD * size)
        low, high = max(0.0, size - NINETY * sd), size + NINETY * sd
        return Measured(value=size * reach, low=low * reach, high=high * reach)

    @cached_property
    def bow_mm(self) -> Measured | None:
        """Return how far the paper is from flat.

        Returns
        -------
        Measured or None
            Sag in the middle of its long side; None where the distance is not known.
        """
        if self.distance_mm is None:
            return None
        share, far = self.bow_share, self.distance_mm.value
        return Measured(value=share.value * far, low=share.low * far, high=share.high * far)

    @cached_property
    def _angles(self) -> tuple[Measured, Measured | None, Measured | None]:
        model = self.fit.model
        at = np.degrees(_angles_of(self.fit, model.numbers(), model.view))
        steps = np.sqrt(np.diag(self.fit.covariance)[:8]) + 1e-9
        slopes = np.zeros((3, 12))
        for k, step in enumerate(steps):
            numbers = model.numbers()
            numbers[k] += step
            moved = np.degrees(_angles_of(self.fit, numbers, model.view))
            slopes[:, k] = _wrapped(moved - at) / step
        sd = np.sqrt(np.einsum("ij,jk,ik->i", slopes, self.fit.covariance, slopes))
        low, high = at - NINETY * sd, at + NINETY * sd
        roll = Measured(value=float(at[0]), low=float(low[0]), high=float(high[0]))
        if not model.view:
            return roll, None, None
        ends = [
            _angles_of(self.fit, model.numbers(), model.view * f) for f in (FOCAL_LOW, FOCAL_HIGH)
        ]
        shifts = np.degrees(ends) - at
        below, above = np.minimum(shifts.min(axis=0), 0), np.maximum(shifts.max(axis=0), 0)
        low, high = at - np.hypot(at - low, below), at + np.hypot(high - at, above)
        tilt, turn = (
            Measured(value=float(at[k]), low=float(low[k]), high=float(high[k])) for k in (1, 2)
        )
        return roll, tilt, turn


def _wrapped(angles_deg: Points) -> Points:
    return np.asarray((angles_deg + 180) % 360 - 180)


def _angles_of(fit: SheetFit, numbers: Points, view: float) -> Points:
    """Return roll, tilt and turn in radians: the rotation is roll · tilt · turn."""
    model = replace(fit.model.with_numbers(numbers), view=view or 2.0)
    turned = model.axes()[0]
    tilt = math.asin(min(1.0, max(-1.0, -turned[2, 1])))
    turn = math.atan2(turned[2, 0], turned[2, 2])
    roll = math.atan2(-turned[0, 1], turned[1, 1])
    return np.array([roll, tilt, turn])
