"""What blur the print takes at every aperture and ISO of a kit, worked out once for all plans."""

import functools
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.light import F_NUMBERS, ISOS, SKIN_LEVEL
from eyeplane.optics import SHARP, blur_limits, reaches_cm
from eyeplane.plan.hold import HoldLimits, base_spreads, hold_limits, print_px_per_deg
from eyeplane.plan.scene import Settings
from eyeplane.records import PlanKit, PlanPrint

FloatArray = NDArray[np.float64]

MOST_ISO = 25_600.0  # the table goes so far, or to four times the ceiling


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitTable:
    """Limits of blur by aperture and ISO.

    Attributes
    ----------
    kit, promise : records
        What they hold for.
    f_numbers, isos : ndarray
        Marks, rising.
    limits : HoldLimits
        One entry a pair, ISO changing fastest.
    """

    kit: PlanKit
    promise: PlanPrint
    f_numbers: FloatArray
    isos: FloatArray
    limits: HoldLimits

    def at(self, settings: Settings) -> HoldLimits:
        """Return the limits of settings.

        Parameters
        ----------
        settings : Settings
            Any; those off the table or wrongly exposed are worked out.

        Returns
        -------
        HoldLimits
            One entry a setting.
        """
        row = np.minimum(
            np.searchsorted(self.f_numbers, settings.f_number), len(self.f_numbers) - 1
        )
        column = np.minimum(np.searchsorted(self.isos, settings.iso), len(self.isos) - 1)
        known = (
            (self.f_numbers[row] == settings.f_number)
            & (self.isos[column] == settings.iso)
            & (settings.level == SKIN_LEVEL)
        )
        if not known.all():
            return hold_limits(
                self.kit,
                self.promise,
                f_number=settings.f_number,
                iso=settings.iso,
                level=settings.level,
            )
        place = row * len(self.isos) + column
        return self.limits.at(place)


def limit_table(kit: PlanKit, promise: PlanPrint) -> LimitTable:
    """Return the limits of blur of a kit, for one print.

    Parameters
    ----------
    kit : PlanKit
        Glass, pixels, and the apertures and ISO that it has.
    promise : PlanPrint
        Print and viewer.

    Returns
    -------
    LimitTable
        Kept: neither lens, light, sitter nor photographer changes it.
    """
    return _table(_glass_and_pixels(kit), promise, max(MOST_ISO, 4.0 * kit.highest_iso))


def _glass_and_pixels(kit: PlanKit) -> PlanKit:
    """Return a kit with nothing left in it that no limit depends on."""
    return PlanKit(
        focal_length_mm=50.0,
        sensor_long_mm=kit.sensor_long_mm,
        sensor_short_mm=kit.sensor_short_mm,
        long_edge_px=kit.long_edge_px,
        short_edge_px=kit.short_edge_px,
        widest_f_number=kit.widest_f_number,
        smallest_f_number=kit.smallest_f_number,
        base_iso=kit.base_iso,
        glass_um=kit.glass_um,
        glass_wide_um=kit.glass_wide_um,
    )


@functools.lru_cache(maxsize=32)
def _table(kit: PlanKit, promise: PlanPrint, most_iso: float) -> LimitTable:
    stops = [n for n in F_NUMBERS if kit.widest_f_number < n < kit.smallest_f_number]
    f_numbers = np.array(sorted({kit.widest_f_number, *stops, kit.smallest_f_number}))
    isos = np.array([s for s in ISOS if s <= most_iso], float)
    limits = hold_limits(
        kit, promise, f_number=np.repeat(f_numbers, len(isos)), iso=np.tile(isos, len(f_numbers))
    )
    return LimitTable(kit=kit, promise=promise, f_numbers=f_numbers, isos=isos, limits=limits)


@functools.lru_cache(maxsize=256)
def motion_limits(kit: PlanKit, promise: PlanPrint, *, f_number: float) -> HoldLimits:
    """Return what blur the print takes without noise: for motion alone, focus exact.

    Parameters
    ----------
    kit : PlanKit
        Glass and pixels.
    promise : PlanPrint
        Print and viewer.
    f_number : float
        Aperture: for glass and diffraction, > 0.

    Returns
    -------
    HoldLimits
        One entry; zeros where the print does not look sharp even at rest.
    """
    spreads = replace(base_spreads(kit, [f_number], kit.base_iso), noise_contrast=0.0)
    limits = blur_limits(spreads, px_per_deg=print_px_per_deg(kit, promise))
    return HoldLimits(
        disc_um=limits.disc_px * kit.pitch_um,
        line_um=limits.line_px * kit.pitch_um,
        room_share=limits.acutance / np.maximum(limits.acutance - SHARP, 1e-9),
    )


@functools.lru_cache(maxsize=256)
def most_cm(kit: PlanKit, *, viewing_cm: float) -> float:
    """Return the largest print that these pixels hold: nothing moves, focus exact, base ISO.

    Parameters
    ----------
    kit : PlanKit
        Glass, pixels, apertures.
    viewing_cm : float
        Viewer to print, > 0.

    Returns
    -------
    float
        Long edge in cm, at the aperture that is best for it.
    """
    f_numbers = [n for n in F_NUMBERS if kit.widest_f_number <= n <= kit.smallest_f_number]
    reaches = reaches_cm(
        base_spreads(kit, f_numbers or [kit.widest_f_number], kit.base_iso),
        long_edge_px=max(kit.long_edge_px, kit.short_edge_px),
        viewing_cm=viewing_cm,
    )
    return float(reaches.max())
