"""The budget of an eye: what blurs the middle frame part by part, and its reach without each."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.optics import BLUR_POWER, Spreads, reaches_cm
from eyeplane.optics.kit_blur import (
    AIRY_TO_DISC,
    GAUSSIAN_TO_DISC,
    as_sharpened,
    diffraction_um,
    glass_um,
)
from eyeplane.plan.blurs import disc_um
from eyeplane.plan.expected import FAR, NEAR, PLANE, Expected
from eyeplane.plan.hold import HoldLimits, base_spreads
from eyeplane.plan.middle import QUANTILES, drawn_um, line_costs, orderly
from eyeplane.plan.scene import Settings
from eyeplane.records import Measured, PlanPart

FloatArray = NDArray[np.float64]

CAUSES = ("focus", "depth", "shake", "sitter", "diffraction", "glass", "pixels", "noise")
PROMISE_SHARE = 0.8  # of frames that hold the print advised instead: four in five; our own
FINE_PIXELS = 8  # "without pixels" is worked out on pixels this many times finer


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """What to expect of one eye at one setting.

    Attributes
    ----------
    reach_cm : Measured
        Of the middle frame and the middle nine in ten.
    promised_cm : float or None
        Reach of four frames in five; None where parts were not asked for.
    without_noise_cm : float
        Reach of the middle frame if there were no noise.
    parts : tuple of PlanPart
        Costliest first, where they were asked for.
    """

    reach_cm: Measured
    promised_cm: float | None
    without_noise_cm: float
    parts: tuple[PlanPart, ...]


def budgets(
    frames: Expected, settings: Settings, limits: HoldLimits, *, whole: int
) -> tuple[tuple[Budget, ...], ...]:
    """Return the budget of near and far iris at each setting.

    Parameters
    ----------
    frames : Expected
        The frames.
    settings : Settings
        A few.
    limits : HoldLimits
        Of these settings: they put the frames in order.
    whole : int
        So many of them get the parts too; of the others only the near iris' reach is told.

    Returns
    -------
    tuple of tuple of Budget
        One tuple a setting: near iris and far iris, or the near one alone.

    Notes
    -----
    Without a part, frames are put in order anew: the reach is that of the frame that then lies in
    the middle. All reaches are worked out at once.
    """
    ordered = orderly(limits)
    sizes = _sizes_um(frames, settings, ordered)
    disc_um, line_um = _looked_at(frames, settings, ordered, sizes)
    asked = np.ones(disc_um.shape, bool)
    asked[whole:, FAR] = False
    asked[whole:, NEAR, len(QUANTILES) : -1] = False
    reach = _reaches(frames, settings, (disc_um, line_um), asked)
    return tuple(
        tuple(
            _budget(reach[k, eye], sizes[k, eye] if k < whole else None)
            for eye in ((NEAR, FAR) if k < whole else (NEAR,))
        )
        for k in range(len(settings))
    )


def _sizes_um(frames: Expected, settings: Settings, limits: HoldLimits) -> FloatArray:
    """Return (settings, eyes, parts): what each part alone makes in the middle, noise left out."""
    blurs, kit = frames.blurs, frames.scene.kit
    f_number = settings.f_number[:, None]
    shake, moves = (
        drawn_um(settings, limits, _median(_of_irises(speeds))[None])
        for speeds in (blurs.shake_um_per_s, blurs.sitter_um_per_s)
    )
    by_eye = (
        float(_median(blurs.disc_um[PLANE])) / f_number,
        _planned_um(frames) / f_number,
        shake,
        moves,
        AIRY_TO_DISC * diffraction_um(f_number),
        GAUSSIAN_TO_DISC * glass_um(kit, f_number),
        np.full_like(f_number, kit.pitch_um),
    )
    shape = (len(settings), 2)
    return np.stack([np.broadcast_to(size, shape) for size in by_eye], axis=2)


def _looked_at(
    frames: Expected, settings: Settings, limits: HoldLimits, sizes: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return (settings, eyes, columns): disc and line of each frame whose reach is asked for.

    Columns: lowest, middle and highest reach, four in five; the middle frame without focus error,
    depth, shake, the sitter's motion; and four times the middle one, which then lacks a part.
    """
    blurs, powered = frames.blurs, frames.frames
    f_number = settings.f_number
    by_disc = ((f_number * limits.disc_um) ** -BLUR_POWER)[:, None, None]
    disc = by_disc * powered.disc[:PLANE]
    line = line_costs(settings, limits, powered.line[None, :PLANE])
    lone = _of_irises(blurs.shake_um_per_s), _of_irises(blurs.sitter_um_per_s)
    alone = [line_costs(settings, limits, one[None] ** BLUR_POWER) for one in lone]
    last = disc.shape[2] - 1
    ranks = [int(q * last) for q in (*QUANTILES, PROMISE_SHARE)]
    picked = np.argpartition(disc + line, sorted(set(ranks)), axis=2)[:, :, ranks]
    middle = last // 2

    def median(cost: FloatArray) -> NDArray[np.intp]:
        return np.argpartition(cost, middle, axis=2)[:, :, middle, None]

    no_depth = median(by_disc * powered.disc[PLANE] + line)
    no_shake, no_sitter = median(disc + alone[1]), median(disc + alone[0])
    eyes = np.arange(2)[None, :, None]
    as_drawn, whole = blurs.disc_um, blurs.line_um_per_s
    at_middle = np.repeat(picked[:, :, 1:2], 4, axis=2)
    middle_line = np.broadcast_to(_median(whole[:PLANE])[None, :, None], no_depth.shape)
    disc_um = [
        as_drawn[eyes, picked],
        sizes[:, :, 1:2] * f_number[:, None, None],
        as_drawn[PLANE][no_depth],
        *(as_drawn[eyes, one] for one in (no_shake, no_sitter, at_middle)),
    ]
    line_um = [
        whole[eyes, picked],
        middle_line,
        whole[eyes, no_depth],
        lone[1][eyes, no_shake],
        lone[0][eyes, no_sitter],
        whole[eyes, at_middle],
    ]
    return (
        np.concatenate(disc_um, axis=2) / f_number[:, None, None],
        drawn_um(settings, limits, np.concatenate(line_um, axis=2)),
    )


def _median(values: FloatArray) -> FloatArray:
    """Return medians over frames; NumPy's own loads masked arrays first, slower than a plan."""
    low, high = (values.shape[-1] - 1) // 2, values.shape[-1] // 2
    parted = np.partition(values, (low, high), axis=-1)
    return np.asarray(0.5 * (parted[..., low] + parted[..., high]))


def _of_irises(values: FloatArray) -> FloatArray:
    """Return a value of near and far iris, given for each or for both alike."""
    return values[:PLANE] if values.ndim > 1 else np.stack([values] * PLANE)


def _planned_um(frames: Expected) -> FloatArray:
    """Return the disc at f/1 that an iris has by its depth alone, focus exactly where it is put."""
    scene = frames.scene
    return disc_um(
        focal_length_mm=scene.kit.focal_length_mm,
        f_number=1.0,
        focus_mm=frames.focus_mm,
        eye_mm=np.asarray(scene.eyes_mm[:PLANE]),
    )


def _reaches(
    frames: Expected,
    settings: Settings,
    looked_at: tuple[FloatArray, FloatArray],
    asked: NDArray[np.bool_],
) -> FloatArray:
    """Return (settings, eyes, columns): the reach of those asked for; the last four lack a part."""
    kit, promise = frames.scene.kit, frames.scene.promise
    pitch_um, shape = kit.pitch_um, asked.shape
    base = base_spreads(kit, settings.f_number, settings.iso, settings.level)
    columns = base.columns()[2:5]
    gaussian, airy, noise = (np.broadcast_to(c[:, None, None], shape).copy() for c in columns)
    glass_px = glass_um(kit, settings.f_number)[:, None] / pitch_um
    diffraction_px = diffraction_um(settings.f_number)[:, None] / pitch_um
    none = np.zeros_like(glass_px)
    gaussian[..., -4], airy[..., -4] = as_sharpened(glass_px, none)
    gaussian[..., -3], airy[..., -3] = as_sharpened(none, diffraction_px)
    noise[..., -1] = 0.0
    finer = np.ones(shape)
    finer[..., -2] = FINE_PIXELS
    disc, line = (um / pitch_um for um in looked_at)
    reach = np.full(shape, np.nan)
    reach[asked] = reaches_cm(
        Spreads(
            disc_px=(disc * finer)[asked],
            line_px=(line * finer)[asked],
            gaussian_px=(gaussian * finer)[asked],
            airy_px=(airy * finer)[asked],
            noise_contrast=(noise * finer)[asked],
        ),
        long_edge_px=max(kit.long_edge_px, kit.short_edge_px) * finer[asked],
        viewing_cm=promise.viewing_cm,
    )
    return reach


def _budget(reach_cm: FloatArray, sizes_um: FloatArray | None) -> Budget:
    low, value, high = (float(r) for r in reach_cm[:3])
    told = () if sizes_um is None else (*(float(size) for size in sizes_um), None)
    parts = [
        PlanPart(cause=cause, blur_um=size, reach_without_cm=max(float(reach), value))
        for cause, size, reach in zip(CAUSES, told, reach_cm[4:], strict=False)
    ]
    return Budget(
        reach_cm=Measured(value=value, low=min(low, value), high=max(high, value)),
        promised_cm=None if sizes_um is None else float(reach_cm[3]),
        without_noise_cm=float(reach_cm[-1]),
        parts=tuple(sorted(parts, key=lambda part: -part.reach_without_cm)),
    )
