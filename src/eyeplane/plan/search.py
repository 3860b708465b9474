"""The best settings for one sitter: every setting that the light allows, by its share of frames."""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.light import true_f_number
from eyeplane.optics import focus_between_mm
from eyeplane.people import camera_sway, focus_error, hand_speed, sitter_speed
from eyeplane.plan.candidates import Candidates, candidates
from eyeplane.plan.expected import FAR, NEAR, Expected, expected, shares
from eyeplane.plan.limit_table import LimitTable, limit_table
from eyeplane.plan.possible import check_distances, check_kit, check_people, check_print
from eyeplane.plan.scene import Scene, Settings
from eyeplane.plan.stand import Stand, stand_of
from eyeplane.records import PlanChoice, SitterRequest

FloatArray = NDArray[np.float64]

# Of one aperture, shares that close are one, and the lowest ISO is taken: unsure numbers leave ten
# times as much open, and what grain costs in looks beyond sharpness nobody has to pay for less.
TIE_SHARE = 0.015
FEWEST_SHARE = 0.02  # below this share nothing holds: a smaller print puts settings in order
SMALLER_PRINT = 0.7  # factor by which the print is made smaller then
LEAST_PRINT_CM = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Search:
    """What one sitter's plan is made on.

    Attributes
    ----------
    request : SitterRequest
        What was asked.
    stand : Stand
        Where the camera stands.
    frames : Expected
        Frames with the focus plane where it should lie.
    table : LimitTable
        What blur the print takes.
    found : Candidates
        All settings that light, limits and choice leave.
    shares, ranks : ndarray
        Of frames that hold, one a setting; and the same for a print of which some hold.
    best : int
        Number of the best.
    """

    request: SitterRequest
    stand: Stand
    frames: Expected
    table: LimitTable
    found: Candidates
    shares: FloatArray
    ranks: FloatArray
    best: int

    @property
    def setting(self) -> Settings:
        """Return the best setting.

        Returns
        -------
        Settings
            One.
        """
        return self.found.settings.at(self.best)

    @property
    def share(self) -> float:
        """Return the share of frames that hold at the best setting.

        Returns
        -------
        float
            0..1.
        """
        return float(self.shares[self.best])


def search(request: SitterRequest, *, few: bool = False, like: Expected | None = None) -> Search:
    """Return the best settings for one sitter.

    Parameters
    ----------
    request : SitterRequest
        What there is and what is settled.
    few : bool
        Whether fewer frames will do: to compare ways out, not to tell shares.
    like : Expected, optional
        Frames of a request that differs in nothing but light, limits and choice: they serve again.

    Returns
    -------
    Search
        With every setting tried.

    Raises
    ------
    InputError
        If the request is impossible or nothing exposes the face.
    """
    check_kit(request.kit)
    check_print(request.promise)
    check_people(request.sitter, request.hand)
    check_distances(distance=request.distance_mm, background=request.background_mm)
    stand = stand_of(request)
    if like is None:
        scene, focus_mm = _scene(request, stand)
        eyes = (NEAR, FAR) if request.eyes == "both" else (NEAR,)
        frames = expected(scene, focus_mm=focus_mm, eyes=eyes, few=few)
    else:
        frames = replace(like, scene=replace(like.scene, kit=request.kit))
    table = limit_table(request.kit, request.promise)
    found = candidates(request.kit, request.light, request.choice, distance_mm=stand.distance_mm)
    held = shares(frames, found.settings, limits=table.at(found.settings))
    ranks = _ranks(request, frames, found.settings, held)
    best = best_of(found.settings, ranks)
    return Search(
        request=request,
        stand=stand,
        frames=frames,
        table=table,
        found=found,
        shares=held,
        ranks=ranks,
        best=best,
    )


def _scene(request: SitterRequest, stand: Stand) -> tuple[Scene, float]:
    """Return the near iris, the far one and a point in the focus plane; and where that lies."""
    kit, sitter, hand = request.kit, request.sitter, request.hand
    near_mm, far_mm = stand.distance_mm, stand.distance_mm + stand.far_iris_mm
    focus_mm = near_mm
    if request.eyes == "both":
        focus_mm = focus_between_mm(near_mm=near_mm, far_mm=far_mm)
    scene = Scene(
        kit=kit,
        promise=request.promise,
        eyes_mm=(near_mm, far_mm, focus_mm),
        person=(0, 0, 0),
        focus=focus_error(
            magnification=stand.magnification,
            learned_bias_mm=kit.focus_bias_mm,
            learned_spread_mm=kit.focus_spread_mm,
            sensor_long_mm=kit.sensor_long_mm,
        ),
        hand=hand_speed(
            learned=hand.shake_deg_per_s,
            stabiliser_stops=kit.stabiliser_stops,
            support=hand.support,
        ),
        sway=camera_sway(
            support=hand.support,
            learned=hand.shake_deg_per_s,
            stabiliser_stops=kit.stabiliser_stops,
        ),
        sitters=sitter_speed(
            mood=sitter.mood, age_years=sitter.age_years, learned=sitter.speed_mm_per_s
        ),
    )
    return scene, focus_mm


def best_of(settings: Settings, held: FloatArray) -> int:
    """Return the number of the best setting.

    Parameters
    ----------
    settings : Settings
        To choose from.
    held : ndarray
        Share of frames that hold, one a setting.

    Returns
    -------
    int
        Of each aperture the lowest ISO whose share is within `TIE_SHARE` of its best, then the
        shortest time; of the apertures the one whose share is highest.
    """
    chosen = _of_each_aperture(settings, held)
    alike = chosen[held[chosen] >= held[chosen].max() - 1e-9]
    order = np.lexsort((settings.f_number[alike], settings.iso[alike]))
    return int(alike[order[0]])


def _of_each_aperture(settings: Settings, held: FloatArray) -> NDArray[np.intp]:
    """Return a setting for each aperture: of those as good the lowest ISO, then the fastest."""
    order = np.lexsort((settings.shutter_s, settings.iso, settings.f_number))
    fresh = np.diff(settings.f_number[order], prepend=-1.0) != 0.0
    aperture, share = np.cumsum(fresh) - 1, held[order]
    best = np.maximum.reduceat(share, np.flatnonzero(fresh))
    close = np.flatnonzero(share >= best[aperture] - TIE_SHARE)
    return np.asarray(order[close[np.diff(aperture[close], prepend=-1) != 0]])


def _ranks(
    request: SitterRequest, frames: Expected, settings: Settings, held: FloatArray
) -> FloatArray:
    """Return shares that put settings in order: of a smaller print where none holds this one."""
    promise = request.promise
    while held.max() < FEWEST_SHARE and promise.print_cm > LEAST_PRINT_CM:
        promise = replace(promise, print_cm=SMALLER_PRINT * promise.print_cm)
        held = shares(frames, settings, limits=limit_table(request.kit, promise).at(settings))
    return held


def neighbours(found: Search) -> tuple[int, ...]:
    """Return the two neighbouring choices of the best setting.

    Parameters
    ----------
    found : Search
        All settings.

    Returns
    -------
    tuple of int
        As `beside` has them.
    """
    return beside(
        found.found.settings,
        found.shares,
        found.best,
        by_time=_settled_aperture(found.request.choice),
    )


def beside(settings: Settings, held: FloatArray, best: int, *, by_time: bool) -> tuple[int, ...]:
    """Return the two neighbouring choices of one setting.

    Parameters
    ----------
    settings : Settings
        To choose from.
    held : ndarray
        Share of frames that hold, one a setting.
    best : int
        Number of the one.
    by_time : bool
        Whether the aperture is settled.

    Returns
    -------
    tuple of int
        A stop wider and a stop smaller (or as near to a stop as the limits allow), each with its
        best time, or the one's own where nothing holds; where the aperture is settled, a stop
        faster and a stop slower.
    """
    if by_time:
        stops = np.log2(settings.shutter_s / settings.shutter_s[best])
    else:
        stops = 2.0 * np.log2(
            true_f_number(settings.f_number) / true_f_number(settings.f_number[best])
        )
    told = []
    for side in (-1.0, 1.0):
        away = side * stops
        near = np.flatnonzero((away > 1 / 6) & (away < 1 + 1 / 6))
        if not len(near):
            continue
        farthest = near[np.abs(away[near] - away[near].max()) < 1 / 6]
        told.append(int(farthest[_of_stop(settings, held, farthest, best)]))
    return tuple(told)


def _of_stop(settings: Settings, held: FloatArray, which: NDArray[np.intp], best: int) -> int:
    """Return the best of one aperture; where nothing holds, the one with the best's own time."""
    if held[which].max() < FEWEST_SHARE:
        times = settings.shutter_s[which] / settings.shutter_s[best]
        return int(np.argmin(np.abs(np.log(times))))
    return best_of(settings.at(which), held[which])


def _settled_aperture(choice: PlanChoice) -> bool:
    return choice.f_number is not None and math.isfinite(choice.f_number)
