"""The same eyes with one setting changed: shutter, aperture, light, or the focus set right."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.diagnose.cause import WAVELENGTH_UM
from eyeplane.diagnose.remedy import SMALLEST_STOP, STEP
from eyeplane.learn.mixed import Array, spread_of_measured
from eyeplane.records import KitFocus
from eyeplane.sitting.asshot import Eyes
from eyeplane.sitting.seen import Spreads

TIMES = (30, 60, 125, 250, 500, 1000, 2000)  # parts of a second: full stops
STOPS = (1.4, 2.0, 2.8, 4.0, 5.6, 8.0, 11.0, 16.0)  # full stops
OPENED = (5.6, 8.0)  # apertures that smaller ones are opened to; nobody calls f/8 small
ISOS = (100.0, 200.0, 400.0, 800.0, 1600.0, 3200.0)  # full stops
SYNC_S = 1 / 250  # shortest time with flash: 1/160 to 1/250 s, common practice, no source
LEAST_DISC_PX = 0.3  # of which relative errors are told; smaller discs cost no reach
SOFT_PX = 2.0  # discs much below say nothing of their cone: glass and short motion are as large
MOST_LOG_SD = 0.7  # a factor of two: more is no longer small against the size
HIDDEN_PX = 5.0  # shorter lines are not told from discs: measured on rendered heads
LINE_OVER_DISC = 0.70508 / 0.603355  # of equal contrast at half modulation: disc and box
HIGHEST_ISO = 51200.0  # no more is asked for; no source
# Line over shutter time goes with a power of 1 for steady motion and about 1/2 for random
# wandering; the remedies take it as steady. Standard deviation of the power, no source.
POWER_SD = 0.15
APERTURE_LOG_SD = 0.03  # marked against true f-numbers, from memory; two of them


@dataclass(frozen=True, slots=True, kw_only=True)
class Remade:
    """One change and what the eyes would be with it.

    Attributes
    ----------
    kind : str
        "shutter", "stop down", "open up", "light" or "focus".
    target : float
        Shutter time in s, f-number or ISO; the kit's number for "focus".
    moved : ndarray of bool
        The eyes that it changes.
    spreads : Spreads
        All eyes, changed or as shot.
    at_best : Spreads
        The same, had all blur that may be motion been motion; else the same as `spreads`.
    log_sd : ndarray
        Standard deviation of the logarithm of the change in size, shared by all eyes; below 0
        where it goes the other way.
    own_sd : ndarray or float
        The same, each eye's own.
    """

    kind: str
    target: float
    moved: NDArray[np.bool_]
    spreads: Spreads
    at_best: Spreads
    log_sd: Array
    own_sd: Array | float = 0.0


def shorter(eyes: Eyes) -> Iterator[Remade]:
    """Return the eyes at shorter shutter times, ISO raised to match.

    Parameters
    ----------
    eyes : Eyes
        As shot.

    Yields
    ------
    Remade
        Slower frames at that time, faster ones as they are. With flash in the light no shorter
        than 1/250 s, with flash alone unchanged. Lines shrink with the time, the disc that blurs
        besides stays, grain grows with the root of the light lost. Motion that is too short to
        be told from a disc (5 px) hides in discs: `at_best` takes as much of them for motion as
        can be.
    """
    for part in TIMES:
        with np.errstate(invalid="ignore"):
            ratio = np.minimum(
                np.where(eyes.flash, max(1 / part, SYNC_S), 1 / part) / eyes.time_s, 1
            )
            moved = (ratio * STEP < 1) & ~eyes.flash_alone & (eyes.iso / ratio <= HIGHEST_ISO)
        if not moved.any():
            continue
        ratio = np.where(moved, ratio, 1.0)
        shot = eyes.spreads
        lined = moved & (shot.line_px > 0)
        told = replace(
            shot,
            line_px=shot.line_px * ratio,
            disc_px=np.where(lined, eyes.beside_px, shot.disc_px),
            noise_contrast=shot.noise_contrast / np.sqrt(ratio),
        )
        hidden = np.minimum(shot.disc_px, HIDDEN_PX / LINE_OVER_DISC)
        left = np.sqrt(shot.disc_px**2 - hidden**2 * (1 - ratio**2))
        yield Remade(
            kind="shutter",
            target=1 / part,
            moved=moved,
            spreads=told,
            at_best=replace(told, disc_px=np.where(lined, eyes.beside_px, left)),
            log_sd=np.where(lined, -POWER_SD * np.log(ratio), 0.0),
        )


def stopped_down(eyes: Eyes) -> Iterator[Remade]:
    """Return the eyes at smaller apertures, ISO raised to match.

    Parameters
    ----------
    eyes : Eyes
        As shot.

    Yields
    ------
    Remade
        Wider frames at that aperture, others as they are. Focus errors stay as they were, so
        their discs shrink by the ratio of the f-numbers; diffraction comes on top.
    """
    for stop in STOPS:
        with np.errstate(invalid="ignore"):
            moved = (eyes.f_number * STEP < stop) & (stop <= SMALLEST_STOP)
            moved &= eyes.iso * (stop / eyes.f_number) ** 2 <= HIGHEST_ISO
        if not moved.any():
            continue
        ratio = np.where(moved, stop / eyes.f_number, 1.0)
        more = np.where(moved, WAVELENGTH_UM * (stop - eyes.f_number) / eyes.pitch_um, 0.0)
        spreads = replace(
            eyes.spreads,
            disc_px=_disc(eyes, eyes.focus_px / ratio, 0.0),
            airy_px=np.nan_to_num(more),
            noise_contrast=eyes.spreads.noise_contrast * ratio,
        )
        yield Remade(
            kind="stop down",
            target=stop,
            moved=moved,
            spreads=spreads,
            at_best=spreads,
            log_sd=np.where(moved, APERTURE_LOG_SD * 2**0.5, 0.0),
        )


def opened(eyes: Eyes) -> Iterator[Remade]:
    """Return the eyes at wider apertures where small ones were used, ISO lowered to match.

    Parameters
    ----------
    eyes : Eyes
        As shot.

    Yields
    ------
    Remade
        Smaller apertures opened to f/8 or f/5.6: less diffraction and grain, larger focus discs.
    """
    for stop in OPENED:
        with np.errstate(invalid="ignore"):
            moved = (eyes.f_number > stop * STEP) & np.isfinite(eyes.pitch_um)
        if not moved.any():
            continue
        ratio = np.where(moved, stop / eyes.f_number, 1.0)
        gone = np.where(moved, eyes.diffraction_px**2 * (1 - ratio**2), 0.0)
        spreads = replace(
            eyes.spreads,
            disc_px=_disc(eyes, eyes.focus_px / ratio, gone),
            noise_contrast=eyes.spreads.noise_contrast * ratio,
        )
        yield Remade(
            kind="open up",
            target=stop,
            moved=moved,
            spreads=spreads,
            at_best=spreads,
            log_sd=np.where(moved, APERTURE_LOG_SD * 2**0.5, 0.0),
        )


def lit(eyes: Eyes) -> Iterator[Remade]:
    """Return the eyes at lower ISO, light added to match.

    Parameters
    ----------
    eyes : Eyes
        As shot.

    Yields
    ------
    Remade
        Frames above that ISO at it, others as they are; photon noise over signal goes with the
        root of 1 / light.
    """
    for iso in ISOS:
        with np.errstate(invalid="ignore"):
            moved = eyes.iso > iso * STEP
        if not moved.any():
            continue
        ratio = np.where(moved, iso / eyes.iso, 1.0)
        grain = eyes.spreads.noise_contrast * np.sqrt(ratio)
        spreads = replace(eyes.spreads, noise_contrast=grain)
        yield Remade(
            kind="light",
            target=iso,
            moved=moved,
            spreads=spreads,
            at_best=spreads,
            log_sd=np.zeros(len(ratio)),
        )


def set_right(
    eyes: Eyes,
    own: NDArray[np.bool_],
    focus: KitFocus,
    *,
    kit_number: int,
    error_mm: float,
) -> Remade | None:
    """Return the eyes with the mean focus offset of one kit taken away.

    Parameters
    ----------
    eyes : Eyes
        As shot.
    own : ndarray of bool
        Which eyes were shot with this kit.
    focus : KitFocus
        Its mean offset and scatter.
    kit_number : int
        By which the kit is found again.
    error_mm : float
        Standard deviation of measuring one offset, > 0.

    Returns
    -------
    Remade or None
        Eyes whose offset was told get the disc of the offset that is left, less what measuring
        added to its scatter; others stay as they are. None if there is no such eye.
    """
    moved = own & np.isfinite(eyes.offset_mm) & np.isfinite(eyes.px_per_mm) & (eyes.focus_px > 0)
    if not moved.any():
        return None
    offset = np.where(moved, eyes.offset_mm, 0.0)
    slope = np.where(moved, eyes.px_per_mm, 0.0)
    # By how much the measured disc and the cone differ stays as it is; small discs tell nothing.
    before = slope * np.abs(offset)
    scale = np.clip((eyes.focus_px + SOFT_PX) / (before + SOFT_PX), 0.5, 2.0)
    # Measuring scatters the offsets that are left; what is expected of the true ones is less.
    true_share = focus.spread_mm.value / math.hypot(focus.spread_mm.value, error_mm)
    left = true_share**2 * (offset - focus.bias_mm.value)
    after = np.where(moved, slope * np.abs(left) * scale, eyes.focus_px)
    disc = _disc(eyes, after, 0.0)
    per_mm = slope * scale / np.maximum(disc, LEAST_DISC_PX)
    spreads = replace(eyes.spreads, disc_px=disc)
    return Remade(
        kind="focus",
        target=float(kit_number),
        moved=moved,
        spreads=spreads,
        at_best=spreads,
        # A mean that is wrong enlarges the discs on one side and shrinks those on the other.
        log_sd=np.sign(left)
        * np.minimum(per_mm * spread_of_measured(focus.bias_mm, 0.0), MOST_LOG_SD),
        own_sd=np.minimum(per_mm * error_mm * true_share, MOST_LOG_SD),
    )


def _disc(eyes: Eyes, focus_px: Array, gone_px2: Array | float) -> Array:
    """Return the disc with another focus part; what else blurs stays, less what is gone."""
    rest = np.maximum(eyes.spreads.disc_px**2 - eyes.focus_px**2 - gone_px2, 0.0)
    return np.asarray(np.sqrt(rest + focus_px**2), dtype=np.float64)
