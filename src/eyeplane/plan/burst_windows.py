"""At which depths of the focus plane a frame holds, by how much of the blur motion takes.

Depths are those of the focus plane behind the near iris, mm.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.optics import BLUR_POWER, special
from eyeplane.plan.blurs import image_distance_mm
from eyeplane.plan.draws import FrameDraws, for_every_belief
from eyeplane.plan.frames import frame_lines
from eyeplane.plan.hold import HoldLimits
from eyeplane.plan.limit_table import limit_table
from eyeplane.plan.scene import Scene, Settings

FloatArray = NDArray[np.float64]

ASIDE_SHARE = 0.1  # of the lean goes sideways, not straight at the eye; from memory
EYE_PLACE_SHARE = 1 / 6  # of the long side, an eye from the middle of the frame: a third's line
CELLS = 24  # of the share of the disc's limit that motion leaves free


@dataclass(frozen=True, slots=True, kw_only=True)
class Windows:
    """Depths of the focus plane at which a frame holds, by how much motion leaves free.

    Attributes
    ----------
    front_mm, behind_mm : ndarray
        (cells,): ends of the window; where none is, the front end lies behind the other.
    weight : ndarray
        (beliefs, parts, cells): share of frames; what is missing to 1 holds nowhere.
    part_share : ndarray
        (parts,): of bursts in which the sitter moves so: one part of a mixture for a whole burst.
    """

    front_mm: FloatArray
    behind_mm: FloatArray
    weight: FloatArray
    part_share: FloatArray


def windows_of(
    scene: Scene,
    setting: Settings,
    draws: FrameDraws,
    *,
    focus_mm: float,
    beliefs_z: FloatArray,
    lean_mm_per_s: float | FloatArray,
) -> Windows:
    """Return at which depths of the focus plane frames hold.

    Parameters
    ----------
    scene : Scene
        All its eyes count; the first is the near one.
    setting : Settings
        One of them.
    draws : FrameDraws
        Frames, for the lines that hand and sitter draw.
    focus_mm : float
        Focus plane from the lens: it stays so while the focus is locked.
    beliefs_z : ndarray
        (beliefs, 4), standard normal.
    lean_mm_per_s : float or ndarray
        How fast the photographer leans, >= 0, perhaps one speed a belief: what of it goes sideways
        draws a line too.

    Returns
    -------
    Windows
        One a cell of free disc.
    """
    limits = limit_table(scene.kit, scene.promise).at(setting)
    extra = _lean_um_per_s(scene, focus_mm, np.broadcast_to(lean_mm_per_s, len(beliefs_z)))
    frames, believed = for_every_belief(draws, beliefs_z)
    weight = []
    for _, part in scene.sitters:
        alone = replace(scene, sitters=((1.0, part),))
        line = frame_lines(alone, focus_mm, frames, believed)[2].max(axis=0)
        both = np.hypot(line.reshape(len(beliefs_z), -1), extra[:, None])
        weight.append(_cells_of(_line_costs(both, setting, limits)))
    free = (np.arange(CELLS) + 0.5) / CELLS * float(limits.disc_um[0])
    front, behind = _ends_mm(scene, float(setting.f_number[0]), free, focus_mm)
    return Windows(
        front_mm=front,
        behind_mm=behind,
        weight=np.stack(weight, axis=1),
        part_share=np.array([share for share, _ in scene.sitters]),
    )


def _lean_um_per_s(scene: Scene, focus_mm: float, lean_mm_per_s: FloatArray) -> FloatArray:
    """Return the line that leaning draws at the eye: sideways, and by growing magnification."""
    kit, near_mm = scene.kit, scene.eyes_mm[0]
    aside = image_distance_mm(kit, focus_mm=focus_mm) / near_mm * ASIDE_SHARE * lean_mm_per_s
    grows = EYE_PLACE_SHARE * kit.sensor_long_mm * lean_mm_per_s / near_mm
    return np.asarray(1000.0 * np.hypot(aside, grows))


def _line_costs(line_um_per_s: FloatArray, setting: Settings, limits: HoldLimits) -> FloatArray:
    """Return what the motion in each frame costs, without missed focus: up to 1 it holds."""
    if not limits.disc_um[0] > 0:
        return np.full(line_um_per_s.shape, np.inf)
    line = line_um_per_s / limits.line_um[0]
    ghost = float(setting.ghost_share[0])
    cost = (setting.motion_s[0] * line) ** BLUR_POWER
    if ghost > 0:
        ambient = (setting.shutter_s[0] * line) ** BLUR_POWER
        cost = cost + ghost * np.minimum(ambient, limits.room_share[0])
    return np.asarray(cost)


def _cells_of(cost: FloatArray) -> FloatArray:
    """Return, belief by belief, the share of frames by how much of the disc's limit is left free.

    Costs are (beliefs, frames), shares (beliefs, cells).
    """
    beliefs, frames = cost.shape
    dearest = 1.0 - (np.arange(CELLS) / CELLS) ** BLUR_POWER  # of each cell, falling
    below = np.searchsorted(dearest[::-1], cost)  # cells whose frames cost less
    place = below + (CELLS + 1) * np.arange(beliefs)[:, None]
    counts = np.bincount(place.ravel(), minlength=beliefs * (CELLS + 1))
    return np.asarray(counts.reshape(beliefs, CELLS + 1)[:, CELLS - 1 :: -1] / frames)


def _ends_mm(
    scene: Scene, f_number: float, free_um: FloatArray, focus_mm: float
) -> tuple[FloatArray, FloatArray]:
    """Return the window of the focus plane in which no eye's disc exceeds what is free.

    The plane stays `focus_mm` from the lens, the eye moves: disc = f² / (N (s − f)) · |z| / (s − z)
    with z the plane's depth behind the eye.
    """
    f = scene.kit.focal_length_mm
    share = free_um * f_number * (focus_mm - f) / (1000.0 * f**2)
    behind = share / (1.0 + share) * focus_mm
    front = np.where(share < 1.0, share / np.maximum(1.0 - share, 1e-9), np.inf) * focus_mm
    depths = np.asarray(scene.eyes_mm) - scene.eyes_mm[0]
    return depths.max() - front, depths.min() + behind


def hold_curve(windows: Windows, depth_mm: FloatArray, *, sway_mm: float) -> FloatArray:
    """Return the share of frames that hold by where the focus plane lies without sway.

    Parameters
    ----------
    windows : Windows
        Where frames hold.
    depth_mm : ndarray
        (depths,): of the focus plane behind the near iris.
    sway_mm : float
        Standard deviation of the sway along the axis, > 0.

    Returns
    -------
    ndarray
        (beliefs, parts, depths), 0..1.

    Examples
    --------
    A window of ± 4 mm, sway of 4 mm, no motion: P(|z| < 1) = 0.683.

    >>> alone = Windows(
    ...     front_mm=np.array([-4.0]), behind_mm=np.array([4.0]),
    ...     weight=np.ones((1, 1, 1)), part_share=np.ones(1),
    ... )
    >>> hold_curve(alone, np.zeros(1), sway_mm=4.0).round(3)
    array([[[0.683]]])
    """
    ahead = special.ndtr((windows.behind_mm[:, None] - depth_mm) / sway_mm)
    within = ahead - special.ndtr((windows.front_mm[:, None] - depth_mm) / sway_mm)
    return np.asarray(windows.weight @ np.maximum(within, 0.0))
