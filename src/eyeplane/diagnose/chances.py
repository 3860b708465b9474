"""Chances of the causes: what the settings make probable, times how well the pixels fit."""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from eyeplane.diagnose import words
from eyeplane.diagnose.case import FaceCase
from eyeplane.diagnose.likelihood import (
    MOTIONS,
    below,
    fits,
    focus_size,
    line_ratio,
    line_size,
    shape_likelihoods,
)
from eyeplane.diagnose.prior import (
    CELLS_BELOW,
    LINE_TO_DISC,
    CausePrior,
    cell_sizes_px,
    equal_blur_px,
    prior_of,
)
from eyeplane.diagnose.signs import background_alike
from eyeplane.records import CauseChance, FrameReading, Learned, Measured

FloatArray = NDArray[np.float64]

EXACT = 15  # decimals: the order of places must not show in the last bits
LEAST_SAID = 0.01  # chances below one in a hundred are not said
SHAPE_SEEN = 1.0  # natural logarithm from which disc or line is said


def chances_of(
    case: FaceCase, group: Sequence[FaceCase], reading: FrameReading, learned: Learned
) -> tuple[CauseChance, ...]:
    """Return how probable each cause is.

    Parameters
    ----------
    case : FaceCase
        The face in question.
    group : sequence of FaceCase
        All faces of the frame.
    reading : FrameReading
        The frame, for background and EXIF.
    learned : Learned
        This photographer's own numbers.

    Returns
    -------
    tuple of CauseChance
        Most probable first; their chances sum to 1, and so do their priors. "none" stands for no
        blur that shows. Empty where the eye's blur has no size.

    Notes
    -----
    For each cause, the probability of every size of blur that the settings give (`prior_of`) is
    multiplied by how well that size fits what was measured *if this is the cause* (a disc for
    focus, a line for motion) and by how well the cause fits the rest: `shape_likelihoods`. Both
    have long tails or caps, since measuring errs in ways it does not know of.
    """
    if case.eye.blur.size_px is None:
        return ()
    priors = prior_of(case, reading, learned)
    sizes_px = cell_sizes_px()
    shapes = shape_likelihoods(case, group, reading)
    fit = np.array([_fit(p, case, sizes_px) * math.exp(shapes[p.cause]) for p in priors])
    fit = np.maximum(fit, 1e-12)
    before = np.array([p.prior for p in priors])
    chance = before * fit
    chance = chance / chance.sum()
    found = [
        CauseChance(
            cause=p.cause,
            prior=p.prior / float(before.sum()),
            evidence=round(math.log(fit[i] / float(np.delete(fit, i).max())), EXACT - 3),
            chance=round(float(chance[i]), EXACT),
            because=p.because,
        )
        for i, p in enumerate(priors)
    ]
    return tuple(sorted(found, key=lambda c: -c.chance))


def _fit(prior: CausePrior, case: FaceCase, sizes_px: FloatArray) -> float:
    """Return how well the sizes that a cause makes fit those that were measured."""
    cells = np.array(prior.cells)
    if prior.cause not in ("none", "pixels"):
        cells[:CELLS_BELOW] = 0.0
    total = float(cells.sum())
    if total <= 0.0:
        return 0.0
    noise, blurred = _noise_size(case), _blur_size(prior.cause, case)
    seen = fits(blurred, sizes_px)
    if noise is not None:
        if prior.cause == "noise":
            seen = fits(noise, sizes_px) * below(blurred, sizes_px)
        else:
            seen = seen * below(noise, sizes_px)
    return float((cells * seen).sum()) / total


def _blur_size(cause: str, case: FaceCase) -> Measured:
    """Return the size of the blur if this were its cause, as the disc of equal contrast."""
    none = Measured(value=0.0, low=0.0, high=0.0)
    eye = case.eye.blur.size_px or none
    line = line_size(case)
    as_disc = eye if line is None else _scaled(line, LINE_TO_DISC)
    if cause in MOTIONS:
        return as_disc
    if cause in ("focus", "depth"):
        return focus_size(case) or eye
    if cause == "glass":
        return case.eye.blur.disc_px or eye
    if line_ratio(case) > 0:
        return as_disc
    # Where the face shows a cone, that tells the blur of a faint eye closer than the eye does.
    return focus_size(case) or eye if case.offset.side else eye


def _scaled(size: Measured, factor: float) -> Measured:
    return Measured(value=size.value * factor, low=size.low * factor, high=size.high * factor)


def _noise_size(case: FaceCase) -> Measured | None:
    noise = case.reading.noise_contrast
    if noise is None:
        return None
    low, value, high = (equal_blur_px(n) for n in (noise.low, noise.value, noise.high))
    return Measured(value=value, low=min(low, value), high=max(high, value))


def seen_words(case: FaceCase, reading: FrameReading) -> str:
    """Return what the blur looks like.

    Parameters
    ----------
    case : FaceCase
        One face.
    reading : FrameReading
        For its background.

    Returns
    -------
    str
        A clause for `chance_words`; empty where nothing can be told.
    """
    line, side = line_ratio(case), case.offset.side
    if line >= SHAPE_SEEN:
        return "the blur is a line, alike over the face"
    if side:
        end = "ear" if side == "behind" else "nose"
        disc = "a disc that" if case.eye.blur.kind == "disc" else "one that"
        return f"the blur is {disc} shrinks towards the {end}"
    if background_alike(case, reading):
        return "face and background are soft alike"
    return "the blur is a disc" if case.eye.blur.kind == "disc" else ""


def chance_words(chances: Sequence[CauseChance], seen: str = "") -> str:
    """Return the chances in one sentence, for whoever wants to know why.

    Parameters
    ----------
    chances : sequence of CauseChance
        Most probable first.
    seen : str
        What the blur looks like, by `seen_words`.

    Returns
    -------
    str
        The likeliest three, what was seen, and what the settings say of the runner-up (of the
        likeliest, if there is none); empty without chances.
    """
    if not chances:
        return ""
    said = [c for c in chances[:3] if c.chance >= LEAST_SAID] or [chances[0]]
    names = [f"{_name(c.cause)} {_percent(c.chance)}" for c in said]
    why = said[min(1, len(said) - 1)].because
    reasons = "; ".join(part for part in (seen, why) if part)
    head = ", ".join(names)
    return f"{head[:1].upper()}{head[1:]}" + (f": {reasons}." if reasons else ".")


def _name(cause: str) -> str:
    return {"none": "no blur that shows", "motion": "some other motion"}.get(cause, cause)


def _percent(chance: float) -> str:
    # Never 0 or 100: the numbers do not carry that far.
    return f"{min(max(round(100 * chance), 1), 99)}{words.THIN}%"
