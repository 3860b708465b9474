"""The chance that at least one frame of a burst holds while the focus plane sweeps over the iris.

Depths are those of the focus plane behind the near iris, mm. One focus error is common to all
frames of a lean-in; sway, shake and the sitter's motion are new in each.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.optics import special
from eyeplane.people.aim import SWAY_MM, FocusError
from eyeplane.plan.burst_windows import Windows, hold_curve
from eyeplane.plan.frames import MISS_LOG_SD, MISS_MEAN

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]
SingleArray = NDArray[np.float32]

SWAY_SHARE = 0.7  # of a learned spread, the most that sway makes of it; our own
PACE_LOG_SD = 0.2  # of the speed of leaning, from burst to burst; from memory
START_SD_MM = 5.0  # how exactly one leans back to where the sweep starts; from memory, 3 to 10
CELL_SHARE = 0.25  # of the narrower of sway and depth of field: a cell of depth
# Paces in standard deviations: every third set of beliefs has the same one; mean 0, variance 1.
PACES_Z = (0.0, -math.sqrt(1.5), math.sqrt(1.5))
TAIL_SD = 4.0  # standard deviations of sway at which the depth of field ends


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
    odds = usual * np.exp(MISS_LOG_SD * beliefs_z[:, 3] + MISS_MEAN)
    return Aim(
        bias_mm=focus.bias_mm,
        common_sd_mm=np.sqrt(np.maximum(spread**2 - sway_mm**2, (0.3 * spread) ** 2)),
        miss_share=odds / (1.0 + odds),
        miss_mm=focus.miss_mm,
        sway_mm=sway_mm,
    )


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
    at z: 1 − ∫ f(e) Π (1 − p(e + start + k step)) de, summed over the parts of the sitter's
    mixture. The pace is one of three, from belief to belief; a single belief has the even one.
    Cells of depth are a quarter of the narrower of sway and window.
    """
    grid, cell = _grid(windows, aim, lean, most_frames)
    misses = (1.0 - hold_curve(windows, grid, sway_mm=aim.sway_mm)).astype(np.float32)
    mass, cells = _masses(aim, lean, grid, cell, starts_mm)
    chances = np.empty((len(misses), most_frames, len(starts_mm)))
    for place, z in enumerate(PACES_Z[: len(misses)]):
        some = slice(place, None, len(PACES_Z))
        step_cells = lean.step_mm * math.exp(lean.pace_log_sd * z) / cell
        one = _at_least_one(misses[some], windows.part_share, step_cells, most_frames)
        chances[some] = _weighed(one, mass[some], cells)
    return chances


def pace_chances(
    windows: Windows,
    aim: Aim,
    leans: Sequence[Lean],
    *,
    starts_mm: Sequence[FloatArray],
    most_frames: Sequence[int],
) -> list[FloatArray]:
    """Return the chance that at least one frame holds, pace by pace, for one belief.

    Parameters
    ----------
    windows : Windows
        Where frames hold: instead of beliefs, paces.
    aim : Aim
        Where the plane lies before leaning: one belief.
    leans : sequence of Lean
        One a pace, each even.
    starts_mm, most_frames : sequence
        For each, as for `lean_chances`.

    Returns
    -------
    list of ndarray
        (most_frames, starts) for each: by number of frames from 1 on.

    Notes
    -----
    The depths of the longest lean serve all.
    """
    each = list(zip(leans, most_frames, strict=True))
    grid, cell = _grid(windows, aim, *max(each, key=lambda one: one[0].step_mm * (one[1] - 1)))
    misses = (1.0 - hold_curve(windows, grid, sway_mm=aim.sway_mm)).astype(np.float32)
    found = []
    for place, ((lean, frames), starts) in enumerate(zip(each, starts_mm, strict=True)):
        one = _at_least_one(misses[[place]], windows.part_share, lean.step_mm / cell, frames)
        found.append(_weighed(one, *_masses(aim, lean, grid, cell, starts))[0])
    return found


def _grid(windows: Windows, aim: Aim, lean: Lean, frames: int) -> tuple[FloatArray, float]:
    """Return depths at which a first frame may lie so that any frame of the burst can hold."""
    tail = TAIL_SD * aim.sway_mm
    low = max(float(windows.front_mm.min()) - tail, -1e4)
    high = min(float(windows.behind_mm.max()) + tail, 1e4)
    depth = min(aim.sway_mm, 0.5 * (high - low) - tail)
    cell = max(CELL_SHARE * max(depth, 0.0), 0.25, (high - low) / 2000.0)
    travel = (frames - 1) * lean.step_mm * math.exp(lean.pace_log_sd * PACES_Z[-1])
    # Cells of a fine window at the far end of a long lean would be many.
    # Where both eyes are never sharp together there is no window, and one cell will do.
    count = max(1, min(math.ceil((high - low + travel) / cell) + 1, 6000))
    return np.asarray(high - cell * np.arange(count)[::-1], float), cell


def _at_least_one(
    misses: SingleArray, part_share: FloatArray, step_cells: float, frames: int
) -> SingleArray:
    """Return (frames, beliefs, depths): the chance that one holds, by where the first one lies.

    From (beliefs, parts, depths), the share of frames that do not hold there.
    """
    beliefs, parts, count = misses.shape
    misses = np.ascontiguousarray(np.swapaxes(misses, 0, 1))  # parts first: they are summed over
    product = np.ones_like(misses)
    share = part_share.astype(np.float32)
    none = np.empty((frames, beliefs, count), np.float32)
    for k in range(frames):
        shift = round(k * step_cells)
        if shift < count:
            product[:, :, : count - shift] *= misses[:, :, shift:]
        np.dot(share, product.reshape(parts, -1), out=none[k].reshape(-1))
    return np.subtract(np.float32(1.0), none, out=none)


def _weighed(one: SingleArray, mass: SingleArray, cells: IntArray) -> SingleArray:
    """Return (beliefs, frames, starts): the chance over where the first frame may lie.

    Belief by belief, so that what is worked on stays within a processor's cache.
    """
    found = np.stack([one[:, k] @ mass[k][cells].T for k in range(len(mass))])
    return np.asarray(np.clip(found, np.float32(0.0), np.float32(1.0)))


def _masses(
    aim: Aim, lean: Lean, grid: FloatArray, cell: float, starts_mm: FloatArray
) -> tuple[SingleArray, IntArray]:
    """Return the probability that the first frame lies in each cell, if it were not for the start.

    (beliefs, wider depths); and (starts, depths): which of these cells each depth is then. Starts
    are rounded to whole cells: so one row of focus errors serves all of them.
    """
    shifts = np.round(starts_mm / cell).astype(int)
    count, most = len(grid), int(shifts.max())
    edges = grid[0] + cell * (np.arange(count + most - int(shifts.min()) + 1) - most - 0.5)
    sd = np.hypot(aim.common_sd_mm, lean.start_sd_mm)[:, None]
    normal = special.ndtr((edges - aim.bias_mm) / sd)
    missed = 0.5 + np.arctan(edges / aim.miss_mm) / np.pi
    share = aim.miss_share[:, None]
    mass = np.diff((1.0 - share) * normal + share * missed, axis=1)
    return mass.astype(np.float32), (most - shifts)[:, None] + np.arange(count)


def still_chances(
    windows: Windows, aim: Aim, *, common_sd_mm: float, frames: int | IntArray
) -> FloatArray:
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
    frames : int or ndarray
        How many, >= 1; perhaps several numbers, (n,).

    Returns
    -------
    ndarray
        (beliefs,) or (beliefs, n): frames miss independently of each other, about the same bias.
    """
    own = np.sqrt(np.maximum(aim.common_sd_mm**2 - common_sd_mm**2, 0.25))
    nodes = special.ndtri((np.arange(9) + 0.5) / 9) if common_sd_mm > 0 else np.zeros(1)
    chances = np.zeros(len(own))
    still = Lean(step_mm=1.0, pace_log_sd=0.0, start_sd_mm=0.0)
    anew = replace(aim, common_sd_mm=own)
    grid, cell = _grid(windows, aim, still, 1)
    hold = hold_curve(windows, grid, sway_mm=aim.sway_mm)
    mass, cells = _masses(anew, still, grid, cell, common_sd_mm * nodes)
    one = np.matmul(hold, mass[:, cells].transpose(0, 2, 1))
    none = 1.0 - np.clip(one, 0.0, 1.0)
    at_least = 1.0 - none[..., None] ** np.atleast_1d(frames)  # (beliefs, parts, nodes, n)
    chances = np.einsum("c,bcsn->bn", windows.part_share, at_least) / len(nodes)
    return np.asarray(chances if np.ndim(frames) else chances[:, 0])
