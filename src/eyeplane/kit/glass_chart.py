"""The printed chart in a frame: its black squares tell the veil place by place.

Places are points (x, y), arrays [y, x].
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError
from eyeplane.imaging import Picture
from eyeplane.kit.chart_design import chart_sheet
from eyeplane.kit.found_sheet import FoundSheet
from eyeplane.kit.glass_curve import DEEP_TOE, ToneCurve
from eyeplane.kit.glass_light import FrameLight, shrunk
from eyeplane.kit.glass_spread import CUT, ROUNDS, kernel_images
from eyeplane.kit.glass_zones import LONG_ZONES, SHORT_ZONES
from eyeplane.kit.sheet_search import find_sheet
from eyeplane.records import Measured
from eyeplane.records.kit_glass import GlassZone
from eyeplane.records.printed import PAPERS_MM, PrintedSheet

Array = NDArray[np.float64]

INK = (0.006, 0.08)  # of the paper's light: glossy photo black to plain paper; from memory
CORE_SHARE = 0.2  # of a square's side, each way from its middle: what is read as ink
PAPER_SHARE = 0.22  # of its side beyond an edge: where paper is read
FEWEST_PX = 12  # small pixels of a core
FEWEST_SQUARES = 6
FIT_PX = 300  # long edge at which light is spread by kernels
NEAR_KERNELS = 5  # those narrow enough to show within a square
FIT_PX = 400  # long edge at which the spread is fitted
BEST_QUANTILE = 0.2  # of the squares' ink over paper: the frame's own, without a smudge
SMUDGE_LOSS = 0.04  # contrast lost against it
BEYOND_LOSS = 0.03  # contrast lost beyond what one law over the whole frame makes of it
SQUARE_SD = 0.012  # of a contrast, between squares of one print under one light; from memory
SAME_INK = 0.9  # of the record's ink over paper: blacker is not the same print or light
INK_SD = 0.0008  # of ink over paper: rounding, JPEG and the camera's black level
# Of the light that a square's middle gets from beyond its edges, the part from farther than a tenth
# of the long edge: least, usual, most of made glass, where half a square is HALF_SHARE.
FAR_PART = (0.17, 0.5, 0.95)
HALF_SHARE = 0.04  # of the long edge: the chart fills the frame
HALF_POWER = 0.6  # how the least falls where squares are smaller; from the same laws


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChartGlass:
    """What the chart tells of the glass.

    Attributes
    ----------
    ratio : Measured
        Light of ink over light of paper beside it, the median of the squares.
    most_share : float
        The most that a veil can be, as a share of the frame's light.
    low_share : float
        The least, were the ink as light as ink can be, and what was added to it a halo mostly.
    over_ratio : float
        Light of the paper over the mean light of the frame.
    least_part : float
        Of what is added to the ink, the least that comes from farther than a tenth of the long
        edge away.
    toe : float
        Power by which a style may have deepened shadows.
    columns, rows : int
        Zones across and down.
    zones : tuple of GlassZone
        Contrast lost against the best squares.
    """

    ratio: Measured
    most_share: float
    low_share: float
    over_ratio: float
    least_part: float
    toe: float
    columns: int
    rows: int
    zones: tuple[GlassZone, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Square:
    """A black square: its place and half its side, shares of the frame and of its long edge."""

    place: tuple[float, float]
    half: float
    ink: float
    paper: float


def read_chart_glass(picture: Picture, light: FrameLight, *, linear: bool) -> ChartGlass | None:
    """Return what the chart in a frame tells of the glass.

    Parameters
    ----------
    picture : Picture
        The frame.
    light : FrameLight
        The same, small.
    linear : bool
        Whether the file holds linear light.

    Returns
    -------
    ChartGlass or None
        None without a chart that can be used.

    Notes
    -----
    The middle of a square gets light from beyond its own edges, so a part of what it shows is halo,
    from nearer than a tenth of the long edge: 13 to 81 % of it by the law of scatter, over which
    the interval reaches.

    References
    ----------
    ISO 9358:1994: veiling glare index, light in a black area over that of the bright field around.
    """
    try:
        found = find_sheet(picture, [chart_sheet(paper) for paper in PAPERS_MM])
    except InputError:
        return None
    squares = _read(found, light, picture.width_px / light.luma.shape[1])
    if len(squares) < FEWEST_SQUARES:
        return None
    curve = ToneCurve(toe=1.0 if linear else DEEP_TOE)
    inks, papers = np.array([(one.ink, one.paper) for one in squares]).T
    ratios = inks / papers
    over = float(np.median(papers)) / max(float(light.luma.mean()), 1e-6)
    deep = float(np.median(curve.light(inks) / curve.light(papers)))
    middle = float(np.median(ratios))
    error_sd = 1.25 * float(ratios.std()) / np.sqrt(len(ratios))  # of a median, roughly normal
    away = 1.645 * float(np.hypot(error_sd, INK_SD))
    ratio = Measured(value=middle, low=max(middle - away, 0.0), high=middle + away)
    half = float(np.median([one.half for one in squares]))
    least = FAR_PART[0] * min(half / HALF_SHARE, 1.0) ** HALF_POWER
    columns, rows = _shape(light)
    return ChartGlass(
        ratio=ratio,
        most_share=_added(max(deep, ratio.high), INK[0]) * over,
        low_share=least * _added(ratio.low, INK[1]) * over,
        over_ratio=over,
        least_part=least,
        toe=curve.toe,
        columns=columns,
        rows=rows,
        zones=_zones(squares, _expected(squares, light), columns, rows),
    )


def more_than_then(chart: ChartGlass, then: Measured) -> Measured | None:
    """Return the veil beyond that of a record of the same print.

    Parameters
    ----------
    chart : ChartGlass
        What is seen now.
    then : Measured
        `ChartGlass.ratio` of the record.

    Returns
    -------
    Measured or None
        Share of the frame's light; None where the squares are blacker now, beyond the errors of
        both and a tenth: another print, another light or style, or a record of veiled glass.
    """
    now = chart.ratio
    away = float(np.hypot((now.high - now.low) / 2, (then.high - then.low) / 2))
    if now.value + away < SAME_INK * then.value:
        return None
    low, more, high = (
        chart.over_ratio * _added(now.value + side * away, then.value) for side in (-1, 0, 1)
    )
    # A style that deepens shadows hides a part of what was added to them.
    deep = chart.over_ratio * _added(now.value ** (1 / chart.toe), then.value ** (1 / chart.toe))
    return Measured(
        value=FAR_PART[1] * more,
        low=chart.least_part * low,
        high=FAR_PART[2] * (max(more, deep) + high - more),
    )


def _added(ratio: float, ink: float) -> float:
    """Return the light added to ink, of paper's: r = ink (1 − v) + v for a veil v."""
    return max(ratio - ink, 0.0) / (1 - ink)


def _read(found: FoundSheet, light: FrameLight, step: float) -> list[_Square]:
    height, width = light.luma.shape
    read = []
    for middle, side, core, paper in _squares(found.sheet):
        ink = _values(light, np.asarray(found.to_px(core)) / step)
        white = _values(light, np.asarray(found.to_px(paper)) / step)
        if ink is None or white is None:
            continue
        ends = middle + np.array([(-side / 2, 0.0), (0.0, 0.0), (side / 2, 0.0)])
        left, (x, y), right = np.asarray(found.to_px(ends)) / step
        half = float(np.hypot(*(right - left))) / 2 / light.long_px
        read.append(_Square((float(x / width), float(y / height)), half, ink, white))
    return read


def _expected(squares: list[_Square], light: FrameLight) -> Array:
    """Return the ink over paper that one ink and one law of spreading make of each square."""
    from scipy.optimize import nnls  # noqa: PLC0415  slow to load for --help

    small = shrunk(light.luma, max(1, round(light.long_px / FIT_PX)))
    images = [*kernel_images(small), np.full_like(small, small.mean())]
    rows, columns = small.shape
    x, y = (np.array([one.place for one in squares]).T * [[columns], [rows]]).astype(int)
    papers = np.array([one.paper for one in squares])
    seen = np.array([one.ink for one in squares]) / papers
    table = np.column_stack([np.ones(len(seen)), *(image[y, x] / papers for image in images)])
    weights, expected = np.ones(len(seen)), seen
    for _ in range(ROUNDS):  # squares behind a smudge follow no law of the whole frame
        parts, _ = nnls(table * weights[:, None], seen * weights)
        expected = table @ parts
        left = seen - expected
        scatter = 1.4826 * float(np.median(np.abs(left - np.median(left)))) + INK_SD
        weights = np.clip(1 - (left / (CUT * scatter)) ** 2, 1e-3, None)
    return np.asarray(expected)


def _shape(light: FrameLight) -> tuple[int, int]:
    height, width = light.luma.shape
    return (LONG_ZONES, SHORT_ZONES) if width >= height else (SHORT_ZONES, LONG_ZONES)


def _squares(sheet: PrintedSheet) -> list[tuple[Array, float, Array, Array]]:
    """Return middle, side, points on ink and points on paper of each square, mm."""
    found = []
    for number in sorted({edge.square for edge in sheet.edges}):
        edges = [edge for edge in sheet.edges if edge.square == number]
        halves = np.array([(np.array(e.from_mm) + np.array(e.to_mm)) / 2 for e in edges])
        middle = halves.mean(axis=0)
        side = 2 * float(np.median(np.hypot(*(halves - middle).T)))
        grid = np.linspace(-CORE_SHARE, CORE_SHARE, 9) * side
        core = middle + np.array([(x, y) for x in grid for y in grid])
        along = np.linspace(-0.25, 0.25, 9)[:, None] * side
        paper = []
        for half, edge in zip(halves, edges, strict=True):
            dark = np.array(edge.dark_mm)
            across = np.array([-dark[1], dark[0]])
            paper.append(half - PAPER_SHARE * side * dark + along * across)
        found.append((middle, side, core, np.concatenate(paper)))
    return found


def _values(light: FrameLight, places: Array) -> float | None:
    """Return the median light at places, None where they are outside or clipped."""
    columns, rows = np.floor(places).astype(int).T
    height, width = light.luma.shape
    if columns.min() < 0 or rows.min() < 0 or columns.max() >= width or rows.max() >= height:
        return None
    if not light.known[rows, columns].all() or len({*zip(rows, columns, strict=True)}) < FEWEST_PX:
        return None
    return float(np.median(light.luma[rows, columns]))


def _zones(
    squares: list[_Square], expected: Array, columns: int, rows: int
) -> tuple[GlassZone, ...]:
    places = np.array([one.place for one in squares])
    ratio = np.array([one.ink / one.paper for one in squares])
    contrast, usual = (1 - ratio) / (1 + ratio), (1 - expected) / (1 + expected)
    best = float(np.quantile(contrast, 1 - BEST_QUANTILE))
    across = np.clip((places[:, 0] * columns).astype(int), 0, columns - 1)
    down = np.clip((places[:, 1] * rows).astype(int), 0, rows - 1)
    zones = []
    for number in range(columns * rows):
        here = down * columns + across == number
        if not here.any():
            zones.append(GlassZone())
            continue
        loss = 1 - float(np.median(contrast[here])) / best
        beyond_usual = 1 - float(np.median(contrast[here] / usual[here]))
        away = 1.645 * SQUARE_SD
        zones.append(
            GlassZone(
                loss_share=Measured(value=loss, low=loss - away, high=loss + away),
                smudged=loss > SMUDGE_LOSS and beyond_usual > BEYOND_LOSS,
            )
        )
    return tuple(zones)
