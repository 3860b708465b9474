"""What a sitting's own frames teach about photographer, sitter and kit."""

from collections.abc import Sequence

from eyeplane.learn.speeds import Mover, fit_speeds
from eyeplane.records import Learned, Measured, SittingFrame
from eyeplane.sitting.kits import kit_focus
from eyeplane.sitting.speeds import mostly_owned, speeds_of


def learn_from(frames: Sequence[SittingFrame]) -> Learned:
    """Return what these frames teach.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.

    Returns
    -------
    Learned
        Focus of each kit, and how fast camera and sitter move: the middle speed and the middle
        90 % of exposures, those without visible motion included. `colours` is empty.

    Notes
    -----
    Nothing is learned from few frames: a kit needs five with a told offset out of three bursts, a
    speed three that show it, out of two bursts, and eight that tell anything. So what goes back
    into the answer of one frame always rests on others too. A speed is nobody's where most of the
    motion could be either's.
    """
    return Learned(
        focus=kit_focus(frames),
        shake_deg_per_s=_speed(frames, "shake"),
        sitter_mm_per_s=_speed(frames, "sitter"),
    )


def _speed(frames: Sequence[SittingFrame], mover: Mover) -> Measured | None:
    speeds = speeds_of(frames, mover)
    if not mostly_owned(frames, speeds, mover):
        return None
    fit = fit_speeds(speeds)
    return None if fit is None else fit.median
