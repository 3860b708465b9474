"""A face as it was located: where it is and how it is turned, not yet how sharp. Never who."""

from dataclasses import dataclass
from typing import Literal

from eyeplane.records.measured import Measured

Side = Literal["left", "right"]  # as seen in the picture


@dataclass(frozen=True, slots=True, kw_only=True)
class Eye:
    """One eye in the picture.

    Attributes
    ----------
    side : {"left", "right"}
        As seen in the picture.
    iris_px : tuple of float
        (x, y) of the middle of the visible iris, upright frame, pixel centres at .5.
    iris_diameter_px : Measured
        Diameter of the visible iris (limbus), along its long axis.
    open : bool or None
        None where it cannot be told.
    """

    side: Side
    iris_px: tuple[float, float]
    iris_diameter_px: Measured
    open: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Landmark:
    """A named place on the head with its depth.

    Attributes
    ----------
    name : str
        "near iris", "far iris", "near lashes", "near brow", "nose tip", "mouth", "near ear" etc.
    at_px : tuple of float
        (x, y), upright frame.
    depth_mm : float
        Depth along the lens axis relative to the near iris, + farther from the camera.
    depth_sd_mm : float
        Standard deviation of that depth.
    """

    name: str
    at_px: tuple[float, float]
    depth_mm: float
    depth_sd_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Face:
    """A located face.

    Attributes
    ----------
    box_px : tuple of float
        (x, y, width, height), upright frame.
    score : float
        The detector's own score, 0..1.
    yaw_deg, pitch_deg, roll_deg : Measured
        Head pose. Yaw + when the picture's left side of the face is nearer to the camera; pitch +
        when the chin is nearer; roll + when the head leans clockwise in the picture.
    near : {"left", "right"} or None
        The eye nearer to the camera, as seen in the picture; None where it cannot be told
        (then the eyes are equally far within the error, and the sharper one counts).
    eyes : tuple of Eye
        Left then right as seen in the picture.
    landmarks : tuple of Landmark
        Named places with depths.
    mm_per_px : Measured
        Scale in the plane of the eyes.
    distance_mm : Measured or None
        From the lens to the near eye; None without focal length or pixel pitch.
    """

    box_px: tuple[float, float, float, float]
    score: float
    yaw_deg: Measured
    pitch_deg: Measured
    roll_deg: Measured
    near: Side | None
    eyes: tuple[Eye, Eye]
    landmarks: tuple[Landmark, ...]
    mm_per_px: Measured
    distance_mm: Measured | None
