"""Dust from a whole sitting: what stays where it is while everything else changes.

Each frame is made a map of how its light differs from its own surroundings at the size of
shadows, with a map of how restless it is there. Where a frame is smooth (a backdrop out of focus)
it has much say, in hair and cloth little. Frames of the same framing count once. Arrays are [y, x].
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.kit.dust_find import Field
from eyeplane.kit.dust_frame import SensorFrame, averaged, cone_px

ACROSS_PX = 4.5  # map pixels across the cone of light; our own choice
SMOOTH = 1.5  # of the cone, σ of what is taken as the surroundings
KEPT = 1.06  # of a shadow's depth comes out of the fit, from known dust; our own frames
RESTLESS = 2.0  # of the cone, σ over which restlessness is told
LEAST_SHARE = 0.004  # of light, least restlessness: rounding and noise of a smooth frame
WINSOR = 2.5  # restlessness beyond which a difference counts no more
BLACK = 0.01  # of white: darker places tell nothing
SAME = 0.30  # correlation of two frames' maps from which they are the same framing
MOST_VIEWS = 60  # of one aperture that are laid over each other; more would need much memory
LEAST_VIEWS = 6  # fewer cannot tell dust from what they show; our own choice
NEAR_STOPS = 1.5  # ratio of f-numbers that are laid over each other, depths scaled


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class View:
    """One framing.

    Attributes
    ----------
    frame : SensorFrame
        The first frame of it, without its light.
    f_number : float or None
        Its aperture.
    step : int
        Pixels of the frame along each side of one of the map's.
    off : ndarray
        float16 [y, x]: logarithm of the ratio by which the light differs from its surroundings.
    restless : ndarray
        float16 [y, x]: spread of that around; infinite where nothing can be told.
    paths : tuple of str
        Frames that show it.
    """

    frame: SensorFrame
    f_number: float | None
    step: int
    off: NDArray[np.float16]
    restless: NDArray[np.float16]
    paths: tuple[str, ...]


def view_of(frame: SensorFrame, f_number: float | None) -> View:
    """Return what one frame tells.

    Parameters
    ----------
    frame : SensorFrame
        Of anything.
    f_number : float or None
        Its aperture.

    Returns
    -------
    View
        Its light is dropped.
    """
    import cv2  # noqa: PLC0415  slow to load for --help

    size_px, _ = cone_px(
        f_number=f_number,
        pitch_um=frame.pitch_um,
        long_edge_px=max(frame.width_px, frame.height_px),
    )
    step = max(1, min(int(size_px / ACROSS_PX), min(frame.width_px, frame.height_px) // 100))
    wide = size_px / step
    light = averaged(frame.light, step, odd=False)
    told = (light > BLACK) & (light < 0.97)
    log = np.log(np.maximum(light, BLACK)).astype(np.float32)
    off = log - cv2.GaussianBlur(log, (0, 0), SMOOTH * wide)
    restless = np.sqrt(cv2.GaussianBlur(off * off, (0, 0), RESTLESS * wide))
    restless = np.hypot(restless, LEAST_SHARE)
    blind = cv2.dilate((~told).astype(np.uint8), np.ones((3, 3), np.uint8)).astype(bool)
    restless[blind] = np.inf
    off[blind] = 0.0
    return View(
        frame=replace(frame, light=np.empty((0, 0), np.float32)),
        f_number=f_number,
        step=step,
        off=off.astype(np.float16),
        restless=restless.astype(np.float16),
        paths=(frame.path,),
    )


def merge(views: list[View], fresh: View) -> None:
    """Add a frame to the views: to the one that shows the same, else as a new one.

    Parameters
    ----------
    views : list of View
        So far; changed in place.
    fresh : View
        One frame's.
    """
    mine = _signature(fresh)
    for k, other in enumerate(views):
        if other.step != fresh.step or other.off.shape != fresh.off.shape:
            continue
        theirs = _signature(other)
        if float(np.mean(mine * theirs)) > SAME * float(
            np.sqrt(np.mean(mine**2) * np.mean(theirs**2))
        ):
            weight = 1 / (len(other.paths) + 1)
            views[k] = replace(
                other,
                off=(other.off * (1 - weight) + fresh.off * weight).astype(np.float16),
                restless=np.maximum(other.restless, fresh.restless),
                paths=other.paths + fresh.paths,
            )
            return
    views.append(fresh)


def _signature(view: View) -> NDArray[np.float32]:
    """Return a small map by which a framing is known again, shadows having little say in it."""
    import cv2  # noqa: PLC0415  slow to load for --help

    told = view.off.astype(np.float32) / np.maximum(view.restless.astype(np.float32), 1e-3)
    told[~np.isfinite(told)] = 0.0
    return np.asarray(cv2.resize(told, (160, 107), interpolation=cv2.INTER_AREA))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pool:
    """Views that are laid over each other.

    Attributes
    ----------
    views : tuple of View
        All of one shape.
    f_number : float or None
        Aperture to which depths are scaled.
    field : ndarray
        float32 [y, x] around 1: the mean, restless places having little say.
    guarded : ndarray
        The same with what stands out of a view's own restlessness cut: to search in, since there
        nothing that one view shows can pass for what all do; depths are too small in it.
    spread : ndarray
        float32 [y, x]: what the mean would scatter by if nothing stayed in place.
    """

    views: tuple[View, ...]
    f_number: float | None
    field: Field
    guarded: Field
    spread: Field


def pool(views: Sequence[View]) -> Pool | None:
    """Return the views of nearly one aperture that tell most, laid over each other.

    Parameters
    ----------
    views : sequence of View
        Of one sensor.

    Returns
    -------
    Pool or None
        None where fewer than `LEAST_VIEWS` belong together.
    """
    best: list[View] = []
    for centre in views:
        near = [one for one in views if _belong(one, centre)]
        if sum((v.f_number or 1) ** 2 for v in near) > sum((v.f_number or 1) ** 2 for v in best):
            best = near
    if len(best) < LEAST_VIEWS:
        return None
    best = best[:MOST_VIEWS]
    stop = max((v.f_number for v in best if v.f_number is not None), default=None)
    whole = np.zeros(best[0].off.shape, np.float64)
    cut, weight = np.zeros_like(whole), np.zeros_like(whole)
    for view in best:
        scale = depth_scale(view, stop)
        restless = view.restless.astype(np.float64)
        off = np.expm1(view.off.astype(np.float64))
        most = np.where(np.isfinite(restless), WINSOR * restless, 0.0)
        say = 1 / (scale * restless) ** 2
        whole += say * scale * off
        cut += say * scale * np.clip(off, -most, most)
        weight += say
    sure = np.maximum(weight, 1e-9)
    return Pool(
        views=tuple(best),
        f_number=stop,
        field=(1 + whole / sure / KEPT).astype(np.float32),
        guarded=(1 + cut / sure).astype(np.float32),
        spread=(1 / np.sqrt(sure)).astype(np.float32),
    )


def _belong(one: View, centre: View) -> bool:
    if one.off.shape != centre.off.shape:
        return False
    if one.f_number is None or centre.f_number is None:
        return one.f_number is centre.f_number
    return 1 / NEAR_STOPS <= one.f_number / centre.f_number <= 1.0


def depth_scale(view: View, f_number: float | None) -> float:
    """Return by how much deeper a shadow would be at the aperture of the pool.

    Parameters
    ----------
    view : View
        One framing.
    f_number : float or None
        Aperture of the pool.

    Returns
    -------
    float
        The ratio of f-numbers squared: depth is (d n N / t)².
    """
    return (f_number / view.f_number) ** 2 if f_number and view.f_number else 1.0
