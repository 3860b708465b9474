"""Sides of a printed mark, fitted at full resolution in linear light.

The mark is seen through a map from its own square (0 to 1 along each side, as printed) to the
frame. Along lines across each side the light is that of a strip of ink one cell wide, with bare
paper outside and cells of known ink inside, all blurred alike: a sum of error functions. Levels,
blur, place and slant of the side are fitted together, so that neither blur nor exposure moves it.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

LINES_PER_CELL = 4  # across each side, along each cell
ACROSS_CELLS = (-0.85, 1.35)  # from the side: the paper around is bare for one cell only
SAMPLES = (12, 36)  # fewest and most along a line
ROWS = 3  # of cells inside the border, whose light blur may bring near it
LARGEST_SHIFT_CELLS = 1.0  # farther off than that, the search was wrong
FIRST_BLUR = 6  # parts of a cell that the fit begins with as σ of the blur
PASSES = 2  # the second looks from where the first found the sides,
NEAR_CELLS = 0.05  # unless these were nearer than this, and the blur
STEPS = 20  # of the fit at most; it settles in about 5
SETTLED = 1e-4  # cells; a thousandth of a pixel in marks of 70 px
LEAST_STEP = 0.02  # from ink to paper, of the paper's light; below it nothing is a mark
SMOOTHED = 1.5  # noise read between pixels is (2/3)² of theirs in variance, and neighbours share it
SURE_PX = 0.01  # px, no corner is known better: simulated frames, benchmarks/accuracy/find_sheet.py
SURE_BLUR = 0.006  # of the blur's σ, the same in soft frames
_ROOT = np.sqrt(2 * np.pi)
_UNIT = np.array([(0, 0), (1, 0), (1, 1), (0, 1)], np.float64)

Points = NDArray[np.float64]
Light = NDArray[np.float32]
Placed = Callable[[Points], Points]  # (n, 2) of the mark's own square → (n, 2) px


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RefinedMark:
    """Corners of a mark and how well they are known.

    Attributes
    ----------
    corners_px : ndarray
        [4, 2] px of the frame, in the order of the mark as printed.
    sd_px : float
        Standard deviation of a corner's place, from what the fit leaves over.
    blur_px : float
        σ of the Gaussian that fits the sides, the pixel's own area in it.
    contrast : float
        Paper less ink, over their sum.
    """

    corners_px: Points
    sd_px: float
    blur_px: float
    contrast: float


def refined(
    light: Light, corners_px: Points, cells: NDArray[np.uint8], *, placed: Placed | None = None
) -> RefinedMark | None:
    """Return a mark with its sides fitted.

    Parameters
    ----------
    light : ndarray
        Of float32 [y, x] in linear light.
    corners_px : ndarray
        [4, 2] px, rough, in the order of the mark as printed.
    cells : ndarray
        [7, 7], 1 where paper is bare.
    placed : callable or None
        Map from the mark's own square to the frame, where a better one is known than the
        perspective through the corners: it follows distortion along the sides.

    Returns
    -------
    RefinedMark or None
        None where a side cannot be fitted: out of the frame, no contrast, not a mark.
    """
    to_px = placed or perspective(corners_px)
    blur = 1 / FIRST_BLUR / len(cells)
    mark = None
    for _ in range(PASSES):
        fits = _sides(light, to_px, cells, blur)
        if fits is None:
            return None
        ring = _corners([fit.line for fit in fits])
        side_px = float(np.mean(_lengths(to_px(_UNIT))))
        taken, blur = blur, float(np.median([fit.blur for fit in fits]))
        mark = RefinedMark(
            corners_px=to_px(ring),
            sd_px=math.hypot(
                side_px * _rms([fit.sd for fit in fits]), SURE_PX, SURE_BLUR * blur * side_px
            ),
            blur_px=blur * side_px,
            contrast=float(np.median([fit.contrast for fit in fits])),
        )
        if max(np.abs(ring - _UNIT).max(), abs(blur - taken)) < NEAR_CELLS / len(cells):
            break
        to_px = _after(to_px, ring)
    return mark


def perspective(corners_px: Points) -> Placed:
    """Return the perspective map from a mark's own square to the frame.

    Parameters
    ----------
    corners_px : ndarray
        [4, 2] px.

    Returns
    -------
    callable
        (n, 2) of 0 to 1 → (n, 2) px.
    """
    matrix = _through(corners_px)

    def to_px(points: Points) -> Points:
        lifted = np.column_stack([points, np.ones(len(points))]) @ matrix.T
        return np.asarray(lifted[:, :2] / lifted[:, 2:])

    return to_px


def _through(corners: Points) -> Points:
    """Return the matrix that takes the unit square's corners to these (eight linear equations)."""
    rows = []
    for (u, v), (x, y) in zip(_UNIT, corners, strict=True):
        rows.append([u, v, 1, 0, 0, 0, -u * x, -v * x])
        rows.append([0, 0, 0, u, v, 1, -u * y, -v * y])
    return np.append(np.linalg.solve(np.array(rows), np.ravel(corners)), 1.0).reshape(3, 3)


def _after(to_px: Placed, ring: Points) -> Placed:
    """Return the map with the square's corners moved to where its sides were found to meet."""
    moved = perspective(ring)
    return lambda points: to_px(moved(points))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Fit:
    """One side, in parts of its length: v = line[0] + line[1] · (u − ½) below the upper side."""

    line: tuple[float, float]
    sd: float
    blur: float
    contrast: float


def _sides(light: Light, to_px: Placed, cells: NDArray[np.uint8], blur: float) -> list[_Fit] | None:
    piece = _window(light, to_px, len(cells))
    if piece is None:
        return None
    fits = []
    for turn in range(4):  # each side is looked at as the upper one of the mark so turned
        seen = _Strip(piece=piece, to_px=to_px, turn=turn, cells=np.rot90(cells, turn), blur=blur)
        fit = seen.fitted()
        if fit is None:
            return None
        fits.append(fit)
    return fits


def _window(light: Light, to_px: Placed, count: int) -> tuple[Light, Points] | None:
    """Return the piece of the frame with a mark and its bare surroundings, and its corner."""
    edge = -ACROSS_CELLS[0] / count
    outer = to_px(_UNIT * (1 + 2 * edge) - edge)
    height, width = light.shape
    inside = np.all(outer >= 0.5) and np.all(outer <= (width - 0.5, height - 0.5))
    if not inside:  # not a number is not inside either
        return None
    low = np.maximum(np.floor(outer.min(axis=0)).astype(int) - 4, 0)
    end = np.ceil(outer.max(axis=0)).astype(int) + 4
    return light[low[1] : end[1], low[0] : end[0]], low.astype(np.float64)


def _rms(values: list[float]) -> float:
    return float(np.sqrt(np.mean(np.square(values))))


def _lengths(ring: Points) -> Points:
    return np.asarray(np.hypot(*(np.roll(ring, -1, axis=0) - ring).T))


def _turned(points: Points, turn: int) -> Points:
    """Return places in the mark's square for places in the square turned to the left so often."""
    for _ in range(turn):
        points = np.column_stack([1 - points[:, 1], points[:, 0]])
    return points


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Strip:
    """The surroundings of one side, as the upper one: light along lines across it."""

    piece: tuple[Light, Points]
    to_px: Placed
    turn: int
    cells: NDArray[np.uint8]
    blur: float

    def fitted(self) -> _Fit | None:
        count = len(self.cells)
        lines = LINES_PER_CELL * (count - 2)
        u = 1 / count + (np.arange(lines) + 0.5) / LINES_PER_CELL / count
        light, origin = self.piece
        ends = self.to_px(_turned(np.array([(0.5, v / count) for v in ACROSS_CELLS]), self.turn))
        samples = int(np.clip(np.hypot(*(ends[1] - ends[0])), *SAMPLES))
        v = np.linspace(*ACROSS_CELLS, samples) / count
        along, across = np.meshgrid(u, v, indexing="ij")
        places = np.column_stack([along.ravel(), across.ravel()])
        at = (self.to_px(_turned(places, self.turn)) - origin - 0.5).astype(np.float32)
        columns, rows = (at[:, k].reshape(along.shape) for k in (0, 1))
        seen = cv2.remap(
            light, columns, rows, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
        ).astype(np.float64)
        return _Edge(
            seen=seen,
            along=along - 0.5,
            across=across,
            steps=np.diff(self._bare(u), axis=1, prepend=0.0, append=0.0),
            cell=1 / count,
        ).fitted()

    def _bare(self, u: Points) -> Points:
        """Return how bare each row of cells is [line, row] along the side, as blurred."""
        count = len(self.cells)
        starts = np.arange(count) / count
        share = ndtr((u[:, None] - starts) / self.blur) - ndtr(
            (u[:, None] - starts - 1 / count) / self.blur
        )
        return np.asarray(share @ self.cells[1 : 1 + ROWS].T)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Edge:
    """Light [line, sample] across a side, where each sample lies, and the cells' steps in light.

    `steps` [line, row]: how much barer each row is than the one before, the last as bare as ink.
    """

    seen: Points
    along: Points
    across: Points
    steps: Points
    cell: float

    def fitted(self) -> _Fit | None:
        """Return the side by damped Gauss-Newton steps (Levenberg 1944, Marquardt 1963)."""
        ordered = np.sort(self.seen, axis=None)
        ink, paper = (float(ordered[len(ordered) * k // 20]) for k in (1, 19))
        if not paper - ink > LEAST_STEP * max(paper, 1e-6):
            return None
        told = np.array([0.0, 0.0, np.log(self.cell / FIRST_BLUR), paper, ink])
        left, slopes = self._left(told)
        damping = 1e-3
        for _ in range(STEPS):
            normal = slopes.T @ slopes
            step = np.linalg.solve(
                normal + np.diag(damping * np.diag(normal) + 1e-12), slopes.T @ left
            )
            tried = told + step
            tried[2] = np.clip(tried[2], *np.log([self.cell / 60, self.cell]))
            now, now_slopes = self._left(tried)
            if now @ now > left @ left:
                damping *= 10
                continue
            settled = np.max(np.abs(tried[:2] - told[:2])) < SETTLED * self.cell
            told, left, slopes, damping = tried, now, now_slopes, damping / 10
            if settled:
                break
        return self._told(told, left, slopes)

    def blur_first(self) -> float:
        """Return the blur to start from."""
        return self.cell / FIRST_BLUR

    def _told(self, told: Points, left: Points, slopes: Points) -> _Fit | None:
        place, slant, log_blur, paper, ink = (float(number) for number in told)
        if abs(place) + abs(slant) / 2 > LARGEST_SHIFT_CELLS * self.cell or paper <= ink:
            return None
        spread = SMOOTHED**2 * float(left @ left) / (len(left) - len(told))
        inverse = np.linalg.pinv(slopes.T @ slopes) * spread
        return _Fit(
            line=(place, slant),
            sd=float(np.sqrt(max(0.0, inverse[0, 0] + inverse[1, 1] / 4))),
            blur=float(np.exp(log_blur)),
            contrast=(paper - ink) / (paper + ink),
        )

    def _left(self, told: Points) -> tuple[Points, Points]:
        """Return what the model leaves over, and the model's slopes by its five numbers."""
        place, slant, log_blur, paper, ink = told
        blur = np.exp(log_blur)
        from_side = self.across - place - slant * self.along
        inked, steep, widened = np.zeros((3, *self.seen.shape))
        for row in range(ROWS + 2):  # the side itself, then sides between rows, which move with it
            far = (from_side - row * self.cell) / blur
            step = -1.0 if row == 0 else self.steps[:, row - 1, None]
            density = step * np.exp(-(far**2) / 2) / _ROOT
            inked -= step * ndtr(far)
            steep -= density
            widened -= density * far
        depth = paper - ink
        slopes = np.stack(
            [
                depth * steep / blur,
                depth * steep * self.along / blur,
                depth * widened,
                1 - inked,
                inked,
            ],
            axis=-1,
        )
        return (self.seen - paper + depth * inked).ravel(), slopes.reshape(-1, 5)


def _corners(lines: list[tuple[float, float]]) -> Points:
    """Return the corners of the square that four fitted sides make, in the mark's own square."""
    straight = []
    for turn, (place, slant) in enumerate(lines):
        ends = np.array([(0.0, place - slant / 2), (1.0, place + slant / 2)])
        straight.append(_turned(ends, turn))
    corners = []
    for k in range(4):
        before, side = straight[k - 1], straight[k]
        corners.append(_crossing(before, side))
    return np.array(corners)


def _crossing(one: Points, other: Points) -> Points:
    a, b = one[1] - one[0], other[1] - other[0]
    matrix = np.column_stack([a, -b])
    share = np.linalg.solve(matrix, other[0] - one[0])
    return np.asarray(one[0] + share[0] * a)
