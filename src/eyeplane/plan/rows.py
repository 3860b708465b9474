"""Where everybody of a group is: rows in depth, faces across, eyes in height."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError
from eyeplane.optics import blur_circle_um, focus_between_mm
from eyeplane.plan import arc
from eyeplane.plan.blurs import image_distance_mm
from eyeplane.records import GroupRequest

FloatArray = NDArray[np.float64]

MOST_ROWS, MOST_FACES = 12, 40  # beyond these the picture is no portrait; our own
# Height of the eyes above those of the front row, adults: sitting on a chair 1.20 m, standing
# 1.58 m; from memory, spread 60 mm.
STANDING_ABOVE_MM = 380.0
HALF_HEAD_MM = 100.0  # mm from an eye's middle to the edge of the head, hair included; from memory
# A head's width and some air, faces closer than this hide each other; from memory.
LEAST_FACE_SPACING_MM = 150.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seating:
    """Where everybody is; arrays over people, front row first, left to right.

    Attributes
    ----------
    row, place : ndarray of int
        From 1.
    across_mm : ndarray
        Beside the lens axis, + to the right.
    above_mm : ndarray
        Above the lens axis, which passes half-way between the lowest and the highest eyes.
    distance_mm : ndarray
        From the lens, along its axis.
    effective_mm : ndarray
        The same, less the bend of the surface in focus: the distance on the lens axis at which an
        eye is as sharp as this one.
    """

    row: NDArray[np.int64]
    place: NDArray[np.int64]
    across_mm: FloatArray
    above_mm: FloatArray
    distance_mm: FloatArray
    effective_mm: FloatArray

    @property
    def people(self) -> int:
        """Return how many people there are.

        Returns
        -------
        int
            Rows times faces.
        """
        return int(self.row.size)

    @property
    def near_mm(self) -> float:
        """Return the nearest effective distance.

        Returns
        -------
        float
            In mm from the lens.
        """
        return float(self.effective_mm.min())

    @property
    def far_mm(self) -> float:
        """Return the farthest effective distance.

        Returns
        -------
        float
            In mm from the lens.
        """
        return float(self.effective_mm.max())

    @property
    def plane_mm(self) -> float:
        """Return the best focus plane: nearest and farthest blurred alike.

        Returns
        -------
        float
            Their harmonic mean 2 a b / (a + b), in mm from the lens.
        """
        return focus_between_mm(near_mm=self.near_mm, far_mm=self.far_mm)


def seating(request: GroupRequest) -> Seating:
    """Return where everybody of a group is.

    Parameters
    ----------
    request : GroupRequest
        The group.

    Returns
    -------
    Seating
        Rows × faces people. Depth counts along the lens axis. On an arc the middle of a row is
        where the straight row would be, and its ends come nearer.

    Raises
    ------
    InputError
        If a number is out of range, an arc is too tight for its row, or somebody would be nearer
        than the lens focuses.

    Notes
    -----
    Every row is centred on the lens axis; in life the faces behind look through the gaps, which
    moves them by half a face sideways and changes no depth in straight rows. Where the lens's
    surface in focus has a radius, an eye beside the axis counts as farther by the sag of that
    surface (edges that bend towards the camera), or nearer (away from it).
    """
    _check(request)
    rows, faces = request.rows, request.faces_per_row
    row = np.repeat(np.arange(1, rows + 1), faces)
    place = np.tile(np.arange(1, faces + 1), rows)
    along = (place - (faces + 1) / 2.0) * request.face_spacing_mm
    across, nearer = arc.bend(along, radius_mm=request.arc_radius_mm)
    distance = request.distance_mm + (row - 1) * request.row_spacing_mm - nearer
    above = _heights(request, row)
    effective = distance + arc.field_sag_mm(
        np.hypot(across, above), radius_mm=request.kit.field_radius_mm
    )
    found = Seating(
        row=row,
        place=place,
        across_mm=across,
        above_mm=above,
        distance_mm=distance,
        effective_mm=effective,
    )
    _check_near(request, found)
    return found


def f_number_for(where: Seating, *, focal_length_mm: float, circle_um: float) -> float:
    """Return the widest aperture at which nobody's disc is larger than a circle.

    Parameters
    ----------
    where : Seating
        The people; the focus lies at their best plane.
    focal_length_mm : float
        Focal length, > 0.
    circle_um : float
        Largest disc allowed, on the sensor, > 0.

    Returns
    -------
    float
        The f-number, not rounded to a stop; 0 where all are equally far.

    Notes
    -----
    At a fixed focus the disc goes with 1 / f-number, and at the best plane nearest and farthest
    have the same. Diffraction is not in it.
    """
    wide_open_um = blur_circle_um(
        focal_length_mm=focal_length_mm,
        f_number=1.0,
        focus_distance_mm=where.plane_mm,
        subject_distance_mm=where.far_mm,
    )
    return wide_open_um / circle_um


def outside_frame_mm(request: GroupRequest, where: Seating) -> float:
    """Return how far the camera must step back for everybody's head to be in the frame.

    Parameters
    ----------
    request : GroupRequest
        For lens and sensor, held level.
    where : Seating
        The people.

    Returns
    -------
    float
        In mm; 0 where all heads are inside.

    Notes
    -----
    The frame takes in half the sensor's long side, times distance over image distance, to either
    side of the lens axis. Heights are left out.
    """
    kit = request.kit
    image_mm = image_distance_mm(kit, focus_mm=where.plane_mm)
    needed = (np.abs(where.across_mm) + HALF_HEAD_MM) * 2.0 * image_mm / kit.sensor_long_mm
    return max(float((needed - where.distance_mm).max()), 0.0)


def half_frame_mm(request: GroupRequest, where: Seating) -> float:
    """Return how far to either side the frame reaches at the focus plane.

    Parameters
    ----------
    request : GroupRequest
        For lens and sensor, held level.
    where : Seating
        The people; the focus lies at their best plane.

    Returns
    -------
    float
        In mm.
    """
    image_mm = image_distance_mm(request.kit, focus_mm=where.plane_mm)
    return 0.5 * request.kit.sensor_long_mm * where.plane_mm / image_mm


def moved(where: Seating, towards_mm: FloatArray) -> Seating:
    """Return the same people after each has moved along the lens axis.

    Parameters
    ----------
    where : Seating
        Before.
    towards_mm : ndarray
        How far each moves towards the camera, in mm.

    Returns
    -------
    Seating
        After.
    """
    return Seating(
        row=where.row,
        place=where.place,
        across_mm=where.across_mm,
        above_mm=where.above_mm,
        distance_mm=where.distance_mm - towards_mm,
        effective_mm=where.effective_mm - towards_mm,
    )


def _heights(request: GroupRequest, row: NDArray[np.int64]) -> FloatArray:
    """Return the heights of the eyes about their middle: a front row sits if those behind stand."""
    if not request.standing or request.rows == 1:
        return np.zeros(row.shape)
    return np.where(row == 1, -0.5, 0.5) * STANDING_ABOVE_MM


def _check(request: GroupRequest) -> None:
    whole = (
        ("rows", request.rows, MOST_ROWS),
        ("faces_per_row", request.faces_per_row, MOST_FACES),
    )
    for name, count, most in whole:
        if not 1 <= count <= most:
            raise InputError(
                f"{count} is not between 1 and {most}", where=name, hint="Give a whole number"
            )
    for name, size, least in (
        ("distance_mm", request.distance_mm, 0.0),
        ("row_spacing_mm", request.row_spacing_mm, 0.0),
        ("face_spacing_mm", request.face_spacing_mm, LEAST_FACE_SPACING_MM),
    ):
        if not (math.isfinite(size) and size > least):
            raise InputError(
                f"{size} mm is not above {least:g} mm", where=name, hint="Give a length, say 60cm"
            )


def _check_near(request: GroupRequest, where: Seating) -> None:
    nearest = float(min(where.distance_mm.min(), where.effective_mm.min()))
    focal, limit = request.kit.focal_length_mm, request.kit.near_limit_mm
    if nearest <= 0.0:
        raise InputError(
            f"an arc so tight at {request.distance_mm / 1000:.1f} m brings the ends of the row "
            "beside the camera",
            where="arc_radius_mm",
            hint="Step back, or use a larger radius",
        )
    if not nearest > 2.0 * focal:
        raise InputError(
            f"the nearest face, at {nearest:.0f} mm, is too near for a lens of {focal:g} mm",
            where="distance_mm",
            hint="Step back, or use a flatter arc",
        )
    if limit is not None and nearest < limit:
        raise InputError(
            f"the nearest face, at {nearest / 10:.0f} cm, is nearer than the lens focuses, "
            f"{limit / 10:.0f} cm",
            where="distance_mm",
            hint="Step back, or use a flatter arc",
        )
