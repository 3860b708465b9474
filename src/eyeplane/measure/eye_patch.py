"""An eye cut out of its frame for reading highlights. Points are (x, y), arrays [y, x]."""

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeplane.imaging import LumaWindow, Picture
from eyeplane.records import Blur, Eye

Array = NDArray[np.float32]
Mask = NDArray[np.bool_]

WORK_IRIS_PX = 90.0  # larger irises are averaged down towards it: 0.13 mm a pixel tells enough
WINDOW_IRISES = 1.7  # side of the window over the iris


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EyePatch:
    """The eye, averaged down where it is large, in its own pixels.

    Attributes
    ----------
    luma, smooth : ndarray
        Linear light [y, x], and the same with noise smoothed away.
    clipped : ndarray
        Bool, where the light is unknown.
    step : int
        Frame pixels per pixel of the patch.
    corner_px : tuple of int
        Its upper left corner in the frame.
    middle : tuple of float
        (x, y) of the iris, pixels of the patch.
    radius : float
        Of the iris, pixels of the patch.
    roll_deg : float
        How far the head leans clockwise: lids lie above and below along the head.
    blur : float
        Diameter of the blur's disc, pixels of the patch; 0 where it is unknown.
    """

    luma: Array
    smooth: Array
    clipped: Mask
    step: int
    corner_px: tuple[int, int]
    middle: tuple[float, float]
    radius: float
    roll_deg: float
    blur: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LightLevels:
    """Linear light of an eye, white = 1.

    Attributes
    ----------
    dark, bright : float
        Of the darker third and of the brighter third of the bare iris, pupil included.
    around : float
        Of the brightest skin and white of the eye around it.
    """

    dark: float
    bright: float
    around: float


def eye_patch(picture: Picture, eye: Eye, blur: Blur, *, roll_deg: float = 0.0) -> EyePatch | None:
    """Return an eye cut out of its frame.

    Parameters
    ----------
    picture : Picture
        The frame.
    eye : Eye
        The eye.
    blur : Blur
        Its blur: nothing finer is worth keeping.
    roll_deg : float
        How far the head leans clockwise in the picture.

    Returns
    -------
    EyePatch or None
        None where too little of the eye lies in the frame.
    """
    iris_px = eye.iris_diameter_px.value
    side = math.ceil(WINDOW_IRISES * iris_px)
    x, y = eye.iris_px
    window = picture.luma_window(math.floor(x - side / 2), math.floor(y - side / 2), side, side)
    step = max(1, round(iris_px / WORK_IRIS_PX))
    if min(window.luma.shape) < max(0.8 * iris_px, 8 * step):
        return None
    luma, clipped = _averaged(window, step)
    radius = iris_px / 2 / step
    # Nothing smaller than the blur is there to be lost; noise and grain are.
    disc = blur.disc_px.value / step if blur.disc_px is not None else 0.0
    soft = cv2.GaussianBlur(luma, (0, 0), max(0.5, radius / 60, min(0.12 * disc, radius / 20)))
    return EyePatch(
        luma=luma,
        smooth=np.asarray(soft, np.float32),
        clipped=clipped,
        step=step,
        corner_px=(window.x_px, window.y_px),
        middle=((x - window.x_px) / step, (y - window.y_px) / step),
        radius=radius,
        roll_deg=roll_deg,
        blur=disc,
    )


def _averaged(window: LumaWindow, step: int) -> tuple[Array, Mask]:
    """Return light and clipped pixels, means over blocks; a block with any clipped one counts."""
    if step == 1:
        return window.luma, window.clipped
    rows, columns = (n // step for n in window.luma.shape)
    size = (columns, rows)
    luma = cv2.resize(
        window.luma[: rows * step, : columns * step], size, interpolation=cv2.INTER_AREA
    )
    clipped = window.clipped[: rows * step, : columns * step]
    blocks = clipped.reshape(rows, step, columns, step).any(axis=(1, 3))
    return np.asarray(luma, np.float32), np.asarray(blocks)


def from_middle(patch: EyePatch) -> tuple[Array, Array]:
    """Return where every pixel lies from the middle of the iris.

    Parameters
    ----------
    patch : EyePatch
        The eye.

    Returns
    -------
    tuple of ndarray
        Across and down along the head, in radii of the iris.
    """
    height, width = patch.luma.shape
    x = (np.arange(width, dtype=np.float32)[None] + 0.5 - patch.middle[0]) / patch.radius
    y = (np.arange(height, dtype=np.float32)[:, None] + 0.5 - patch.middle[1]) / patch.radius
    turn = math.radians(patch.roll_deg)
    cosine, sine = np.float32(math.cos(turn)), np.float32(math.sin(turn))
    return x * cosine + y * sine, y * cosine - x * sine


def light_levels(patch: EyePatch) -> LightLevels | None:
    """Return how bright an eye is.

    Parameters
    ----------
    patch : EyePatch
        The eye.

    Returns
    -------
    LightLevels or None
        None where too little of it lies in the frame.
    """
    x, y = from_middle(patch)
    away = np.hypot(x, y)
    # Lids cover the upper part of the iris; its lower sides are bare in an open eye.
    bare = patch.smooth[(away < 0.85) & (y > -0.35)]
    beyond = patch.smooth[(away > 1.0) & (away < 1.6)]
    if bare.size < 20 or beyond.size < 20:
        return None
    return LightLevels(
        dark=quantile(bare, share=0.35),
        bright=quantile(bare, share=0.70),
        around=quantile(beyond, share=0.95),
    )


def quantile(values: Array, *, share: float) -> float:
    """Return a quantile without interpolation: faster, and exact enough for hundreds of pixels.

    Parameters
    ----------
    values : ndarray
        At least one value.
    share : float
        Of them that lies below, 0 to 1.

    Returns
    -------
    float
        One of the values.
    """
    index = min(values.size - 1, int(share * values.size))
    return float(np.partition(values, index)[index])
