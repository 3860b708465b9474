"""How well each cause fits what was measured, capped at how often the measuring errs.

A likelihood is 1 for the best fit; only ratios count, and logarithms are natural ones.
"""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from eyeplane.diagnose.case import FaceCase
from eyeplane.diagnose.cone import STUDENT_NU
from eyeplane.diagnose.lens import Z90
from eyeplane.diagnose.motion import contradicts, line_of, motion_of, whose_log_odds
from eyeplane.diagnose.signs import background_alike, sharp_sitters
from eyeplane.records import Blur, FrameReading, Measured

FloatArray = NDArray[np.float64]

MOTIONS = ("shake", "sitter", "motion")
GLASS_BEFORE = 0.02  # what the cone fit gives that floor before any place is seen
# A backdrop as soft as the face speaks for glass, 3 : 1; places on one head share their errors.
ALIKE, FLOOR_WEIGHT = 1.0, 0.6
FOCUS_SHARE = 0.5  # focus must be able to make this much of the disc to be its cause
# Line against disc on the whole face, on rendered heads and on photographs with motion or defocus
# put on. Called by its own rule a kind was right in 73 of 73 lines and 53 of 53 discs, as in .99
# to 1.00 of 690 synthetic windows. Uncalled, the log-likelihood gain of the line tells: of 86 that
# moved by 4 px and more 6 stay below 5, the others lie above 30; of 83 still ones 82 below 8.
LINE_CALLED, DISC_CALLED = math.log(300.0), math.log(20.0)
GAIN_MIDDLE, GAIN_STEP = 6.0, 3.0
LINE_MOST, DISC_MOST = math.log(77.0), math.log(7.0)  # rule of succession
SMALL_PX, SMALL_MOST = 3.0, 1.0  # a smaller disc says little: lines of 2 px gain nothing either
# An eye that reads as a disc of more than a pixel, within 2.5 : 3 of 21 rendered heads that moved
# (out of focus too), 9 in 10 of those out of focus. Both together never more than 33 : 1.
EYE_DISC, EYE_DISC_PX, EYE_DISC_RATIO = math.log(5.0), 1.0, 2.5
AGAINST_LINE = math.log(33.0)
# A side is called with .95 on 9 in 10 rendered heads 10 mm and more out of focus, and by mistake
# on at most 1 in 10 in focus (goals of `tests/published`).
CONE_CALLED, CONE_OPEN = math.log(9.0), -0.7
WHOSE_MOST = math.log(60.0)  # odds of shake against sitter are not trusted further: 1 of 70 wrong
FAR_MM = 150.0  # a plane this far off blurs a head alike all over
SIZE_LOG_SD = 0.12  # no size is trusted better: the floor of the cone fit
# Blur that the measuring takes for the capture's own and leaves out, as the cone fit has it.
HIDDEN_PX, HIDDEN_SHARE = np.array([0.0, 1.2, 2.0]), np.array([1.0, 1.0, 0.7]) / 2.7
SOFT_PX = 0.5  # sizes are compared as log(px + this), as in the cone fit
# Probability that another sitter is sharp, or that none is, under each cause; no source.
OTHER_SHARP = {"depth": 0.99, "sitter": 0.6, "motion": 0.3, "focus": 0.1, "noise": 0.1}
OTHER_SHARP_SELDOM = 0.03  # shake and glass spoil everybody alike


def line_ratio(case: FaceCase) -> float:
    """Return how much better a line fits this face than a disc.

    Parameters
    ----------
    case : FaceCase
        One face.

    Returns
    -------
    float
        Natural logarithm of the likelihood ratio, from -ln 33 to ln 300; 0 where no line was
        looked for, or where eye and face contradict each other.
    """
    eye, face = case.eye.blur, case.reading.together
    if contradicts(case.reading):
        return 0.0
    found = [_gain_ratio(b) for b in (face, eye) if b.line_px is not None]
    if eye.kind == "line":
        return max(found, default=0.0)
    # An eye that is itself a disc speaks as loud as the whole face, which spans many depths.
    ratio = sum(found) / len(found) if eye.kind == "disc" and found else (*found, 0.0)[0]
    if eye.kind == "cannot tell" and eye.line_px is not None and _large(eye):
        return max(ratio, 0.0)  # both were tried on the eye itself, and neither won
    if ratio <= 0.0 and _clear_disc(eye):
        ratio -= EYE_DISC
    return max(ratio, -AGAINST_LINE)


def _large(blur: Blur) -> bool:
    return blur.disc_px is not None and blur.disc_px.value >= SMALL_PX


def _clear_disc(blur: Blur) -> bool:
    disc = blur.disc_px
    if disc is None or disc.low < EYE_DISC_PX:
        return False
    return disc.high <= EYE_DISC_RATIO * disc.low


def _gain_ratio(blur: Blur) -> float:
    if blur.kind == "line":
        return LINE_CALLED
    if blur.kind == "disc":
        return -DISC_CALLED
    least = -DISC_MOST if _large(blur) else -SMALL_MOST
    return min(max((blur.line_gain - GAIN_MIDDLE) / GAIN_STEP, least), LINE_MOST)


def whose_ratio(case: FaceCase, group: Sequence[FaceCase], reading: FrameReading) -> float:
    """Return how much better what stands still fits a shake than a moving sitter.

    Parameters
    ----------
    case : FaceCase
        One face.
    group : sequence of FaceCase
        All faces; other sitters count.
    reading : FrameReading
        For its background.

    Returns
    -------
    float
        Natural logarithm of the likelihood ratio, within ± ln 60; 0 without a line or where
        nothing tells.
    """
    if case.motion is None:
        return 0.0
    others = [c.reading for c in group if c.sitter and c is not case]
    odds = whose_log_odds(case.motion, case.reading, reading, others)
    return min(max(odds, -WHOSE_MOST), WHOSE_MOST)


def fits(size: Measured, px: FloatArray) -> FloatArray:
    """Return how well true sizes fit a measured one.

    Parameters
    ----------
    size : Measured
        Measured diameter or length.
    px : ndarray
        True sizes, >= 0.

    Returns
    -------
    ndarray
        1 at the measured value, falling as Student's t in the log of size.
    """
    seen = np.sqrt(np.maximum(px**2 - HIDDEN_PX[:, None] ** 2, 0.0))
    t = (np.log(seen + SOFT_PX) - math.log(max(size.value, 0.0) + SOFT_PX)) / _log_sd(size)
    return np.asarray(HIDDEN_SHARE @ (1.0 + t * t / STUDENT_NU) ** (-(STUDENT_NU + 1) / 2))


def below(size: Measured, px: FloatArray) -> FloatArray:
    """Return how probable it is that a measured size is truly smaller than others.

    Parameters
    ----------
    size : Measured
        Measured diameter or length.
    px : ndarray
        Sizes to compare with, >= 0.

    Returns
    -------
    ndarray
        0..1, rising.
    """
    t = (np.log(px + SOFT_PX) - math.log(max(size.value, 0.0) + SOFT_PX)) / _log_sd(size)
    return np.array([0.5 * math.erfc(-v / math.sqrt(2.0)) for v in t])


def _log_sd(size: Measured) -> float:
    low, high = max(size.low, 0.0) + SOFT_PX, max(size.high, 0.0) + SOFT_PX
    return max(math.log(high / low) / (2 * Z90), SIZE_LOG_SD)


def line_size(case: FaceCase) -> Measured | None:
    """Return the length of the motion if there is one.

    Parameters
    ----------
    case : FaceCase
        One face.

    Returns
    -------
    Measured or None
        In px: of the line that was called, else of the best line; None where none was sought.
    """
    called = motion_of(case.reading) or line_of(case.eye.blur)
    if called is not None:
        return called.length_px
    return case.reading.together.line_px or case.eye.blur.line_px


def focus_size(case: FaceCase) -> Measured | None:
    """Return the disc that missed focus makes at the eye, if focus is what blurs it.

    Parameters
    ----------
    case : FaceCase
        One face.

    Returns
    -------
    Measured or None
        In px: by the cone over the whole face where the lens is known, else at the eye.
    """
    fit = case.offset.fit
    if fit is not None and fit.lens_known:
        return fit.focus_px
    return case.eye.blur.disc_px or case.eye.blur.size_px


def shape_likelihoods(
    case: FaceCase, group: Sequence[FaceCase], reading: FrameReading
) -> dict[str, float]:
    """Return how well each cause fits what was seen besides sizes.

    Parameters
    ----------
    case : FaceCase
        One face.
    group : sequence of FaceCase
        All faces of the frame.
    reading : FrameReading
        The frame.

    Returns
    -------
    dict of str to float
        Natural logarithms, by cause: disc or line, cone or none, background alike or not, whose
        motion, other sitters sharp or not.
    """
    line, apart = line_ratio(case), whose_ratio(case, group, reading)
    cone = _cone(case)
    still, moved = min(-line, 0.0), min(line, 0.0)
    uniform = -max(cone, 0.0)
    seen = {
        "focus": still + min(cone, 0.0),
        "depth": still,
        "glass": still + uniform + _glass(case, reading),
        "shake": moved + uniform + min(apart, 0.0) + _backdrop(case, reading),
        "sitter": moved + uniform - max(apart, 0.0),
        "motion": moved + uniform - (math.log(2.0) if apart else 0.0),
        "noise": still,
        "none": still,
        "pixels": still,
    }
    others = [c for c in group if c.sitter and c is not case and c.reach_cm is not None]
    if others:
        sharp = bool(sharp_sitters(case, others))
        for cause in seen:
            chance = OTHER_SHARP.get(cause, OTHER_SHARP_SELDOM)
            if cause not in ("none", "pixels"):
                seen[cause] += math.log(chance if sharp else 1.0 - chance)
    return seen


def _cone(case: FaceCase) -> float:
    """Return what a change of blur with depth says for focus, against blur alike everywhere."""
    fit, size = case.offset.fit, case.eye.blur.size_px
    if fit is None or size is None:
        return 0.0
    if fit.lens_known and fit.focus_px.high < FOCUS_SHARE * size.low:
        return -3.0
    sure = max(fit.behind, 1.0 - fit.behind)
    least = 0.0 if fit.lens_known and fit.size_mm.value > FAR_MM else CONE_OPEN
    return float(np.interp(sure, [0.5, 0.8, 0.95], [least, 0.0, CONE_CALLED]))


def _glass(case: FaceCase, reading: FrameReading) -> float:
    """Return what a floor that no plane explains says for glass, against focus."""
    fit, alike = case.offset.fit, background_alike(case, reading)
    if fit is None or alike is None:
        return 0.0
    if not alike:
        return -3.0
    odds = fit.glass / max(1.0 - fit.glass, 1e-6)
    floor = math.log(max(odds, 1e-6) / (GLASS_BEFORE / (1.0 - GLASS_BEFORE)))
    return ALIKE + min(max(FLOOR_WEIGHT * floor, -3.0), 3.5)


def _backdrop(case: FaceCase, reading: FrameReading) -> float:
    """Return what a backdrop far sharper than the face says against a shake, which spares none."""
    size = case.eye.blur.size_px
    if size is None or case.eye.blur.kind != "disc":
        return 0.0
    sharper = [
        p.blur.size_px.high < 0.5 * size.low
        for p in reading.background
        if p.blur.size_px is not None
    ]
    return -2.0 if any(sharper) else 0.0
