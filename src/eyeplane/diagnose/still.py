"""How long one may expose before a still sitter and a steady hand blur the print asked for."""

import math

from eyeplane.diagnose.case import FaceCase
from eyeplane.diagnose.reach import holds
from eyeplane.light import SHUTTER_PARTS
from eyeplane.optics import PointSpread
from eyeplane.people import RULE_DEG_PER_S, SITTER_SPEEDS
from eyeplane.records import FrameReading, Learned


def still_line_px(
    case: FaceCase, reading: FrameReading, *, learned: Learned | None, supported: bool
) -> float:
    """Return the line that a still sitter and a steady hand draw in a second.

    Parameters
    ----------
    case : FaceCase
        One face.
    reading : FrameReading
        For focal length and pixel pitch; without them the hand is left out.
    learned : Learned or None
        This photographer's and this sitter's own rates; None: those of the reciprocal rule and
        of an adult who keeps still.
    supported : bool
        True leaves the hand out: a tripod or a stabiliser holds the camera.

    Returns
    -------
    float
        Pixels in one second; shorter times draw in proportion. Hand and sitter move independently,
        so their lines add as squares.
    """
    hand, sitter = RULE_DEG_PER_S, SITTER_SPEEDS["still"].median_mm_per_s
    if learned is not None and learned.shake_deg_per_s is not None:
        hand = learned.shake_deg_per_s.value
    if learned is not None and learned.sitter_mm_per_s is not None:
        sitter = learned.sitter_mm_per_s.value
    drift = sitter / max(case.reading.face.mm_per_px.value, 1e-6)
    focal, pitch = reading.exposure.focal_length_mm, reading.pitch_um
    if supported or not focal or pitch is None or pitch.value <= 0:
        return drift
    return math.hypot(math.radians(hand) * focal * 1000.0 / pitch.value, drift)


def still_time_s(
    case: FaceCase, reading: FrameReading, goal_cm: float, *, learned: Learned | None = None
) -> float | None:
    """Return the longest time at which a supported camera holds a print of a still sitter.

    Parameters
    ----------
    case : FaceCase
        One face.
    reading : FrameReading
        The frame.
    goal_cm : float
        Longest edge of the print, > 0 cm.
    learned : Learned or None
        As for `still_line_px`.

    Returns
    -------
    float or None
        A time that cameras have, up to 1/4 s; None if not even the shortest would hold it.
    """
    line = still_line_px(case, reading, learned=learned, supported=True)
    for part in SHUTTER_PARTS:
        if holds(PointSpread(line_px=line / part), 0.0, case.view, goal_cm):
            return 1.0 / part
    return None
