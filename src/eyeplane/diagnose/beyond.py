"""What hair, clothes and the background tell of the focus plane, their depths known only roughly.

Sharp hair or a sharp background behind a soft eye puts the plane behind it. Soft hair says little:
it may be smooth.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.diagnose.cone import LOG_SD_FLOOR, SOFT_PX, STUDENT_NU
from eyeplane.diagnose.lens import Z90, Lens
from eyeplane.records import FaceReading, Measured, ProbeReading, counting_eye

FloatArray = NDArray[np.float64]

# Depth behind the near iris and its standard deviation in mm: hair from the brow to the crown, over
# people and how it is worn; collar and chest, which lean and turn on their own. From memory.
PEOPLE_MM = {"hair": (50.0, 30.0), "clothes": (25.0, 45.0)}
NEAREST_BACKGROUND_MM, FARTHEST_BACKGROUND_MM = 200.0, 20_000.0  # behind the eye; any, by ratio
DEPTH_NODES = 41
ALIKE_WEIGHT = 0.5  # of two windows of one kind: they err alike
# Of log(blur + SOFT_PX): hair and cloth seldom look sharper than the lens drew them (windows on an
# outline hold what lies behind it), but smooth hair and plain cloth often softer; from memory.
SHARPER_LOG_SD, SOFTER_LOG_SD = 0.25, 1.0
LEAST_LOG = -4.0  # no kind of place speaks louder than 50 : 1 against an offset


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Depths:
    depth_mm: FloatArray
    weight: FloatArray


def beyond_evidence(
    face: FaceReading, background: Sequence[ProbeReading], lens: Lens, offsets_mm: FloatArray
) -> FloatArray:
    """Return what lies beyond the face says of each offset of the focus plane.

    Parameters
    ----------
    face : FaceReading
        With its hair and clothes among the probes.
    background : sequence of ProbeReading
        Of its frame.
    lens : Lens
        Of its frame.
    offsets_mm : ndarray
        Focus plane minus near iris, + behind it.

    Returns
    -------
    ndarray
        Log-likelihood (natural), at most 0; all 0 where nothing was read.
    """
    total = np.zeros(len(offsets_mm))
    for name, (middle, spread) in PEOPLE_MM.items():
        u = np.linspace(-2.5, 2.5, DEPTH_NODES)
        total += _kind(
            [p for p in face.probes if p.name == name],
            _Depths(depth_mm=middle + spread * u, weight=np.exp(-0.5 * u * u)),
            lens,
            offsets_mm,
        )
    far = np.geomspace(NEAREST_BACKGROUND_MM, FARTHEST_BACKGROUND_MM, DEPTH_NODES)
    depths = _Depths(depth_mm=far, weight=np.ones(DEPTH_NODES))
    return total + _kind(_sharper(background, face), depths, lens, offsets_mm)


def _sharper(background: Sequence[ProbeReading], face: FaceReading) -> list[ProbeReading]:
    """Return background places clearly sharper than the eye: soft ones are the usual thing."""
    eye = counting_eye(face).blur.size_px
    sized = ((p, p.blur.size_px) for p in background)
    return [p for p, size in sized if size and eye is not None and size.high < eye.low]


def _kind(
    probes: Sequence[ProbeReading], depths: _Depths, lens: Lens, offsets_mm: FloatArray
) -> FloatArray:
    """Return the log-likelihood of one kind of place, its best at 0."""
    read = [p.blur.size_px for p in probes if p.blur.kind != "line" and p.blur.size_px is not None]
    if not read:
        return np.zeros(len(offsets_mm))
    distance = lens.distance_mm.value
    disc = lens.circle_px(
        distance + offsets_mm[None, :], np.maximum(distance + depths.depth_mm, 1.0)[:, None]
    )
    weight = depths.weight / depths.weight.sum()
    parts = [np.log(weight @ _likely(size, disc)) for size in read]
    log = np.sum(parts, axis=0) * (ALIKE_WEIGHT if len(parts) > 1 else 1.0)
    return np.asarray(np.maximum(log - log.max(), LEAST_LOG))


def _likely(size: Measured, disc_px: FloatArray) -> FloatArray:
    low, high = max(size.low, 0.0) + SOFT_PX, max(size.high, 0.0) + SOFT_PX
    spread = max(np.log(high / low) / (2 * Z90), LOG_SD_FLOOR)
    off = np.log(max(size.value, 0.0) + SOFT_PX) - np.log(disc_px + SOFT_PX)
    t = off / np.hypot(spread, np.where(off > 0, SOFTER_LOG_SD, SHARPER_LOG_SD))
    return np.asarray((1.0 + t * t / STUDENT_NU) ** (-(STUDENT_NU + 1) / 2))
