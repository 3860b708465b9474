"""Frames so shaken that no face is found in them: they are lost, not missing."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from eyeplane.records import SittingFrame, Veil
from eyeplane.sitting.ladder_outcomes import NOBODY, Outcome

FEWEST_HELD = 3  # frames that show how much fine detail the framing has; no source
GONE_RATIO = 0.5  # of a zone's fine detail: with less it is smeared; a line of 12 px leaves half
SMEARED_SHARE = 0.75  # of zones: the camera moved, not somebody in the frame; no source
LEAST_FINE = 0.01  # contrast of fine detail that a zone must have had; no source


def with_smeared(frames: Sequence[SittingFrame], outcomes: Sequence[Outcome]) -> list[Outcome]:
    """Return outcomes in which frames without a face count where shake hid it.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.
    outcomes : sequence of Outcome
        What each says.

    Returns
    -------
    list of Outcome
        A frame without a face whose fine detail is gone nearly everywhere, against the frames that
        hold, was lost to shake; leaving such frames out would make the hand look steadier than it
        is. Where the picture is otherwise as it was, the sitter was not there, and it stays out.
    """
    held = [frames[one.number].reading.veil for one in outcomes if one.verdict == "holds"]
    known = [one for one in held if one is not None]
    if len(known) < FEWEST_HELD:
        return list(outcomes)
    return [
        replace(one, verdict="shake", why="", shake_chance=1.0)
        if one.why == NOBODY and _smeared(frames[one.number].reading.veil, known)
        else one
        for one in outcomes
    ]


def _smeared(veil: Veil | None, held: Sequence[Veil]) -> bool:
    if veil is None:
        return False
    alike = [
        one.fine
        for one in held
        if (one.columns, one.rows, one.orientation) == (veil.columns, veil.rows, veil.orientation)
    ]
    if len(alike) < FEWEST_HELD:
        return False
    usual, own = np.median(np.array(alike), axis=0), np.array(veil.fine)
    told = usual > LEAST_FINE
    return bool(told.any() and np.mean(own[told] < GONE_RATIO * usual[told]) >= SMEARED_SHARE)
