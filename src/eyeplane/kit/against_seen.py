"""From which print on viewers tell two kits apart, and what they see on the prints sold."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.optics import Spreads, sharpness_of
from eyeplane.optics.just_seen import quality_steps
from eyeplane.optics.reach import DIAGONALS, SHARP
from eyeplane.records import Measured
from eyeplane.records.kit_against import AgainstPoint, AgainstPrint, Seen, SeenFrom

FloatArray = NDArray[np.float64]

SMALLEST_CM, LARGEST_CM = 5.0, 400.0  # prints that are looked at: a locket, a wall
PRINTS = 32  # sizes between them: a border is right to 1 %
POINTS = 40  # of the curve that is drawn
SURE_SHARE = 0.95  # of beliefs that must agree before seen or not seen is said: a 90 % interval


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedFrame:
    """What goes to the print, under many beliefs.

    Attributes
    ----------
    spreads : Spreads
        What blurs and covers it, px; (beliefs,).
    long_edge_px, short_edge_px : ndarray
        Sides of the frame, or of the part of it that is printed: one number, or (beliefs,).
    """

    spreads: Spreads
    long_edge_px: FloatArray
    short_edge_px: FloatArray

    @property
    def shape_ratio(self) -> float:
        """Return the short side over the long one.

        Returns
        -------
        float
            Of the best guess.
        """
        return float(np.ravel(self.short_edge_px / self.long_edge_px)[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class Viewers:
    """Who looks.

    Attributes
    ----------
    viewing_cm : float or None
        Distance; None: 1.5 times the diagonal of the print.
    seen_ratio : ndarray
        The step they just see over the usual one, (beliefs,).
    wider_ratio : float
        How much farther from the best guess the beliefs lie than they were drawn, >= 1: what few
        frames leave open beyond their own scatter.
    """

    viewing_cm: float | None
    seen_ratio: FloatArray
    wider_ratio: float = 1.0

    def widened(self, values: FloatArray) -> FloatArray:
        """Return values under every belief, farther from the best guess.

        Parameters
        ----------
        values : ndarray
            (..., beliefs); the best guess first.

        Returns
        -------
        ndarray
            Alike.
        """
        return np.asarray(values[..., :1] + self.wider_ratio * (values - values[..., :1]))


def acutances(frame: PrintedFrame, sides_cm: FloatArray, viewers: Viewers) -> FloatArray:
    """Return how sharp the near eye looks on prints.

    Parameters
    ----------
    frame : PrintedFrame
        What is printed; where its shape is not the print's, it is cut to fill it.
    sides_cm : ndarray
        (prints, 2): long and short side.
    viewers : Viewers
        From where they look.

    Returns
    -------
    ndarray
        (prints, beliefs).
    """
    long_cm, short_cm = sides_cm.T[:, :, None]
    px_per_cm = np.minimum(frame.long_edge_px / long_cm, frame.short_edge_px / short_cm)
    distance_cm = (
        DIAGONALS * np.hypot(*sides_cm.T)
        if viewers.viewing_cm is None
        else np.full(len(sides_cm), viewers.viewing_cm)
    )
    px_per_degree = px_per_cm * distance_cm[:, None] * math.radians(1.0)
    return sharpness_of(frame.spreads, px_per_deg=px_per_degree)


def steps_between(
    a: PrintedFrame, b: PrintedFrame, sides_cm: FloatArray, viewers: Viewers
) -> FloatArray:
    """Return the difference on prints, over the smallest that viewers see.

    Parameters
    ----------
    a, b : PrintedFrame
        The two.
    sides_cm : ndarray
        (prints, 2): long and short side.
    viewers : Viewers
        Who looks.

    Returns
    -------
    ndarray
        (prints, beliefs), above 0 where B is sharper.
    """
    one, other = (quality_steps(acutances(frame, sides_cm, viewers)) for frame in (a, b))
    return np.asarray(viewers.widened(other - one) / viewers.seen_ratio)


def seen_from(a: PrintedFrame, b: PrintedFrame, viewers: Viewers) -> SeenFrom:
    """Return from which print on viewers tell two kits apart.

    Parameters
    ----------
    a, b : PrintedFrame
        The two.
    viewers : Viewers
        Who looks.

    Returns
    -------
    SeenFrom
        Long edges of prints in A's shape, up to `LARGEST_CM`.
    """
    edges = np.geomspace(SMALLEST_CM, LARGEST_CM, PRINTS)
    sides = np.stack([edges, edges * a.shape_ratio], axis=1)
    ratios = steps_between(a, b, sides, viewers)
    # What speaks for the other kit is no sooner seen.
    favoured = np.sign(ratios[np.argmax(np.abs(ratios[:, 0])), 0])
    borders = np.array([_first(edges, favoured * one) for one in ratios.T])
    low, high = np.quantile(borders, [0.05, 0.95], method="nearest")
    value = borders[0]
    return SeenFrom(
        smallest_cm=_finite(value),
        low_cm=_finite(min(low, value)),
        high_cm=_finite(max(high, value)),
        up_to_cm=LARGEST_CM,
    )


def sold_prints(
    a: PrintedFrame, b: PrintedFrame, sold_cm: Sequence[tuple[float, float]], viewers: Viewers
) -> tuple[AgainstPrint, ...]:
    """Return what viewers see of the difference on the prints that are sold.

    Parameters
    ----------
    a, b : PrintedFrame
        The two.
    sold_cm : sequence of (float, float)
        Long and short side of each.
    viewers : Viewers
        Who looks.

    Returns
    -------
    tuple of AgainstPrint
        Smallest first.
    """
    if not sold_cm:
        return ()
    sizes = sorted(sold_cm)
    sides = np.asarray(sizes, float)
    ratios = steps_between(a, b, sides, viewers)
    holds = [viewers.widened(acutances(frame, sides, viewers)) >= SHARP for frame in (a, b)]
    return tuple(
        AgainstPrint(
            long_cm=long_cm,
            short_cm=short_cm,
            step_ratio=interval(ratios[k]),
            seen=told_apart(ratios[k]),
            a_holds=agreed(holds[0][k]),
            b_holds=agreed(holds[1][k]),
        )
        for k, (long_cm, short_cm) in enumerate(sizes)
    )


def curve_of(
    a: PrintedFrame, b: PrintedFrame, ends_cm: tuple[float, float], viewers: Viewers
) -> tuple[AgainstPoint, ...]:
    """Return how sharp both look against the size of the print.

    Parameters
    ----------
    a, b : PrintedFrame
        The two.
    ends_cm : tuple of float
        Smallest and largest long edge.
    viewers : Viewers
        Who looks.

    Returns
    -------
    tuple of AgainstPoint
        Even in the logarithm of the size.
    """
    edges = np.geomspace(*ends_cm, POINTS)
    sides = np.stack([edges, edges * a.shape_ratio], axis=1)
    one, other = (
        np.clip(viewers.widened(acutances(frame, sides, viewers)), 0.0, 1.0) for frame in (a, b)
    )
    return tuple(
        AgainstPoint(
            print_cm=float(edge), a_acutance=interval(one[k]), b_acutance=interval(other[k])
        )
        for k, edge in enumerate(edges)
    )


def interval(values: FloatArray) -> Measured:
    """Return the best guess with its interval.

    Parameters
    ----------
    values : ndarray
        Under every belief; the first is the best guess.

    Returns
    -------
    Measured
        The middle 90 %, and never without the best guess.
    """
    value = float(values[0])
    low, high = (float(q) for q in np.quantile(values, [0.05, 0.95]))
    return Measured(value=value, low=min(low, value), high=max(high, value))


def told_apart(step_ratio: FloatArray) -> Seen:
    """Return whether viewers tell two prints apart, and which is the sharper.

    Parameters
    ----------
    step_ratio : ndarray
        Difference over the smallest that they see, under every belief.

    Returns
    -------
    {"yes", "no", "cannot tell"}
        Yes where 19 of 20 beliefs say so of the same side, no where 19 of 20 see nothing.
    """
    if "yes" in (agreed(step_ratio >= 1.0), agreed(step_ratio <= -1.0)):
        return "yes"
    return "no" if agreed(np.abs(step_ratio) < 1.0) == "yes" else "cannot tell"


def agreed(says_so: NDArray[np.bool_]) -> Seen:
    """Return what beliefs agree on.

    Parameters
    ----------
    says_so : ndarray of bool
        Under every belief.

    Returns
    -------
    {"yes", "no", "cannot tell"}
        Yes or no where 19 of 20 say so.
    """
    share = float(np.mean(says_so))
    if share >= SURE_SHARE:
        return "yes"
    return "no" if share <= 1.0 - SURE_SHARE else "cannot tell"


def _first(edges: FloatArray, ratios: FloatArray) -> float:
    """Return where a difference first reaches a step, straight between two sizes; else infinite."""
    above = np.flatnonzero(ratios >= 1.0)
    if not len(above):
        return math.inf
    k = int(above[0])
    if k == 0:
        return float(edges[0])
    share = (1.0 - ratios[k - 1]) / (ratios[k] - ratios[k - 1])
    return float(edges[k - 1] * (edges[k] / edges[k - 1]) ** share)


def _finite(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None
