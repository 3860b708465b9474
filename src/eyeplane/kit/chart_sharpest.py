"""Which aperture is sharpest, and which cannot be told apart from it."""

from collections.abc import Sequence
from typing import Literal

import numpy as np

from eyeplane.kit.chart_zones import Z90
from eyeplane.records.kit_chart import ChartAperture

SAME_SHARE = 0.02  # of a frequency: differences that no print shows; our own


def sharpest(
    apertures: Sequence[ChartAperture], zone: Literal["middle", "corner"]
) -> tuple[float | None, tuple[float, ...]]:
    """Return the aperture at which a zone is sharpest.

    Parameters
    ----------
    apertures : sequence of ChartAperture
        With their means.
    zone : {"middle", "corner"}
        Which zone.

    Returns
    -------
    tuple of (float or None, tuple of float)
        The sharpest, and all that cannot be told apart from it nine times in ten, itself among
        them. None where fewer than two apertures are known: there is nothing to choose.
    """
    known = []
    for aperture in apertures:
        mean = aperture.middle_per_px if zone == "middle" else aperture.corner_per_px
        if aperture.f_number is not None and mean is not None and not aperture.shaken:
            sd = float(np.log(mean.high / mean.low)) / (2.0 * Z90)
            known.append((float(np.log(mean.value)), sd, aperture.f_number))
    if len(known) < 2:
        return None, ()
    best = max(known)
    among = [
        f_number
        for log, sd, f_number in known
        if best[0] - log <= max(Z90 * float(np.hypot(sd, best[1])), SAME_SHARE)
    ]
    return best[2], tuple(sorted(among))
