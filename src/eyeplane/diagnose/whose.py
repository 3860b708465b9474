"""Whose motion a line on a face was: the camera's or the sitter's, as odds.

Four explanations are weighed against each other with everything the frame shows:

- the camera was pushed: everything shows the face's line;
- the camera turned about the lens axis: the lines form a turning field (`rotation`);
- the sitter moved: hair goes along, clothes may, the background and other sitters do not;
- the sitter moved and the camera too: the background shows one line, but another one.
"""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from eyeplane.diagnose.lines import Motion, Place, log_moved, log_still, vector_of
from eyeplane.diagnose.rotation import COST as TURN_COST
from eyeplane.diagnose.rotation import best_field, pushed_log

Array = NDArray[np.float64]

CALLED = 2.5  # natural logarithm of the odds from which it is said whose motion it was: 12 to 1
# How frequent each explanation is before the frame is looked at; no source. Only the ratio of the
# first two to the last two matters much, and it is kept even: EXIF speaks elsewhere.
PUSHED, TURNED, SITTER, BOTH = 0.42, 0.08, 0.46, 0.04
HAIR_MOVES = 0.9  # of heads that moved: their hair shows the same line; no source
CLOTHES_MOVE = 0.5  # ... and their clothes: a nod leaves them still; no source
OTHERS_MOVE = 0.3  # of other sitters move on their own in the same exposure; no source
OTHERS_ALONG = 0.05  # ... and this many with the first: an embrace, a swing; no source
BACKGROUND_ALONG = 0.05  # of background places move with the sitter: an arm, a toy; no source
LINE_COST = 4.9  # log: one free line fits by chance as well as this (density over its peak)


def shake_over_sitter(motion: Motion, owner: int, places: Sequence[Place]) -> float:
    """Return the odds of shake against a moving sitter.

    Parameters
    ----------
    motion : Motion
        Of the face in question.
    owner : int
        Index of that face.
    places : sequence of Place
        Of the whole frame, as `places_of` gives them.

    Returns
    -------
    float
        Natural logarithm: + shake, - sitter, near 0 where nothing in the frame tells.
    """
    line = np.array(vector_of(motion.length_px.value, motion.angle_deg))
    rest = [p for p in places if not (p.owner == owner and p.role == "face")]
    if not rest:
        return 0.0
    background = [p for p in rest if p.owner < 0]
    pushed = math.log(PUSHED) + _moved(rest, line)
    turned = math.log(TURNED) + _turned(line, owner, places)
    sitter = math.log(SITTER) + _person(rest, owner, line) + _behind(background, line)
    both = math.log(BOTH) + _person(rest, owner, line) + _panned(background)
    return float(np.logaddexp(pushed, turned) - np.logaddexp(sitter, both))


def _moved(places: Sequence[Place], line: Array) -> float:
    return float(log_moved(places, np.repeat(line[None], len(places), axis=0)).sum())


def _turned(line: Array, owner: int, places: Sequence[Place]) -> float:
    """Return how well a turning camera explains all places, the face's own line being given."""
    field = best_field(places)
    own = [p for p in places if p.owner == owner and p.role == "face"]
    if field is None:
        return -math.inf
    return field.log - TURN_COST - (_moved(own, line) if own else 0.0)


def _behind(background: Sequence[Place], line: Array) -> float:
    """Return how well a still background, some of it held by the sitter, explains its places."""
    if not background:
        return 0.0
    still = math.log(1 - BACKGROUND_ALONG) + log_still(background)
    along = log_moved(background, np.repeat(line[None], len(background), axis=0))
    return float(np.logaddexp(still, math.log(BACKGROUND_ALONG) + along).sum())


def _person(rest: Sequence[Place], owner: int, line: Array) -> float:
    """Return how well a moving head explains its hair and clothes, and the other sitters."""
    total = 0.0
    for role, share in (("hair", HAIR_MOVES), ("clothes", CLOTHES_MOVE)):
        own = [p for p in rest if p.owner == owner and p.role == role]
        if own:
            still = math.log(1 - share) + float(log_still(own).sum())
            total += float(np.logaddexp(math.log(share) + _moved(own, line), still))
    for other in {p.owner for p in rest} - {owner, -1}:
        theirs = [p for p in rest if p.owner == other]
        ways = (
            math.log(1 - OTHERS_MOVE - OTHERS_ALONG) + float(log_still(theirs).sum()),
            math.log(OTHERS_MOVE) + pushed_log(theirs) - LINE_COST,
            math.log(OTHERS_ALONG) + _moved(theirs, line),
        )
        total += float(np.logaddexp.reduce(ways))
    return total


def _panned(background: Sequence[Place]) -> float:
    """Return how well one line of its own explains the background."""
    return pushed_log(background) - LINE_COST if background else -math.inf
