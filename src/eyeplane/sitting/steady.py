"""Each kit's own focus, with recomposing and drift taken out: what is left to ask the lens for."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from eyeplane.records import Habit, Measured, SittingFrame
from eyeplane.sitting.drift import focus_drift
from eyeplane.sitting.kits import KitFit, kit_fits
from eyeplane.sitting.offsets import ToldOffset, most_used_kit, told_offsets
from eyeplane.sitting.recompose import recompose


@dataclass(frozen=True, slots=True, kw_only=True)
class Steady:
    """Focus over a sitting, sorted by what explains it.

    Attributes
    ----------
    explained : tuple of Habit
        Recomposing or drift, where called.
    told : tuple of ToldOffset
        Frames of the kits that are asked about, without what recomposing makes.
    kits : tuple of KitFit
        Each kit as a whole, fitted to those.
    """

    explained: tuple[Habit, ...]
    told: tuple[ToldOffset, ...]
    kits: tuple[KitFit, ...]


def steady_focus(frames: Sequence[SittingFrame]) -> Steady:
    """Return the focus of each kit without what other habits explain.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.

    Returns
    -------
    Steady
        If recomposing is called, the kit used most is judged by what is left beyond it; if its
        focus drifts, it has no constant offset to speak of and is left out.
    """
    return steady_of(told_offsets(frames))


def steady_of(told: Sequence[ToldOffset]) -> Steady:
    """Return the same from offsets.

    Parameters
    ----------
    told : sequence of ToldOffset
        Frames whose focus was told.

    Returns
    -------
    Steady
        As `steady_focus` returns it.
    """
    kit = most_used_kit(told)
    turned, drifts = recompose(told), focus_drift(told)
    left = list(told)
    if turned:
        left = [_unturned(one) if one.kit == kit else one for one in told]
    if drifts:
        left = [one for one in left if one.kit != kit]
    return Steady(
        explained=(*turned, *drifts), told=tuple(left), kits=kit_fits(left, settings=False)
    )


def _unturned(one: ToldOffset) -> ToldOffset:
    if one.point == "aside" or one.recomposed_mm is None:
        return one
    offset, away = one.offset_mm, one.recomposed_mm
    moved = Measured(value=offset.value - away, low=offset.low - away, high=offset.high - away)
    return replace(one, offset_mm=moved)
