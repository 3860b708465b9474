"""The particle behind a round shadow: its diameter d and the cone b fitted to the whole profile.

Points are (x, y) in pixels of the field, centres at whole numbers; arrays are [y, x].
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.kit.dust_find import INNER, Field, Spot, noise_gain
from eyeplane.kit.dust_profile import shadow_loss

FINE_PX = 0.7  # px, spread that demosaicking and the odd-pixel filter add; our own frames
ACROSS = 12  # pixels across a shadow that the fit works with; more tell nothing more
ROUNDS = 14  # of the fit; six are usual
Z90 = 1.645  # spreads to either end of a 90 % interval of a normal


@dataclass(frozen=True, slots=True, kw_only=True)
class Cone:
    """What is known of the cone of light before a shadow is fitted.

    Attributes
    ----------
    size_px : float
        Its diameter b where it crosses the cover.
    ln_sd : float
        Spread of ln b.
    fine_px : float
        Spread of the blur that the field's pixels had before they were averaged.
    """

    size_px: float
    ln_sd: float
    fine_px: float = FINE_PX


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fit:
    """A shadow's profile as fitted.

    Attributes
    ----------
    x_px, y_px : float
        Its middle.
    particle_px, cone_px : float
        Diameters d and b.
    covariance : ndarray
        [4, 4], of x, y, ln d and ln b.
    gain : float
        How much better than no shadow: drop of χ², noise that runs together counted once.
    misfit_share : float
        Spread of what the profile leaves inside the shadow, beyond noise, over its depth.
    noise_px : float
        Spread of the field's pixels around the shadow, at the step of the fit; a share of light.
    """

    x_px: float
    y_px: float
    particle_px: float
    cone_px: float
    covariance: NDArray[np.float64]
    gain: float
    misfit_share: float
    noise_px: float

    @property
    def depth_share(self) -> float:
        """Return the share of light lost at the middle.

        Returns
        -------
        float
            The share min(1, (d/b)²).
        """
        return min(1.0, (self.particle_px / self.cone_px) ** 2)

    @property
    def outer_px(self) -> float:
        """Return the diameter of the whole shadow.

        Returns
        -------
        float
            The sum d + b.
        """
        return self.particle_px + self.cone_px

    def ln_sd(self, particle_power: float, cone_power: float) -> float:
        """Return the spread of a product of powers of d and b.

        Parameters
        ----------
        particle_power, cone_power : float
            Powers of d and of b.

        Returns
        -------
        float
            Of its natural logarithm.
        """
        weights = np.array([0.0, 0.0, particle_power, cone_power])
        return math.sqrt(max(0.0, float(weights @ self.covariance @ weights)))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Piece:
    """A window around a shadow: values, places, and the smooth surface that is fitted away."""

    values: NDArray[np.float64]
    x: NDArray[np.float64]
    y: NDArray[np.float64]
    basis: NDArray[np.float64]
    step: int

    def flat(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        return values - self.basis @ (self.basis.T @ values)


def fit_spot(
    field: Field, spot: Spot, *, cone: Cone, answer_sd: float, hidden: Field | None = None
) -> Fit | None:
    """Return the profile of a shadow.

    Parameters
    ----------
    field : ndarray
        [y, x] around 1.
    spot : Spot
        Where to look, and how large it is.
    cone : Cone
        What is known of b.
    answer_sd : float
        Spread of the answers of the filter that found it: tells how far noise runs together.
    hidden : ndarray or None
        Loss by other shadows, to be added to the field; [y, x].

    Returns
    -------
    Fit or None
        None where it lies too near the edge of the frame, or nothing fits.
    """
    wide = max(spot.diameter_px, 1.15 * cone.size_px)
    piece = _piece(field, spot, wide, hidden)
    if piece is None:
        return None
    start_depth = min(0.95, max(spot.depth_share, 1e-4))
    start = np.array(
        [spot.x_px, spot.y_px, 0.0, math.log(max(cone.size_px, 0.4 * spot.diameter_px))]
    )
    start[2] = start[3] + 0.5 * math.log(start_depth)
    if spot.depth_share > 0.5:
        start[2] = math.log(max(spot.diameter_px - 0.5 * cone.size_px, 0.5 * spot.diameter_px))
        start[3] = math.log(cone.size_px)
    return _solve(_problem(piece, spot, cone, answer_sd), start, 0.6 * wide)


def _piece(field: Field, spot: Spot, wide: float, hidden: Field | None) -> _Piece | None:
    import cv2  # noqa: PLC0415  slow to load for --help

    step = max(1, round(wide / ACROSS))
    reach = math.ceil(1.05 * wide / step) * step + step // 2
    cx, cy = round(spot.x_px), round(spot.y_px)
    top, left = max(0, cy - reach), max(0, cx - reach)
    values = field[top : cy + reach + 1, left : cx + reach + 1]
    if hidden is not None:
        values = values + hidden[top : cy + reach + 1, left : cx + reach + 1]
    rows, columns = values.shape[0] // step, values.shape[1] // step
    if min(rows, columns) < 6:
        return None
    used = np.ascontiguousarray(values[: rows * step, : columns * step])
    small = cv2.resize(used, (columns, rows), interpolation=cv2.INTER_AREA)
    y, x = np.mgrid[0:rows, 0:columns].astype(float)
    x, y = (x.ravel() + 0.5) * step - 0.5 + left, (y.ravel() + 0.5) * step - 0.5 + top
    u, v = (x - x.mean()) / wide, (y - y.mean()) / wide
    terms = np.stack([np.ones_like(u), u, v, u * u, u * v, v * v], axis=-1)
    basis = np.linalg.qr(terms)[0]
    return _Piece(values=small.ravel().astype(float), x=x, y=y, basis=basis, step=step)


def loss_at(
    x: NDArray[np.float64],
    y: NDArray[np.float64],
    shape: NDArray[np.float64],
    blur_px: float = FINE_PX,
) -> NDArray[np.float64]:
    """Return the loss of a shadow at places, each blurred as a pixel blurs.

    Parameters
    ----------
    x, y : ndarray
        Places.
    shape : ndarray
        Its x, y, ln d and ln b.
    blur_px : float
        Spread of the blur along each side.

    Returns
    -------
    ndarray
        Share of light lost.
    """
    particle, cone = math.exp(shape[2]), math.exp(shape[3])
    outer = (particle + cone) / 2
    course = np.linspace(0.0, outer, 97)
    loss = shadow_loss(course, particle_um=particle, blur_um=cone)
    total = np.zeros_like(x)
    for across, down in ((-1, -1), (-1, 1), (1, -1), (1, 1)):
        radius = np.hypot(x + across * blur_px - shape[0], y + down * blur_px - shape[1])
        total += np.interp(radius, course, loss, right=0.0)
    return total / 4


@dataclass(slots=True, kw_only=True, eq=False)
class _Problem:
    """What is to be made small, and the noise it is weighed with."""

    piece: _Piece
    data: NDArray[np.float64]
    cone: Cone
    blur_px: float
    share: float
    answer_sd: float
    noise: float = 1.0
    scale: float = 1.0

    def off(self, at: NDArray[np.float64]) -> NDArray[np.float64]:
        piece = self.piece
        return self.data + piece.flat(loss_at(piece.x, piece.y, at, self.blur_px))

    def weigh(self, rest: NDArray[np.float64]) -> None:
        """Take the noise of what is left, and by how much it falls short of averaging out."""
        self.noise = max(1.4826 * float(np.median(np.abs(rest))), 1e-6)
        self.scale = max(self.noise, self.answer_sd / self.share)

    def cost(self, at: NDArray[np.float64], rest: NDArray[np.float64]) -> float:
        astray = (at[3] - math.log(self.cone.size_px)) / self.cone.ln_sd
        return float(rest @ rest) / self.scale**2 + float(astray) ** 2

    def slopes(self, at: NDArray[np.float64], rest: NDArray[np.float64]) -> NDArray[np.float64]:
        columns = []
        for k, width in enumerate((0.05, 0.05, 0.01, 0.01)):
            beside = at.copy()
            beside[k] += width
            columns.append((self.off(beside) - rest) / width)
        return np.stack(columns, axis=-1)

    def curve(self, slope: NDArray[np.float64]) -> NDArray[np.float64]:
        pull = np.diag([1e-9, 1e-9, 1e-9, 1 / self.cone.ln_sd**2])
        return np.asarray(slope.T @ slope / self.scale**2 + pull)


def _problem(piece: _Piece, spot: Spot, cone: Cone, answer_sd: float) -> _Problem:
    share = noise_gain(INNER * spot.diameter_px / piece.step)
    return _Problem(
        piece=piece,
        data=piece.flat(piece.values),
        cone=cone,
        blur_px=math.sqrt(piece.step**2 / 12 + cone.fine_px**2),
        share=share,
        answer_sd=answer_sd,
    )


def _solve(problem: _Problem, start: NDArray[np.float64], reach_px: float) -> Fit | None:
    """Return the best fit, by Levenberg's and Marquardt's damped steps."""
    shape = np.array(start, float)
    rest = problem.off(start)
    problem.weigh(rest)
    damping = 1e-2
    for _ in range(ROUNDS):
        slope = problem.slopes(shape, rest)
        curve = problem.curve(slope)
        push = -(slope.T @ rest) / problem.scale**2
        push[3] -= (shape[3] - math.log(problem.cone.size_px)) / problem.cone.ln_sd**2
        gained, further = -1.0, rest
        moved: NDArray[np.float64] = np.zeros(4)
        while gained <= 0 and damping < 1e5:
            moved = np.asarray(
                np.linalg.solve(curve + damping * np.diag(np.diag(curve)), push), np.float64
            )
            moved[:2] = np.clip(moved[:2], -0.25 * reach_px, 0.25 * reach_px)
            moved[2:] = np.clip(moved[2:], -0.6, 0.6)
            further = problem.off(shape + moved)
            gained = problem.cost(shape, rest) - problem.cost(shape + moved, further)
            damping *= 6.0
        if gained <= 0:
            break
        shape, rest, damping = np.asarray(shape + moved, float), further, damping / 24
        problem.weigh(rest)
        if gained < 1e-2 or np.hypot(*(shape - start)[:2]) > reach_px:
            break
    if np.hypot(*(shape - start)[:2]) > reach_px:
        return None
    return _told(problem, shape, rest)


def _told(problem: _Problem, shape: NDArray[np.float64], rest: NDArray[np.float64]) -> Fit | None:
    curve = problem.curve(problem.slopes(shape, rest))
    particle, size = math.exp(shape[2]), math.exp(shape[3])
    away = np.hypot(problem.piece.x - shape[0], problem.piece.y - shape[1])
    inside = away < (particle + size) / 2
    if inside.sum() < 4:
        return None
    misfit = float(np.mean(rest[inside] ** 2)) - problem.noise**2
    depth = min(1.0, (particle / size) ** 2)
    data = problem.data
    return Fit(
        x_px=float(shape[0]),
        y_px=float(shape[1]),
        particle_px=particle,
        cone_px=size,
        covariance=np.asarray(np.linalg.inv(curve), float),
        gain=(float(data @ data) - float(rest @ rest)) / problem.scale**2,
        misfit_share=math.sqrt(max(0.0, misfit)) / max(depth, 1e-6),
        noise_px=problem.noise,
    )
