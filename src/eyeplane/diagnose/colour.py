"""The lens's longitudinal colour: learned from frames whose focus was told, then a sign for others.

On the image side, + is farther from the lens. `shift` is how far the focus of a colour lies behind
that of green.
"""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.diagnose.lens import Z90, Lens, lens_of
from eyeplane.diagnose.reach import other_eye
from eyeplane.records import (
    ColourBlur,
    Exposure,
    FaceReading,
    FrameReading,
    KitColour,
    Learned,
    Measured,
    counting_eye,
)

FloatArray = NDArray[np.float64]

# Told sides are wrong in at most 1 frame of 20: that 3 or more of 8 are wrong, which could turn a
# shift about, then has a chance of 0.6 % (binomial).
FEWEST_FRAMES = 8
WRONG_SIDE = 0.05  # chance that a told side is wrong
LARGEST_SHIFT = 1 / 400  # of the focal length: four times the 1/1600 to 1/2500 that doublets of
# ordinary glasses leave between the middle and the ends of the spectrum; from memory
SHIFT_STEPS = 80  # of the grid of shifts on either side of zero
STUDENT_NU = 4  # degrees of freedom: one place in ten may be badly off
COMMON_PX2 = 2.0  # sd of what is common to all places of a kit: demosaicking, smoothing of colour
PLACE_PX2 = 2.0  # sd of what a place's own colours feign: sharp windows of nine photographs
MODEL_SHARE = 0.2  # of the difference: rings of light that are no even discs; from memory
SCALE_SHARE = 0.2  # sd of what rounding and smoothing of colour take from all readings alike:
# shifts of 60 and 40 um put on rendered heads are learned as 50 and 28
SHARED_ERROR_WEIGHT = 0.7  # places on one head share their errors, as in the cone
BOTH_COLOURS_WEIGHT = 0.7  # red and blue are both measured against the same green
EYE_DEPTH_SD_MM = 2.0  # of the window on an eye, as in the cone
EVEN_EYES_SD_MM = 6.0  # of the other eye where neither is nearer
NODES = np.sqrt(3.0) * np.array([-1.0, 0.0, 1.0])  # Gauss-Hermite, in standard deviations
NODE_WEIGHTS = np.array([1.0, 4.0, 1.0]) / 6.0
_ZOOM = re.compile(r"\d\s*[-–]\s*\d")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    """A place with its depth behind the near iris and its colours."""

    depth_mm: float
    depth_sd_mm: float
    colour: ColourBlur


def kit_name(exposure: Exposure) -> str:
    """Return what a kit's colour is filed under.

    Parameters
    ----------
    exposure : Exposure
        Of a frame.

    Returns
    -------
    str
        "body with lens", for a zoom with its focal length in steps of a fifth, since its colour
        changes with it; without serial numbers, since it belongs to the design. Empty where the
        file names no body.
    """
    if not exposure.body:
        return ""
    name = exposure.body.strip()
    lens = (exposure.lens or "").strip()
    if lens:
        name = f"{name} with {lens}"
    focal_mm = exposure.focal_length_mm
    if focal_mm and (_ZOOM.search(lens) or not lens):
        name = f"{name} at about {1.2 ** round(math.log(focal_mm, 1.2)):.0f} mm"
    return name


def kit_colour(exposure: Exposure, learned: Learned) -> KitColour | None:
    """Return what was learned of the longitudinal colour of a frame's kit.

    Parameters
    ----------
    exposure : Exposure
        Of the frame.
    learned : Learned
        Any number of kits.

    Returns
    -------
    KitColour or None
        None where nothing was learned of it.
    """
    name = kit_name(exposure)
    return next((kit for kit in learned.colours if name and kit.kit == name), None)


def learn_colour(
    frames: Sequence[tuple[FaceReading, FrameReading, Measured]],
) -> tuple[KitColour, ...]:
    """Return the longitudinal colour of every kit that enough frames tell.

    Parameters
    ----------
    frames : sequence of (FaceReading, FrameReading, Measured)
        A face, its frame, and its focus offset in mm, told without the help of colour.

    Returns
    -------
    tuple of KitColour
        In order of name; only kits with `FEWEST_FRAMES` and a shift of red or of blue whose
        interval excludes zero.

    Notes
    -----
    With x how far the sensor lies behind green's image and k the disc per defocus,
    D_c² − D_g² = k² (d_c² − 2 x d_c) + c: the posterior of d_c on a grid, flat before, errors
    Student-t, c (common to the kit) and the told offset averaged over their errors. A told side
    may be wrong with `WRONG_SIDE`. What is learned holds for red and blue as the file has them,
    which are mixtures of what the sensor saw.
    """
    by_kit: dict[str, list[tuple[FaceReading, Lens, Measured]]] = {}
    for face, frame, offset_mm in frames:
        lens, _ = lens_of(face.face, frame)
        name = kit_name(frame.exposure)
        if name and lens is not None and _places(face):
            by_kit.setdefault(name, []).append((face, lens, offset_mm))
    found = (_learn_kit(name, by_kit[name]) for name in sorted(by_kit))
    return tuple(kit for kit in found if kit is not None)


def _learn_kit(name: str, frames: Sequence[tuple[FaceReading, Lens, Measured]]) -> KitColour | None:
    if len(frames) < FEWEST_FRAMES:
        return None
    focal_mm = float(np.median([lens.focal_length_mm for _, lens, _ in frames]))
    u = np.linspace(-1.0, 1.0, 2 * SHIFT_STEPS + 1)
    shifts_um = 1000.0 * LARGEST_SHIFT * focal_mm * u
    red, blue = (_learn_shift(frames, which, shifts_um) for which in ("red", "blue"))
    if red.low <= 0.0 <= red.high and blue.low <= 0.0 <= blue.high:
        return None
    return KitColour(kit=name, red_um=red, blue_um=blue, frames=len(frames))


def _learn_shift(
    frames: Sequence[tuple[FaceReading, Lens, Measured]], which: str, shifts_um: FloatArray
) -> Measured:
    common = COMMON_PX2 * NODES
    logs = np.zeros((shifts_um.size, common.size))
    for face, lens, offset_mm in frames:
        spread = (offset_mm.high - offset_mm.low) / (2 * Z90)
        told = offset_mm.value + spread * NODES
        grid = np.maximum(np.concatenate([told, -told]), _nearest_focus_mm(lens))
        weight = np.outer([1 - WRONG_SIDE, WRONG_SIDE], NODE_WEIGHTS).ravel()
        each = _log_likelihood(_places(face), lens, which, (grid, shifts_um, common))
        each = SHARED_ERROR_WEIGHT * each + np.log(weight)[:, None, None]
        logs += np.logaddexp.reduce(each, axis=0)
    total = np.logaddexp.reduce(logs + np.log(NODE_WEIGHTS), axis=1)
    mass = np.exp(total - total.max())
    middle = (np.cumsum(mass) - 0.5 * mass) / mass.sum()
    low, value, high = (float(v) for v in np.interp([0.05, 0.5, 0.95], middle, shifts_um))
    scale = Z90 * SCALE_SHARE * abs(value)
    return Measured(
        value=value,
        low=value - math.hypot(value - low, scale),
        high=value + math.hypot(high - value, scale),
    )


def side_evidence(
    face: FaceReading, lens: Lens, colour: KitColour, offsets_mm: FloatArray
) -> FloatArray:
    """Return how well each focus offset explains the colours of a face.

    Parameters
    ----------
    face : FaceReading
        One face with the colours at its eyes and places.
    lens : Lens
        Of this frame.
    colour : KitColour
        What was learned of its kit.
    offsets_mm : ndarray
        Candidate offsets, focus plane minus near iris, + behind it.

    Returns
    -------
    ndarray
        Log-likelihood (natural) of each, weighted for errors that places and colours share, at
        most 0; zeros where no place tells anything.
    """
    offsets = np.asarray(offsets_mm, dtype=np.float64)
    places = _places(face)
    total = np.zeros(offsets.shape)
    if not places:
        return total
    grid = np.maximum(offsets, _nearest_focus_mm(lens))
    prior = np.log(np.outer(NODE_WEIGHTS, NODE_WEIGHTS))
    for which, shift in (("red", colour.red_um), ("blue", colour.blue_um)):
        shifts_um = shift.value + (shift.high - shift.low) / (2 * Z90) * NODES
        each = _log_likelihood(places, lens, which, (grid, shifts_um, COMMON_PX2 * NODES))
        each = SHARED_ERROR_WEIGHT * BOTH_COLOURS_WEIGHT * each + prior
        total += np.logaddexp.reduce(each.reshape(len(grid), -1), axis=1)
    return np.asarray(total - total.max())


def image_defocus_um(lens: Lens, *, depth_mm: float, offsets_mm: FloatArray) -> FloatArray:
    """Return how far the sensor lies behind the sharp image of a place.

    Parameters
    ----------
    lens : Lens
        With the distance of the near eye.
    depth_mm : float
        Of the place behind the near iris.
    offsets_mm : ndarray
        Of the focus plane behind the near iris.

    Returns
    -------
    ndarray
        In micrometres, f s / (s − f) − f d / (d − f), s the distance of the focus plane and d that
        of the place: + where the place lies behind the focus plane.
    """
    focal = lens.focal_length_mm
    plane = lens.distance_mm.value + np.asarray(offsets_mm, dtype=np.float64)
    place = lens.distance_mm.value + depth_mm
    return 1000.0 * focal**2 * (place - plane) / ((plane - focal) * (place - focal))


def difference_px2(
    lens: Lens, *, depth_mm: float, offsets_mm: FloatArray, shift_um: FloatArray
) -> FloatArray:
    """Return the squared disc of a colour less that of green.

    Parameters
    ----------
    lens : Lens
        With the distance of the near eye.
    depth_mm : float
        Of the place behind the near iris.
    offsets_mm : ndarray
        Of the focus plane behind the near iris.
    shift_um : ndarray
        Of the colour's focus behind green's, image side; broadcast against the offsets.

    Returns
    -------
    ndarray
        In px², k² (d² − 2 x d), k = (1 − f / distance of the place) / (N pitch).
    """
    x = image_defocus_um(lens, depth_mm=depth_mm, offsets_mm=offsets_mm)
    place = lens.distance_mm.value + depth_mm
    per_um = (1.0 - lens.focal_length_mm / place) / (lens.f_number * lens.pitch_um.value)
    return np.asarray(per_um**2 * (shift_um**2 - 2.0 * x * shift_um))


def _log_likelihood(
    places: Sequence[_Place],
    lens: Lens,
    which: str,
    grid: tuple[FloatArray, FloatArray, FloatArray],
) -> FloatArray:
    """Return the sum over places of log Student-t: [offset in mm, shift in um, common in px²]."""
    offsets_mm, shifts_um = grid[0][:, None], grid[1]
    total = np.zeros([part.size for part in grid])
    for place in places:
        seen: Measured = place.colour.red_px2 if which == "red" else place.colour.blue_px2
        near, far = (
            difference_px2(lens, depth_mm=depth, offsets_mm=offsets_mm, shift_um=shifts_um)
            for depth in (place.depth_mm, place.depth_mm + place.depth_sd_mm)
        )
        model = PLACE_PX2**2 + (MODEL_SHARE * near) ** 2 + (far - near) ** 2
        gap = seen.value - near[..., None] - grid[2]
        reading = np.where(gap > 0, seen.value - seen.low, seen.high - seen.value) / Z90
        variance = reading**2 + model[..., None]
        u = 1.0 + gap**2 / (STUDENT_NU * variance)
        total -= 0.5 * np.log(u ** (STUDENT_NU + 1) * variance)
    return total


def _nearest_focus_mm(lens: Lens) -> float:
    """Return the offset before which no lens focuses: twice the focal length from it."""
    return 2.0 * lens.focal_length_mm - lens.distance_mm.value


def _places(face: FaceReading) -> tuple[_Place, ...]:
    """Return the places of a face whose colours were read and whose depth is known."""
    found = []
    counting, other = counting_eye(face), other_eye(face)
    if counting.colour is not None:
        found.append(_Place(depth_mm=0.0, depth_sd_mm=EYE_DEPTH_SD_MM, colour=counting.colour))
    if other.colour is not None:
        marks = (m for m in face.face.landmarks if m.name == "far iris")
        mark = next(marks, None)
        depth = 0.0 if mark is None else mark.depth_mm
        spread = EVEN_EYES_SD_MM if mark is None else math.hypot(mark.depth_sd_mm, EYE_DEPTH_SD_MM)
        found.append(_Place(depth_mm=depth, depth_sd_mm=spread, colour=other.colour))
    found += [
        _Place(depth_mm=p.depth_mm, depth_sd_mm=p.depth_sd_mm or 0.0, colour=p.colour)
        for p in face.probes
        if p.colour is not None and p.depth_mm is not None
    ]
    return tuple(found)
