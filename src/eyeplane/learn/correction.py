"""Whether a lens is to be adjusted: only where its offset is sure, constant and the kit's own."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace

from eyeplane.records import Measured
from eyeplane.records.lessons import LearnedFocus
from eyeplane.records.said import THIN

LEAST_MM = 2.0  # a smaller offset is not worth a word: the iris is about 1 mm deep, from memory
CONSTANT_SHARE = 0.5  # of the scatter: a mean offset above this outweighs it in most frames
FEWEST_SITTINGS = 2  # one sitting may be one sitter's glasses, or one day's habit; no source
TEST = (
    "camera on a tripod, a still target, ten frames, refocusing from near and from far each time; "
    "'eyeplane kit print focus' prints the target and 'eyeplane kit focus' reads the frames"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FocusFound:
    """The focus of a kit and setting, before anything is advised.

    Attributes
    ----------
    kit : hashable
        What tells this kit from others.
    focus : LearnedFocus
        As learned.
    """

    kit: Hashable
    focus: LearnedFocus


def in_any_way(whole: FocusFound, parts: Sequence[FocusFound]) -> FocusFound:
    """Return a kit as a whole, its spread unsure where its ways of focusing scatter unlike.

    Parameters
    ----------
    whole : FocusFound
        A kit as a whole.
    parts : sequence of FocusFound
        Ways of setting the focus, of any kits.

    Returns
    -------
    FocusFound
        With the ends of its spread's interval as far out as those of its ways, where two of those
        leave each other out: in which way the frames to come are focused is not known.
    """
    own = [one.focus.spread_mm for one in parts if one.kit == whole.kit]
    if not own or max(one.low for one in own) <= min(one.high for one in own):
        return whole
    spread = whole.focus.spread_mm
    told = Measured(
        value=spread.value,
        low=min(spread.low, *(one.low for one in own)),
        high=max(spread.high, *(one.high for one in own)),
    )
    return replace(whole, focus=replace(whole.focus, spread_mm=told))


def with_corrections(found: Sequence[FocusFound]) -> tuple[LearnedFocus, ...]:
    """Return the same with what to correct, where anything is.

    Parameters
    ----------
    found : sequence of FocusFound
        Kits as a whole (empty setting) and their settings.

    Returns
    -------
    tuple of LearnedFocus
        In the same order. A correction is only spoken of for a kit as a whole, where the 90 %
        interval of its mean offset excludes zero.
    """
    whole: dict[Hashable, LearnedFocus] = {}
    for one in found:
        whole.setdefault(one.kit, one.focus)
    told = []
    for one in found:
        is_whole = whole[one.kit] is one.focus
        others = [focus for kit, focus in whole.items() if kit != one.kit]
        settings = [
            other.focus
            for other in found
            if other.kit == one.kit and other.focus is not whole[one.kit]
        ]
        text = correction_of(one.focus, others=others, settings=settings) if is_whole else ""
        told.append(replace(one.focus, correction=text))
    return tuple(told)


def correction_of(
    focus: LearnedFocus,
    *,
    others: Sequence[LearnedFocus] = (),
    settings: Sequence[LearnedFocus] = (),
) -> str:
    """Return what to adjust, and what to look at first.

    Parameters
    ----------
    focus : LearnedFocus
        A kit as a whole.
    others : sequence of LearnedFocus
        The photographer's other kits, each as a whole.
    settings : sequence of LearnedFocus
        The same kit by how its focus was set.

    Returns
    -------
    str
        Empty unless the interval of the mean offset excludes zero and the offset is worth a word.
    """
    bias, spread = focus.bias_mm, focus.spread_mm
    if bias.low <= 0.0 <= bias.high or abs(bias.value) < LEAST_MM:
        return ""
    side = _side(bias)
    size = f"{_mm(bias.value)} ({_span(bias)})"
    lies = f"With {focus.kit} the focus lies {size} {side} the near eye"
    if abs(bias.value) < CONSTANT_SHARE * spread.value:
        return (
            f"{lies}, but it scatters by {_mm(spread.value)} from frame to frame: adjusting cures "
            "the smaller part only, so adjust nothing; refocus for each frame, or stop down."
        )
    if any(_side(one.bias_mm) != side or not _sure(one.bias_mm) for one in settings):
        return (
            f"{lies}, but not with every way of setting the focus (see below): that is the "
            "setting, not the lens, so adjust nothing and use the setting that lies on the eye."
        )
    alike = [one for one in others if _sure(one.bias_mm) and _side(one.bias_mm) == side]
    if others and len(alike) == len(others):
        return (
            f"{lies}, and your other {'kits lie' if len(others) > 1 else 'kit lies'} on the same "
            "side: that is the habit, not the lens. Adjust nothing; look at what the focus point "
            f"covers ({_covers(side)})."
        )
    if focus.counts.sittings < FEWEST_SITTINGS:
        return (
            f"{lies}, in one sitting so far: it may be that sitter or that day. Before anything is "
            f"adjusted, the test: {TEST}."
        )
    towards = "towards the camera" if side == "behind" else "away from the camera"
    return (
        f"{lies}, alike in {focus.counts.bursts} bursts of {focus.counts.sittings} sittings, "
        f"scattering by {_mm(spread.value)}. First the test that tells the lens from you: {TEST}. "
        f"If the offset is there too, move this lens's focus {_mm(bias.value)} {towards} with the "
        "body's own fine adjustment, or have it done by a service shop; if it is gone, it is a "
        "habit."
    )


def _sure(bias: Measured) -> bool:
    return not bias.low <= 0.0 <= bias.high


def _side(bias: Measured) -> str:
    return "behind" if bias.value > 0 else "in front of"


def _covers(side: str) -> str:
    return "lashes, brow or glasses" if side == "in front of" else "ear, hair or what is behind"


def _mm(size_mm: float) -> str:
    return f"{_said(abs(size_mm))}{THIN}mm"


def _span(bias: Measured) -> str:
    low, high = sorted((abs(bias.low), abs(bias.high)))
    return f"{_said(low)}–{_said(high)}"


def _said(size_mm: float) -> str:
    return f"{size_mm:.0f}" if size_mm >= 2.95 else f"{size_mm:.1f}"
