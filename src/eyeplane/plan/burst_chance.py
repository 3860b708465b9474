"""The chance that at least one frame of a burst holds while the focus plane sweeps over the iris.

Depths are those of the focus plane behind the near iris, mm. One focus error is common to all
frames of a lean-in; sway, shake and the sitter's motion are new in each.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.optics import BLUR_POWER, special
from eyeplane.people.aim import SWAY_MM, FocusError
from eyeplane.people.speeds import SitterSpeed
from eyeplane.plan.blurs import image_distance_mm
from eyeplane.plan.draws import FrameDraws
from eyeplane.plan.frames import MISS_LOG_SD, frame_blurs
from eyeplane.plan.hold import HoldLimits
from eyeplane.plan.scene import Scene, Settings
from eyeplane.plan.share import limits_of

FloatArray = NDArray[np.float64]

SWAY_SHARE = 0.7  # of a learned spread, the most that sway makes of it; our own
PACE_LOG_SD = 0.2  # of the speed of leaning, from burst to burst; from memory
START_SD_MM = 5.0  # how exactly one leans back to where the sweep starts; from memory, 3 to 10
ASIDE_SHARE = 0.1  # of the lean goes sideways, not straight at the eye; from memory
EYE_PLACE_SHARE = 1 / 6  # of the long side, an eye from the middle of the frame: a third's line
CELL_SHARE = 0.25  # of the narrower of sway and depth of field: a cell of depth
CELLS = 24  # of the share of the disc's limit that motion leaves free
PACES = ((-math.sqrt(3.0), 1 / 6), (0.0, 2 / 3), (math.sqrt(3.0), 1 / 6))  # Gauss-Hermite nodes
TAIL_SD = 4.0  # standard deviations of sway at which the depth of field ends


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """Where the focus plane lies before any leaning, for each belief.

    Attributes
    ----------
    bias_mm : float
        Middle, behind the near iris.
    common_sd_mm, miss_share : ndarray
        (beliefs,): spread of the one focus error of a burst, and share of misses.
    miss_mm : float
        Half of the misses lie within this.
    sway_mm : float
        Spread anew from frame to frame.
    """

    bias_mm: float
    common_sd_mm: FloatArray
    miss_share: FloatArray
    miss_mm: float
    sway_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Lean:
    """How the photographer leans.

    Attributes
    ----------
    step_mm : float
        From frame to frame, > 0.
    pace_log_sd, start_sd_mm : float
        How uneven the pace is from burst to burst, and how exactly the start is met.
    """

    step_mm: float
    pace_log_sd: float = PACE_LOG_SD
    start_sd_mm: float = START_SD_MM


def aim_of(focus: FocusError, beliefs_z: FloatArray) -> Aim:
    """Return a focus error parted into what is common to a burst and what is not.

    Parameters
    ----------
    focus : FocusError
        As for single frames: its spread holds both.
    beliefs_z : ndarray
        (beliefs, 4), standard normal: focus, hand, sitter, misses.

    Returns
    -------
    Aim
        The squares of sway and common spread add up to that of the whole.
    """
    spread = focus.spread_mm * np.exp(focus.unsure_log_sd * beliefs_z[:, 0])
    sway_mm = min(SWAY_MM, SWAY_SHARE * focus.spread_mm)
    usual = focus.miss_share / max(1.0 - focus.miss_share, 1e-9)
    odds = usual * np.exp(MISS_LOG_SD * beliefs_z[:, 3])
    return Aim(
        bias_mm=focus.bias_mm,
        common_sd_mm=np.sqrt(np.maximum(spread**2 - sway_mm**2, (0.3 * spread) ** 2)),
        miss_share=odds / (1.0 + odds),
        miss_mm=focus.miss_mm,
        sway_mm=sway_mm,
    )


def windows_of(
    scene: Scene,
    setting: Settings,
    draws: FrameDraws,
    *,
    focus_mm: float,
    beliefs_z: FloatArray,
    lean_mm_per_s: float,
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
    lean_mm_per_s : float
        How fast the photographer leans, >= 0: what of it goes sideways draws a line too.

    Returns
    -------
    Windows
        One a cell of free disc.
    """
    limits = limits_of(scene, setting)
    extra = _lean_um_per_s(scene, focus_mm, lean_mm_per_s)
    weight = np.array(
        [
            [
                _cells_of(_line_costs(scene, part, setting, limits, draws, focus_mm, z, extra))
                for _, part in scene.sitters
            ]
            for z in beliefs_z
        ]
    )
    free = (np.arange(CELLS) + 0.5) / CELLS * float(limits.disc_um[0])
    front, behind = _ends_mm(scene, float(setting.f_number[0]), free, focus_mm)
    return Windows(
        front_mm=front,
        behind_mm=behind,
        weight=weight,
        part_share=np.array([share for share, _ in scene.sitters]),
    )


def _lean_um_per_s(scene: Scene, focus_mm: float, lean_mm_per_s: float) -> float:
    """Return the line that leaning draws at the eye: sideways, and by growing magnification."""
    kit, near_mm = scene.kit, scene.eyes_mm[0]
    aside = image_distance_mm(kit, focus_mm=focus_mm) / near_mm * ASIDE_SHARE * lean_mm_per_s
    grows = EYE_PLACE_SHARE * kit.sensor_long_mm * lean_mm_per_s / near_mm
    return 1000.0 * math.hypot(aside, grows)


def _line_costs(  # noqa: PLR0913, PLR0917  one belief and one part of a mixture of many
    scene: Scene,
    part: SitterSpeed,
    setting: Settings,
    limits: HoldLimits,
    draws: FrameDraws,
    focus_mm: float,
    belief_z: FloatArray,
    extra_um_per_s: float,
) -> FloatArray:
    """Return what the motion in each frame costs, without missed focus: up to 1 it holds."""
    alone = replace(scene, sitters=((1.0, part),))
    blurs = frame_blurs(alone, focus_mm, draws, belief_z)
    line = np.hypot(blurs.line_um_per_s.max(axis=0), extra_um_per_s)
    if not limits.disc_um[0] > 0:
        return np.full(line.shape, np.inf)
    line = line / limits.line_um[0]
    ghost = float(setting.ghost_share[0])
    cost = (setting.motion_s[0] * line) ** BLUR_POWER
    if ghost > 0:
        ambient = (setting.shutter_s[0] * line) ** BLUR_POWER
        cost = cost + ghost * np.minimum(ambient, limits.room_share[0])
    return np.asarray(cost)


def _cells_of(cost: FloatArray) -> FloatArray:
    """Return the share of frames by how much of the disc's limit their motion leaves free."""
    free = np.maximum(1.0 - cost, 0.0) ** (1.0 / BLUR_POWER)
    cell = np.minimum((free * CELLS).astype(int), CELLS - 1)
    counts = np.bincount(cell, weights=(cost < 1.0).astype(float), minlength=CELLS)
    return np.asarray(counts / len(cost))


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


def lean_chances(
    windows: Windows, aim: Aim, lean: Lean, *, starts_mm: FloatArray, most_frames: int
) -> FloatArray:
    """Return the chance that at least one frame of a lean-in holds.

    Parameters
    ----------
    windows : Windows
        Where frames hold.
    aim : Aim
        Where the plane lies before leaning.
    lean : Lean
        Its pace.
    starts_mm : ndarray
        (starts,): how far the lean has brought the plane at the first frame, − leaned back; taken
        to the nearest cell of depth.
    most_frames : int
        Frames, >= 1.

    Returns
    -------
    ndarray
        (beliefs, most_frames, starts): by number of frames from 1 on.

    Notes
    -----
    With the common error e, of density f, and p(z) the share of frames that hold with the plane
    at z: 1 − ∫ f(e) Π (1 − p(e + start + k step)) de, summed over the parts of the sitter's mixture
    and over three paces. Cells of depth are a quarter of the narrower of sway and window.
    """
    grid, cell = _grid(windows, aim, lean, most_frames)
    hold = hold_curve(windows, grid, sway_mm=aim.sway_mm)
    density = _masses(aim, lean, grid, cell, starts_mm)  # (beliefs, starts, depths)
    chances = np.zeros((len(hold), most_frames, len(starts_mm)))
    for node, share in PACES if lean.pace_log_sd > 0 else ((0.0, 1.0),):
        step = lean.step_mm * math.exp(lean.pace_log_sd * node)
        one = _at_least_one(hold, windows.part_share, step / cell, most_frames)
        chances += share * np.matmul(one, density.transpose(0, 2, 1))
    return np.clip(chances, 0.0, 1.0)


def _grid(windows: Windows, aim: Aim, lean: Lean, frames: int) -> tuple[FloatArray, float]:
    """Return depths at which a first frame may lie so that any frame of the burst can hold."""
    tail = TAIL_SD * aim.sway_mm
    low = max(float(windows.front_mm.min()) - tail, -1e4)
    high = min(float(windows.behind_mm.max()) + tail, 1e4)
    depth = min(aim.sway_mm, 0.5 * (high - low) - tail)
    cell = max(CELL_SHARE * max(depth, 0.0), 0.25, (high - low) / 2000.0)
    travel = (frames - 1) * lean.step_mm * math.exp(lean.pace_log_sd * PACES[-1][0])
    # Cells of a fine window at the far end of a long lean would be many.
    count = min(math.ceil((high - low + travel) / cell) + 1, 6000)
    return np.asarray(high - cell * np.arange(count)[::-1], float), cell


def _at_least_one(
    hold: FloatArray, part_share: FloatArray, step_cells: float, frames: int
) -> FloatArray:
    """Return (beliefs, frames, depths): the chance by where the plane lies at the first frame."""
    count = hold.shape[2]
    none = np.ones_like(hold)
    out = np.empty((len(hold), frames, count))
    for k in range(frames):
        shift = round(k * step_cells)
        if shift < count:
            none[:, :, : count - shift] *= 1.0 - hold[:, :, shift:]
        out[:, k] = 1.0 - np.einsum("c,bcg->bg", part_share, none)
    return out


def _masses(
    aim: Aim, lean: Lean, grid: FloatArray, cell: float, starts_mm: FloatArray
) -> FloatArray:
    """Return (beliefs, starts, depths): probability that the first frame lies in each cell.

    Starts are rounded to whole cells: then one row of focus errors serves all of them.
    """
    shifts = np.round(starts_mm / cell).astype(int)
    count, most = len(grid), int(shifts.max())
    edges = grid[0] + cell * (np.arange(count + most - int(shifts.min()) + 1) - most - 0.5)
    sd = np.hypot(aim.common_sd_mm, lean.start_sd_mm)[:, None]
    normal = special.ndtr((edges - aim.bias_mm) / sd)
    missed = 0.5 + np.arctan(edges / aim.miss_mm) / np.pi
    share = aim.miss_share[:, None]
    mass = np.diff((1.0 - share) * normal + share * missed, axis=1)
    return np.asarray(mass[:, (most - shifts)[:, None] + np.arange(count)])


def still_chances(windows: Windows, aim: Aim, *, common_sd_mm: float, frames: int) -> FloatArray:
    """Return the chance that at least one of some frames holds, each focused anew, no leaning.

    Parameters
    ----------
    windows : Windows
        Where frames hold.
    aim : Aim
        Where the plane lies.
    common_sd_mm : float
        What of the focus error stays the same for all: how deep this sitter's lashes are, how wrong
        a learned bias is; >= 0.
    frames : int
        How many, >= 1.

    Returns
    -------
    ndarray
        (beliefs,): frames miss independently of each other, about the same bias.
    """
    own = np.sqrt(np.maximum(aim.common_sd_mm**2 - common_sd_mm**2, 0.25))
    nodes = special.ndtri((np.arange(9) + 0.5) / 9) if common_sd_mm > 0 else np.zeros(1)
    chances = np.zeros(len(own))
    still = Lean(step_mm=1.0, pace_log_sd=0.0, start_sd_mm=0.0)
    anew = replace(aim, common_sd_mm=own)
    grid, cell = _grid(windows, aim, still, 1)
    hold = hold_curve(windows, grid, sway_mm=aim.sway_mm)
    density = _masses(anew, still, grid, cell, common_sd_mm * nodes)
    one = np.einsum("bcg,bsg->bcs", hold, density)
    at_least = 1.0 - (1.0 - np.clip(one, 0.0, 1.0)) ** frames
    chances = np.einsum("c,bcs->b", windows.part_share, at_least) / len(nodes)
    return np.asarray(chances)
