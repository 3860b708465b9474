"""A ladder shot at a printed chart: nothing in the frame moves but by the camera."""

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from eyeplane.errors import EyeplaneError, InputError
from eyeplane.imaging import Picture, open_picture
from eyeplane.kit.chart_design import chart_sheet
from eyeplane.kit.chart_edges import chart_edges
from eyeplane.kit.fiducials import unread_squares
from eyeplane.kit.sheet_search import find_sheet, small_luma
from eyeplane.kit.sheet_trouble import Limits as SheetLimits
from eyeplane.measure.slanted import EdgeResponse
from eyeplane.optics import airy_mtf, pixel_mtf
from eyeplane.optics.kit_blur import WAVELENGTH_UM
from eyeplane.people.hands import HAND
from eyeplane.people.learned import Z90
from eyeplane.records import FrameReading, MeasureSettings, SittingFrame
from eyeplane.records.ladder import LadderResult
from eyeplane.records.printed import PAPERS_MM, PrintedSheet
from eyeplane.sitting.ladder import result_of
from eyeplane.sitting.ladder_asked import SHOOT, LadderAsked, check_alike, no_frames_left
from eyeplane.sitting.ladder_edges import (
    EdgeMotion,
    Edges,
    box_px2,
    motion_at_edges,
    reference_frames,
)
from eyeplane.sitting.ladder_outcomes import FLASH, FOCUS, NO_TIME, UNREADABLE, Outcome
from eyeplane.sitting.ladder_trials import shake_parts
from eyeplane.sitting.ladder_units import Limits, Units, limit_deg, limits_of

SQUARES = 7  # of the chart, those nearest its middle: more take time and tell little more
LINE_OVER_DISC = 0.603355 / 0.70508  # widths of equal frequency at half contrast
TOO_FEW = "too few edges of the chart can be read"
CHART = "the chart cannot be used"
TOO_SOFT = "the chart is too soft to be read"
SEARCHED_PX, FEWEST_SQUARES = 1600, 8  # as the search for sheets itself tells a soft chart


def chart_ladder(
    frames: Sequence[SittingFrame], asked: LadderAsked, *, settings: MeasureSettings
) -> LadderResult:
    """Return what a ladder of a printed chart tells of the hand.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time; nobody is in them.
    asked : LadderAsked
        Prints, viewer, share, labels.
    settings : MeasureSettings
        For reading the frames.

    Returns
    -------
    LadderResult
        With the one part "shake".

    Raises
    ------
    InputError
        If the frames are not one ladder, show no chart, or all are soft alike.

    Notes
    -----
    Each edge is held against itself in the sharpest quarter of the frames, so that glass, pixel
    and sharpening drop out; what is left is a line, told apart from missed focus by its direction
    (`ladder_edges`). That the sharpest frames are sharp is checked against an ideal lens of the
    same aperture, or by a shutter time at which no usual hand draws a line.
    """
    where = asked.name or "ladder"
    readable = [f.reading for f in frames if f.reading.status != "unreadable"]
    check_alike(readable, where=where)
    limits = limits_of(readable[0], asked, where=where)
    read = [_read(frame.reading, settings) for frame in frames]
    whys = [why for _, why in read]
    if all(whys):
        raise _nothing(whys, where=where)
    edges = [found for found, _ in read]
    usable = [n for n, why in enumerate(whys) if not why]
    first = [usable[k] for k in reference_frames([edges[n] for n in usable])]
    if not first:
        raise _nothing([TOO_FEW] * len(usable), where=where)
    _check_sharp(frames, edges, first, (limits, where))
    outcomes = [
        _unread(n, whys[n])
        if whys[n]
        else _outcome(n, motion_at_edges(edges[n], [edges[k] for k in first]), limits)
        for n in range(len(frames))
    ]
    if all(one.verdict == "left out" for one in outcomes):
        raise no_frames_left([one.why for one in outcomes], where=where)
    units = Units(limit_deg=limit_deg(readable[0], limits), limit_mm=None)
    parts = shake_parts(frames, outcomes, units, asked)
    return result_of(frames, outcomes, parts, asked, ("chart", limits, units))


def _read(reading: FrameReading, settings: MeasureSettings) -> tuple[Edges, str]:
    """Return the edges of one frame, or why it says nothing."""
    if reading.status == "unreadable":
        return {}, UNREADABLE
    if not reading.exposure.exposure_time_s:
        return {}, NO_TIME
    if reading.exposure.flash_fired:
        return {}, FLASH
    try:
        picture = open_picture(Path(reading.path), settings=settings)
    except EyeplaneError:
        return {}, UNREADABLE
    try:
        return _edges_of(picture), ""
    except InputError as error:
        squares = unread_squares(small_luma(picture, SEARCHED_PX))
        return {}, TOO_SOFT if len(squares) >= FEWEST_SQUARES else f"{CHART}: {error.what}"


def _edges_of(picture: Picture) -> Edges:
    sheets = [chart_sheet(paper) for paper in PAPERS_MM]
    found = find_sheet(picture, sheets, limits=SheetLimits(whole=False))
    exif, pitch = picture.exposure, picture.pitch_um
    airy_px = WAVELENGTH_UM * exif.f_number / pitch.value if exif.f_number and pitch else 0.0
    edges, _ = chart_edges(picture, _middle_of(found.sheet), found.to_px, airy_px=airy_px)
    return {
        (edge.square, round(edge.response.angle_deg / 90.0) % 4): edge.response
        for edge in edges
        if not edge.response.clipped
    }


def _middle_of(sheet: PrintedSheet) -> PrintedSheet:
    """Return a sheet with the edges of its middle squares only."""
    away: dict[int, float] = {}
    for edge in sheet.edges:
        x, y = ((a + b) / 2 for a, b in zip(edge.from_mm, edge.to_mm, strict=True))
        off = math.hypot(x - sheet.width_mm / 2, y - sheet.height_mm / 2)
        away[edge.square] = min(off, away.get(edge.square, math.inf))
    near = sorted(away, key=lambda square: (round(away[square], 3), square))[:SQUARES]
    return replace(sheet, edges=tuple(e for e in sheet.edges if e.square in near))


def _unread(number: int, why: str) -> Outcome:
    """Return what a frame says whose edges were not read: where others were, shake hid them."""
    if why == TOO_SOFT:
        return Outcome(number=number, verdict="shake", shake_chance=1.0)
    return Outcome(number=number, verdict="left out", why=why)


def _outcome(number: int, motion: EdgeMotion | None, limits: Limits) -> Outcome:
    if motion is None:
        return Outcome(number=number, verdict="left out", why=TOO_FEW)
    if motion.line_px.value > limits.line_px:
        return Outcome(number=number, verdict="shake", line_px=motion.line_px, shake_chance=1.0)
    if motion.round_px > limits.disc_px * LINE_OVER_DISC:
        return Outcome(number=number, verdict="left out", why=FOCUS, line_px=motion.line_px)
    return Outcome(number=number, verdict="holds", line_px=motion.line_px)


def _check_sharp(
    frames: Sequence[SittingFrame],
    edges: Sequence[Edges],
    first: Sequence[int],
    told: tuple[Limits, str],
) -> None:
    """Refuse a ladder whose sharpest frames may be shaken themselves."""
    limits, where = told
    turn = limit_deg(frames[first[0]].reading, limits)
    fast = HAND.median_deg_per_s * math.exp(Z90 * HAND.log_sd)
    times = [frames[n].reading.exposure.exposure_time_s or math.inf for n in first]
    if turn is not None and max(times) <= turn / fast:
        return
    ideal = [_against_ideal(frames[n].reading, edges[n]) for n in first]
    if float(np.median(ideal)) > limits.line_px:
        raise InputError(
            "even the sharpest of these frames are softer than the print takes, so that shake "
            "cannot be told from missed focus or soft glass",
            where=where,
            hint="Focus with care, start the ladder at 1/1000 s or faster, or ask for a smaller "
            "print with --print-cm",
        )


def _against_ideal(reading: FrameReading, edges: Edges) -> float:
    """Return the line, px, that would blur an ideal lens as much, at the middle of its edges."""
    exif, pitch = reading.exposure, reading.pitch_um
    airy_px = WAVELENGTH_UM * exif.f_number / pitch.value if exif.f_number and pitch else 0.0

    def ideal(edge: EdgeResponse) -> EdgeResponse:
        mtf = pixel_mtf(edge.frequency_per_px)
        if airy_px > 0:
            mtf = mtf * airy_mtf(edge.frequency_per_px, airy_px=airy_px)
        return replace(edge, mtf=np.asarray(mtf, dtype=np.float64))

    squares = [box_px2(edge, [ideal(edge)]) for edge in edges.values()]
    told = [math.sqrt(max(one, 0.0)) for one in squares if one is not None]
    return float(np.median(told)) if told else math.inf


def _nothing(whys: Sequence[str], *, where: str) -> InputError:
    if any(why not in (UNREADABLE, NO_TIME, FLASH) for why in whys):
        reason = next(why for why in whys if why not in (UNREADABLE, NO_TIME, FLASH))
        return InputError(
            f"no face was found in these {len(whys)} frames, nor a chart of use ({reason})",
            where=where,
            hint=f"{SHOOT}; have one sitter in it, or the whole chart of eyeplane kit print chart",
        )
    return no_frames_left(whys, where=where)
