"""The printed chart in a frame: its black squares tell the veil place by place.

Places are points (x, y), arrays [y, x].
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError
from eyeplane.imaging import Picture
from eyeplane.kit.chart_design import chart_sheet
from eyeplane.kit.glass_curve import DEEP_TOE, ToneCurve
from eyeplane.kit.glass_light import FrameLight
from eyeplane.kit.glass_zones import LONG_ZONES, SHORT_ZONES
from eyeplane.kit.sheet_search import find_sheet
from eyeplane.records import Measured
from eyeplane.records.kit_glass import GlassZone
from eyeplane.records.printed import PAPERS_MM, PrintedSheet

Array = NDArray[np.float64]

INK = (0.006, 0.05)  # of the paper's light: glossy photo black to plain paper; from memory
CORE_SHARE = 0.2  # of a square's side, each way from its middle: what is read as ink
PAPER_SHARE = 0.22  # of its side beyond an edge: where paper is read
FEWEST_PX = 12  # small pixels of a core
BEST_QUANTILE = 0.2  # of the squares' ink over paper: the frame's own, without a smudge
SMUDGE_LOSS = 0.04  # contrast lost against it
SQUARE_SD = 0.012  # of a contrast, between squares of one print under one light; from memory


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
        The least, were the ink as light as ink can be.
    columns, rows : int
        Zones across and down.
    zones : tuple of GlassZone
        Contrast lost against the best squares.
    """

    ratio: Measured
    most_share: float
    low_share: float
    columns: int
    rows: int
    zones: tuple[GlassZone, ...]


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

    References
    ----------
    ISO 9358:1994: veiling glare index, light in a black area over that of the bright field around.
    """
    try:
        found = find_sheet(picture, [chart_sheet(paper) for paper in PAPERS_MM])
    except InputError:
        return None
    step = picture.width_px / light.luma.shape[1]
    curve = ToneCurve(toe=1.0 if linear else DEEP_TOE)
    places, ratios, deep, papers = [], [], [], []
    for middle, core, paper in _squares(found.sheet):
        ink = _values(light, np.asarray(found.to_px(core)) / step)
        white = _values(light, np.asarray(found.to_px(paper)) / step)
        if ink is None or white is None:
            continue
        at = np.asarray(found.to_px(np.array([middle])))[0] / step
        places.append((at[0] / light.luma.shape[1], at[1] / light.luma.shape[0]))
        ratios.append(ink / white)
        papers.append(white)
        deep.append(float(curve.light(np.array(ink)) / curve.light(np.array(white))))
    if len(ratios) < 6:
        return None
    ratio = np.array(ratios)
    over = float(np.median(papers)) / max(float(light.luma.mean()), 1e-6)
    low, high = np.quantile(ratio, [0.05, 0.95])
    middle_ratio = float(np.median(ratio))
    columns, rows = _shape(light)
    return ChartGlass(
        ratio=Measured(value=middle_ratio, low=float(low), high=float(high)),
        most_share=max(float(np.median(deep)) - INK[0], 0.0) * over,
        low_share=max(middle_ratio - INK[1], 0.0) * over,
        columns=columns,
        rows=rows,
        zones=_zones(np.array(places), ratio, columns, rows),
    )


def _shape(light: FrameLight) -> tuple[int, int]:
    height, width = light.luma.shape
    return (LONG_ZONES, SHORT_ZONES) if width >= height else (SHORT_ZONES, LONG_ZONES)


def _squares(sheet: PrintedSheet) -> list[tuple[tuple[float, float], Array, Array]]:
    """Return middle, points on ink and points on paper of each square, mm."""
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
        found.append(((float(middle[0]), float(middle[1])), core, np.concatenate(paper)))
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


def _zones(places: Array, ratio: Array, columns: int, rows: int) -> tuple[GlassZone, ...]:
    contrast = (1 - ratio) / (1 + ratio)
    best = float(np.quantile(contrast, 1 - BEST_QUANTILE))
    across = np.clip((places[:, 0] * columns).astype(int), 0, columns - 1)
    down = np.clip((places[:, 1] * rows).astype(int), 0, rows - 1)
    zones = []
    for number in range(columns * rows):
        here = contrast[down * columns + across == number]
        if not len(here):
            zones.append(GlassZone())
            continue
        loss = 1 - float(np.median(here)) / best
        away = 1.645 * SQUARE_SD
        zones.append(
            GlassZone(
                loss_share=Measured(value=loss, low=loss - away, high=loss + away),
                smudged=loss - away > 0 and loss > SMUDGE_LOSS,
            )
        )
    return tuple(zones)
