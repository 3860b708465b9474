"""The middle frame by the plain sums, setting by setting: for tests of the quick ones."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.plan.draws import FrameDraws
from eyeplane.plan.frames import frame_blurs, frame_costs
from eyeplane.plan.middle import QUANTILES, drawn_um, orderly, reaches_of
from eyeplane.plan.scene import Scene, Settings
from eyeplane.plan.share import limits_of
from eyeplane.records import Measured

FloatArray = NDArray[np.float64]


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


def middle_frames(
    scene: Scene, settings: Settings, focus_mm: float, draws: FrameDraws
) -> tuple[tuple[MiddleFrame, ...], ...]:
    """Return what is to be expected of the middle frame, at each setting and each eye.

    Parameters
    ----------
    scene : Scene
        What is fixed.
    settings : Settings
        A few.
    focus_mm : float
        Where the focus plane is put, from the lens.
    draws : FrameDraws
        The frames.

    Returns
    -------
    tuple of tuple of MiddleFrame
        One tuple a setting, one entry an eye: blur on the sensor, reach on the print.
    """
    limits = orderly(limits_of(scene, settings))
    blurs = frame_blurs(scene, focus_mm, draws)
    costs = frame_costs(limits, settings, blurs)
    order = np.argsort(costs, axis=2)
    frames = blurs.disc_um.shape[1]
    chosen = order[:, :, [int(q * (frames - 1)) for q in QUANTILES]]  # (k, m, 3)
    eyes = np.arange(len(scene.eyes_mm))[None, :, None]
    disc = blurs.disc_um[eyes, chosen] / settings.f_number[:, None, None]
    line = drawn_um(settings, limits, blurs.line_um_per_s[eyes, chosen])
    reach = reaches_of(scene, settings, disc_um=disc, line_um=line)
    aimed = replace(scene, eyes_mm=(focus_mm,), person=(0,))
    missed = float(np.median(frame_blurs(aimed, focus_mm, draws).disc_um))
    shake, sitter = (np.median(a, axis=1) for a in (blurs.shake_um_per_s, blurs.sitter_um_per_s))
    return tuple(
        tuple(
            MiddleFrame(
                focus_um=missed / float(settings.f_number[k]),
                shake_um=float(shake[m] * settings.motion_s[k]),
                sitter_um=float(sitter[m] * settings.motion_s[k]),
                disc_um=float(disc[k, m, 1]),
                line_um=float(line[k, m, 1]),
                reach_cm=_measured(reach[k, m]),
            )
            for m in range(len(scene.eyes_mm))
        )
        for k in range(len(settings))
    )


def _measured(reach_cm: FloatArray) -> Measured:
    low, value, high = (float(r) for r in reach_cm)
    return Measured(value=value, low=min(low, value), high=max(high, value))
