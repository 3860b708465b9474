"""The eyes of a sitting as shot: what blurs each, with the settings that could have been others."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.diagnose.cause import diffraction_px
from eyeplane.diagnose.motion import flash_alone
from eyeplane.learn.mixed import Z90, Array
from eyeplane.optics.sharpness import px_per_deg
from eyeplane.records import (
    STANDARD_VIEWING_CM,
    FaceAnswer,
    FaceReading,
    FrameReading,
    SittingFrame,
    Viewing,
    counting_eye,
)
from eyeplane.sitting.seen import Spreads

LEAST_LOG_SD = 0.03  # of a size: no blur is known closer than to 3 %; no source
SMALL_SHARE = 0.25  # of the upper end: what "no blur" is taken as where the best answer is none


@dataclass(frozen=True, slots=True, kw_only=True)
class Eyes:
    """The counting eyes of all sitters of the frames, in order of the frames.

    Attributes
    ----------
    starts : ndarray of int
        Where each frame's eyes begin.
    numbers : ndarray of int
        The frame of each eye, as numbered in the sitting.
    bursts : ndarray of int
        The bursts of the eyes.
    spreads : Spreads
        What blurs them, as shot.
    focus_px : ndarray
        The part of the disc that missed focus and depth make.
    beside_px : ndarray
        The disc that blurs besides a line.
    diffraction_px : ndarray
        The disc that softens as much as diffraction does; 0 where unknown.
    log_sd : ndarray
        Standard deviation of the logarithm of the size.
    time_s, f_number, iso : ndarray
        As shot; NaN where the file does not say.
    flash, flash_alone : ndarray of bool
        Whether a flash fired, and whether it did all the lighting.
    pitch_um : ndarray
        NaN where unknown.
    offset_mm : ndarray
        NaN where not told, or with several sitters.
    px_per_mm : ndarray
        Disc for each millimetre of offset; NaN where the lens is not known.
    """

    starts: NDArray[np.intp]
    numbers: NDArray[np.intp]
    bursts: NDArray[np.intp]
    spreads: Spreads
    focus_px: Array
    beside_px: Array
    diffraction_px: Array
    log_sd: Array
    time_s: Array
    f_number: Array
    iso: Array
    flash: NDArray[np.bool_]
    flash_alone: NDArray[np.bool_]
    pitch_um: Array
    offset_mm: Array
    px_per_mm: Array


def eyes_as_shot(
    frames: Sequence[SittingFrame], *, goal_cm: float, viewing: Viewing
) -> Eyes | None:
    """Return the eyes of all frames whose reach is told.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.
    goal_cm : float
        Print edge, cm.
    viewing : Viewing
        For the viewer's distance.

    Returns
    -------
    Eyes or None
        None if no reach is told. Sitters whose reach cannot be told are left out, as they are
        when a frame is answered.
    """
    scale = px_per_deg(
        long_edge_px=1.0,
        print_cm=goal_cm,
        viewing_cm=viewing.distance_cm or STANDARD_VIEWING_CM,
    )
    rows: list[tuple[float, ...]] = []
    for number, frame in enumerate(frames):
        pairs = zip(frame.reading.faces, frame.answer.faces, strict=True)
        told = [(face, said) for face, said in pairs if said.sitter and said.reach_cm is not None]
        single = sum(said.sitter for said in frame.answer.faces) == 1
        for face, said in told:
            place = (float(number), float(frame.burst or 0))
            rows.append(
                (*place, *_settings(frame.reading), *_eye(face, said, frame, single=single))
            )
    if not rows:
        return None
    table = np.array(rows, dtype=float).T
    numbers = table[0].astype(np.intp)
    return Eyes(
        starts=np.flatnonzero(np.diff(numbers, prepend=-1)),
        numbers=numbers,
        bursts=table[1].astype(np.intp),
        time_s=table[2],
        f_number=table[3],
        iso=table[4],
        flash=table[5] > 0,
        flash_alone=table[6] > 0,
        pitch_um=table[7],
        diffraction_px=table[8],
        spreads=Spreads(
            disc_px=table[10],
            line_px=table[11],
            airy_px=np.zeros(len(numbers)),
            noise_contrast=table[12],
            px_per_deg=table[9] * scale,
        ),
        focus_px=table[13],
        beside_px=table[14],
        log_sd=table[15],
        offset_mm=table[16],
        px_per_mm=table[17],
    )


def _settings(reading: FrameReading) -> tuple[float, ...]:
    exif = reading.exposure
    pitch = reading.pitch_um
    return (
        exif.exposure_time_s or math.nan,
        exif.f_number or math.nan,
        exif.iso or math.nan,
        float(exif.flash_fired is True),
        float(flash_alone(exif)),
        math.nan if pitch is None or pitch.value <= 0 else pitch.value,
        diffraction_px(reading) or 0.0,
        float(max(reading.width_px, reading.height_px)),
    )


def _eye(
    face: FaceReading, said: FaceAnswer, frame: SittingFrame, *, single: bool
) -> tuple[float, ...]:
    """Return disc, line, noise, focus part, disc beside, spread, offset and disc per mm."""
    blur = counting_eye(face).blur
    value, high = (0.0, 0.0) if blur.size_px is None else (blur.size_px.value, blur.size_px.high)
    known = max(value, SMALL_SHARE * high)
    spread = math.log(max(high / known, 1.0)) / Z90 if known > 0 else 0.0
    line = blur.kind == "line"
    beside = 0.0 if blur.disc_beside_px is None or not line else blur.disc_beside_px.value
    offset = math.nan if said.offset_mm is None or not single else said.offset_mm.value
    noise = face.noise_contrast
    return (
        0.0 if line else value,
        value if line else 0.0,
        0.0 if noise is None else max(noise.value, 0.0),
        0.0 if line else min(_focus_part(said), value),
        beside,
        max(spread, LEAST_LOG_SD),
        offset,
        _px_per_mm(face, frame.reading),
    )


def _focus_part(said: FaceAnswer) -> float:
    parts = [p.blur_px for p in said.budget if p.cause in ("focus", "depth")]
    return max((part.value for part in parts if part is not None), default=0.0)


def _px_per_mm(face: FaceReading, reading: FrameReading) -> float:
    """Return the disc for a millimetre of offset: (f / N) · f / (s − f) / s / pitch."""
    exif, distance, pitch = reading.exposure, face.face.distance_mm, reading.pitch_um
    focal = exif.focal_length_mm
    if not focal or not exif.f_number or distance is None or pitch is None or pitch.value <= 0:
        return math.nan
    away = distance.value
    if away <= focal:
        return math.nan
    return 1000.0 * focal**2 / exif.f_number / (away - focal) / away / pitch.value
