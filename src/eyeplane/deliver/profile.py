"""The outline of a head seen from the side, turned by the measured yaw: for drawing only.

A head is a pile of level slices, each an ellipse with the midline of the face before it. Turned
about the vertical axis, a slice reaches from its nearest to its farthest point along the lens axis;
those ends, slice by slice, are the outline. Lengths in mm, z along the lens axis, + away from the
camera, from the plane of the irises in a head that faces the camera; y down from the irises.
"""

import math

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

TOP_MM, BOTTOM_MM = -46.0, 74.0  # what is drawn: forehead to below the lips
HALF_EYE_DISTANCE_MM = 31.5  # half of 63 mm between pupils, adults, from memory

# Midline of a face (y, z), a round adult average for drawing, from memory: forehead, brow, root of
# the nose, bridge, tip, below the nose, upper lip, mouth, lower lip, hollow above the chin, chin.
_MIDLINE = (
    *((-46.0, -9.0), (-34.0, -14.0), (-22.0, -16.0), (-8.0, -11.0), (6.0, -18.0), (18.0, -26.0)),
    *((25.0, -32.0), (29.0, -33.0), (33.0, -29.0), (37.0, -19.0), (44.0, -20.0), (50.0, -23.5)),
    *((54.5, -21.0), (57.0, -17.5), (59.5, -20.0), (65.0, -19.0), (70.0, -13.0), (74.0, -13.5)),
)
# Slices (y, front, back, half width): the ellipse behind the midline, from memory.
_SLICES = (
    *((-46.0, -5.0, 168.0, 74.0), (-20.0, -3.0, 172.0, 75.0), (0.0, 4.0, 168.0, 72.0)),
    *((20.0, -1.0, 158.0, 70.0), (40.0, -4.0, 140.0, 65.0), (58.0, -6.0, 124.0, 58.0)),
    *((74.0, -4.0, 116.0, 52.0),),
)
_NOSE_TIP_MM = -33.0


def head_outline(
    *, yaw_deg: float, nose_tip_mm: float | None
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the near and the far outline of a head seen from the side.

    Parameters
    ----------
    yaw_deg : float
        Turn about the vertical axis; only its size matters.
    nose_tip_mm : float or None
        Measured depth of the nose tip relative to the near iris; the drawn nose is fitted to it.

    Returns
    -------
    tuple of ndarray, shape (n, 2)
        Face and back of the head, points (depth in mm relative to the near iris, y in mm, + down).
    """
    yaw = math.radians(min(abs(yaw_deg), 90.0))
    cosine, sine = math.cos(yaw), math.sin(yaw)
    shift = HALF_EYE_DISTANCE_MM * sine
    y = np.arange(TOP_MM, BOTTOM_MM + 0.5, 1.0)
    rows = np.array(_SLICES)
    front, back, half_width = (np.interp(y, rows[:, 0], rows[:, k]) for k in (1, 2, 3))
    middle, half = (front + back) / 2, (back - front) / 2
    extent = np.hypot(half * cosine, half_width * sine)
    midline = np.array(_MIDLINE)
    bridge = PchipInterpolator(midline[:, 0], midline[:, 1])(y)
    bridge = bridge * _nose_gain(cosine, shift, nose_tip_mm)
    face = np.minimum(bridge * cosine, middle * cosine - extent) + shift
    rear = middle * cosine + extent + shift
    return np.column_stack([_smooth(face, 5), y]), np.column_stack([_smooth(rear, 31), y])


def _nose_gain(cosine: float, shift: float, nose_tip_mm: float | None) -> float:
    """Return how much more the midline must stand out for the nose tip to lie where measured."""
    if nose_tip_mm is None or cosine < 0.2:
        return 1.0
    return min(max((nose_tip_mm - shift) / (_NOSE_TIP_MM * cosine), 0.6), 1.5)


def _smooth(values: NDArray[np.float64], width: int) -> NDArray[np.float64]:
    """Return a running mean over so many rows, an odd number; the ends keep their slope."""
    half = width // 2
    padded = np.pad(values, half, mode="reflect", reflect_type="odd")
    return np.convolve(padded, np.full(width, 1 / width), mode="valid")
