"""`read_chart`: from frames of our printed chart to the sharpness of a kit."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from eyeplane.errors import FrameError, InputError
from eyeplane.imaging import Picture, open_picture
from eyeplane.kit.chart_design import chart_sheet
from eyeplane.kit.chart_edges import ChartEdge, chart_edges
from eyeplane.kit.chart_faults import faults_of
from eyeplane.kit.chart_frame import SeenFrame, exposure_of, is_sharpened, shake_of
from eyeplane.kit.chart_glass import PRINT_EDGE_MM, glass_of, two_numbers
from eyeplane.kit.chart_notes import chart_notes, frame_trouble
from eyeplane.kit.chart_sharpest import sharpest
from eyeplane.kit.chart_zones import measured, places_of, refocused, zone_half
from eyeplane.kit.found_sheet import FoundSheet
from eyeplane.kit.sheet_search import find_sheet
from eyeplane.optics.kit_blur import WAVELENGTH_UM
from eyeplane.records import Exposure, Measured, MeasureSettings
from eyeplane.records.kit_chart import ChartAperture, ChartFault, ChartFrame, ChartResult
from eyeplane.records.printed import PAPERS_MM, PrintedSheet

FEWEST_EDGES = 24  # of 96: a quarter; fewer tell nothing of the field
SAME_FOCAL_SHARE = 0.03  # by which focal lengths of one zoom setting may differ, as EXIF rounds


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartAsked:
    """What a chart is read for.

    Attributes
    ----------
    paper : str or None
        What it is printed on; None: as its fiducials tell.
    ruler_mm : float or None
        How long the ruler on the print is; None: as long as it says.
    settings : MeasureSettings
        For the pixel limit and the kit table.
    """

    paper: str | None = None
    ruler_mm: float | None = None
    settings: MeasureSettings = field(default_factory=MeasureSettings)


@dataclass(slots=True, kw_only=True, eq=False)
class _Read:
    """Frames as they are read one by one; only what is needed of each is kept."""

    asked: ChartAsked
    frames: list[SeenFrame] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)
    refused: list[InputError] = field(default_factory=list)
    sheets: list[FoundSheet] = field(default_factory=list)
    pitches_um: list[float | None] = field(default_factory=list)
    crude: bool = False  # whether a frame is coarsely compressed

    def take(self, path: Path) -> None:
        try:
            picture = open_picture(path, settings=self.asked.settings)
        except FrameError as error:
            self.left_out.append(f"{path.name}: {error.what}.")
            return
        try:
            self._read(picture)
        except InputError as error:
            self.refused.append(error)
            self.left_out.append(f"{path.name}: {error.what}. {error.hint}.")

    def _read(self, picture: Picture) -> None:
        found = find_sheet(picture, _sheets(self.asked.paper), ruler_scale=_ruler(self.asked))
        pitch_um = None if picture.pitch_um is None else picture.pitch_um.value
        frame = seen_frame(picture, found, pitch_um=pitch_um)
        self.crude |= _is_crude(picture)
        self.frames.append(frame)
        self.sheets.append(found)
        self.pitches_um.append(pitch_um)


def read_chart(
    paths: Sequence[Path],
    asked: ChartAsked | None = None,
    *,
    progress: Callable[[int, int], None] | None = None,
) -> ChartResult:
    """Return the sharpness of a kit from frames of our printed chart.

    Parameters
    ----------
    paths : sequence of Path
        Frames of one chart by one body with one lens at one focal length, at one or more
        apertures; two or three at each, focused anew.
    asked : ChartAsked or None
        Paper and ruler; None: as the chart tells.
    progress : callable or None
        Hears how many frames are done, of how many.

    Returns
    -------
    ChartResult
        Frames that cannot be read are named in it and left out.

    Raises
    ------
    InputError
        If no frame can be read, with the reason; or if kits or focal lengths are mixed.

    Notes
    -----
    Edges are read as in `eyeplane.measure.slanted.edge_response`. Of several frames at one aperture
    the best counts at each place, since focus differs from frame to frame.
    """
    asked = asked or ChartAsked()
    if not paths:
        raise InputError("there are no frames", where="chart", hint="Give frames of the chart")
    read = _Read(asked=asked)
    for number, path in enumerate(paths):
        if progress is not None:
            progress(number, len(paths))
        read.take(path)
    if progress is not None:
        progress(len(paths), len(paths))
    _check_some(read)
    _check_one_kit(read.frames)
    return _result(read)


def seen_frame(picture: Picture, found: FoundSheet, *, pitch_um: float | None) -> SeenFrame:
    """Return one frame of the chart, read.

    Parameters
    ----------
    picture : Picture
        The frame.
    found : FoundSheet
        Where the chart is on it.
    pitch_um : float or None
        Distance of pixel centres.

    Returns
    -------
    SeenFrame
        With its edges.

    Raises
    ------
    InputError
        If it is exposed wrongly, or too few edges can be read.
    """
    f_number = picture.exposure.f_number
    airy_px = WAVELENGTH_UM * f_number / pitch_um if f_number and pitch_um else 0.0
    every, refused = chart_edges(picture, found.sheet, found.to_px, airy_px=airy_px)
    edges = tuple(edge for edge in every if not edge.response.clipped)
    exposure = exposure_of(every) if every else "right"
    frame_trouble(picture.path, exposure, (len(edges), FEWEST_EDGES), refused)
    tilts = None
    if found.tilt_deg is not None and found.turn_deg is not None:
        tilts = (found.tilt_deg, found.turn_deg)
    length, upright = shake_of(edges)
    name = Path(picture.path).name
    return SeenFrame(
        name=name,
        exposure=picture.exposure,
        width_px=picture.width_px,
        height_px=picture.height_px,
        scale_px_per_mm=found.scale_px_per_mm,
        tilts_deg=tilts,
        middles_mm=_middles_mm(found.sheet),
        airy_px=airy_px,
        edges=edges,
        told=ChartFrame(
            name=name,
            f_number=f_number,
            tilt_deg=None if tilts is None else math.hypot(*(t.value for t in tilts)),
            scale_px_per_mm=found.scale_px_per_mm,
            edges=len(edges),
            exposure=exposure,
            shake_px=length,
            shake_upright=upright,
            sharpened=is_sharpened(_middle(edges, picture), airy_px=airy_px),
        ),
    )


def _middle(edges: Sequence[ChartEdge], picture: Picture) -> list[ChartEdge]:
    """Return the edges of the frame's inner half: there glass hides a camera's work least."""
    inner = [
        edge
        for edge in edges
        if abs(edge.x_px / picture.width_px - 0.5) < 0.3
        and abs(edge.y_px / picture.height_px - 0.5) < 0.3
    ]
    return inner or list(edges)


def _middles_mm(sheet: PrintedSheet) -> dict[int, tuple[float, float]]:
    middles = {}
    for square in {edge.square for edge in sheet.edges}:
        ends = [end for e in sheet.edges if e.square == square for end in (e.from_mm, e.to_mm)]
        x, y = np.mean(np.array(ends), axis=0)
        middles[square] = (float(x), float(y))
    return middles


def _sheets(paper: str | None) -> list[PrintedSheet]:
    return [chart_sheet(one) for one in ([paper] if paper else PAPERS_MM)]


def _ruler(asked: ChartAsked) -> float:
    """Return how much larger the print is than it should be."""
    if asked.ruler_mm is None:
        return 1.0
    sheet = chart_sheet(asked.paper or "A4")
    (x0, y0), (x1, y1) = sheet.ruler_mm
    scale = asked.ruler_mm / float(np.hypot(x1 - x0, y1 - y0))
    if not 0.5 < scale < 2.0:
        raise InputError(
            f"a ruler of {asked.ruler_mm:g} mm cannot be that of the chart on {sheet.paper}",
            where="--ruler-mm",
            hint=f"Measure the line that says it is {np.hypot(x1 - x0, y1 - y0):.0f} mm long; "
            "say --paper if the chart is not on A4",
        )
    return scale


def _is_crude(picture: Picture) -> bool:
    """Return whether a JPEG is compressed so that its edges may have suffered."""
    table = picture.quantization
    return table is not None and float(np.mean(table[:4, :4])) > 12.0  # quality 80 or below


def _check_some(read: _Read) -> None:
    if read.frames:
        return
    if read.refused:
        raise read.refused[0]
    raise InputError(
        "not one frame could be read", where="chart", hint=f"The first: {read.left_out[0]}"
    )


def _kit(exposure: Exposure) -> str:
    if exposure.body and exposure.lens:
        return f"{exposure.body} with {exposure.lens}"
    return exposure.body or exposure.lens or ""


def _check_one_kit(frames: Sequence[SeenFrame]) -> None:
    kits = {_kit(frame.exposure): frame.name for frame in frames}
    sizes = {frozenset((frame.width_px, frame.height_px)): frame.name for frame in frames}
    lengths = sorted({frame.exposure.focal_length_mm or 0.0 for frame in frames} - {0.0})
    hint = "Check one kit at a time: body, lens and focal length alike"
    if len(kits) > 1:
        (one, first), (other, second) = list(kits.items())[:2]
        said = (
            f"{first} is from {one or 'an unnamed kit'}, {second} from {other or 'an unnamed kit'}"
        )
        raise InputError(f"frames of two kits are mixed: {said}", where="chart", hint=hint)
    if len(sizes) > 1:
        first, second = list(sizes.values())[:2]
        raise InputError(
            f"{first} and {second} have different numbers of pixels", where="chart", hint=hint
        )
    if lengths and lengths[-1] > lengths[0] * (1 + SAME_FOCAL_SHARE):
        raise InputError(
            f"focal lengths are mixed: {lengths[0]:g} mm and {lengths[-1]:g} mm",
            where="chart",
            hint=hint,
        )


def _groups(
    frames: Sequence[SeenFrame], *, every: bool = False
) -> Iterator[tuple[float | None, list[SeenFrame]]]:
    """Yield frames by aperture, widest first; shaken ones, unless asked, only if all are."""
    known = sorted({f.exposure.f_number for f in frames if f.exposure.f_number})
    for f_number in (*known, None):
        of_it = [f for f in frames if (f.exposure.f_number or None) == f_number]
        if of_it:
            still = [f for f in of_it if not f.told.shake_px]
            yield f_number, of_it if every or not still else still


def _result(read: _Read) -> ChartResult:
    first = read.frames[0]
    known = [p for p in read.pitches_um if p is not None]
    pitch_um = float(np.median(known)) if known else None
    apertures: list[ChartAperture] = []
    faults: list[ChartFault] = []
    curved: list[bool] = []
    for f_number, frames in _groups(read.frames):
        ratio, bent = refocused(frames)
        apertures.append(_aperture(f_number, frames, pitch_um, ratio))
        curved += [] if bent is None else [bent]
        if not apertures[-1].shaken:
            faults += faults_of(places_of(frames), frames, f_number=f_number, pitch_um=pitch_um)
    scale = float(np.median([frame.scale_px_per_mm for frame in read.frames]))
    print_um = None if pitch_um is None else PRINT_EDGE_MM * scale * pitch_um
    numbers = two_numbers(_with_print(read.frames, apertures, pitch_um), print_um=print_um or 0.0)
    middle, corners = sharpest(apertures, "middle"), sharpest(apertures, "corner")
    result = ChartResult(
        kit=_kit(first.exposure),
        paper=read.sheets[0].sheet.paper,
        focal_length_mm=first.exposure.focal_length_mm,
        width_px=first.width_px,
        height_px=first.height_px,
        pitch_um=pitch_um,
        frames=tuple(
            frame.told for _, frames in _groups(read.frames, every=True) for frame in frames
        ),
        left_out=tuple(read.left_out),
        apertures=tuple(apertures),
        sharpest_f_number=middle[0],
        sharpest_among=middle[1],
        corners_f_number=corners[0],
        corners_among=corners[1],
        faults=tuple(faults),
        field_curved=any(curved) if curved else None,
        glass_best_um=numbers[0] if numbers else None,
        glass_wide_um=numbers[1] if numbers else None,
        glass_widest_f_number=numbers[2] if numbers else None,
        print_um=print_um,
        notes=(),
    )
    return chart_notes(result, crude=read.crude, papers={f.sheet.paper for f in read.sheets})


def _with_print(
    frames: Sequence[SeenFrame], apertures: Sequence[ChartAperture], pitch_um: float | None
) -> list[tuple[float, Measured]]:
    """Return the glass in the middle at each aperture that tells it, the print's edges left in."""
    trusted = {a.f_number for a in apertures if not (a.sharpened or a.shaken)}
    told = []
    for f_number, of_it in _groups(frames):
        if f_number is None or f_number not in trusted:
            continue
        half = zone_half(places_of(of_it), "middle")
        scale = float(np.median([frame.scale_px_per_mm for frame in of_it]))
        glass = glass_of(
            half, f_number=f_number, pitch_um=pitch_um, scale_px_per_mm=scale, print_edge_mm=0.0
        )
        told += [] if glass is None else [(f_number, glass)]
    return told


def _aperture(
    f_number: float | None,
    frames: Sequence[SeenFrame],
    pitch_um: float | None,
    refocused_ratio: float | None,
) -> ChartAperture:
    places = places_of(frames)
    middle, corner = zone_half(places, "middle"), zone_half(places, "corner")
    scale = float(np.median([frame.scale_px_per_mm for frame in frames]))
    sharpened = any(frame.told.sharpened for frame in frames)
    shaken = all(frame.told.shake_px > 0 for frame in frames)
    short = min(frames[0].width_px, frames[0].height_px)
    per_mm = None if pitch_um is None else 1000.0 / pitch_um
    glass: list[Measured | None] = [None, None]
    if not (sharpened or shaken):
        glass = [
            glass_of(half, f_number=f_number, pitch_um=pitch_um, scale_px_per_mm=scale)
            for half in (middle, corner)
        ]
    told = [
        None if half is None or factor is None else measured(half, factor)
        for factor in (1.0, per_mm, float(short))
        for half in (middle, corner)
    ]
    return ChartAperture(
        f_number=f_number,
        frames=tuple(frame.name for frame in frames),
        middle_per_px=told[0],
        corner_per_px=told[1],
        middle_per_mm=told[2],
        corner_per_mm=told[3],
        middle_per_height=told[4],
        corner_per_height=told[5],
        glass_um=glass[0],
        glass_corner_um=glass[1],
        refocused_ratio=refocused_ratio,
        sharpened=sharpened,
        shaken=shaken,
        places=tuple(place for place, _ in places),
    )
