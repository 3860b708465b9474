"""The budget of an eye: what blurs the middle frame part by part, and its reach without each."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.optics import BLUR_POWER, Spreads, reaches_cm
from eyeplane.plan.blurs import (
    AIRY_TO_DISC,
    GAUSSIAN_TO_DISC,
    as_sharpened,
    diffraction_um,
    disc_um,
    glass_um,
)
from eyeplane.plan.expected import PLANE, Expected
from eyeplane.plan.hold import HoldLimits, base_spreads
from eyeplane.plan.middle import ORDER_DISC_UM, ORDER_LINE_UM, drawn_s
from eyeplane.plan.scene import Settings
from eyeplane.records import Measured, PlanPart

FloatArray = NDArray[np.float64]

CAUSES = ("focus", "depth", "shake", "sitter", "diffraction", "glass", "pixels", "noise")
QUANTILES = (0.95, 0.5, 0.05)  # of frames by what blur costs: lowest, middle and highest reach
PROMISE_SHARE = 0.8  # of frames that hold the print advised instead: four in five; our own
FINE_PIXELS = 8  # "without pixels" is worked out on pixels this many times finer


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """What to expect of one eye at one setting.

    Attributes
    ----------
    reach_cm : Measured
        Of the middle frame and the middle nine in ten.
    promised_cm : float
        Reach of four frames in five.
    without_noise_cm : float
        Reach of the middle frame if there were no noise.
    parts : tuple of PlanPart
        Costliest first.
    """

    reach_cm: Measured
    promised_cm: float
    without_noise_cm: float
    parts: tuple[PlanPart, ...]


@dataclass(frozen=True, slots=True)
class _Row:
    """One eye at one setting, before its reaches are known."""

    disc_um: FloatArray  # of frames: lowest, middle, highest reach, four in five; without each part
    line_um: FloatArray
    sizes_um: tuple[float, ...]


def budgets(
    frames: Expected, settings: Settings, limits: HoldLimits, *, eyes: tuple[int, ...]
) -> tuple[tuple[Budget, ...], ...]:
    """Return the budget of each eye at each setting.

    Parameters
    ----------
    frames : Expected
        The frames.
    settings : Settings
        A few.
    limits : HoldLimits
        Of these settings: they put the frames in order.
    eyes : tuple of int
        Numbers of the eyes.

    Returns
    -------
    tuple of tuple of Budget
        One tuple a setting, one entry an eye.

    Notes
    -----
    Without a part, frames are put in order anew: the reach is that of the frame that then lies in
    the middle. All reaches are worked out at once.
    """
    rows = [
        _row(frames, settings, _orderly(limits), place, eye)
        for place in range(len(settings))
        for eye in eyes
    ]
    of_setting = np.repeat(np.arange(len(settings)), len(eyes))
    reach = _reaches(frames, rows, settings.at(of_setting))
    told = [_budget(row, values) for row, values in zip(rows, reach, strict=True)]
    count = len(eyes)
    return tuple(tuple(told[k * count : (k + 1) * count]) for k in range(len(settings)))


def _orderly(limits: HoldLimits) -> HoldLimits:
    """Return limits that put frames in order even where nothing holds."""
    good = limits.disc_um > 0
    return replace(
        limits,
        disc_um=np.where(good, limits.disc_um, ORDER_DISC_UM),
        line_um=np.where(good, limits.line_um, ORDER_LINE_UM),
    )


def _row(frames: Expected, settings: Settings, limits: HoldLimits, place: int, eye: int) -> _Row:
    f_number, seconds = float(settings.f_number[place]), float(drawn_s(settings)[place])
    by_disc = (f_number * limits.disc_um[place]) ** -BLUR_POWER
    by_line = (seconds / limits.line_um[place]) ** BLUR_POWER
    blurs = frames.blurs
    disc, line = by_disc * frames.frames.disc[eye], by_line * frames.frames.line[eye]
    planned_um = float(_planned_um(frames, eye)) / f_number
    whole = np.argsort(disc + line)
    last = len(whole) - 1
    picked = [whole[round(q * last)] for q in (*QUANTILES, PROMISE_SHARE)]
    middle = last // 2
    disc_at, line_at = blurs.disc_um[eye] / f_number, blurs.line_um_per_s[eye] * seconds
    shake, sitter = _of_eye(blurs.shake_um_per_s, eye), _of_eye(blurs.sitter_um_per_s, eye)
    in_plane = blurs.disc_um[PLANE] / f_number

    def median(first: FloatArray, second: FloatArray) -> int:
        return int(np.argpartition(first + second, middle)[middle])

    no_depth = median(by_disc * frames.frames.disc[PLANE], line)
    no_shake = median(disc, by_line * sitter**BLUR_POWER)
    no_sitter = median(disc, by_line * shake**BLUR_POWER)
    lone = float(np.median(line_at))
    same = picked[1]
    disc_um = [*disc_at[picked], planned_um, in_plane[no_depth], disc_at[no_shake]]
    line_um = [*line_at[picked], lone, line_at[no_depth], sitter[no_shake] * seconds]
    disc_um += [disc_at[no_sitter], *[disc_at[same]] * 4]
    line_um += [shake[no_sitter] * seconds, *[line_at[same]] * 4]
    kit = frames.scene.kit
    sizes = (
        float(np.median(in_plane)),
        planned_um,
        float(np.median(shake)) * seconds,
        float(np.median(sitter)) * seconds,
        AIRY_TO_DISC * float(diffraction_um(f_number)),
        GAUSSIAN_TO_DISC * float(glass_um(kit, f_number)),
        kit.pitch_um,
    )
    return _Row(np.array(disc_um), np.array(line_um), sizes)


def _of_eye(values: FloatArray, eye: int) -> FloatArray:
    return values[eye] if values.ndim > 1 else values


def _planned_um(frames: Expected, eye: int) -> FloatArray:
    """Return the disc at f/1 that an eye has by its depth alone, focus exactly where it is put."""
    scene = frames.scene
    return disc_um(
        focal_length_mm=scene.kit.focal_length_mm,
        f_number=1.0,
        focus_mm=frames.focus_mm,
        eye_mm=scene.eyes_mm[eye],
    )


def _reaches(frames: Expected, rows: list[_Row], settings: Settings) -> FloatArray:
    """Return (rows, columns): the reach of every disc and line; the last four lack a part."""
    kit, promise = frames.scene.kit, frames.scene.promise
    pitch_um = kit.pitch_um
    disc = np.stack([row.disc_um for row in rows]) / pitch_um
    line = np.stack([row.line_um for row in rows]) / pitch_um
    base = base_spreads(kit, settings.f_number, settings.iso, settings.level)
    columns = base.columns()[2:5]
    gaussian, airy, noise = (np.repeat(c[:, None], disc.shape[1], axis=1) for c in columns)
    glass_px = glass_um(kit, settings.f_number) / pitch_um
    diffraction_px = diffraction_um(settings.f_number) / pitch_um
    gaussian[:, -4], airy[:, -4] = as_sharpened(glass_px, 0.0 * diffraction_px)
    gaussian[:, -3], airy[:, -3] = as_sharpened(0.0 * glass_px, diffraction_px)
    noise[:, -1] = 0.0
    finer = np.ones_like(disc)
    finer[:, -2] = FINE_PIXELS
    return reaches_cm(
        Spreads(
            disc_px=disc * finer,
            line_px=line * finer,
            gaussian_px=gaussian * finer,
            airy_px=airy * finer,
            noise_contrast=noise * finer,
        ),
        long_edge_px=max(kit.long_edge_px, kit.short_edge_px) * finer,
        viewing_cm=promise.viewing_cm,
    )


def _budget(row: _Row, reach_cm: FloatArray) -> Budget:
    low, value, high = (float(r) for r in reach_cm[:3])
    parts = [
        PlanPart(cause=cause, blur_um=size, reach_without_cm=max(float(reach), value))
        for cause, size, reach in zip(CAUSES, (*row.sizes_um, None), reach_cm[4:], strict=True)
    ]
    return Budget(
        reach_cm=Measured(value=value, low=min(low, value), high=max(high, value)),
        promised_cm=float(reach_cm[3]),
        without_noise_cm=float(reach_cm[-1]),
        parts=tuple(sorted(parts, key=lambda part: -part.reach_without_cm)),
    )
