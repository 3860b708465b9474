"""The cause of a face's softness: the part that costs most reach, as far as it can be told."""

import math
from collections.abc import Sequence

from eyeplane.diagnose.case import GOOD_SHARE, FaceCase
from eyeplane.diagnose.chances import chances_of
from eyeplane.diagnose.likelihood import FOCUS_SHARE, MOTIONS, whose_ratio
from eyeplane.diagnose.motion import contradicts, flash_alone
from eyeplane.diagnose.rotation import rotation_of
from eyeplane.diagnose.signs import (
    WAVELENGTH_UM,
    background_alike,
    diffraction_explains,
    diffraction_px,
    far_eye_reach,
    far_eye_soft,
    glass_possible,
    sharp_sitters,
)
from eyeplane.records import Cause, CauseChance, FrameReading, Learned

__all__ = [
    "WAVELENGTH_UM",
    "cause_of",
    "diffraction_explains",
    "diffraction_px",
    "far_eye_reach",
    "far_eye_soft",
    "glass_possible",
    "judged",
    "sharp_sitters",
]

OFF_PLANE = ("focus", "depth")
CALLED = 0.8  # chance from which a cause is named
# Odds (log) of shake against sitter that the picture must show before either is named, unless this
# hand or this sitter is known.
WHOSE_LEAST = 1.0
WHOSE_CLEAR = math.log(12.0)  # and these are clear, however unusual the motion
SMALL_COST = 0.1  # a part costing less of the reach than this is not worth a word
PIXELS_SHARE = 0.8  # of the reach without blur: from here on pixels are what is short
UNSURE_SHARE = 0.4  # a low end below this share of the value makes "sharp" a guess
NOTHING_LEARNED = Learned()


def cause_of(
    case: FaceCase,
    group: Sequence[FaceCase],
    reading: FrameReading,
    learned: Learned = NOTHING_LEARNED,
) -> Cause:
    """Return what costs a face the most reach.

    Parameters
    ----------
    case : FaceCase
        The face in question.
    group : sequence of FaceCase
        All faces of the frame; bystanders are not compared with.
    reading : FrameReading
        The frame, for background and EXIF.
    learned : Learned
        This photographer's own numbers.

    Returns
    -------
    str
        One of the causes. "none" if the promised print is held or the reach is within a tenth of
        the possible; "cannot tell" rather than a guess.
    """
    return judged(case, group, reading, learned)[0]


def judged(
    case: FaceCase,
    group: Sequence[FaceCase],
    reading: FrameReading,
    learned: Learned = NOTHING_LEARNED,
) -> tuple[Cause, tuple[CauseChance, ...]]:
    """Return the cause and the chances it rests on.

    Parameters
    ----------
    case : FaceCase
        The face in question.
    group : sequence of FaceCase
        All faces of the frame; bystanders are not compared with.
    reading : FrameReading
        The frame, for background and EXIF.
    learned : Learned
        This photographer's own numbers.

    Returns
    -------
    cause : str
        As `cause_of` says it.
    chances : tuple of CauseChance
        Most probable first; empty where no cause is asked for, because the promised print is
        held or nothing is known.
    """
    reach, promised = case.reach_cm, case.view.print_cm
    if reach is None:
        return "cannot tell", ()
    if promised is not None and reach.value >= promised:
        return "none", ()
    chances = chances_of(case, group, reading, learned)
    if reach.value >= GOOD_SHARE * case.possible_cm:
        return _cause_of_sharp(case), chances
    told = learned.shake_deg_per_s is not None or learned.sitter_mm_per_s is not None
    apart = whose_ratio(case, group, reading)
    others = [c for c in group if c.sitter and c is not case]
    named = _named(chances, case, others, reading)
    if named == "motion" and case.motion is not None and not flash_alone(reading.exposure):
        named = _mover(chances, apart)
    if named in ("shake", "sitter") and abs(apart) < WHOSE_LEAST and not told:
        named = "motion"
    if named == "motion" and rotation_of(reading) is not None:
        named = "shake"  # nobody but the camera turns the whole frame
    if not _eye_is_sharp(case):
        return named, chances
    verdict = _cause_of_sharp(case)
    # The eye alone shows no blur, but the whole face or the settings may be sure of one.
    open_still = verdict in ("none", "cannot tell", "depth") and named != "cannot tell"
    return named if open_still else verdict, chances


def _named(
    chances: Sequence[CauseChance],
    case: FaceCase,
    others: Sequence[FaceCase],
    reading: FrameReading,
) -> Cause:
    """Return the most probable cause if that is probable enough and seen in the picture."""
    best = chances[0]
    if contradicts(case.reading):
        return "cannot tell"
    if sum(c.chance for c in chances if c.cause in MOTIONS) >= CALLED:
        sure = best.chance >= CALLED and case.motion is not None
        return _as_cause(best.cause) if sure else "motion"
    cause = _as_cause(best.cause) if best.chance >= CALLED else "cannot tell"
    if sum(c.chance for c in chances if c.cause in OFF_PLANE) >= CALLED:
        # The plane of focus lies elsewhere; a sharp sitter tells that depth is what was short.
        cause = "depth" if sharp_sitters(case, others) else "focus"
    unseen = (cause == "focus" and not _focus_possible(case)) or (
        cause == "glass"
        and not (diffraction_explains(case, reading) or background_alike(case, reading))
    )
    return "cannot tell" if unseen else cause


def _mover(chances: Sequence[CauseChance], apart: float) -> Cause:
    """Return whose motion it was where the picture tells clearly, however unusual the motion.

    A hand or a sitter that is merely faster than usual leaves part of the probability to "motion";
    where that part outweighs the mover's own, the settings forbid it, and nobody is named.
    """
    best = max((c for c in chances if c.cause in MOTIONS), key=lambda c: c.chance)
    wanted = "shake" if apart > 0 else "sitter"
    return _as_cause(wanted) if best.cause == wanted and abs(apart) >= WHOSE_CLEAR else "motion"


def _as_cause(name: str) -> Cause:
    known: tuple[Cause, ...] = ("focus", "depth", "shake", "sitter", "motion", "noise", "glass")
    return next((cause for cause in known if cause == name), "cannot tell")


def _noise_gain(case: FaceCase) -> float:
    return case.reach_without_noise_cm - (case.reach_cm.value if case.reach_cm else 0.0)


def _eye_is_sharp(case: FaceCase) -> bool:
    """Return whether no blur worth a word was found at the eye."""
    if case.reach_cm is None:
        return False
    free = case.reach_without_blur_cm
    cost = (free - case.reach_cm.value) / max(free, 1e-9)
    return case.eye.blur.kind == "none" or cost < SMALL_COST


def _cause_of_sharp(case: FaceCase) -> Cause:
    reach = case.reach_cm.value if case.reach_cm else 0.0
    # Measured against the reach that small blur leaves, since blur is not what costs it.
    if reach < GOOD_SHARE * case.possible_cm and _noise_gain(case) > SMALL_COST * reach:
        # What a little blur may cost is no fault of the noise.
        blurred = reach < PIXELS_SHARE * case.reach_without_blur_cm
        return "cannot tell" if blurred else "noise"
    if not case.reach_cm or case.reach_cm.low < UNSURE_SHARE * reach:
        return "cannot tell"
    if case.view.print_cm is not None:
        # What a little blur may cost is no fault of the pixels.
        return "pixels" if reach >= PIXELS_SHARE * case.reach_without_blur_cm else "cannot tell"
    return "depth" if far_eye_soft(case) else "none"


def _focus_possible(case: FaceCase) -> bool:
    """Return whether the disc at the eye may be put down to the focus plane."""
    fit, size = case.offset.fit, case.eye.blur.size_px
    if any(e.side == case.eye.side and e.open is False for e in case.reading.face.eyes):
        return False  # a lid is skin, and looks soft by itself
    if case.eye.blur.kind in ("cannot tell", "none"):
        # Without a kind of its own the eye leans on the face: only a called side shows a cone.
        if fit is None or not case.offset.side:
            return False
    elif case.eye.blur.kind != "disc":
        return False
    if fit is None or not fit.lens_known or size is None:
        return True
    return fit.focus_px.high >= FOCUS_SHARE * size.low
