"""The offset of one face: which places enter the cone fit, and what may be said of its result."""

import functools
import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.diagnose.cone import ConePlace, FocusFit, PoseError, fit_focus
from eyeplane.diagnose.lens import Z90, Lens
from eyeplane.diagnose.reach import other_eye
from eyeplane.records import Blur, FaceReading, Measured, counting_eye

SIDE_UNKNOWN = "in front or behind cannot be told"
SIGN_CALLED = 0.95  # probability from which "behind" or "in front" is said
# The window on the eye spans iris, lids and lash roots: its depth is known to about 2 mm
# (corneal tip 1 mm before the limbus, lashes up to 9 mm; rendered heads).
EYE_DEPTH_MM = -1.5  # lids and lash roots lie 2 to 4 mm before the iris, the limbus 1 mm behind it
EYE_DEPTH_SD_MM = 2.0
EVEN_EYES_SD_MM = 6.0  # the other eye's depth if neither is nearer: 63 mm times sin 5 degrees
SKIN = frozenset({"nose tip", "mouth"})
FEWEST_PLACES = 3  # the near eye and two more: fewer cannot tell front from behind
SHARP_PX = 2.0  # an offset that blurs the near iris by less needs no sign
WIDEST_MM = 150.0  # an interval of the offset wider than this is no offset
WIDEST_RATIO = 6.0  # an interval of the size wider than this is no size


@dataclass(frozen=True, slots=True, kw_only=True)
class OffsetCall:
    """What may be said about where the focus lay.

    Attributes
    ----------
    offset_mm : Measured or None
        With its sign, or None if that cannot be told.
    why : str
        Why not; empty if it can.
    side : {"behind", "in front of", ""}
        Called side, even where the distance is not known; empty if not called.
    size_mm : Measured or None
        Distance without a side, where that is known well enough.
    fit : FocusFit or None
        The posterior it rests on.
    """

    offset_mm: Measured | None
    why: str
    side: str
    size_mm: Measured | None
    fit: FocusFit | None


def cone_places(reading: FaceReading) -> tuple[ConePlace, ...]:
    """Return the places of a face that enter the cone fit, the counting eye first if it is open.

    Parameters
    ----------
    reading : FaceReading
        One face; a place without a disc size or without a depth is left out, as is one blurred to
        a line.

    Returns
    -------
    tuple of ConePlace
        Empty if the counting eye itself has no disc size.
    """
    eye = counting_eye(reading)
    near = _disc(eye.blur)
    if near is None:
        return ()
    places = []
    if not _closed(reading, eye.side):  # a lid is skin, and says nothing of the eye
        places.append(ConePlace(depth_mm=EYE_DEPTH_MM, depth_sd_mm=EYE_DEPTH_SD_MM, blur_px=near))
    other = _disc(other_eye(reading).blur)
    if other is not None and not _closed(reading, other_eye(reading).side):
        depth, spread = _other_eye_depth(reading)
        places.append(ConePlace(depth_mm=depth + EYE_DEPTH_MM, depth_sd_mm=spread, blur_px=other))
    for probe in reading.probes:
        disc = _disc(probe.blur)
        if probe.name in ("near iris", "far iris") or disc is None or probe.depth_mm is None:
            continue
        places.append(
            ConePlace(
                depth_mm=probe.depth_mm,
                depth_sd_mm=probe.depth_sd_mm or 0.0,
                blur_px=disc,
                skin=probe.name in SKIN,
                aside_mm=_aside_mm(reading, probe.at_px),
            )
        )
    return tuple(places)


def _aside_mm(reading: FaceReading, at_px: tuple[float, float]) -> tuple[float, float]:
    """Return how far from the counting eye a place lies as the camera sees it."""
    eye = next(e for e in reading.face.eyes if e.side == counting_eye(reading).side)
    scale = reading.face.mm_per_px.value
    return (at_px[0] - eye.iris_px[0]) * scale, (at_px[1] - eye.iris_px[1]) * scale


def _pose_error(reading: FaceReading) -> PoseError:
    yaw, pitch = reading.face.yaw_deg, reading.face.pitch_deg
    return PoseError(
        yaw_sd_deg=(yaw.high - yaw.low) / (2 * Z90),
        pitch_sd_deg=(pitch.high - pitch.low) / (2 * Z90),
    )


def _closed(reading: FaceReading, side: str) -> bool:
    return any(eye.side == side and eye.open is False for eye in reading.face.eyes)


def _disc(blur: Blur) -> Measured | None:
    """Return the disc to be compared with the cone; None for lines and untextured places."""
    if blur.kind == "line" or blur.size_px is None:
        return None
    return blur.size_px if blur.kind in ("none", "disc") else blur.disc_px or blur.size_px


def _other_eye_depth(reading: FaceReading) -> tuple[float, float]:
    for mark in reading.face.landmarks:
        if mark.name == "far iris":
            return mark.depth_mm, math.hypot(mark.depth_sd_mm, EYE_DEPTH_SD_MM)
    return 0.0, EVEN_EYES_SD_MM


def call_offset(
    reading: FaceReading,
    lens: Lens | None,
    lens_why: str,
    evidence: Callable[[NDArray[np.float64]], NDArray[np.float64]] | None = None,
) -> OffsetCall:
    """Return where the focus plane lay before or behind the near iris of one face.

    Parameters
    ----------
    reading : FaceReading
        One face with its places.
    lens : Lens or None
        None if the file does not tell enough.
    lens_why : str
        What it does not tell.
    evidence : callable or None
        What else tells of the offset, as `fit_focus` takes it: asked where the face leaves the
        side open.

    Returns
    -------
    OffsetCall
        An offset only if its side is called with `SIGN_CALLED`, or if the whole interval lies
        where the near iris is sharp anyway.
    """
    if counting_eye(reading).blur.kind == "line":
        return _unknown("the motion hides where the focus lay")
    places = cone_places(reading)
    if len(places) < FEWEST_PLACES:
        return _unknown("too few places on the face have texture")
    fit = _own_fit(places, lens, _pose_error(reading))
    if evidence is not None and not _side(fit):
        # The face's own cone is the better measure of how far; what else tells, tells the side.
        fit = fit_focus(places, lens, pose=_pose_error(reading), evidence=evidence)
    side = _side(fit)
    size = fit.size_mm if lens is not None and _narrow(fit.size_mm) else None
    if lens is None:
        if side and _narrow(fit.size_mm):
            return OffsetCall(
                offset_mm=fit.offset_mm, why="", side=side, size_mm=fit.size_mm, fit=fit
            )
        return OffsetCall(offset_mm=None, why=lens_why, side=side, size_mm=None, fit=fit)
    told = fit.offset_mm.high - fit.offset_mm.low <= WIDEST_MM
    if side or (told and _sharp_throughout(fit, lens)):
        return OffsetCall(offset_mm=fit.offset_mm, why="", side=side, size_mm=size, fit=fit)
    return OffsetCall(
        offset_mm=None,
        why=SIDE_UNKNOWN,
        side="",
        size_mm=size,
        fit=fit,
    )


# A sitting is answered twice, before and after it taught something, with the same cones.
@functools.lru_cache(maxsize=8192)
def _own_fit(places: tuple[ConePlace, ...], lens: Lens | None, pose: PoseError) -> FocusFit:
    return fit_focus(places, lens, pose=pose)


def _side(fit: FocusFit) -> str:
    if max(fit.behind, 1.0 - fit.behind) < SIGN_CALLED:
        return ""
    return "behind" if fit.behind > 0.5 else "in front of"


def _unknown(why: str) -> OffsetCall:
    return OffsetCall(offset_mm=None, why=why, side="", size_mm=None, fit=None)


def _narrow(size_mm: Measured) -> bool:
    return size_mm.high <= WIDEST_RATIO * max(size_mm.low, 1.0)


def _sharp_throughout(fit: FocusFit, lens: Lens) -> bool:
    """Return whether every offset in the interval leaves the near iris sharp."""
    ends = np.array([fit.offset_mm.low, fit.offset_mm.high])
    distance = lens.distance_mm.value
    return bool(np.all(lens.circle_px(distance + ends, np.array(distance)) <= SHARP_PX))
