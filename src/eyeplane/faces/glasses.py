"""Whether a sitter wears glasses: by the frame's bridge over the nose and its rims on the cheeks.

Points are (x, y) in the upright frame, arrays [y, x]; millimetres count from the middle between the
irises, x to the right and y down on a head turned upright.
"""

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import cv2
import numpy as np

from eyeplane.faces.view import FrameView, Square
from eyeplane.people import glasses_frame_depth
from eyeplane.records import Landmark

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from eyeplane.imaging import Picture
    from eyeplane.records import Face

MM_PER_SAMPLE = 0.35  # a thin metal rim of 1 mm is three samples wide
SIDE = 320  # samples: 112 mm
LARGEST_MM_PER_PX = 0.6  # coarser frames show no thin rim
MOST_YAW_DEG = 35.0  # beyond it the bridge is seen against the far eye or the background
LINE_MM = (0.6, 1.0, 1.6)  # widths (standard deviations) at which lines are looked for
MOST_LINE = 0.35  # logarithm of light; a darker line proves no more
WEAKEST = 0.15  # quantile along a line: it must hold together nearly everywhere
LIGHT_FLOOR = 0.02  # of white; keeps the logarithm from making lines of noise in the dark
# Of 116 bare faces (104 frames of one rendered head, 12 people) the bridge was .053 at most, .085
# with contrast raised by 1.6; of the same faces with glasses drawn on .05 to .35, 95 % above .11.
BRIDGE_WORN = 0.13
BRIDGE_WITH_RIM = 0.09  # enough where a rim shows below an eye as well
RIM_WORN = 0.15  # bare: up to .08, .13 with contrast raised
BARE_BELOW = 0.04  # and neither darker nor lighter lines than this: surely bare
RIM_BARE_BELOW = 0.08
# Fine over coarse detail at the eyes; 0.65 is lost at 2.5 mm of blur, when thin rims fade too.
SHARP_ENOUGH = 0.65
BRIDGE_UP_MM = 3.0  # the bridge sits that much above the irises; from memory


@dataclass(frozen=True, slots=True, kw_only=True)
class GlassesSigns:
    """What tells whether glasses are worn.

    Attributes
    ----------
    bridge : float
        Contrast (logarithm of light) of the best dark line across the nose.
    light : float
        The same for lines lighter than the skin.
    rim : float
        Of the better dark line below an eye.
    sharp : float
        Fine over coarse detail at the eyes.
    """

    bridge: float
    light: float
    rim: float
    sharp: float


def wears_glasses(picture: "Picture", face: "Face") -> bool | None:
    """Return whether a face wears glasses.

    Parameters
    ----------
    picture : Picture
        The frame; only read.
    face : Face
        One of its faces.

    Returns
    -------
    bool or None
        None where it cannot be told: turned by more than `MOST_YAW_DEG`, smaller than
        `LARGEST_MM_PER_PX` allows, too soft, or between the bounds. A wrong "yes" is avoided at
        the cost of thin rims missed.

    Notes
    -----
    A frame crosses the nose between the eyes as one narrow line that holds together from side to
    side; bare skin has no such line there. The line is looked for as the path of most
    curvature of log light across it, at three widths.
    """
    turned = abs(face.yaw_deg.value) > MOST_YAW_DEG
    if turned or face.mm_per_px.value > LARGEST_MM_PER_PX:
        return None
    signs = glasses_signs(picture, face)
    if signs.bridge >= BRIDGE_WORN:
        return True
    if signs.bridge >= BRIDGE_WITH_RIM and signs.rim >= RIM_WORN:
        return True
    bare = max(signs.bridge, signs.light) < BARE_BELOW and signs.rim < RIM_BARE_BELOW
    return False if bare and signs.sharp >= SHARP_ENOUGH else None


def glasses_place(face: "Face") -> Landmark:
    """Return where on a face that wears glasses their frame can be measured: the bridge.

    Parameters
    ----------
    face : Face
        One face.

    Returns
    -------
    Landmark
        Named "glasses", with its depth from the near iris. Nothing else with detail lies within
        a centimetre of the bridge, whereas rims cross brow, lids and lashes.
    """
    depth = glasses_frame_depth()
    ahead = -depth.mean_mm
    yaw, pitch = math.radians(face.yaw_deg.value), math.radians(face.pitch_deg.value)
    left, right = (np.array(eye.iris_px) for eye in face.eyes)
    along = _along(face)
    down = np.array([-along[1], along[0]])
    aside = ahead * math.sin(yaw)
    up = ahead * math.sin(pitch) + BRIDGE_UP_MM * math.cos(pitch)
    at = (left + right) / 2 + (along * aside - down * up) / face.mm_per_px.value
    far = next((m for m in face.landmarks if m.name == "far iris"), None)
    middle, spread = (0.0, 3.0) if far is None else (far.depth_mm / 2, far.depth_sd_mm / 2)
    return Landmark(
        name="glasses",
        at_px=(float(at[0]), float(at[1])),
        depth_mm=middle - ahead * math.cos(yaw) * math.cos(pitch),
        depth_sd_mm=math.hypot(depth.sd_mm, spread),
    )


def _along(face: "Face") -> "NDArray[np.float64]":
    """Return the direction from eye to eye, to the right on a head turned upright."""
    across = np.subtract(face.eyes[1].iris_px, face.eyes[0].iris_px)
    length = float(np.hypot(*across))
    along = across / length if length > 0.0 else np.array([1.0, 0.0])
    return np.asarray(-along if math.cos(math.radians(face.roll_deg.value)) < 0.0 else along)


def glasses_signs(picture: "Picture", face: "Face") -> GlassesSigns:
    """Return what is seen of glasses on a face.

    Parameters
    ----------
    picture : Picture
        The frame.
    face : Face
        One of its faces, not in profile.

    Returns
    -------
    GlassesSigns
        Lines across the nose and below the eyes, and how sharp the eyes are.
    """
    light = _log_light(picture, face)
    yaw = math.radians(face.yaw_deg.value)
    aside, narrow = -glasses_frame_depth().mean_mm * math.sin(yaw), math.cos(yaw)
    apart = float(np.hypot(*np.subtract(face.eyes[1].iris_px, face.eyes[0].iris_px)))
    half = apart / 2 * face.mm_per_px.value
    lines = np.stack([_line(light, width) for width in LINE_MM])
    nose = _cut(lines, (aside - 7 * narrow, aside + 7 * narrow), (-13.0, 9.0))
    cheeks = [
        _cut(lines, (x - 10 * narrow, x + 10 * narrow), (11.0, 27.0))
        for x in (aside - half, aside + half)
    ]
    return GlassesSigns(
        bridge=_together(nose),
        light=_together(-nose),
        rim=max(_together(cheek) for cheek in cheeks),
        sharp=_sharpness(light),
    )


def _log_light(picture: "Picture", face: "Face") -> "NDArray[np.float32]":
    """Return the logarithm of light around the eyes of a head turned upright."""
    left, right = (np.array(eye.iris_px) for eye in face.eyes)
    middle, along = (left + right) / 2, _along(face)
    square = Square(
        x_px=float(middle[0]),
        y_px=float(middle[1]),
        side_px=SIDE * MM_PER_SAMPLE / face.mm_per_px.value,
        turn_rad=math.atan2(along[1], along[0]),
    )
    codes = FrameView(picture).crop(square, SIDE).astype(np.float32) / 255
    linear = np.where(codes <= 0.04045, codes / 12.92, ((codes + 0.055) / 1.055) ** 2.4)
    luma = linear @ np.array([0.2126, 0.7152, 0.0722], np.float32)
    return np.asarray(np.log(luma + LIGHT_FLOOR), np.float32)


def _line(light: "NDArray[np.float32]", width_mm: float) -> "NDArray[np.float32]":
    """Return how much darker a place is than what lies above and below it, at one width."""
    spread = width_mm / MM_PER_SAMPLE
    smooth = cv2.GaussianBlur(light, (0, 0), spread)
    bent = cv2.filter2D(smooth, -1, np.array([[1.0], [-2.0], [1.0]], np.float32))
    return np.asarray(bent * spread**2, np.float32)


def _cut(
    pictures: "NDArray[np.float32]", x_mm: tuple[float, float], y_mm: tuple[float, float]
) -> "NDArray[np.float32]":
    """Return a zone of pictures [..., y, x]."""
    x0, x1, y0, y1 = (
        min(max(round(SIDE / 2 + value / MM_PER_SAMPLE), 0), SIDE) for value in (*x_mm, *y_mm)
    )
    return pictures[..., y0:y1, x0:x1]


def _together(lines: "NDArray[np.float32]") -> float:
    """Return the strength at which the best path from left to right holds together.

    In each picture of [width, y, x] the path of the largest sum that climbs or falls one sample a
    column at most (dynamic programming); of the values along it the quantile `WEAKEST`; of the
    pictures the best.
    """
    if min(lines.shape[1:]) < 2:
        return 0.0
    capped = np.minimum(lines, MOST_LINE)
    which = np.arange(capped.shape[0])
    total, steps = capped[:, :, 0], []
    for x in range(1, capped.shape[2]):
        padded = np.pad(total, ((0, 0), (1, 1)), constant_values=-np.inf)
        ways = np.stack([padded[:, :-2], padded[:, 1:-1], padded[:, 2:]])
        steps.append(np.argmax(ways, axis=0) - 1)
        total = np.max(ways, axis=0) + capped[:, :, x]
    y = np.argmax(total, axis=1)
    values = [capped[which, y, -1]]
    for x, step in zip(range(capped.shape[2] - 2, -1, -1), reversed(steps), strict=True):
        y = y + step[which, y]
        values.append(capped[which, y, x])
    return max(float(np.quantile(np.array(values), WEAKEST, axis=0).max()), 0.0)


def _sharpness(light: "NDArray[np.float32]") -> float:
    """Return fine over coarse detail at eyes and brows."""
    eyes = _cut(light, (-45.0, 45.0), (-21.0, 16.0))
    blurred = [cv2.GaussianBlur(eyes, (0, 0), s / MM_PER_SAMPLE) for s in (0.5, 1.0, 2.0)]
    fine, coarse = (float(np.quantile(np.abs(a - b), 0.98)) for a, b in pairwise(blurred))
    return fine / coarse if coarse > 0.0 else 0.0
