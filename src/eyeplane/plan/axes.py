"""The marks that limits and choice leave: apertures, shutter times, ISO."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError
from eyeplane.light import F_NUMBERS, ISOS, SHUTTER_TIMES_S, SKIN_LEVEL
from eyeplane.plan.words import f_stop, iso_speed, listed, shutter, stops
from eyeplane.records import PlanChoice, PlanKit

FloatArray = NDArray[np.float64]

HALF_STEP_EV = 1 / 6 + 1e-6  # a third-stop mark exposes whatever lies within half a step of it
SAME_MARK = 0.01  # of a value: limits are meant to include the marks that they name
MOST_OFF_EV = 3.0  # settled settings farther off than this make no picture; our own
_SAID = {"aperture": f_stop, "shutter": shutter, "iso": iso_speed}


@dataclass(frozen=True, slots=True, kw_only=True)
class Axes:
    """Marks to choose from, rising.

    Attributes
    ----------
    f_number, time_s, iso : ndarray
        One entry each where it is settled.
    """

    f_number: FloatArray
    time_s: FloatArray
    iso: FloatArray

    def said(self, place: int) -> str:
        """Return one end of each in words: widest, fastest, lowest, or the other.

        Parameters
        ----------
        place : int
            0 for the first of each, −1 for the last.

        Returns
        -------
        str
            For instance "f/1.4, 1/8000 s and ISO 100".
        """
        return listed(
            (
                f_stop(float(self.f_number[place])),
                shutter(float(self.time_s[place])),
                iso_speed(float(self.iso[place])),
            )
        )


def axes_of(kit: PlanKit, choice: PlanChoice) -> Axes:
    """Return the marks within the limits of a kit, or what is settled.

    Parameters
    ----------
    kit : PlanKit
        Limits of aperture, time and ISO.
    choice : PlanChoice
        What is settled.

    Returns
    -------
    Axes
        At least one of each.

    Raises
    ------
    InputError
        If limits contradict each other, or what is settled lies outside them.
    """
    return Axes(
        f_number=_limited(
            "aperture", (kit.widest_f_number, kit.smallest_f_number), choice.f_number, F_NUMBERS
        ),
        time_s=_limited(
            "shutter", (kit.fastest_s, kit.slowest_s), choice.shutter_s, SHUTTER_TIMES_S
        ),
        iso=_limited("iso", (kit.base_iso, kit.highest_iso), choice.iso, ISOS),
    )


def settled(choice: PlanChoice) -> bool:
    """Return whether aperture, time and ISO are all settled.

    Parameters
    ----------
    choice : PlanChoice
        What is settled.

    Returns
    -------
    bool
        True if all three are.
    """
    return None not in (choice.f_number, choice.shutter_s, choice.iso)


def check_off(axes: Axes, off_ev: float) -> None:
    """Refuse settled settings that are far from what the light asks for.

    Parameters
    ----------
    axes : Axes
        One of each.
    off_ev : float
        Exposure less the right one.

    Raises
    ------
    InputError
        If they are more than three stops off.
    """
    if abs(off_ev) > MOST_OFF_EV + 1e-6:
        over = "over" if off_ev > 0 else "under"
        raise InputError(
            f"{axes.said(0)} {over}-expose this light by {stops(off_ev)}",
            where="exposure",
            hint="Leave one of aperture, shutter and ISO to the plan",
        )


def skin_level(off_ev: float) -> float:
    """Return the linear luma of skin at some exposure.

    Parameters
    ----------
    off_ev : float
        Exposure less the right one, in stops.

    Returns
    -------
    float
        White = 1, and no more than that.
    """
    return min(SKIN_LEVEL * math.exp2(off_ev), 1.0)


def _limited(
    name: str, limits: tuple[float, float], chosen: float | None, marks: tuple[float, ...]
) -> FloatArray:
    """Return the marks between two limits, or what was chosen."""
    low, high = limits
    if not (0 < low <= high * (1 + SAME_MARK) and math.isfinite(high)):
        raise InputError(
            f"no {name} lies between {low:g} and {high:g}",
            where=name,
            hint="Give the two limits in order, both above zero",
        )
    if chosen is not None:
        if not low * (1 - SAME_MARK) <= chosen <= high * (1 + SAME_MARK):
            said = _SAID[name]
            what = said(chosen) if chosen > 0 else f"{chosen:g}"
            raise InputError(
                f"{what} is outside the limits, {said(low)} and {said(high)}",
                where=name,
                hint="Choose within them, or widen them",
            )
        return np.array([chosen], float)
    kept = [float(m) for m in marks if low * (1 - SAME_MARK) <= m <= high * (1 + SAME_MARK)]
    if not any(abs(m / low - 1) <= SAME_MARK for m in kept):
        kept.append(low)  # a lens of f/1.7 has that mark
    return np.array(sorted(kept))
