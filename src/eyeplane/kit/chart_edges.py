"""Every edge of the chart in one frame: cut out, read, and set beside what no lens can beat.

Points are (x, y) px of the upright frame with pixel centres at .5; arrays are [y, x].
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError
from eyeplane.imaging import Picture
from eyeplane.measure.slanted import EdgeResponse, edge_response
from eyeplane.optics import airy_mtf
from eyeplane.records.printed import PrintedEdge, PrintedSheet

FloatArray = NDArray[np.float64]
ToPx = Callable[[FloatArray], FloatArray]

SIDE_TO_USED = 1.25  # a square's side over the usable length of its edges: a tenth off each end
CLEAR_SHARE = 0.21  # of a square's side: nothing else is printed as near, nor does the paper end
FIRST_REACH_PX, MOST_REACH_PX = 26.0, 90.0  # half the piece's width: at first, and for soft edges
MOST_LENGTH_PX = 220.0  # of an edge: more only takes time
LEAST_SQUARE_PX = 24.0  # side of a square that is read; an edge is then 19 px long
SIDEWAYS_DEG = 45.0  # an edge whose normal lies within this of the horizontal shows sideways detail
_RING = ((-1, -1), (1, -1), (1, 1), (-1, 1))
RADIAL_DEG = 30.0  # within this of the line to the frame's middle an edge shows radial detail


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChartEdge:
    """One edge in one frame.

    Attributes
    ----------
    square : int
        Number of its square.
    x_px, y_px : float
        Its middle.
    response : EdgeResponse
        Its contrast.
    """

    square: int
    x_px: float
    y_px: float
    response: EdgeResponse

    @property
    def sideways(self) -> bool:
        """Return whether it shows detail that varies from left to right.

        Returns
        -------
        bool
            Else up and down.
        """
        off = abs(self.response.angle_deg)
        return min(off, 180.0 - off) < SIDEWAYS_DEG

    def towards(self, width_px: int, height_px: int) -> str:
        """Return whether it shows detail towards the frame's middle or across that.

        Parameters
        ----------
        width_px, height_px : int
            Of the frame.

        Returns
        -------
        str
            "radial", "tangential", or "" where it stands between the two.
        """
        out = np.arctan2(-(self.y_px - height_px / 2), self.x_px - width_px / 2)
        off = abs(np.degrees(out) - self.response.angle_deg) % 180.0
        off = min(off, 180.0 - off)
        return "radial" if off < RADIAL_DEG else "tangential" if off > 90 - RADIAL_DEG else ""


def chart_edges(
    picture: Picture, sheet: PrintedSheet, to_px: ToPx, *, airy_px: float
) -> tuple[tuple[ChartEdge, ...], tuple[str, ...]]:
    """Return all edges of a chart that can be read in a frame.

    Parameters
    ----------
    picture : Picture
        The frame.
    sheet : PrintedSheet
        The chart on it.
    to_px : callable
        From points in mm on the paper, (n, 2), to px of the frame.
    airy_px : float
        Wavelength times f-number in px; 0 if not known.

    Returns
    -------
    tuple of (tuple of ChartEdge, tuple of str)
        The edges, and why others could not be read.

    Raises
    ------
    InputError
        If the squares are too small in the frame.
    """
    edges, refused = [], []
    for edge in sheet.edges:
        ends = to_px(np.array([edge.from_mm, edge.to_mm]))
        length = float(np.hypot(*(ends[1] - ends[0])))
        if length * SIDE_TO_USED < LEAST_SQUARE_PX:
            raise InputError(
                f"a square of the chart is only {length * SIDE_TO_USED:.0f} px wide",
                where=picture.path,
                hint="Come nearer, so that the chart fills the frame",
            )
        try:
            edges.append(_one(picture, edge, to_px, airy_px))
        except InputError as error:
            refused.append(error.what)
    return tuple(edges), tuple(refused)


def _one(picture: Picture, edge: PrintedEdge, to_px: ToPx, airy_px: float) -> ChartEdge:
    start, end = np.array(edge.from_mm), np.array(edge.to_mm)
    dark, middle = np.array(edge.dark_mm), (start + end) / 2
    length_mm = float(np.hypot(*(end - start)))
    ends = to_px(np.array([start, end]))
    px_per_mm = float(np.hypot(*(ends[1] - ends[0]))) / length_mm
    along = (end - start) / 2 * min(1.0, MOST_LENGTH_PX / (length_mm * px_per_mm))
    clear_mm = CLEAR_SHARE * SIDE_TO_USED * length_mm

    def within(reach_px: float) -> EdgeResponse:
        across = dark * min(clear_mm, reach_px / px_per_mm)
        ring = np.array([middle + s * along + t * across for s, t in _RING])
        return _response(picture, to_px(ring), airy_px)

    try:
        response = within(FIRST_REACH_PX)
    except InputError:
        if clear_mm * px_per_mm <= FIRST_REACH_PX:
            raise
        response = within(MOST_REACH_PX)
    place = to_px(middle[None])[0]
    return ChartEdge(
        square=edge.square, x_px=float(place[0]), y_px=float(place[1]), response=response
    )


def _response(picture: Picture, corners: FloatArray, airy_px: float) -> EdgeResponse:
    left, top = (int(v) - 1 for v in np.floor(corners.min(axis=0)))
    right, bottom = (int(v) + 1 for v in np.ceil(corners.max(axis=0)))
    if left < 0 or top < 0 or right > picture.width_px or bottom > picture.height_px:
        raise InputError("an edge lies outside the frame", where=picture.path, hint="Move back")
    window = picture.luma_window(left, top, right - left, bottom - top)
    return edge_response(
        window.luma,
        corners_px=corners - (window.x_px, window.y_px),
        clipped=window.clipped,
        airy_px=airy_px,
    )


def limit_mtf(response: EdgeResponse, *, airy_px: float) -> FloatArray:
    """Return the contrast that no lens before square pixels can beat, across one edge.

    Parameters
    ----------
    response : EdgeResponse
        Of the edge, for its direction.
    airy_px : float
        Wavelength times f-number in px; 0 if not known, then the pixel's alone.

    Returns
    -------
    ndarray
        At the frequencies of the response: the pixel's area times the perfect lens.

    References
    ----------
    J. W. Goodman, Introduction to Fourier Optics (transfer of a round pupil, from memory).
    """
    f, a = response.frequency_per_px, np.radians(response.angle_deg)
    pixel = np.sinc(f * np.cos(a)) * np.sinc(f * np.sin(a))
    return np.asarray(np.abs(pixel) * airy_mtf(f, airy_px=airy_px))
