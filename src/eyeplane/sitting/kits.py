"""Where the focus of each kit lies: its constant offset and its scatter, measuring taken out."""

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from eyeplane.learn.focus import FEWEST_BURSTS, FEWEST_FRAMES, SHARED_ERROR_MM, few_aside
from eyeplane.learn.kit_names import kit_names
from eyeplane.learn.mixed import Posterior, fit_mixed, set_aside
from eyeplane.records import KitFocus, SittingFrame
from eyeplane.sitting.offsets import ToldOffset, told_offsets, values_and_errors

APERTURE_GROUPS = (  # upper ends; offsets beyond f/5.6 are told too coarsely to be split further
    (2.05, "f/2 and wider"),
    (2.95, "f/2.2 to f/2.8"),
    (4.2, "f/3.2 to f/4"),
    (100.0, "f/4.5 and smaller"),
)
Key = TypeVar("Key", bound=Hashable)
POINTS = {"middle": "focus point in the middle", "aside": "focus point off the middle", "": ""}


@dataclass(frozen=True, slots=True, kw_only=True)
class KitFit:
    """The focus of one kit and setting, with what a judgement needs.

    Attributes
    ----------
    focus : KitFocus
        As it is shown.
    kit : tuple of str
        What tells this kit from others.
    bias : Posterior
        All that is known of the mean offset, + behind, mm.
    bursts : int
        How many times the focus was set.
    aside : int
        Frames far off all others, left out of bias and spread.
    """

    focus: KitFocus
    kit: tuple[str, str, str, str]
    bias: Posterior
    bursts: int
    aside: int


def kit_focus(frames: Sequence[SittingFrame]) -> tuple[KitFocus, ...]:
    """Return where the focus of each kit lies, overall and by what EXIF tells apart.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.

    Returns
    -------
    tuple of KitFocus
        Most frames first; a kit's own line (empty setting) before those of its settings. Settings
        only where a kit has at least two that say something each.

    Notes
    -----
    Needs `FEWEST_FRAMES` single-sitter frames with a told offset out of `FEWEST_BURSTS` bursts.
    EXIF tells the aperture and, in some files, whether the focus point lay in the middle. It does
    not tell whether the focus was single or continuous, set by eye detection or by hand, or
    whether anybody moved after it was set: those are not told apart here.
    Frames whose side could not be told are missing. They lie at middling offsets on either side,
    so the bias is not moved by them, but the spread comes out somewhat large.
    """
    return tuple(fit.focus for fit in kit_fits(told_offsets(frames)))


def kit_fits(told: Sequence[ToldOffset], *, settings: bool = True) -> tuple[KitFit, ...]:
    """Return the same as `kit_focus`, with all that is known of each bias.

    Parameters
    ----------
    told : sequence of ToldOffset
        Frames whose focus was told.
    settings : bool
        Whether to look at a kit's settings too.

    Returns
    -------
    tuple of KitFit
        In the same order.
    """
    names = kit_names({one.kit for one in told})
    found: list[list[KitFit]] = []
    for kit, own in _grouped(told, lambda one: one.kit).items():
        whole = _fit(own, kit, names[kit], "")
        if whole is None:
            continue
        split = [
            _fit(group, kit, names[kit], setting)
            for setting, group in _grouped(own, _setting).items()
            if setting and settings
        ]
        parts = [part for part in split if part is not None]
        parts.sort(key=lambda part: (-part.focus.frames, part.focus.setting))
        found.append([whole, *(parts if len(parts) > 1 else [])])
    found.sort(key=lambda fits: (-fits[0].focus.frames, fits[0].focus.kit))
    return tuple(fit for fits in found for fit in fits)


def _grouped(
    told: Sequence[ToldOffset], key: Callable[[ToldOffset], Key]
) -> dict[Key, list[ToldOffset]]:
    groups: dict[Key, list[ToldOffset]] = {}
    for one in told:
        groups.setdefault(key(one), []).append(one)
    return groups


def _setting(one: ToldOffset) -> str:
    """Return what EXIF tells apart, in words; empty if nothing."""
    stop = next((name for end, name in APERTURE_GROUPS if (one.f_number or 0.0) <= end), "")
    parts = (POINTS[one.point], stop if one.f_number else "")
    return ", ".join(part for part in parts if part)


def _fit(
    told: Sequence[ToldOffset], kit: tuple[str, str, str, str], name: str, setting: str
) -> KitFit | None:
    values, errors = values_and_errors(told)
    kept = np.ones(len(told), dtype=bool)
    if len(told) >= FEWEST_FRAMES:
        kept = few_aside(set_aside(values, errors, np.ones((len(told), 1))))
    used = [one for one, keep in zip(told, kept, strict=True) if keep]
    bursts = {one.burst for one in used}
    aside = len(told) - len(used)
    if len(used) < FEWEST_FRAMES or len(bursts) < FEWEST_BURSTS:
        return None
    fit = fit_mixed(
        values[kept],
        errors[kept],
        [one.burst for one in used],
        np.ones((len(used), 1)),
        extra_sd=SHARED_ERROR_MM,
    )
    bias = fit.coefficients[0]
    return KitFit(
        focus=KitFocus(
            kit=name,
            setting=setting,
            frames=len(told),
            bias_mm=bias.measured(),
            spread_mm=fit.spread,
        ),
        kit=kit,
        bias=bias,
        bursts=len(bursts),
        aside=aside,
    )
