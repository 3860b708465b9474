"""How far a group is asked to lean in: as long as every centimetre brings frames that hold."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.plan.group_frames import group_frames
from eyeplane.plan.group_shares import group_shares
from eyeplane.plan.lean import MOST_LEAN_MM, lean_in_mm
from eyeplane.plan.rows import Seating, moved
from eyeplane.plan.scene import Settings
from eyeplane.records import GroupRequest

FloatArray = NDArray[np.float64]

# Share of frames that a centimetre of leaning must bring to be asked for: half a frame in a
# hundred; our own.
WORTH_PER_CM = 0.005
COARSE_MM, FINE_MM = 50.0, 10.0  # steps in which leans are tried, first and then
LEAST_LEAN_MM = 30.0  # nobody leans to the centimetre: less is not asked for; from memory
CLOSE_SHARE = 0.05  # settings that come so near to the best are tried in fine steps


@dataclass(frozen=True, slots=True, kw_only=True)
class LeanPlan:
    """How far to lean in.

    Attributes
    ----------
    most_mm : float
        What the farthest lean in by; 0 if leaning brings nothing.
    towards_mm : ndarray
        What each leans in by, >= 0.
    where : Seating
        Everybody after leaning.
    share : float
        Of frames in which everybody then holds, at the best settings.
    share_upright : float
        The same without leaning.
    """

    most_mm: float
    towards_mm: FloatArray
    where: Seating
    share: float
    share_upright: float


def anybody_leans(lean: LeanPlan | None) -> bool:
    """Return whether a plan has anybody lean.

    Parameters
    ----------
    lean : LeanPlan or None
        None where leaning was not asked for.

    Returns
    -------
    bool
        False there, and where leaning brings nothing.
    """
    return lean is not None and lean.most_mm > 0.0


def lean_plan(request: GroupRequest, where: Seating, settings: Settings) -> LeanPlan:
    """Return how far the group leans in, and what that brings.

    Parameters
    ----------
    request : GroupRequest
        The group.
    where : Seating
        Everybody upright.
    settings : Settings
        All that the light and the limits allow.

    Returns
    -------
    LeanPlan
        The lean that brings most, less half a frame in a hundred for each centimetre of it.

    Notes
    -----
    The farthest lean in, by 3 cm at least and 25 cm at most, and the focus plane comes in with
    them. Tried in steps of 5 cm, then of 1 cm around the best with those settings that came near
    to it.
    """
    depth = where.far_mm - where.near_mm
    most = min(MOST_LEAN_MM, FINE_MM * np.ceil(depth / FINE_MM))
    tried: dict[float, FloatArray] = {}

    def at(most_mm: float, of: Settings) -> FloatArray:
        towards = lean_in_mm(where.effective_mm, most_mm=most_mm)
        return group_shares(group_frames(request, moved(where, towards)), of)

    for lean in np.unique(np.append(np.arange(0.0, most, COARSE_MM), most)):
        if 0.0 < lean < LEAST_LEAN_MM:
            continue
        tried[float(lean)] = at(float(lean), settings)
    best = max(tried, key=lambda lean: _worth(tried[lean], lean))
    near = settings.at(np.flatnonzero(tried[best] >= tried[best].max() - CLOSE_SHARE))
    for lean in best + np.arange(-COARSE_MM + FINE_MM, COARSE_MM, FINE_MM):
        if LEAST_LEAN_MM <= lean < most and float(lean) not in tried and tried[best].max() > 0.0:
            tried[float(lean)] = at(float(lean), near)
    best = max(tried, key=lambda lean: _worth(tried[lean], lean))
    towards = lean_in_mm(where.effective_mm, most_mm=best)
    return LeanPlan(
        most_mm=best,
        towards_mm=towards,
        where=moved(where, towards),
        share=float(tried[best].max()),
        share_upright=float(tried[0.0].max()),
    )


def _worth(shares: FloatArray, lean_mm: float) -> float:
    return float(shares.max()) - WORTH_PER_CM * lean_mm / 10.0
