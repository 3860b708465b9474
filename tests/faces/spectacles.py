"""Glasses drawn on a head in linear light: rims, bridge and temples in front of a located face.

Millimetres count from the middle between the irises: x to the right, y up, z towards the camera.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeplane.faces import rotation_of
from eyeplane.imaging.tone import linear_to_srgb, srgb_to_linear
from eyeplane.records import Face

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Glasses:
    """One pair of glasses.

    Attributes
    ----------
    lens_mm : tuple of float
        Width and height of a lens.
    rim_mm : float
        How thick the rims are.
    light : float
        Of the frame, linear, white = 1.
    full : bool
        Whether a rim runs below the lens too.
    square : float
        2 is an ellipse, more is squarer.
    """

    lens_mm: tuple[float, float] = (50.0, 34.0)
    rim_mm: float = 2.0
    light: float = 0.012
    full: bool = True
    square: float = 3.2


THICK = Glasses(rim_mm=3.6)
MEDIUM = Glasses(rim_mm=2.0, light=0.02)
METAL = Glasses(rim_mm=1.1, light=0.1, square=2.3)
HALF = Glasses(rim_mm=2.0, light=0.02, full=False)


def lines_of(glasses: Glasses) -> list[tuple[FloatArray, bool]]:
    """Return the frame as lines in space, and whether each is closed."""
    width, height = glasses.lens_mm
    gap, ahead = 18.0, 16.0
    angle = np.linspace(0, 2 * np.pi, 72, endpoint=False)
    c, s = np.cos(angle), np.sin(angle)
    x = np.sign(c) * np.abs(c) ** (2 / glasses.square) * width / 2 + (gap + width) / 2
    y = np.sign(s) * np.abs(s) ** (2 / glasses.square) * height / 2 - 2.0
    shown = y > (-np.inf if glasses.full else -3.0)
    lines = []
    for side in (-1.0, 1.0):
        rim = np.column_stack([side * x, y, ahead - 0.0018 * (x - 10.0) ** 2])[shown]
        hinge, up = gap / 2 + width, 0.25 * height
        temple = np.array([[hinge, up, ahead - 5], [hinge + 6, up, ahead - 8], [76.0, up - 2, -60]])
        lines += [(rim, glasses.full), (temple * [side, 1.0, 1.0], False)]
    t = np.linspace(-1, 1, 15)
    bridge = np.column_stack([(gap / 2 + 1) * t, 2.0 + 2.0 * (1 - t * t), np.full(15, ahead + 1)])
    return [*lines, (bridge, False)]


def wearing(
    rgb: NDArray[np.uint8], face: Face, glasses: Glasses, *, blur_px: float = 0.0
) -> NDArray[np.uint8]:
    """Return a picture in which a face wears glasses, their frame blurred by a disc."""
    turn = rotation_of(
        yaw_deg=face.yaw_deg.value, pitch_deg=face.pitch_deg.value, roll_deg=face.roll_deg.value
    )
    middle = np.mean([eye.iris_px for eye in face.eyes], axis=0)
    scale = face.mm_per_px.value
    mask = np.zeros(tuple(2 * n for n in rgb.shape[:2]), np.float32)
    for line, closed in lines_of(glasses):
        at = middle + (line @ turn.T)[:, :2] / scale
        points = np.round((2 * at - 0.5) * 16).astype(np.int32).reshape(-1, 1, 2)
        thick = max(1, round(2 * glasses.rim_mm / scale))
        cv2.polylines(mask, [points], closed, (1.0,), thick, cv2.LINE_AA, 4)
    mask = np.asarray(
        cv2.resize(mask, rgb.shape[1::-1], interpolation=cv2.INTER_AREA), dtype=np.float32
    )
    if blur_px > 0:
        reach = int(np.ceil(blur_px / 2))
        y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1]
        disc = np.clip(blur_px / 2 + 0.5 - np.hypot(x, y), 0, 1)
        mask = np.asarray(cv2.filter2D(mask, -1, disc / disc.sum()), dtype=np.float32)
    share = np.clip(mask, 0, 1)[..., None]
    light = srgb_to_linear(rgb / 255.0) * (1 - share) + share * glasses.light
    return np.asarray(np.rint(255 * linear_to_srgb(light)), dtype=np.uint8)
