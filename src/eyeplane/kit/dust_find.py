"""Round shadows in a flat field: filters of every size, held against the noise around them.

Points are (x, y) in pixels of the array, centres at whole numbers; arrays are [y, x].
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Field = NDArray[np.float32]
INNER = 0.315  # σ of the filter over the shadow's diameter: most signal over noise for a flat disc
OUTER = 2.0  # σ of what surrounds it over that of the filter; our own choice
GAIN = 0.446  # of the filter for a flat disc: exp(−R²/2σo²) − exp(−R²/2σi²) with R = D/2
STRONG = (
    6.0  # spreads of the noise; at 5.5 a million independent places give one by chance in fifty
)
UNEVEN_CODES = 0.05  # of a step, what rounding leaves in wide filters; our own frames
# A JPEG rounds coefficients of 8 × 8 pixels, not pixels: where noise is less than their step most
# come out as nothing, and the few that do not stand there as blots of one code, half a block wide.
# These answer with half a code in the filter that fits them: below six spreads of this.
BLOT_CODES = 0.1  # of a step, as a spread of answers; twenty frames without dust, our own
BLOCK_PX = 8.0  # side of a JPEG's block (ITU-T T.81, A.1.3)
BLOT_POWER = 4.0  # how fast blots average out in filters wider than a block; our own frames
COARSE_PX = 9.0  # pixels across a shadow from which the field is halved
TILE_PX = 24  # side of the tiles in which the noise is told, in pixels of a level
SECTORS = 8  # in which a shadow must be darker than its surroundings
ROUND = 0.33  # least part of the mean contrast that each sector but one must show; our own choice
CUT_ROUND = 0.6  # the same at the edge of the frame, where a fold shows one end only


@dataclass(frozen=True, slots=True, kw_only=True)
class Coding:
    """How coarsely a file's pixels are coded.

    Attributes
    ----------
    code_share : float
        One step of the file's codes over the light; 0 for finer coding than 8 bits.
    blots : bool
        Whether it is a JPEG.
    block_px : float
        Side of a JPEG's block, in pixels of the field.
    """

    code_share: float = 0.0
    blots: bool = False
    block_px: float = BLOCK_PX

    def least_spread(self, inner_px: float, *, diameter_px: float) -> float:
        """Return the least spread of a filter's answers, a share of the light.

        Parameters
        ----------
        inner_px : float
            Spread of its middle, > 0, in pixels of its level.
        diameter_px : float
            Of the shadow it is made for, in pixels of the field.

        Returns
        -------
        float
            Rounding to whole codes leaves 1/√12 a pixel, and where it does not average out, a
            little at every size; JPEG leaves blots besides.
        """
        spread = least_spread(inner_px)
        if self.blots:
            beyond = float(min(1.0, self.block_px / diameter_px) ** BLOT_POWER)
            spread = max(spread, BLOT_CODES * beyond)
        return self.code_share * spread


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A round place that is darker than its surroundings.

    Attributes
    ----------
    x_px, y_px : float
        Its middle.
    diameter_px : float
        Of the filter that answered most.
    strength : float
        Its answer over the spread of the answers around.
    depth_share : float
        Share of light that a flat disc of this answer would lack.
    """

    x_px: float
    y_px: float
    diameter_px: float
    strength: float
    depth_share: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Level:
    """The answers of one filter.

    Attributes
    ----------
    diameter_px : float
        Of the shadows it answers to.
    step : int
        Pixels of the field along each side of one answer.
    answer : ndarray
        Above 0 where it is darker than around.
    spread : ndarray
        Of the answers around each, without shadows.
    field : ndarray
        The field at this step, less 1.
    """

    diameter_px: float
    step: int
    answer: Field
    spread: Field
    field: Field

    @property
    def strength(self) -> Field:
        """Return the answers over their spread.

        Returns
        -------
        ndarray
            Of float32 [y, x].
        """
        return self.answer / self.spread


def levels(
    field: Field, *, smallest_px: float, largest_px: float, coding: Coding | None = None
) -> Iterator[Level]:
    """Yield the answers to shadows of growing size, each √2 times the one before.

    Parameters
    ----------
    field : ndarray
        Of float32 [y, x] around 1.
    smallest_px, largest_px : float
        Diameters.
    coding : Coding or None
        How coarsely the file is coded. It sets the least spread of answers: where noise is less
        than a step, the spread of most answers is nothing, and the few steps would stand out of
        it without limit.

    Yields
    ------
    Level
        One a size.
    """
    import cv2  # noqa: PLC0415  slow to load for --help

    coded = coding or Coding()
    off = field - np.float32(1.0)
    step, diameter = 1, max(2.0, smallest_px)
    while diameter <= largest_px * 1.01:
        while diameter / step >= COARSE_PX and min(off.shape) >= 4 * TILE_PX:
            height, width = (n // 2 * 2 for n in off.shape)
            halved = cv2.resize(
                off[:height, :width], (width // 2, height // 2), interpolation=cv2.INTER_AREA
            )
            off = np.asarray(halved, np.float32)
            step *= 2
        inner = INNER * diameter / step
        around = cv2.GaussianBlur(off, (0, 0), OUTER * inner)
        answer = around - cv2.GaussianBlur(off, (0, 0), inner)
        yield Level(
            diameter_px=diameter,
            step=step,
            answer=answer,
            spread=np.maximum(
                local_spread(answer, thin=max(1, round(1.5 * inner))),
                np.float32(coded.least_spread(inner, diameter_px=diameter)),
            ),
            field=off,
        )
        diameter *= np.sqrt(2)


def noise_gain(inner_px: float) -> float:
    """Return the spread of a filter's answers to noise of spread 1 that is new in each pixel.

    Parameters
    ----------
    inner_px : float
        Spread σ of its middle, > 0.

    Returns
    -------
    float
        √((1/σi² + 1/σo² − 4/(σi² + σo²)) / 4π), of the difference of two Gaussians.

    Examples
    --------
    >>> round(noise_gain(2.0), 4)
    0.0946
    """
    outer_px = OUTER * inner_px
    share = 1 / inner_px**2 + 1 / outer_px**2 - 4 / (inner_px**2 + outer_px**2)
    return float(np.sqrt(share / (4 * np.pi)))


def least_spread(inner_px: float) -> float:
    """Return the least spread of a filter's answers, over one step of the file's codes.

    Parameters
    ----------
    inner_px : float
        Spread of its middle, > 0.

    Returns
    -------
    float
        Rounding to whole codes leaves 1/√12 a pixel; and where it does not average out, a little
        at every size.
    """
    return float(np.hypot(noise_gain(inner_px) / np.sqrt(12), UNEVEN_CODES))


def local_spread(answer: Field, tile_px: int = TILE_PX, thin: int = 1) -> Field:
    """Return the spread of answers around each place, from medians that shadows do not move.

    Parameters
    ----------
    answer : ndarray
        Of float32 [y, x].
    tile_px : int
        Side of the tiles.
    thin : int
        Answers nearer than this are alike: only one of them is looked at.

    Returns
    -------
    ndarray
        Of float32 [y, x], above 0; in any place at least that of the even half of its surroundings.
    """
    import cv2  # noqa: PLC0415  slow to load for --help

    height, width = answer.shape
    few = answer[::thin, ::thin]
    rows, columns = max(1, height // tile_px), max(1, width // tile_px)
    tall, wide = few.shape[0] // rows, few.shape[1] // columns
    used = few[: rows * tall, : columns * wide]
    tiles = np.abs(used.reshape(rows, tall, columns, wide))
    told = 1.4826 * np.median(tiles.transpose(0, 2, 1, 3).reshape(rows, columns, -1), axis=-1)
    told = told.astype(np.float32)
    if min(rows, columns) >= 3:
        side = 5 if min(rows, columns) >= 6 else 3  # no hair fills half of five by five tiles
        told = np.maximum(cv2.medianBlur(told, side), 0.7 * np.median(told))
    else:
        told = np.full_like(told, np.median(told))
    told = np.maximum(told, 1e-6)
    return np.asarray(cv2.resize(told, (width, height), interpolation=cv2.INTER_LINEAR))


def find_spots(
    answers: list[Level], *, sign: int = 1, threshold: float = STRONG, most: int = 400
) -> tuple[Spot, ...]:
    """Return round spots, strongest first, each once.

    Parameters
    ----------
    answers : list of Level
        From `levels`.
    sign : int
        1 for dark spots, -1 for bright ones.
    threshold : float
        Least strength.
    most : int
        How many at most of one size; more are texture.

    Returns
    -------
    tuple of Spot
        Where two overlap, the stronger.
    """
    found: list[Spot] = []
    for level in answers:
        found += sorted(
            _peaks(level, sign, threshold), key=lambda spot: spot.strength, reverse=True
        )[:most]
    found.sort(key=lambda spot: spot.strength, reverse=True)
    kept: list[Spot] = []
    places = np.empty((0, 3))
    for spot in found:
        mine = np.array([spot.x_px, spot.y_px, spot.diameter_px])
        apart = np.hypot(places[:, 0] - mine[0], places[:, 1] - mine[1])
        if not (apart < 0.6 * np.maximum(places[:, 2], mine[2])).any():
            kept.append(spot)
            places = np.vstack([places, mine])
    return tuple(kept)


def _peaks(level: Level, sign: int, threshold: float) -> Iterator[Spot]:
    xs, ys, strengths = _tops(sign * level.answer, level.spread, threshold)
    radius = level.diameter_px / level.step / 2
    field = level.field if sign > 0 else -level.field
    for x, y, strength in zip(xs, ys, strengths, strict=True):
        if is_round(field, x, y, radius):
            yield Spot(
                x_px=float((x + 0.5) * level.step - 0.5),
                y_px=float((y + 0.5) * level.step - 0.5),
                diameter_px=level.diameter_px,
                strength=float(strength),
                depth_share=float(strength * level.spread[y, x] / GAIN),
            )


def _tops(
    answer: Field, spread: Field, threshold: float
) -> tuple[NDArray[np.intp], NDArray[np.intp], Field]:
    """Return x, y and strength of the places that stand above all within two pixels."""
    ys, xs = np.nonzero(answer > threshold * spread)
    strengths = answer[ys, xs] / spread[ys, xs]
    top = np.ones(len(xs), bool)
    for down in range(-2, 3):
        for across in range(-2, 3):
            if down or across:
                y = np.clip(ys + down, 0, answer.shape[0] - 1)
                x = np.clip(xs + across, 0, answer.shape[1] - 1)
                top &= strengths >= answer[y, x] / spread[y, x]
    return xs[top], ys[top], strengths[top]


def is_round(field: Field, x: int, y: int, radius_px: float) -> bool:
    """Return whether a place is darker than what lies around it on every side.

    Parameters
    ----------
    field : ndarray
        [y, x]; lower is darker.
    x, y : int
        The place.
    radius_px : float
        Of the shadow.

    Returns
    -------
    bool
        False for folds, bands, edges and hairs: along them it stays as dark. One side of eight
        may be dark too, where another shadow lies beside, but not at the edge of the frame, where
        some sides are not seen.
    """
    reach = int(np.ceil(2.2 * radius_px)) + 1
    top, left = max(0, y - reach), max(0, x - reach)
    piece = field[top : y + reach + 1, left : x + reach + 1]
    rows, columns = np.ogrid[0 : piece.shape[0], 0 : piece.shape[1]]
    down, across = rows + top - y, columns + left - x
    away = np.hypot(down, across)
    middle = piece[away <= max(0.5 * radius_px, 1.0)].mean()
    ring = (away >= 1.4 * radius_px) & (away <= 2.2 * radius_px)
    sector = ((np.arctan2(down, across) / np.pi + 1) * SECTORS / 2).astype(int) % SECTORS
    counts = np.bincount(sector[ring], minlength=SECTORS)
    sums = np.bincount(sector[ring], weights=piece[ring], minlength=SECTORS)
    full = counts >= 0.5 * counts.max()
    contrast = np.sort(sums[full] / counts[full] - middle)
    if contrast.size < SECTORS:
        return bool(contrast.size >= 2 and contrast[0] > CUT_ROUND * contrast.mean() > 0)
    return bool(contrast[1] > ROUND * np.median(contrast) > 0)


def in_frame_pixels(spot: Spot, step: int) -> Spot:
    """Return a spot in pixels of the frame, of which the field holds the means.

    Parameters
    ----------
    spot : Spot
        In pixels of the field.
    step : int
        Pixels along each side of one of the field's.

    Returns
    -------
    Spot
        Centres of the frame's pixels at .5.
    """
    return replace(
        spot,
        x_px=(spot.x_px + 0.5) * step,
        y_px=(spot.y_px + 0.5) * step,
        diameter_px=spot.diameter_px * step,
    )
