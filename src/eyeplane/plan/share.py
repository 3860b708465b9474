"""What share of frames holds the print, for many settings at once, and how sure that is."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from eyeplane.plan.draws import BELIEF_FRAMES, FrameDraws, first_frames
from eyeplane.plan.frames import frame_blurs, frame_costs
from eyeplane.plan.hold import HoldLimits, believed_limits, hold_limits
from eyeplane.plan.scene import Scene, Settings
from eyeplane.records import Measured

FloatArray = NDArray[np.float64]

_CELLS = 2_000_000  # of settings × eyes × frames worked out at once, which bounds the memory


def frame_shares(
    scene: Scene,
    settings: Settings,
    focus_mm: float,
    draws: FrameDraws,
    which: ArrayLike | None = None,
) -> FloatArray:
    """Return the share of frames in which every eye that counts holds, for many settings.

    Parameters
    ----------
    scene : Scene
        What is fixed.
    settings : Settings
        As many as asked about, k.
    focus_mm : float
        Where the focus plane is put, from the lens.
    draws : FrameDraws
        The frames.
    which : array_like, optional
        Numbers of the eyes that count; all unless said.

    Returns
    -------
    ndarray
        Entries (k,), 0..1: the share to be expected, unsure numbers included.
    """
    limits = limits_of(scene, settings)
    blurs = frame_blurs(scene, focus_mm, draws)
    eyes = np.arange(len(scene.eyes_mm)) if which is None else np.atleast_1d(np.asarray(which))
    block = max(1, _CELLS // max(1, len(eyes) * blurs.disc_um.shape[1]))
    shares = np.empty(len(settings))
    for start in range(0, len(settings), block):
        part = np.arange(start, min(start + block, len(settings)))
        costs = frame_costs(limits.at(part), settings.at(part), blurs, eyes)
        shares[part] = (costs.max(axis=1) <= 1.0).mean(axis=1)
    return shares


def limits_of(scene: Scene, settings: Settings) -> HoldLimits:
    """Return what blur the print takes at each setting.

    Parameters
    ----------
    scene : Scene
        Kit and print.
    settings : Settings
        As many as asked about, k.

    Returns
    -------
    HoldLimits
        One entry a setting.
    """
    return hold_limits(
        scene.kit,
        scene.promise,
        f_number=settings.f_number,
        iso=settings.iso,
        level=settings.level,
    )


def limits_as_believed(scene: Scene, settings: Settings, glass_z: FloatArray) -> HoldLimits:
    """Return what blur the print takes at each setting, under every belief about the glass.

    Parameters
    ----------
    scene : Scene
        Kit and print.
    settings : Settings
        As many as asked about, k.
    glass_z : ndarray
        (sets,): standard normal.

    Returns
    -------
    HoldLimits
        Arrays (k, sets).
    """
    return believed_limits(
        scene.kit,
        scene.promise,
        f_number=settings.f_number,
        iso=settings.iso,
        level=settings.level,
        glass_z=glass_z,
    )


def believed_shares(
    scene: Scene,
    settings: Settings,
    focus_mm: float,
    draws: FrameDraws,
    which: ArrayLike | None = None,
) -> FloatArray:
    """Return the share of frames that hold under every set of beliefs about the unsure numbers.

    Parameters
    ----------
    scene : Scene
        What is fixed.
    settings : Settings
        As many as asked about, k.
    focus_mm : float
        Where the focus plane is put, from the lens.
    draws : FrameDraws
        The frames.
    which : array_like, optional
        Numbers of the eyes that count; all unless said.

    Returns
    -------
    ndarray
        Shape (sets, k), 0..1.
    """
    limits = limits_as_believed(scene, settings, draws.glass_z)
    sets = []
    for number, belief in enumerate(draws.beliefs_z):
        blurs = frame_blurs(scene, focus_mm, draws, belief)
        costs = frame_costs(limits.column(number), settings, blurs, which)
        sets.append((costs.max(axis=1) <= 1.0).mean(axis=1))
    return np.stack(sets)


def share_with_interval(
    scene: Scene,
    settings: Settings,
    focus_mm: float,
    draws: FrameDraws,
    which: ArrayLike | None = None,
) -> tuple[Measured, ...]:
    """Return shares of frames that hold, each with the interval that the unsure numbers leave.

    Parameters
    ----------
    scene : Scene
        What is fixed.
    settings : Settings
        A few settings: each costs as much as ten there.
    focus_mm : float
        Where the focus plane is put, from the lens.
    draws : FrameDraws
        The frames.
    which : array_like, optional
        Numbers of the eyes that count; all unless said.

    Returns
    -------
    tuple of Measured
        The share to be expected, and the middle 90 % of what it may truly be.
    """
    values = frame_shares(scene, settings, focus_mm, draws, which)
    fewer = first_frames(draws, BELIEF_FRAMES)
    sets = believed_shares(scene, settings, focus_mm, fewer, which)
    low, high = np.quantile(sets, (0.05, 0.95), axis=0)
    return tuple(
        Measured(value=float(v), low=float(min(a, v)), high=float(max(b, v)))
        for v, a, b in zip(values, low, high, strict=True)
    )
