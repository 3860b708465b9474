"""What share of frames holds the print, for many settings at once, and how sure that is."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from eyeplane.optics import reaches_cm
from eyeplane.plan.draws import BELIEF_FRAMES, FrameDraws, first_frames
from eyeplane.plan.frames import frame_blurs, frame_costs
from eyeplane.plan.hold import HoldLimits, base_spreads, hold_limits
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
        costs = frame_costs(_limits_at(limits, part), settings.at(part), blurs, eyes)
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


def _limits_at(limits: HoldLimits, which: NDArray[np.intp]) -> HoldLimits:
    return HoldLimits(
        disc_um=limits.disc_um[which],
        line_um=limits.line_um[which],
        room_share=limits.room_share[which],
    )


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
    limits = limits_of(scene, settings)
    sets, fewer = [], first_frames(draws, BELIEF_FRAMES)
    for belief in draws.beliefs_z:
        blurs = frame_blurs(scene, focus_mm, fewer, belief)
        costs = frame_costs(limits, settings, blurs, which)
        sets.append((costs.max(axis=1) <= 1.0).mean(axis=1))
    low, high = np.quantile(np.stack(sets), (0.05, 0.95), axis=0)
    return tuple(
        Measured(value=float(v), low=float(min(a, v)), high=float(max(b, v)))
        for v, a, b in zip(values, low, high, strict=True)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class MiddleFrame:
    """The frame that half of all frames are worse than, at one eye and one setting.

    Attributes
    ----------
    focus_um, shake_um, sitter_um : float
        Medians over frames of what each part alone makes; focus without the planned depth.
    disc_um, line_um : float
        Of the middle frame by what they cost together.
    reach_cm : Measured
        Of the middle frame, and of the middle nine in ten.
    """

    focus_um: float
    shake_um: float
    sitter_um: float
    disc_um: float
    line_um: float
    reach_cm: Measured


def middle_frame(
    scene: Scene, setting: Settings, focus_mm: float, draws: FrameDraws, eye: int
) -> MiddleFrame:
    """Return what is to be expected of the middle frame at one eye.

    Parameters
    ----------
    scene : Scene
        What is fixed.
    setting : Settings
        One of them.
    focus_mm : float
        Where the focus plane is put, from the lens.
    draws : FrameDraws
        The frames.
    eye : int
        Its number.

    Returns
    -------
    MiddleFrame
        Blur on the sensor, reach on the print.
    """
    limits = limits_of(scene, setting)
    blurs = frame_blurs(scene, focus_mm, draws)
    disc = blurs.disc_um[eye] / setting.f_number[0]
    line = blurs.line_um_per_s[eye] * _effective_s(setting)
    # Where nothing holds any limits serve to put frames in order.
    scale = replace(limits, disc_um=np.ones(1), line_um=np.full(1, 0.86))
    order = np.argsort((limits if limits.disc_um[0] > 0 else scale).cost(disc, line))
    places = [order[int(q * (len(order) - 1))] for q in (0.95, 0.5, 0.05)]
    pitch = scene.kit.pitch_um
    base = base_spreads(scene.kit, setting.f_number[0], setting.iso[0], setting.level[0])
    low, value, high = reaches_cm(
        replace(base, disc_px=disc[places] / pitch, line_px=line[places] / pitch),
        long_edge_px=max(scene.kit.long_edge_px, scene.kit.short_edge_px),
        viewing_cm=scene.promise.viewing_cm,
    )
    aimed = replace(scene, eyes_mm=(focus_mm,), person=(0,))
    missed = frame_blurs(aimed, focus_mm, draws).disc_um[0] / setting.f_number[0]
    seconds = float(setting.motion_s[0])
    return MiddleFrame(
        focus_um=float(np.median(missed)),
        shake_um=float(np.median(blurs.shake_um_per_s[eye])) * seconds,
        sitter_um=float(np.median(blurs.sitter_um_per_s[eye])) * seconds,
        disc_um=float(disc[places[1]]),
        line_um=float(line[places[1]]),
        reach_cm=Measured(
            value=float(value), low=float(min(low, value)), high=float(max(high, value))
        ),
    )


def _effective_s(setting: Settings) -> float:
    """Return the time that draws a line of the same second moment as flash and ambient light."""
    ghost = float(setting.ghost_share[0])
    flash, shutter = float(setting.motion_s[0]), float(setting.shutter_s[0])
    return float(np.sqrt((1.0 - ghost) * flash**2 + ghost * shutter**2))
