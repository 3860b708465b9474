"""What blur the print takes at every aperture and ISO of a kit, worked out once for all plans."""

import functools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.light import F_NUMBERS, ISOS, SKIN_LEVEL
from eyeplane.plan.hold import HoldLimits, hold_limits
from eyeplane.plan.scene import Settings
from eyeplane.records import PlanKit, PlanPrint

FloatArray = NDArray[np.float64]

BEYOND = 4.0  # ISO times as high as the ceiling, and as low as the base, are looked at too


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
        return HoldLimits(
            disc_um=self.limits.disc_um[place],
            line_um=self.limits.line_um[place],
            room_share=self.limits.room_share[place],
        )


@functools.lru_cache(maxsize=32)
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
        Kept: the light, the sitter and the photographer do not change it.
    """
    stops = [n for n in F_NUMBERS if kit.widest_f_number < n < kit.smallest_f_number]
    f_numbers = np.array(sorted({kit.widest_f_number, *stops, kit.smallest_f_number}))
    isos = np.array([s for s in ISOS if kit.base_iso / BEYOND <= s <= kit.highest_iso * BEYOND])
    limits = hold_limits(
        kit, promise, f_number=np.repeat(f_numbers, len(isos)), iso=np.tile(isos, len(f_numbers))
    )
    return LimitTable(kit=kit, promise=promise, f_numbers=f_numbers, isos=isos, limits=limits)
