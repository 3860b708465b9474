"""Lines of motion at the places of a frame, and how well a place fits an expected motion.

Points are (x, y) in pixels of the upright frame, y down; directions count counter-clockwise from
+x as seen in the picture. Lines have no arrow: a motion and its reverse are the same.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from eyeplane.records import Blur, FaceReading, FrameReading, Measured, counting_eye

Array = NDArray[np.float64]
Role = Literal["face", "hair", "clothes", "background"]

# Scatter of a line about the truth, on composites of photographs with known motion
# (benchmarks/accuracy/whose.py): 3 deg and a third of a pixel across the line, 12 % of its length.
TURN_DEG = 3.0
ACROSS_PX = 0.45
LENGTH_LOG = 0.14
TAILS = 3.0  # degrees of freedom of both errors: one place in ten is far off
FREE_DEG = 180.0  # a place without motion shows a line of any direction ...
FREE_LOG = math.log(40.0 / 1.6)  # ... and of any length the measuring looks for
MOST_GAIN = 8.0  # log-likelihood of line over disc beyond which a place says no more
HIDES_SHARE = 0.7  # of the line's length: a disc from here on hides the line
HIDDEN_MOST = 0.9  # of places so far out of focus hide it
MISSED = 0.03  # of sharply drawn places that moved show nothing of it, and of others ...
MISSED_FAINT = 0.10  # ... a tenth: JPEG's and noise's own grain passes for a sharp texture
STRAY = 0.02  # of places show a line of their own: a fence, a passer-by, foliage in the wind
CRISP_PX = 2.6  # a static place with good texture shows no line longer than this
SHOWS_PX = 5.0  # lines of this length show, those of SILENT_PX and less never do
SILENT_PX = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """A line found on a face.

    Attributes
    ----------
    length_px : Measured
        Its length.
    angle_deg : float
        Counter-clockwise from +x, [0, 180).
    """

    length_px: Measured
    angle_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """What one place shows of a motion.

    Attributes
    ----------
    role : str
        "face", "hair", "clothes" or "background".
    owner : int
        Index of the face it belongs to; -1 for the background.
    at_px : tuple of float
        (x, y), upright frame.
    length_px, angle_deg : float
        Its best line, called or not.
    gain : float
        Log-likelihood (natural) of that line over the best disc.
    disc_px : Measured
        Its best disc.
    """

    role: Role
    owner: int
    at_px: tuple[float, float]
    length_px: float
    angle_deg: float
    gain: float
    disc_px: Measured


def line_of(blur: Blur) -> Motion | None:
    """Return the line of a blur.

    Parameters
    ----------
    blur : Blur
        At any place.

    Returns
    -------
    Motion or None
        None unless its kind is a line.
    """
    if blur.kind != "line" or blur.size_px is None:
        return None
    angle = blur.angle_deg if blur.angle_deg is not None else blur.line_angle_deg
    return None if angle is None else Motion(length_px=blur.size_px, angle_deg=angle)


def places_of(reading: FrameReading) -> tuple[Place, ...]:
    """Return all places of a frame that say something about motion.

    Parameters
    ----------
    reading : FrameReading
        A measured frame.

    Returns
    -------
    tuple of Place
        Faces, hair, clothes and background; places without texture are left out.
    """
    found: list[Place | None] = []
    for index, face in enumerate(reading.faces):
        found.append(_place("face", index, middle_of(face), face_blur(face)))
        found += [
            _place("hair" if probe.name == "hair" else "clothes", index, probe.at_px, probe.blur)
            for probe in face.probes
            if probe.name in ("hair", "clothes")
        ]
    found += [_place("background", -1, p.at_px, p.blur) for p in reading.background]
    return tuple(place for place in found if place is not None)


def face_blur(reading: FaceReading) -> Blur:
    """Return the blur that tells most of a face's motion.

    Parameters
    ----------
    reading : FaceReading
        One face.

    Returns
    -------
    Blur
        Of the whole face, or of the eye where only that one shows a line.
    """
    eye = counting_eye(reading).blur
    return eye if eye.kind == "line" and reading.together.kind != "line" else reading.together


def middle_of(reading: FaceReading) -> tuple[float, float]:
    """Return the middle of a face.

    Parameters
    ----------
    reading : FaceReading
        One face.

    Returns
    -------
    tuple of float
        (x, y), between the eyes and the middle of the box.
    """
    x, y, width, height = reading.face.box_px
    return x + width / 2, y + height / 2


def _place(role: Role, owner: int, at_px: tuple[float, float], blur: Blur) -> Place | None:
    disc = blur.disc_px if blur.disc_px is not None else blur.size_px
    if blur.size_px is None or disc is None:
        return None
    line = blur.line_px if blur.line_px is not None else blur.size_px
    angle = blur.line_angle_deg if blur.line_angle_deg is not None else blur.angle_deg
    gain = blur.line_gain if angle is not None else -MOST_GAIN
    return Place(
        role=role,
        owner=owner,
        at_px=at_px,
        length_px=max(line.value, 0.5),
        angle_deg=0.0 if angle is None else angle,
        gain=gain,
        disc_px=disc,
    )


def vector_of(length_px: float, angle_deg: float) -> tuple[float, float]:
    """Return a line as a vector in the picture, y down.

    Parameters
    ----------
    length_px, angle_deg : float
        The line.

    Returns
    -------
    tuple of float
        (x, y) in pixels.
    """
    angle = math.radians(angle_deg)
    return length_px * math.cos(angle), -length_px * math.sin(angle)


def log_moved(places: Sequence[Place], expected_px: Array) -> Array:
    """Return how well places fit expected motions.

    Parameters
    ----------
    places : sequence of Place
        What was seen.
    expected_px : ndarray
        [..., places, 2], the motion expected at each, as vectors with y down.

    Returns
    -------
    ndarray
        [..., places], natural logarithm of the likelihood, 1 for a place that is still and sharp.

    Notes
    -----
    A place that moved shows the line, within its errors (Student-t with `TAILS` degrees of
    freedom); or its own defocus hides it; or it is missed. A still place shows a line of any
    direction and length. Both are weighed with the fit's own gain of line over disc.
    """
    length = np.hypot(expected_px[..., 0], expected_px[..., 1])
    angle = np.degrees(np.arctan2(-expected_px[..., 1], expected_px[..., 0]))
    seen_length = np.array([p.length_px for p in places])
    seen_angle = np.array([p.angle_deg for p in places])
    gain = np.clip([p.gain for p in places], -MOST_GAIN, MOST_GAIN)
    sure = np.maximum(length, 0.5)
    turn = np.abs((seen_angle - angle + 90.0) % 180.0 - 90.0)
    turn_sd = np.hypot(TURN_DEG, np.degrees(ACROSS_PX / sure))
    stretch = np.log(seen_length / sure)
    shown = FREE_DEG * _student(turn, turn_sd) * FREE_LOG * _student(stretch, LENGTH_LOG)
    visible = np.clip((length - SILENT_PX) / (SHOWS_PX - SILENT_PX), 0.0, 1.0)
    unseen = np.maximum(1 - visible, np.maximum(_missed(places), _hidden(places, length)))
    return np.asarray(np.log((1 - unseen) * np.exp(gain) * shown + unseen + _stray(places)))


def log_still(places: Sequence[Place]) -> Array:
    """Return the same for places that are still: only a stray line may show there.

    Parameters
    ----------
    places : sequence of Place
        What was seen.

    Returns
    -------
    ndarray
        [places], natural logarithm; 0 but for places that show a line.
    """
    return np.asarray(np.log(1.0 + _stray(places)))


def _stray(places: Sequence[Place]) -> Array:
    """Return the likelihood of a line that has nothing to do with any motion asked for."""
    gain = np.clip([p.gain for p in places], -MOST_GAIN, MOST_GAIN)
    return np.asarray(STRAY * np.exp(gain))


def _missed(places: Sequence[Place]) -> Array:
    return np.array([MISSED if p.length_px <= CRISP_PX else MISSED_FAINT for p in places])


def _hidden(places: Sequence[Place], length_px: Array) -> Array:
    """Return the chance that each place's own disc hides a line of that length."""
    middle = np.array([math.log1p(p.disc_px.value) for p in places])
    ends = np.array([(math.log1p(p.disc_px.low), math.log1p(p.disc_px.high)) for p in places])
    spread = np.maximum((ends[:, 1] - ends[:, 0]) / 3.29, 0.1)
    off = (middle - np.log1p(HIDES_SHARE * length_px)) / spread
    return np.asarray(HIDDEN_MOST / (1 + np.exp(-1.7 * off)))  # the normal integral within .01


def _student(off: Array, spread: Array | float) -> Array:
    """Return the density of Student's t with `TAILS` degrees of freedom."""
    norm = math.gamma((TAILS + 1) / 2) / math.gamma(TAILS / 2) / math.sqrt(TAILS * math.pi)
    return np.asarray(norm / spread * (1 + (off / spread) ** 2 / TAILS) ** (-(TAILS + 1) / 2))
