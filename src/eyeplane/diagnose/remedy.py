"""The one thing to change, in the camera's own numbers."""

from eyeplane.diagnose.case import FaceCase
from eyeplane.diagnose.cause import WAVELENGTH_UM
from eyeplane.diagnose.reach import holds
from eyeplane.light import F_NUMBERS, SHUTTER_PARTS
from eyeplane.optics import PointSpread
from eyeplane.records import FrameReading

SMALLEST_STOP = 16.0  # "f/16 at most": common practice, no source
STEP = 1.03  # settings this close are the same setting
ISOS = (100, 200, 400, 800, 1600, 3200, 6400, 12800, 25600, 51200)


def holding_stop(case: FaceCase, reading: FrameReading, disc_px: float) -> float | None:
    """Return the widest aperture that would have held the goal where the focus lay.

    Parameters
    ----------
    case : FaceCase
        One face; its goal is the promised print or what is possible.
    reading : FrameReading
        For f-number and pitch.
    disc_px : float
        Disc at the place that is to be held, as shot.

    Returns
    -------
    float or None
        A third-stop f-number, smaller aperture than the one used; None if the file does not say
        the aperture, or none down to f/16 would do, diffraction included.
    """
    used = reading.exposure.f_number
    if not used:
        return None
    pitch = reading.pitch_um
    for stop in F_NUMBERS:
        if stop < used * STEP or stop > SMALLEST_STOP:
            continue
        airy = 0.0 if pitch is None else WAVELENGTH_UM * (stop - used) / pitch.value
        spread = PointSpread(disc_px=disc_px * used / stop, airy_px=airy)
        if holds(spread, case.noise, case.view, case.goal_cm):
            return stop
    return None


def holding_time_s(case: FaceCase, reading: FrameReading) -> float | None:
    """Return the longest exposure time at which the motion would have held the goal.

    Parameters
    ----------
    case : FaceCase
        One face with a line at its eye.
    reading : FrameReading
        For the exposure time.

    Returns
    -------
    float or None
        A time that cameras have, shorter than the one used; None if the file does not say the
        time, there is no line, or not even the shortest would do.

    Notes
    -----
    Speed is taken as constant over the exposure, so length goes with time.
    """
    used, line = reading.exposure.exposure_time_s, case.spread.line_px
    if not used or line <= 0:
        return None
    for part in SHUTTER_PARTS:
        time = 1.0 / part
        if time * STEP > used:
            continue
        spread = PointSpread(line_px=line * time / used, disc_px=_beside_px(case))
        if holds(spread, case.noise, case.view, case.goal_cm):
            return time
    return None


def _beside_px(case: FaceCase) -> float:
    """Return the disc beside the line; 0 where it alone would not hold, which no time mends."""
    disc_px = case.spread.disc_px
    alone = holds(PointSpread(disc_px=disc_px), case.noise, case.view, case.goal_cm)
    return disc_px if alone else 0.0


def holding_factor(case: FaceCase) -> int | None:
    """Return by how much shorter the exposure must be, where its time is not known.

    Parameters
    ----------
    case : FaceCase
        One face with a line at its eye.

    Returns
    -------
    int or None
        A power of two, up to 64; None if there is no line or none would do.
    """
    if case.spread.line_px <= 0:
        return None
    for factor in (2, 4, 8, 16, 32, 64):
        spread = PointSpread(line_px=case.spread.line_px / factor, disc_px=_beside_px(case))
        if holds(spread, case.noise, case.view, case.goal_cm):
            return factor
    return None


def holding_iso(case: FaceCase, reading: FrameReading) -> float | None:
    """Return the highest sensitivity at which the noise would have held the goal.

    Parameters
    ----------
    case : FaceCase
        One face.
    reading : FrameReading
        For the sensitivity used.

    Returns
    -------
    float or None
        A full-stop ISO below the one used; None if it is not known or ISO 100 would not do.

    Notes
    -----
    More light per pixel in proportion to 1 / ISO; photon noise over signal goes with its root.
    """
    used = reading.exposure.iso
    if not used:
        return None
    for iso in reversed(ISOS):
        if iso * STEP > used:
            continue
        if holds(case.spread, case.noise * (iso / used) ** 0.5, case.view, case.light_goal_cm):
            return float(iso)
    return None
