"""What blur the print takes, and reach, at thousands of points that all differ.

Both are smooth functions of aperture, noise and print. So where more than a few differ they are
worked out on a grid and read off it; a last step on the whole sum over frequency takes the error of
the reading away.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.light.noise import noise_contrast
from eyeplane.optics import Spreads, blur_limits, reaches_cm, sharpness_of
from eyeplane.optics.reach import SHARP
from eyeplane.plan.hold import HoldLimits, base_spreads, different, print_px_per_deg
from eyeplane.plan.sweep_points import Points
from eyeplane.records import PlanKit, PlanPrint

FloatArray = NDArray[np.float64]

DIRECT = 1000  # as many different points are worked out one by one
NODES = (9, 7, 7)  # of the grid: apertures, noise, and print or blur
BLUR_NODES = 14
ROOM = 0.004  # of sharpness above the threshold, below which limits are read by their slope
SMALL_PX = 0.5  # disc and line by which that slope is found
STEP = 0.05  # of the logarithm of pixels per degree, by which a slope is found
KIT_INPUTS = (
    "sensor_long_mm",
    "long_edge_px",
    "short_edge_px",
    "glass_um",
    "glass_wide_um",
    "widest_f_number",
)


@dataclass(frozen=True, slots=True)
class _Alike:
    """Points of one kit: its spreads by aperture, with noise and print of each point."""

    kit: PlanKit
    f_number: FloatArray
    noise: FloatArray
    px_per_deg: FloatArray

    def spreads(self, f_number: FloatArray, noise: FloatArray) -> Spreads:
        """Return glass, diffraction and noise."""
        return replace(base_spreads(self.kit, f_number, self.kit.base_iso), noise_contrast=noise)


def _alike(
    points: Points, settings: tuple[FloatArray, ...]
) -> list[tuple[_Alike, NDArray[np.intp]]]:
    """Return points by kit; settings are aperture, ISO and level."""
    f_number, iso, level = settings
    print_cm, viewing_cm = points.values("print_cm"), points.values("viewing_cm")
    groups = []
    for request, numbers in points.groups(KIT_INPUTS):
        unit = PlanPrint(print_cm=1.0, viewing_cm=1.0)
        px_per_deg = print_px_per_deg(request.kit, unit) * viewing_cm / print_cm
        noise = noise_contrast(
            iso=iso[numbers], pitch_um=request.kit.pitch_um, level=level[numbers]
        )
        groups.append((_Alike(request.kit, f_number[numbers], noise, px_per_deg[numbers]), numbers))
    return groups


def limits_at(
    points: Points, *, f_number: FloatArray, iso: FloatArray, level: FloatArray
) -> HoldLimits:
    """Return what blur the print takes at each point.

    Parameters
    ----------
    points : Points
        Kits and prints.
    f_number, iso, level : ndarray
        Settings, and the linear luma of the skin, one entry a point.

    Returns
    -------
    HoldLimits
        Within 1 % of `hold_limits`, where the print takes any blur worth a name.
    """
    out = np.zeros((3, len(points)))
    for alike, numbers in _alike(points, (f_number, iso, level)):
        unique, back = different((alike.f_number, alike.noise, alike.px_per_deg))
        found = _limits(alike, *unique)
        found[:2] *= alike.kit.pitch_um
        out[:, numbers] = found[:, back]
    return HoldLimits(disc_um=out[0], line_um=out[1], room_share=out[2])


def _limits(alike: _Alike, f_number: FloatArray, noise: FloatArray, px: FloatArray) -> FloatArray:
    """Return (3, points): disc and line in px, and room."""
    spreads = alike.spreads(f_number, noise)
    if len(f_number) <= DIRECT:
        limits = blur_limits(spreads, px_per_deg=px)
        sharp, disc, line = limits.acutance, limits.disc_px, limits.line_px
    else:
        sharp = sharpness_of(spreads, px_per_deg=px)
        grid = Grid.over((np.log(f_number), np.log(noise), np.log(px)), NODES)
        at = [np.exp(c) for c in grid.corners()]
        squares = _squares_per_room(alike.spreads(at[0], at[1]), at[2])
        room = np.maximum(sharp - SHARP, 0.0)
        disc, line = (np.sqrt(room * np.exp(grid.read(np.log(s)))) for s in squares)
    return np.stack([disc, line, sharp / np.maximum(sharp - SHARP, 1e-9)])


def _squares_per_room(spreads: Spreads, px: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the squares of the largest disc and line over the sharpness that is to spare.

    Where there is little or none to spare, the slope at small blur stands for it.
    """
    limits = blur_limits(spreads, px_per_deg=px)
    room = limits.acutance - SHARP
    few = room < ROOM
    out = []
    for name, limit in (("disc_px", limits.disc_px), ("line_px", limits.line_px)):
        blurred = sharpness_of(replace(spreads, **{name: SMALL_PX}), px_per_deg=px)
        slope = SMALL_PX**2 / np.maximum(limits.acutance - blurred, 1e-9)
        out.append(np.where(few, slope, limit**2 / np.maximum(room, ROOM)))
    return out[0], out[1]


def reaches_at(
    points: Points,
    *,
    blur_um: FloatArray,
    f_number: FloatArray,
    iso: FloatArray,
    level: FloatArray,
) -> FloatArray:
    """Return the reach at each point.

    Parameters
    ----------
    points : Points
        Kits and viewers.
    blur_um : ndarray
        Disc that blurs as much as disc and line of the frame together, one entry a point.
    f_number, iso, level : ndarray
        As for `limits_at`.

    Returns
    -------
    ndarray
        Centimetres; within 2 % of the sum with disc and line apart.
    """
    out = np.empty(len(points))
    print_cm = points.values("print_cm")
    for alike, numbers in _alike(points, (f_number, iso, level)):
        blur_px = blur_um[numbers] / alike.kit.pitch_um
        least = _least_px_per_deg(alike, blur_px)
        out[numbers] = print_cm[numbers] * alike.px_per_deg / least
    return out


def _least_px_per_deg(alike: _Alike, blur_px: FloatArray) -> FloatArray:
    """Return the fewest pixels per degree at which each point still looks sharp."""

    def least(spreads: Spreads) -> FloatArray:
        return np.asarray(np.radians(1.0) / reaches_cm(spreads, long_edge_px=1.0, viewing_cm=1.0))

    if len(blur_px) <= DIRECT:
        return least(replace(alike.spreads(alike.f_number, alike.noise), disc_px=blur_px))
    grid = Grid.over(
        (np.log(alike.f_number), np.log(alike.noise), np.log1p(blur_px)), (*NODES[:2], BLUR_NODES)
    )
    f_number, noise, blur = grid.corners()
    at = replace(alike.spreads(np.exp(f_number), np.exp(noise)), disc_px=np.expm1(blur))
    node_px = least(at)
    slope = (sharpness_of(at, px_per_deg=node_px * np.exp(STEP)) - SHARP) / STEP
    read = grid.read(np.log(node_px))
    here = replace(alike.spreads(alike.f_number, alike.noise), disc_px=blur_px)
    short = SHARP - sharpness_of(here, px_per_deg=np.exp(read))
    step = short / np.maximum(grid.read(slope), 0.05)
    return np.asarray(np.exp(read + np.clip(step, -0.3, 0.3)))


@dataclass(frozen=True, slots=True)
class Grid:
    """Nodes over three coordinates, and the weights by which points read them.

    Polynomials through Chebyshev nodes (L. N. Trefethen, Approximation Theory and Approximation
    Practice, 2013, ch. 5: barycentric form); a coordinate with fewer values than nodes is taken at
    its own values.
    """

    nodes: tuple[FloatArray, ...]
    weights: tuple[FloatArray, ...]

    @classmethod
    def over(cls, coordinates: Sequence[FloatArray], counts: Sequence[int]) -> "Grid":
        """Return a grid over points.

        Parameters
        ----------
        coordinates : sequence of ndarray
            One entry a point each.
        counts : sequence of int
            Most nodes along each.

        Returns
        -------
        Grid
            That reads these points.
        """
        nodes, weights = [], []
        for values, count in zip(coordinates, counts, strict=True):
            own = np.unique(values)
            if len(own) > count:
                angle = (2 * np.arange(count) + 1) * np.pi / (2 * count)
                own = 0.5 * (own[0] + own[-1]) - 0.5 * (own[-1] - own[0]) * np.cos(angle)
            nodes.append(own)
            weights.append(_weights(own, values))
        return cls(tuple(nodes), tuple(weights))

    def corners(self) -> list[FloatArray]:
        """Return the coordinates of all nodes, flat.

        Returns
        -------
        list of ndarray
            One a coordinate.
        """
        return [np.ravel(a) for a in np.meshgrid(*self.nodes, indexing="ij")]

    def read(self, values: FloatArray) -> FloatArray:
        """Return a function at the points.

        Parameters
        ----------
        values : ndarray
            At all nodes, as `corners` lists them.

        Returns
        -------
        ndarray
            One entry a point.
        """
        shaped = values.reshape([len(n) for n in self.nodes])
        first = np.tensordot(self.weights[0], shaped, axes=1)
        second = np.einsum("pb,pbc->pc", self.weights[1], first)
        return np.asarray(np.einsum("pc,pc->p", self.weights[2], second))


def _weights(nodes: FloatArray, values: FloatArray) -> FloatArray:
    """Return (points, nodes): how much each node counts in the polynomial at each point."""
    apart = nodes[:, None] - nodes[None, :]
    np.fill_diagonal(apart, 1.0)
    away = values[:, None] - nodes[None, :]
    hit = np.abs(away) < 1e-12
    on_node = np.any(hit, axis=1, keepdims=True)
    shares = 1.0 / apart.prod(axis=1) / np.where(hit, 1.0, away)
    sums = np.where(on_node, 1.0, shares.sum(axis=1, keepdims=True))
    return np.where(on_node, hit.astype(float), shares / sums)
