"""What many frames teach about photographer, sitter and kit: fits with their intervals."""

from eyeplane.learn.ladder_fit import LadderFit, LimitFit, fit_ladder
from eyeplane.learn.ladder_grid import LadderPrior
from eyeplane.learn.ladder_more import MoreFrames, more_frames
from eyeplane.learn.lessons import learn_all
from eyeplane.learn.shares import ShareFit, exact_interval, fit_shares, wilson_interval

__all__ = [
    "LadderFit",
    "LadderPrior",
    "LimitFit",
    "MoreFrames",
    "ShareFit",
    "exact_interval",
    "fit_ladder",
    "fit_shares",
    "learn_all",
    "more_frames",
    "wilson_interval",
]
