"""How much missed focus and how much motion the print promised takes, for many settings at once."""

import functools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from eyeplane.light.noise import SKIN_LEVEL, noise_contrast
from eyeplane.optics import (
    BLUR_POWER,
    Spreads,
    blur_limits,
    px_per_deg,
)
from eyeplane.optics.kit_blur import (
    as_sharpened,
    believed_glass_um,
    diffraction_um,
    glass_um,
)
from eyeplane.optics.reach import SHARP
from eyeplane.records import PlanKit, PlanPrint

FloatArray = NDArray[np.float64]

_NODES_Z = (-2.4, -1.2, 0.0, 1.2, 2.4)  # beliefs about the glass that limits are worked out for
_DIGITS = 4  # of a spread in px, to which settings count as alike


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldLimits:
    """For each of many settings, what blur the print takes.

    Attributes
    ----------
    disc_um : ndarray
        Largest disc without motion, on the sensor; 0 where nothing holds.
    line_um : ndarray
        Longest line without missed focus.
    room_share : ndarray
        Sharpness without either over what it has above the threshold: how many times over a
        share of lost contrast counts.
    """

    disc_um: FloatArray
    line_um: FloatArray
    room_share: FloatArray

    def at(self, which: NDArray[np.intp] | NDArray[np.bool_]) -> "HoldLimits":
        """Return the limits of some of the settings.

        Parameters
        ----------
        which : ndarray
            Their numbers, also repeatedly, or a mask.

        Returns
        -------
        HoldLimits
            In that order.
        """
        return HoldLimits(
            disc_um=self.disc_um[which],
            line_um=self.line_um[which],
            room_share=self.room_share[which],
        )

    def column(self, belief: int) -> "HoldLimits":
        """Return the limits under one belief, of (k, sets).

        Parameters
        ----------
        belief : int
            Its number.

        Returns
        -------
        HoldLimits
            One entry a setting.
        """
        return HoldLimits(
            disc_um=self.disc_um[:, belief],
            line_um=self.line_um[:, belief],
            room_share=self.room_share[:, belief],
        )

    def cost(self, disc_um: ArrayLike, line_um: ArrayLike) -> FloatArray:
        """Return what a disc and a line together cost: up to 1 the print holds.

        Parameters
        ----------
        disc_um, line_um : array_like
            On the sensor; their last axis, or a scalar, is broadcast against the settings.

        Returns
        -------
        ndarray
            (disc / limit)^2.07 + (line / limit)^2.07; infinite where nothing holds.

        Notes
        -----
        The power is our own fit to the whole sum over frequency, right to 3 % of a limit.
        """
        with np.errstate(divide="ignore", invalid="ignore"):
            cost = (np.asarray(disc_um, float) / self.disc_um) ** BLUR_POWER + (
                np.asarray(line_um, float) / self.line_um
            ) ** BLUR_POWER
        return np.asarray(np.where(self.disc_um > 0, cost, np.inf))


def base_spreads(
    kit: PlanKit,
    f_number: ArrayLike,
    iso: ArrayLike,
    level: ArrayLike = SKIN_LEVEL,
    glass_ratio: ArrayLike = 1.0,
) -> Spreads:
    """Return what blurs and covers every frame of some settings: glass, diffraction, noise.

    Parameters
    ----------
    kit : PlanKit
        Its glass and pixels.
    f_number, iso : array_like
        Settings, > 0.
    level : array_like
        Linear luma of the skin, white = 1: less where under-exposed.
    glass_ratio : array_like
        Spread of the glass over the one that is taken for it.

    Returns
    -------
    Spreads
        In px of the frame, without focus and motion, less what the camera's own sharpening gives
        back: as measured frames are judged.
    """
    pitch = kit.pitch_um
    levels = np.asarray(level, float)
    noise = noise_contrast(iso=np.asarray(iso, float), pitch_um=pitch, level=levels)
    glass = np.asarray(glass_ratio, float) * glass_um(kit, f_number)
    gaussian, airy = as_sharpened(glass / pitch, diffraction_um(f_number) / pitch)
    return Spreads(gaussian_px=gaussian, airy_px=airy, noise_contrast=noise)


def print_px_per_deg(kit: PlanKit, promise: PlanPrint) -> float:
    """Return how many pixels lie in a degree of view on the print promised.

    Parameters
    ----------
    kit : PlanKit
        Its pixels.
    promise : PlanPrint
        Print and viewer.

    Returns
    -------
    float
        Pixels per degree.
    """
    return px_per_deg(
        long_edge_px=max(kit.long_edge_px, kit.short_edge_px),
        print_cm=promise.print_cm,
        viewing_cm=promise.viewing_cm,
    )


def hold_limits(
    kit: PlanKit,
    promise: PlanPrint,
    *,
    f_number: ArrayLike,
    iso: ArrayLike,
    level: ArrayLike = SKIN_LEVEL,
    glass_ratio: ArrayLike = 1.0,
) -> HoldLimits:
    """Return what blur the print takes at each of many settings.

    Parameters
    ----------
    kit : PlanKit
        Its glass and pixels.
    promise : PlanPrint
        Print and viewer.
    f_number, iso : array_like
        Settings, > 0.
    level : array_like
        Linear luma of the skin, white = 1.
    glass_ratio : array_like
        Spread of the glass over the one that is taken for it.

    Returns
    -------
    HoldLimits
        Flat arrays, one entry a setting.

    Notes
    -----
    Settings whose spreads agree to four digits are worked out once.
    """
    base = base_spreads(kit, f_number, iso, level, glass_ratio)
    unique, back = different([_rounded(a) for a in base.columns()[2:5]])
    rows = np.stack(unique, axis=1)
    disc, line, room = _limits(rows.tobytes(), len(rows), print_px_per_deg(kit, promise))
    return HoldLimits(
        disc_um=disc[back] * kit.pitch_um,
        line_um=line[back] * kit.pitch_um,
        room_share=room[back],
    )


def believed_limits(
    kit: PlanKit,
    promise: PlanPrint,
    *,
    f_number: FloatArray,
    iso: FloatArray,
    level: FloatArray,
    glass_z: FloatArray,
) -> HoldLimits:
    """Return what blur the print takes, under every belief about the glass.

    Parameters
    ----------
    kit : PlanKit
        Its glass, usual or measured, and pixels.
    promise : PlanPrint
        Print and viewer.
    f_number, iso, level : ndarray
        (k,): settings.
    glass_z : ndarray
        (sets,): standard normal.

    Returns
    -------
    HoldLimits
        Arrays (k, sets): straight between five beliefs that are worked out, in the square of the
        limits, since squares of blurs add.
    """
    nodes = np.array(_NODES_Z)
    taken_um = np.maximum(glass_um(kit, f_number), 1e-6)[:, None]
    every = hold_limits(
        kit,
        promise,
        f_number=np.repeat(f_number, len(nodes)),
        iso=np.repeat(iso, len(nodes)),
        level=np.repeat(level, len(nodes)),
        glass_ratio=np.ravel(believed_glass_um(kit, f_number, nodes) / taken_um),
    )

    weights = np.stack([np.interp(glass_z, nodes, one) for one in np.eye(len(nodes))])

    def between(values: FloatArray) -> FloatArray:
        return np.asarray(values.reshape(len(f_number), len(nodes)) @ weights)

    return HoldLimits(
        disc_um=np.sqrt(between(every.disc_um**2)),
        line_um=np.sqrt(between(every.line_um**2)),
        room_share=between(every.room_share),
    )


def different(columns: Sequence[FloatArray]) -> tuple[list[FloatArray], NDArray[np.intp]]:
    """Return the different rows of some columns.

    Parameters
    ----------
    columns : sequence of ndarray
        One entry a row each.

    Returns
    -------
    rows : list of ndarray
        The same columns, each combination once, rising by the first, then the second and so on.
    back : ndarray of int
        For each of the old rows the number of the new one.

    Notes
    -----
    By sorting columns, in a tenth of the time of sorting whole rows.

    Examples
    --------
    >>> rows, back = different([np.array([2.0, 1.0, 2.0]), np.array([5.0, 4.0, 5.0])])
    >>> [c.tolist() for c in rows], back.tolist()
    ([[1.0, 2.0], [4.0, 5.0]], [1, 0, 1])
    """
    order = np.lexsort(columns[::-1])
    rising = [column[order] for column in columns]
    fresh = np.ones(len(order), bool)
    fresh[1:] = np.logical_or.reduce([column[1:] != column[:-1] for column in rising])
    back = np.empty(len(order), np.intp)
    back[order] = np.cumsum(fresh) - 1
    return [column[fresh] for column in rising], back


@functools.lru_cache(maxsize=64)
def _limits(
    rows: bytes, count: int, px_per_degree: float
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return limits of disc and line in px, and the room; kept, since plans ask alike again."""
    gaussian, airy, noise = np.frombuffer(rows).reshape(count, 3).T
    spreads = Spreads(gaussian_px=gaussian, airy_px=airy, noise_contrast=noise)
    limits = blur_limits(spreads, px_per_deg=px_per_degree)
    above = np.maximum(limits.acutance - SHARP, 1e-9)
    return limits.disc_px, limits.line_px, limits.acutance / above


def _rounded(values: FloatArray) -> FloatArray:
    """Return numbers with so few digits that like settings are found to be alike."""
    size = np.maximum(np.abs(values), 1e-12)
    digits = 10.0 ** (_DIGITS - 1 - np.floor(np.log10(size)))
    return np.asarray(np.round(values * digits) / digits)
