"""Where points of a printed sheet come in a frame: perspective, radial distortion, a bow.

Sheet points (X, Y) in mm from the paper's middle, in units of half its diagonal; frame points in
px, or in units of half the frame's diagonal from its middle. A point first goes through the
homography H, its depth changed by z = q₁ (X² − Y²) + q₂ · 2XY along the sheet's normal, then away
from the middle by 1 + k₁ρ² + k₂ρ⁴. Of a bow only this part can be told from distortion: the rest,
X² + Y², looks like k₁.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import optimize

USUAL_K1 = 0.05  # spread of k₁ and k₂ of photographic lenses: 2 % barrel is −.02; from memory
USUAL_K2 = 0.03
USUAL_BOW = 0.02  # spread of q: a sag of 4 % of the paper's half diagonal
ROBUST = 3.0  # standard deviations beyond which a corner counts less (soft L1)
FEWEST_CORNERS = 16  # of four marks; fewer leave bow and distortion to what is usual

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SheetModel:
    """A sheet in a frame.

    Attributes
    ----------
    size_px : tuple of int
        Width and height of the frame.
    size_mm : tuple of float
        Width and height of the paper.
    homography : ndarray
        [3, 3] from sheet units to frame units, last number 1.
    distortion : tuple of float
        First and second radial coefficient, at half the frame's diagonal.
    bow : tuple of float
        The two coefficients of depth, sheet units.
    view : float
        Image distance in frame units (half diagonals); 0: unknown, and then a bow acts along the
        lens's axis and `bow` is in parts of the distance.
    """

    size_px: tuple[int, int]
    size_mm: tuple[float, float]
    homography: Points
    distortion: tuple[float, float] = (0.0, 0.0)
    bow: tuple[float, float] = (0.0, 0.0)
    view: float = 0.0

    @property
    def half_px(self) -> float:
        """Return half the frame's diagonal.

        Returns
        -------
        float
            In px.
        """
        return float(np.hypot(*self.size_px)) / 2

    @property
    def half_mm(self) -> float:
        """Return half the paper's diagonal.

        Returns
        -------
        float
            In mm.
        """
        return float(np.hypot(*self.size_mm)) / 2

    def to_px(self, points_mm: Points) -> Points:
        """Return where points of the paper come in the frame.

        Parameters
        ----------
        points_mm : ndarray
            (n, 2) from the paper's upper left corner.

        Returns
        -------
        ndarray
            (n, 2) px, pixel centres at .5; not a number behind the camera.
        """
        units = (np.asarray(points_mm, np.float64) - np.array(self.size_mm) / 2) / self.half_mm
        plane = self._plane(units)
        rho2 = np.sum(plane**2, axis=1, keepdims=True)
        k1, k2 = self.distortion
        bent = plane * (1 + k1 * rho2 + k2 * rho2**2)
        return np.asarray(bent * self.half_px + np.array(self.size_px) / 2)

    def to_mm(self, points_px: Points) -> Points:
        """Return which points of the paper are seen at points of the frame.

        Parameters
        ----------
        points_px : ndarray
            (n, 2) px.

        Returns
        -------
        ndarray
            (n, 2) mm, by Newton's steps from the homography's inverse.
        """
        asked = np.asarray(points_px, np.float64)
        plane = (asked - np.array(self.size_px) / 2) / self.half_px
        lifted = np.column_stack([plane, np.ones(len(plane))]) @ np.linalg.inv(self.homography).T
        found = lifted[:, :2] / lifted[:, 2:] * self.half_mm + np.array(self.size_mm) / 2
        step = 1e-4 * self.half_mm
        across, along = np.array([step, 0.0]), np.array([0.0, step])
        for _ in range(8):
            here = self.to_px(found)
            right = (self.to_px(found + across) - here) / step
            down = (self.to_px(found + along) - here) / step
            found = found + np.linalg.solve(
                np.stack([right, down], axis=-1), (asked - here)[..., None]
            ).squeeze(-1)
        return np.asarray(found)

    def _plane(self, units: Points) -> Points:
        lifted = np.column_stack([units, np.ones(len(units))]) @ self.homography.T
        if any(self.bow):
            x, y = units.T
            depth = self.bow[0] * (x**2 - y**2) + 2 * self.bow[1] * x * y
            lifted = lifted + depth[:, None] * self._normal()
        w = np.where(lifted[:, 2:] > 0, lifted[:, 2:], np.nan)
        return np.asarray(lifted[:, :2] / w)

    def _normal(self) -> Points:
        """Return how the frame point changes with depth along the sheet's normal."""
        if not self.view:
            return np.array([0.0, 0.0, 1.0])
        zoom = np.array([self.view, self.view, 1.0])
        a, b = (self.homography[:, k] / zoom for k in (0, 1))
        normal = np.array(
            [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
        )
        return np.asarray(normal * zoom / np.sqrt((a @ a + b @ b) / 2))

    def axes(self) -> tuple[Points, float, Points]:
        """Return how the sheet stands, for a known image distance.

        Returns
        -------
        tuple of (ndarray, float, ndarray)
            Rotation [3, 3] from sheet to camera axes (x right, y down, z away), the scale by which
            the homography must be divided, and the sheet's middle in sheet units, from the lens.

        Notes
        -----
        H ∝ diag(v, v, 1) [r₁ r₂ t]: its first two columns give the directions of the sheet's
        sides, made exactly upright to one another by the nearest rotation (singular values).
        """
        rays = self.homography / np.array([[self.view], [self.view], [1.0]])
        scale = float(np.mean(np.linalg.norm(rays[:, :2], axis=0)))
        first, second, place = rays.T / scale
        left, _, right = np.linalg.svd(np.column_stack([first, second, np.cross(first, second)]))
        return np.asarray(left @ right), scale, place

    def numbers(self) -> Points:
        """Return what is fitted, as one row.

        Returns
        -------
        ndarray
            Eight of the homography, two of distortion, two of the bow.
        """
        return np.concatenate([self.homography.ravel()[:8], self.distortion, self.bow])

    def with_numbers(self, numbers: Points) -> "SheetModel":
        """Return the model with other numbers.

        Parameters
        ----------
        numbers : ndarray
            Twelve, as `numbers` returns them.

        Returns
        -------
        SheetModel
            For the same frame and paper.
        """
        return replace(
            self,
            homography=np.append(numbers[:8], 1.0).reshape(3, 3),
            distortion=(float(numbers[8]), float(numbers[9])),
            bow=(float(numbers[10]), float(numbers[11])),
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SheetFit:
    """A fitted model.

    Attributes
    ----------
    model : SheetModel
        The model.
    covariance : ndarray
        [12, 12] of its numbers; what the corners leave over is in it.
    residual_px : float
        Root mean square of what is left over at the corners, along x or y.
    """

    model: SheetModel
    covariance: Points
    residual_px: float


def fit_sheet(start: SheetModel, corners_mm: Points, corners_px: Points, sd_px: Points) -> SheetFit:
    """Return the model that brings a sheet's corners where they were seen.

    Parameters
    ----------
    start : SheetModel
        To begin with; its image distance stays.
    corners_mm : ndarray
        (n, 2) on the paper.
    corners_px : ndarray
        (n, 2) in the frame.
    sd_px : ndarray
        (n,) standard deviations.

    Returns
    -------
    SheetFit
        By least squares in which far corners count less (soft L1); distortion and bow are held
        near what is usual as far as the corners say nothing of them.
    """
    weights = 1 / np.repeat(sd_px, 2)
    usual = np.array([USUAL_K1, USUAL_K2, USUAL_BOW, USUAL_BOW])
    corners = np.asarray(corners_px, np.float64)

    def off(numbers: Points) -> Points:
        seen = start.with_numbers(numbers).to_px(corners_mm)
        left = np.nan_to_num(seen - corners, nan=1e6).ravel() * weights
        return np.concatenate([left, numbers[8:] / usual])

    found = optimize.least_squares(
        off, start.numbers(), method="trf", loss="soft_l1", f_scale=ROBUST, x_scale="jac"
    )
    model = start.with_numbers(found.x)
    left = (model.to_px(corners_mm) - corners).ravel()
    told = np.minimum(np.abs(left) * weights, 2 * ROBUST)
    spread = max(1.0, float(np.sum(told**2)) / max(1, len(left) - 8))
    inverse = np.linalg.pinv(found.jac.T @ found.jac)
    return SheetFit(
        model=model,
        covariance=np.asarray(inverse * spread),
        residual_px=float(np.sqrt(np.mean(left**2))),
    )
