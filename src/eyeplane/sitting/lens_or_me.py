"""Is it the lens or me: a constant offset, cured by adjustment, or scatter, which is not."""

from collections.abc import Sequence

from eyeplane.diagnose.words import mm
from eyeplane.learn.correction import CONSTANT_SHARE, LEAST_MM
from eyeplane.records import Habit, SittingFrame
from eyeplane.sitting import say
from eyeplane.sitting.bursts import holds_goal
from eyeplane.sitting.kits import KitFit
from eyeplane.sitting.lines import short_cause
from eyeplane.sitting.offsets import kit_of
from eyeplane.sitting.steady import Steady

SURE = 0.99  # probability of a side from which it is called: one clean kit in fifty is miscalled
FEWEST_LOST = 3  # frames lost to focus; fewer make no habit; no source
LOST_SHARE = 0.1  # of the kit's frames; likewise

TEST = (
    "To tell: camera on a tripod, a still target with texture set at 45°, ten frames, refocusing "
    "from near and from far each time; then the same with another lens."
)


def focus_side(steady: Steady) -> tuple[Habit, ...]:
    """Return on which side of the eye the focus of each kit lies, where it keeps to one.

    Parameters
    ----------
    steady : Steady
        Focus of each kit without what other habits explain.

    Returns
    -------
    tuple of Habit
        Kind "focus side", one a kit; only where the side of the mean is known with a probability
        of 0.99 and the mean is 2 mm or more.
    """
    found = []
    for fit in steady.kits:
        side = _side(fit)
        if not side:
            continue
        bias = fit.focus.bias_mm
        own = [one.offset_mm.value for one in steady.told if one.kit == fit.kit]
        there = sum((offset > 0) == (bias.value > 0) for offset in own)
        found.append(
            Habit(
                kind="focus side",
                text=(
                    f"With {fit.focus.kit} the focus lies {side} the near eye: by "
                    f"{mm(bias.value)} on average ({_size_between(fit)}), {side} it in "
                    f"{say.of_frames(there, len(own))}."
                ),
                advice=_side_advice(side),
                frames=len(own),
            )
        )
    return tuple(found)


def lens_or_me(
    frames: Sequence[SittingFrame], steady: Steady, *, goal_cm: float
) -> tuple[Habit, ...]:
    """Return for each kit whether its focus misses alike or scatters, and the test that tells.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.
    steady : Steady
        Focus of each kit without what other habits explain.
    goal_cm : float
        Print edge that counts as held.

    Returns
    -------
    tuple of Habit
        Kind "lens or me", one a kit. A constant offset is called where its side is sure and it
        makes half of the scatter or more; scatter where it is larger than any mean offset that is
        left possible. Scatter is only spoken of where it costs frames.
    """
    found = []
    for fit in steady.kits:
        lost, count = _lost(frames, fit, goal_cm)
        costs = lost >= FEWEST_LOST and lost >= LOST_SHARE * count
        side = _side(fit)
        bias, spread = fit.focus.bias_mm, fit.focus.spread_mm
        if side and abs(bias.value) >= CONSTANT_SHARE * spread.value:
            found.append(_constant(fit, side))
        elif costs and spread.low > max(abs(bias.low), abs(bias.high)):
            found.append(_scatter(fit, lost, count))
        elif costs and side:
            found.append(_both(fit, side))
    return tuple(found)


def _side(fit: KitFit) -> str:
    """Return the side that the mean surely lies on; empty if it does not or matters little."""
    in_front = fit.bias.below(0.0)
    if max(in_front, 1 - in_front) < SURE or abs(fit.focus.bias_mm.value) < LEAST_MM:
        return ""
    return "in front of" if in_front > 0.5 else "behind"


def _size_between(fit: KitFit) -> str:
    low, high = sorted((abs(fit.focus.bias_mm.low), abs(fit.focus.bias_mm.high)))
    return say.span(low, high, mm)


def _lost(frames: Sequence[SittingFrame], fit: KitFit, goal_cm: float) -> tuple[int, int]:
    own = [f for f in frames if f.burst is not None and kit_of(f.reading.exposure) == fit.kit]
    short = [f for f in own if not holds_goal(f.answer, goal_cm)]
    return sum(short_cause(f.answer) == "focus" for f in short), len(own)


def _side_advice(side: str) -> str:
    away = (
        "nearer than the eye: lashes, brow or nose" if side == "in front of" else "beyond the eye"
    )
    return (
        f"Look at what the focus point covers: something {away} may catch it. Single point on the "
        "iris, and see whether it stays."
    )


def _constant(fit: KitFit, side: str) -> Habit:
    bias, spread = fit.focus.bias_mm, fit.focus.spread_mm
    return Habit(
        kind="lens or me",
        text=(
            f"{fit.focus.kit} misses alike: {mm(bias.value)} {side} the near eye "
            f"({_size_between(fit)}), scattering by {mm(spread.value)} "
            f"({say.between(spread, mm)}) from frame to frame. A constant offset can be cured by "
            "adjustment, if it is the kit's."
        ),
        advice=(
            f"{TEST} If the offset stays with this lens, have the focus adjusted; if it is gone on "
            "the tripod, it is a habit of yours or the sitter's."
        ),
        frames=fit.focus.frames,
    )


def _scatter(fit: KitFit, lost: int, count: int) -> Habit:
    spread = fit.focus.spread_mm
    return Habit(
        kind="lens or me",
        text=(
            f"{fit.focus.kit} scatters: the focus lands within {mm(spread.value)} "
            f"({say.between(spread, mm)}) of its mean in two frames of three, with no constant "
            f"offset that could be told; {say.of_frames(lost, count)} missed the print by it. "
            "Adjusting the lens does not cure that."
        ),
        advice=(
            f"{TEST} If the scatter stays on the tripod it is the autofocus; if it goes, it is you "
            "or the sitter: refocus for each frame, or stop down."
        ),
        frames=fit.focus.frames,
    )


def _both(fit: KitFit, side: str) -> Habit:
    bias, spread = fit.focus.bias_mm, fit.focus.spread_mm
    return Habit(
        kind="lens or me",
        text=(
            f"{fit.focus.kit} lies {mm(bias.value)} {side} the near eye ({_size_between(fit)}) "
            f"and scatters by more than that: {mm(spread.value)} ({say.between(spread, mm)}) from "
            "frame to frame. Adjustment cures the smaller part only."
        ),
        advice=f"{TEST} What stays on the tripod is the kit's, the rest is yours or the sitter's.",
        frames=fit.focus.frames,
    )
