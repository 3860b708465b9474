"""Where a folded focus target stands before the camera, read from its fiducials.

Points on the paper are (x, y) mm as printed, points in the frame (x, y) px, y down in both. Behind
the lens everything counts in px: the image lies `image_distance_px` from it. Depths are mm along
the lens axis, away from the camera.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import optimize

from eyeplane.errors import InputError
from eyeplane.kit.focus_layout import WINGS, FocusLayout, Panel
from eyeplane.records.printed import PrintedSheet

Array = NDArray[np.float64]

FOLD_SHIFT_MM, FOLD_SKEW_RAD = 0.7, 0.02  # how true people fold along a line, sd; no source
RADIAL_SD = 0.03  # of the distortion at half the frame's diagonal; from memory: portrait lenses .01
KNOWN_SHARE = 0.05  # of the image distance where EXIF gives it: lenses breathe; sd, from memory
UNKNOWN_SHARE = 0.7  # where it does not: 24 to 200 mm on the same sensor; sd of the logarithm
GUESS_DIAGONALS = 2.0  # 85 mm on 36 × 24 mm
CORNER_PX = 0.15  # error of a corner of a fiducial, sd; from memory
FEWEST_MIDDLE = 3  # fiducials of the middle panel: fewer leave its tilt open
CURVED_SHARE = 0.002  # of the sheet's width in px: corners farther off than this mean a curl
LEAST_FOLD_DEG, MOST_FOLD_DEG = 20.0, 65.0  # outside a wing has no depth, or no breadth to see
MOST_TILT_DEG = 25.0
TRIAL_DEG = np.arange(-75.0, 76.0, 7.5)
ASIDE = np.array([-1.0, 1.0, 1.0, -1.0])  # which way the wings lie, in the order of `WINGS`
SHARED = 8  # turn (3), shift (3), logarithm of the image distance, distortion; then 3 a wing


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TargetPose:
    """How a focus target stands.

    Attributes
    ----------
    layout : FocusLayout
        Of its paper.
    size_px : tuple of int
        Width and height of the frame.
    mm_scale : float
        True mm for a mm as designed, of the print.
    parameters : ndarray
        Turn (3, rad), shift (3, mm), logarithm of the image distance in px, distortion; then for
        each wing its angle (rad, + away from the camera), shift (mm) and skew (rad) of its fold.
    covariance : ndarray
        Of these.
    residual_px : float
        Root mean square of what is left at the fiducials' corners.
    marks : int
        Fiducials used.
    wings : tuple of str
        Wings that hold any of them.
    """

    layout: FocusLayout
    size_px: tuple[int, int]
    mm_scale: float
    parameters: Array
    covariance: Array
    residual_px: float
    marks: int
    wings: tuple[Panel, ...]

    @property
    def image_distance_px(self) -> float:
        """Return the distance of the image from the lens.

        Returns
        -------
        float
            In px.
        """
        return float(np.exp(self.parameters[6]))

    @property
    def distance_mm(self) -> float:
        """Return how far the middle of the field lies from the lens, along its axis.

        Returns
        -------
        float
            In mm.
        """
        return float(self.depths_mm(np.array([self.layout.middle_mm]))[0])

    @property
    def tilt_deg(self) -> float:
        """Return the angle between the middle panel and the sensor.

        Returns
        -------
        float
            0..90.
        """
        turn, _ = cv2.Rodrigues(self.parameters[:3])
        return math.degrees(math.acos(min(1.0, abs(float(turn[2, 2])))))

    def fold_deg(self, wing: Panel) -> float:
        """Return how far a wing is folded.

        Parameters
        ----------
        wing : str
            One of `WINGS`.

        Returns
        -------
        float
            + away from the camera.
        """
        return math.degrees(float(self.parameters[SHARED + 3 * WINGS.index(wing)]))

    def to_px(self, points_mm: Array) -> Array:
        """Return where points of the paper lie in the frame.

        Parameters
        ----------
        points_mm : ndarray
            Of (n, 2), as printed.

        Returns
        -------
        ndarray
            Of (n, 2).
        """
        solid = _solid(self.layout, self.parameters, points_mm, self.mm_scale)
        return _projected(self.parameters, solid, self.size_px)

    def depths_mm(self, points_mm: Array, parameters: Array | None = None) -> Array:
        """Return how far points of the paper lie from the lens, along its axis.

        Parameters
        ----------
        points_mm : ndarray
            Of (n, 2), as printed.
        parameters : ndarray, optional
            Others than the best, to see what they change.

        Returns
        -------
        ndarray
            Of n, in mm.
        """
        own = self.parameters if parameters is None else parameters
        return np.asarray(_solid(self.layout, own, points_mm, self.mm_scale)[:, 2])


def _sides(layout: FocusLayout, points_mm: Array) -> NDArray[np.intp]:
    """Return the place in `WINGS` of each point's wing, −1 in the middle panel."""
    x, y = points_mm.T
    lower = y >= layout.cut_mm
    left = np.where(lower, 3, 0)
    right = np.where(lower, 2, 1)
    return np.where(x < layout.left_mm, left, np.where(x > layout.right_mm, right, -1))


def _solid(layout: FocusLayout, parameters: Array, points_mm: Array, mm_scale: float) -> Array:
    """Return points of the folded sheet as the camera sees them: right, down, away."""
    wing = _sides(layout, points_mm)
    about = (points_mm - np.array(layout.middle_mm)) * mm_scale
    half = mm_scale * (layout.right_mm - layout.left_mm) / 2
    x, y = about.T
    z = np.zeros_like(x)
    for k, aside in enumerate(ASIDE):
        on = wing == k
        if not on.any():
            continue
        angle, shift, skew = parameters[SHARED + 3 * k : SHARED + 3 * k + 3]
        fold = half + shift + skew * y[on] * aside
        beyond = aside * x[on] - fold
        x = x.copy()
        x[on] = aside * (fold + beyond * np.cos(angle))
        z[on] = beyond * np.sin(angle)
    turn, _ = cv2.Rodrigues(parameters[:3])
    return np.asarray(np.column_stack([x, y, z]) @ turn.T + parameters[3:6])


def _projected(parameters: Array, solid: Array, size_px: tuple[int, int]) -> Array:
    distance = np.exp(parameters[6])
    away = np.maximum(solid[:, 2:], 1.0)
    flat = distance * solid[:, :2] / away
    half = math.hypot(*size_px) / 2
    bent = flat * (1 + parameters[7] * np.sum(flat**2, axis=1, keepdims=True) / half**2)
    return np.asarray(bent + np.array(size_px) / 2)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Seen:
    """Corners of fiducials on the paper and in the frame."""

    layout: FocusLayout
    size_px: tuple[int, int]
    mm_scale: float
    points_mm: Array
    places_px: Array
    guess_px: float
    guess_share: float

    def residuals(self, parameters: Array) -> Array:
        solid = _solid(self.layout, parameters, self.points_mm, self.mm_scale)
        off = (_projected(parameters, solid, self.size_px) - self.places_px) / CORNER_PX
        folds = parameters[SHARED:].reshape(-1, 3)
        beliefs = [
            (parameters[6] - math.log(self.guess_px)) / self.guess_share,
            parameters[7] / RADIAL_SD,
        ]
        return np.concatenate(
            [
                off.ravel(),
                beliefs,
                folds[:, 1] / FOLD_SHIFT_MM,
                folds[:, 2] / FOLD_SKEW_RAD,
                1e-3 * folds[:, 0],  # keeps the angle of a wing that is not seen
            ]
        )


def target_pose(
    found: Mapping[int, NDArray[np.floating]],
    sheet: PrintedSheet,
    layout: FocusLayout,
    *,
    size_px: tuple[int, int],
    image_distance_px: float | None,
    mm_scale: float = 1.0,
) -> TargetPose:
    """Return how a target stands before the camera.

    Parameters
    ----------
    found : mapping of int to ndarray
        Corners (4, 2) px of the fiducials that were found; foreign numbers are left out.
    sheet : PrintedSheet
        The target.
    layout : FocusLayout
        Its folds.
    size_px : tuple of int
        Width and height of the upright frame.
    image_distance_px : float or None
        Of the image from the lens as EXIF has it; None: read from the perspective alone.
    mm_scale : float
        True mm for a mm as designed.

    Returns
    -------
    TargetPose
        By least squares with a soft end, over all corners at once: both panels of a fold share it.

    Raises
    ------
    InputError
        If too few fiducials of the middle panel are seen.
    """
    marks = [mark for mark in sheet.marks if mark.number in found]
    middle = [m for m in marks if layout.panel_of_mark(m.number) == "middle"]
    if len(middle) < FEWEST_MIDDLE:
        raise InputError(
            f"only {len(middle)} of the 4 corner marks of the middle panel can be read",
            where="focus target",
            hint="Keep the whole sheet in the frame, evenly lit, and come nearer if it is small",
        )
    seen = _Seen(
        layout=layout,
        size_px=size_px,
        mm_scale=mm_scale,
        points_mm=np.concatenate([np.array(m.corners_mm) for m in marks]),
        places_px=np.concatenate([np.asarray(found[m.number], dtype=float) for m in marks]),
        guess_px=image_distance_px or GUESS_DIAGONALS * math.hypot(*size_px),
        guess_share=KNOWN_SHARE if image_distance_px else UNKNOWN_SHARE,
    )
    start = _folds_tried(seen, _start(seen))
    fit = optimize.least_squares(seen.residuals, start, loss="soft_l1", x_scale="jac", max_nfev=60)
    off = seen.residuals(fit.x)[: 2 * len(seen.points_mm)] * CORNER_PX
    residual_px = float(np.sqrt(np.mean(off**2)))
    worse = max(1.0, residual_px / CORNER_PX) ** 2
    wings = {layout.panel_of_mark(m.number) for m in marks}
    return TargetPose(
        layout=layout,
        size_px=size_px,
        mm_scale=mm_scale,
        parameters=np.asarray(fit.x),
        covariance=np.linalg.pinv(fit.jac.T @ fit.jac, hermitian=True) * worse,
        residual_px=residual_px,
        marks=len(marks),
        wings=tuple(w for w in WINGS if w in wings),
    )


def _start(seen: _Seen) -> Array:
    """Return the middle panel's pose by itself."""
    on = _sides(seen.layout, seen.points_mm) < 0
    flat = (seen.points_mm[on] - np.array(seen.layout.middle_mm)) * seen.mm_scale
    width, height = seen.size_px
    lens = np.array(
        [[seen.guess_px, 0, width / 2], [0, seen.guess_px, height / 2], [0, 0, 1]], dtype=float
    )
    _, turn, shift = cv2.solvePnP(
        np.column_stack([flat, np.zeros(len(flat))]),
        np.ascontiguousarray(seen.places_px[on]),
        lens,
        np.zeros(4),
        flags=cv2.SOLVEPNP_IPPE,
    )
    start = np.zeros(SHARED + 3 * len(WINGS))
    start[:3], start[3:6] = turn.ravel(), shift.ravel()
    start[6] = math.log(seen.guess_px)
    return start


def _folds_tried(seen: _Seen, start: Array) -> Array:
    """Return the start with each wing at the angle that fits its own fiducials best."""
    wing = _sides(seen.layout, seen.points_mm)
    start = start.copy()
    for k in range(len(WINGS)):
        on = wing == k
        if not on.any():
            continue
        own = replace(seen, points_mm=seen.points_mm[on], places_px=seen.places_px[on])
        costs = []
        for angle in np.radians(TRIAL_DEG):
            trial = start.copy()
            trial[SHARED + 3 * k] = angle
            costs.append(float(np.sum(np.sqrt(1 + own.residuals(trial) ** 2))))
        start[SHARED + 3 * k] = np.radians(TRIAL_DEG[int(np.argmin(costs))])
    return start


def check_pose(pose: TargetPose) -> None:
    """Refuse a target that cannot tell where the focus lies.

    Parameters
    ----------
    pose : TargetPose
        As read.

    Raises
    ------
    InputError
        If it lies flat, is folded too little or too far, has no wing in front or behind, is not
        flat between its folds, or its middle is turned away from the camera.
    """
    folds = {wing: pose.fold_deg(wing) for wing in pose.wings}
    if folds and all(abs(a) < LEAST_FOLD_DEG / 2 for a in folds.values()):
        raise _refused(
            "the sheet is flat: no wing is folded",
            "Cut and fold it as its lines say, wings at about 45°",
        )
    for wing, angle in folds.items():
        if not LEAST_FOLD_DEG <= abs(angle) <= MOST_FOLD_DEG:
            much = "little" if abs(angle) < LEAST_FOLD_DEG else "far"
            raise _refused(
                f"the {wing} wing is folded too {much}, by {abs(angle):.0f}°",
                f"Fold it to about 45°, anything from {LEAST_FOLD_DEG:.0f}° to "
                f"{MOST_FOLD_DEG:.0f}° will do",
            )
    if not any(a < 0 for a in folds.values()) or not any(a > 0 for a in folds.values()):
        side = "behind" if any(a < 0 for a in folds.values()) else "in front of"
        raise _refused(
            f"no wing {side} the field can be read",
            "Fold upper left and lower right towards the camera, the other two away from it, and "
            "keep all four in the frame and evenly lit",
        )
    if pose.tilt_deg > MOST_TILT_DEG:
        raise _refused(
            f"the middle of the sheet is turned {pose.tilt_deg:.0f}° away from the sensor",
            "Turn it until it faces the camera squarely: on a slant autofocus takes a depth of its "
            "own",
        )
    wide = pose.image_distance_px * pose.layout.width_mm * pose.mm_scale / pose.distance_mm
    if pose.residual_px > max(CURVED_SHARE * wide, 4 * CORNER_PX):
        raise _refused(
            f"the sheet is curled: its marks lie {pose.residual_px:.1f} px off flat panels",
            "Print on thicker paper, or glue it on card, and fold with a ruler",
        )


def _refused(what: str, hint: str) -> InputError:
    return InputError(what, where="focus target", hint=hint)
