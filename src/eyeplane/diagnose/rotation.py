"""A camera that turned about the lens axis: lines that grow with the distance from a centre.

A turn by ω about c draws at r the line ω × (r − c): across the radius and as long as the radius
times ω. With a push of the whole camera besides, the same holds about another centre, so the
field has three numbers: ω and a shift. Points are (x, y) in pixels, y down.
"""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.diagnose.lines import (
    ACROSS_PX,
    LENGTH_LOG,
    TURN_DEG,
    Place,
    log_moved,
    log_still,
    places_of,
    vector_of,
)
from eyeplane.records import FrameReading, Measured

Array = NDArray[np.float64]

CALLED = 7.0  # log-likelihood over every simpler explanation from which a turn is called
LEAST_PLACES = 3  # that show the field, faces with all their places counting once
LEAST_SPREAD_SHARE = 0.15  # of the frame's diagonal: places nearer together tell no turn
LEAST_DIFFERENCE_PX = 3.0  # between the longest and the shortest line of the field
SHOWN_PX = 3.0  # a line from here on supports a candidate
COST = 4.0  # log: a turn has one number more than a push and fits a little better by chance
Z90 = 1.645  # standard deviations to either end of a 90 % interval


@dataclass(frozen=True, slots=True, kw_only=True)
class Rotation:
    """The camera's turn about the lens axis during one exposure.

    Attributes
    ----------
    turned_deg : Measured
        How far, without sign: a line has no arrow.
    centre_px : tuple of float
        (x, y), where nothing moved; may lie outside the frame if the camera was pushed besides.
    gain : float
        Log-likelihood (natural) over the best explanation without a turn.
    """

    turned_deg: Measured
    centre_px: tuple[float, float]
    gain: float


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """A turn and a shift that explain lines in a frame.

    Attributes
    ----------
    turn : float
        Radians, + clockwise as seen in the picture.
    shift_px : tuple of float
        Motion at the origin (x, y).
    log : float
        Log-likelihood (natural) of all places.
    """

    turn: float
    shift_px: tuple[float, float]
    log: float

    def at(self, points_px: Array) -> Array:
        """Return the motion at points.

        Parameters
        ----------
        points_px : ndarray
            [points, 2].

        Returns
        -------
        ndarray
            [points, 2], vectors in pixels, y down.
        """
        turned = self.turn * np.stack([-points_px[:, 1], points_px[:, 0]], axis=1)
        return np.asarray(turned + np.array(self.shift_px))

    @property
    def centre_px(self) -> tuple[float, float]:
        """Return where nothing moves.

        Returns
        -------
        tuple of float
            (x, y); far away for a turn of next to nothing.
        """
        turn = self.turn if abs(self.turn) > 1e-9 else 1e-9
        return -self.shift_px[1] / turn, self.shift_px[0] / turn


def best_field(places: Sequence[Place]) -> Field | None:
    """Return the turn with shift that explains the places best.

    Parameters
    ----------
    places : sequence of Place
        All that tell of motion.

    Returns
    -------
    Field or None
        None with fewer than two lines to draw it through.
    """
    shown = [p for p in places if p.gain > -1.0 and p.length_px >= SHOWN_PX]
    points = np.array([p.at_px for p in places]).reshape(-1, 2)
    candidates = [
        np.linalg.solve(*_equations(pair, signs))
        for pair in itertools.combinations(sorted(shown, key=lambda p: -p.gain)[:10], 2)
        for signs in ((1.0, 1.0), (1.0, -1.0))
        if math.dist(pair[0].at_px, pair[1].at_px) > 1.0
    ]
    if not candidates:
        return None
    found = np.array(candidates)
    turned = found[:, :1, None] * np.stack([-points[:, 1], points[:, 0]], axis=1)
    logs = log_moved(places, turned + found[:, None, 1:]).sum(axis=1)
    best = _scored(found[int(np.argmax(logs))], places, points)
    for _ in range(3):
        better = _refitted(best, places, points)
        if better is None or better.log <= best.log:
            break
        best = better
    return best


def _equations(places: Sequence[Place], signs: Sequence[float]) -> tuple[Array, Array]:
    """Return normal equations for (turn, shift x, shift y), each line with its two errors."""
    matrix, right = np.zeros((3, 3)), np.zeros(3)
    for place, sign in zip(places, signs, strict=True):
        x, y = place.at_px
        u = sign * np.array(vector_of(place.length_px, place.angle_deg))
        along = u / max(float(np.hypot(*u)), 1e-9)
        across = np.array([-along[1], along[0]])
        for way, spread in zip((along, across), _errors(place), strict=True):
            row = np.array([-y * way[0] + x * way[1], way[0], way[1]])
            matrix += np.outer(row, row) / spread**2
            right += row * float(way @ u) / spread**2
    return matrix + np.diag([1e-6, 1e-12, 1e-12]), right


def _errors(place: Place) -> tuple[float, float]:
    """Return the errors of a line along it and across it, in pixels."""
    along = max(LENGTH_LOG * place.length_px, ACROSS_PX)
    return along, math.hypot(ACROSS_PX, place.length_px * math.radians(TURN_DEG))


def _scored(found: Array, places: Sequence[Place], points: Array) -> Field:
    field = Field(float(found[0]), (float(found[1]), float(found[2])), 0.0)
    log = float(log_moved(places, field.at(points)).sum())
    return Field(field.turn, field.shift_px, log)


def _refitted(field: Field, places: Sequence[Place], points: Array) -> Field | None:
    """Return the least-squares field through the lines that agree with one."""
    agreeing, signs = _supporting(field, places, points)
    if len(agreeing) < 2:
        return None
    return _scored(np.asarray(np.linalg.solve(*_equations(agreeing, signs))), places, points)


def _supporting(
    field: Field, places: Sequence[Place], points: Array
) -> tuple[list[Place], list[float]]:
    """Return the places whose lines agree with a field, and which way round each one goes."""
    expected = field.at(points)
    agree: list[Place] = []
    signs: list[float] = []
    for place, u in zip(places, expected, strict=True):
        v = np.array(vector_of(place.length_px, place.angle_deg))
        along, across = _errors(place)
        sign = 1.0 if float(u @ v) >= 0 else -1.0
        off = float(np.hypot(*(u - sign * v)))
        if place.length_px >= SHOWN_PX and place.gain > -1.0 and off < 3 * max(along, across):
            agree.append(place)
            signs.append(sign)
    return agree, signs


def pushed_log(places: Sequence[Place]) -> float:
    """Return how well one shift of the whole picture explains the places.

    Parameters
    ----------
    places : sequence of Place
        All that tell of motion.

    Returns
    -------
    float
        Log-likelihood (natural) of the best shift.
    """
    shifts = [vector_of(p.length_px, p.angle_deg) for p in places if p.length_px >= SHOWN_PX]
    if not shifts:
        return float(log_still(places).sum())
    expected = np.repeat(np.array(shifts)[:, None], len(places), axis=1)
    return float(log_moved(places, expected).sum(axis=1).max())


def heads_log(places: Sequence[Place]) -> float:
    """Return how well people who moved before a still background explain the places.

    Parameters
    ----------
    places : sequence of Place
        All that tell of motion.

    Returns
    -------
    float
        Log-likelihood (natural), each person moving as the face or not at all.
    """
    total = 0.0
    for owner in {p.owner for p in places}:
        own = [p for p in places if p.owner == owner]
        still = float(log_still(own).sum())
        total += still if owner < 0 else max(still, pushed_log(own))
    return total


def rotation_of(reading: FrameReading) -> Rotation | None:
    """Return the camera's turn about the lens axis, if the frame shows one.

    Parameters
    ----------
    reading : FrameReading
        A measured frame.

    Returns
    -------
    Rotation or None
        None where a push of the camera or moving sitters explain the lines about as well, where
        places are too few or too near together, or where the lines hardly differ.
    """
    places = places_of(reading)
    field = best_field(places)
    if field is None:
        return None
    points = np.array([p.at_px for p in places])
    gain = field.log - COST - max(pushed_log(places), heads_log(places))
    agree, signs = _supporting(field, places, points)
    if gain < CALLED or not _spread_enough(agree, field, reading):
        return None
    matrix, _ = _equations(agree, signs)
    spread = math.sqrt(float(np.linalg.inv(matrix)[0, 0])) * _excess(field, agree, signs)
    turned, error = math.degrees(abs(field.turn)), math.degrees(Z90 * spread)
    if error >= turned:
        return None
    return Rotation(
        turned_deg=Measured(value=turned, low=turned - error, high=turned + error),
        centre_px=field.centre_px,
        gain=gain,
    )


def _spread_enough(agree: Sequence[Place], field: Field, reading: FrameReading) -> bool:
    """Return whether the lines lie far enough apart and differ enough to tell a turn."""
    apart = {(p.owner, p.at_px) if p.owner < 0 else (p.owner, (0.0, 0.0)) for p in agree}
    if len(apart) < LEAST_PLACES:
        return False
    points = np.array([p.at_px for p in agree])
    diagonal = math.hypot(reading.width_px, reading.height_px)
    lines = field.at(points)
    differ = np.ptp(lines, axis=0)
    return bool(
        np.hypot(*np.ptp(points, axis=0)) > LEAST_SPREAD_SHARE * diagonal
        and np.hypot(*differ) >= LEAST_DIFFERENCE_PX
    )


def _excess(field: Field, agree: Sequence[Place], signs: Sequence[float]) -> float:
    """Return by how much the lines scatter more than their errors say, at least 1."""
    expected = field.at(np.array([p.at_px for p in agree]))
    total = 0.0
    for place, sign, u in zip(agree, signs, expected, strict=True):
        v = sign * np.array(vector_of(place.length_px, place.angle_deg))
        along = v / max(float(np.hypot(*v)), 1e-9)
        across = np.array([-along[1], along[0]])
        errors = _errors(place)
        total += (float((u - v) @ along) / errors[0]) ** 2
        total += (float((u - v) @ across) / errors[1]) ** 2
    return math.sqrt(max(1.0, total / max(2 * len(agree) - 3, 1)))
