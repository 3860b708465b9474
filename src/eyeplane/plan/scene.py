"""What a plan holds fixed, and the settings it compares."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from eyeplane.light.noise import SKIN_LEVEL
from eyeplane.people.aim import FocusError
from eyeplane.people.hands import HandSpeed
from eyeplane.people.speeds import SitterSpeed
from eyeplane.records import PlanKit, PlanPrint

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """All that is the same for every setting.

    Attributes
    ----------
    kit, promise : records
        Lens, sensor, and the print.
    eyes_mm : tuple of float
        Each eye's distance from the lens along its axis.
    person : tuple of int
        Whose head each eye is in, from 0: eyes of one head move together.
    focus : FocusError
        Where the focus plane lands, relative to where it is put.
    hand : HandSpeed
        How the camera turns.
    sway : SitterSpeed
        How the camera moves sideways and up and down.
    sitters : tuple of (float, SitterSpeed)
        How a head moves: shares and distributions.
    """

    kit: PlanKit
    promise: PlanPrint
    eyes_mm: tuple[float, ...]
    person: tuple[int, ...]
    focus: FocusError
    hand: HandSpeed
    sway: SitterSpeed
    sitters: tuple[tuple[float, SitterSpeed], ...]

    @property
    def people(self) -> int:
        """Return how many heads there are.

        Returns
        -------
        int
            At least 1.
        """
        return max(self.person) + 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """Many settings, one entry each.

    Attributes
    ----------
    f_number, shutter_s, iso : ndarray
        What the camera is set to.
    motion_s : ndarray
        How long the light draws the eye: the shutter time, or the flash's.
    ghost_share : ndarray
        Share of the exposure that ambient light adds over the whole shutter time, 0..1; 0 where
        there is no flash.
    level : ndarray
        Linear luma of the skin, white = 1: less where under-exposed.
    flash_power : ndarray
        Share of full power; NaN without flash.
    """

    f_number: FloatArray
    shutter_s: FloatArray
    iso: FloatArray
    motion_s: FloatArray
    ghost_share: FloatArray
    level: FloatArray
    flash_power: FloatArray

    def __len__(self) -> int:
        return len(self.f_number)

    def at(self, which: ArrayLike) -> "Settings":
        """Return some of the settings.

        Parameters
        ----------
        which : array_like
            Their numbers, or a mask.

        Returns
        -------
        Settings
            In that order.
        """
        index = np.atleast_1d(np.asarray(which))
        return Settings(**{name: getattr(self, name)[index] for name in Settings.__slots__})


def settings_of(  # noqa: PLR0913  what a camera is set to
    *,
    f_number: ArrayLike,
    shutter_s: ArrayLike,
    iso: ArrayLike,
    motion_s: ArrayLike | None = None,
    ghost_share: ArrayLike = 0.0,
    level: ArrayLike = SKIN_LEVEL,
    flash_power: ArrayLike = np.nan,
) -> Settings:
    """Return settings, flat, from arrays that broadcast.

    Parameters
    ----------
    f_number, shutter_s, iso : array_like
        What the camera is set to, > 0.
    motion_s : array_like, optional
        How long the light draws the eye; the shutter time unless said.
    ghost_share, level, flash_power : array_like
        As in `Settings`.

    Returns
    -------
    Settings
        One entry each.
    """
    motion = shutter_s if motion_s is None else motion_s
    arrays = np.broadcast_arrays(
        *(
            np.asarray(a, float)
            for a in (f_number, shutter_s, iso, motion, ghost_share, level, flash_power)
        )
    )
    return Settings(**dict(zip(Settings.__slots__, (np.ravel(a) for a in arrays), strict=True)))


def joined(*parts: Settings) -> Settings:
    """Return settings one after the other.

    Parameters
    ----------
    *parts : Settings
        At least one.

    Returns
    -------
    Settings
        All of them, in that order.
    """
    return Settings(
        **{name: np.concatenate([getattr(p, name) for p in parts]) for name in Settings.__slots__}
    )
