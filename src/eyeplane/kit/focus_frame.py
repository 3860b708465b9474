"""One frame of the focus target: where its sharpest plane lies, seen from the field."""

import statistics
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import EyeplaneError, InputError
from eyeplane.imaging import Picture
from eyeplane.kit.fiducials import NUMBERS, find_marks
from eyeplane.kit.focus_curve import EDGE_PER_DISC, BlurCurve, BlurredEdges, fit_curve
from eyeplane.kit.focus_design import FIELD_CLEAR_MM, RULER_MM, WING_CLEAR_MM, focus_sheet
from eyeplane.kit.focus_edges import EdgeBlurs, EdgeLines, edge_blurs
from eyeplane.kit.focus_layout import FocusLayout, focus_layout
from eyeplane.kit.focus_pose import TargetPose, check_pose, target_pose
from eyeplane.optics import depth_of_field_mm
from eyeplane.records import Exposure, Measured
from eyeplane.records.kit_focus import FocusPoint, TargetFrame
from eyeplane.records.printed import PrintedSheet

Array = NDArray[np.float64]

CIRCLE_PER_DIAGONAL = 1 / 1500  # blur circle of the depth of field: common practice, no source
Z90 = 1.6449
DRAWS = 60  # of what is left open of the pose
PLACE_SHARE = 0.01  # of an offset: paper that is not quite flat, wings not quite straight; sd
PLACE_MM = 0.25  # the same of the field itself; sd, no source
SLOPES = (0.7, 1.4)  # of the blur's growth against the optics: outside something is entered wrong
MOVED_RATIO = 1.6  # blur of one direction of edges over the other's, in the sharpest plane
MOVED_PX = 0.9
MOST_CLIPPED = 0.3  # of all edges
FEW_MARKS = 8
MOST_RULER = 0.15  # that a print is off its scale: fitting it to a page costs 3 to 6 %
TILT_DEG = 8.0  # of the middle panel from which it is told
BINS = 22  # of depth, for the points that are drawn


def read_target(picture: Picture, *, ruler_mm: float | None = None, kit: str = "") -> TargetFrame:
    """Return what one frame of the focus target tells.

    Parameters
    ----------
    picture : Picture
        The frame.
    ruler_mm : float or None
        Measured length of the printed ruler; None: as long as it says.
    kit : str
        Body and lens.

    Returns
    -------
    TargetFrame
        With `problem` where it tells nothing, in words.

    Notes
    -----
    The fiducials give the target's place and the angles of its wings; every printed edge then has
    a known depth. Blur against depth has its least at the sharpest plane, by `fit_curve`. What
    the pose leaves open widens the interval.
    """
    exposure = picture.exposure
    frame = TargetFrame(
        path=picture.path,
        kit=kit,
        f_number=exposure.f_number,
        focal_length_mm=exposure.focal_length_mm,
        exposure_time_s=exposure.exposure_time_s,
        pitch_um=picture.pitch_um.value if picture.pitch_um else None,
    )
    try:
        seen = _seen(picture, ruler_mm)
    except EyeplaneError as error:
        return replace(frame, problem=f"{error.what}. {error.hint}.")
    # Perspective alone, without focal length and pitch, is a fifth off: enough to lay depths out,
    # no distance to tell.
    known = exposure.focal_length_mm is not None and picture.pitch_um is not None
    distance_mm = seen.pose.distance_mm if known else None
    placed = replace(frame, distance_mm=distance_mm, tilt_deg=seen.pose.tilt_deg)
    return _told(placed, seen, picture)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Target:
    sheet: PrintedSheet
    pose: TargetPose
    blurs: EdgeBlurs
    middles_mm: Array
    edges: BlurredEdges


def _seen(picture: Picture, ruler_mm: float | None) -> _Target:
    size_px = (picture.width_px, picture.height_px)
    colour = picture.rgb_window(0, 0, *size_px)
    found = find_marks(np.asarray(cv2.cvtColor(colour, cv2.COLOR_RGB2GRAY), dtype=np.uint8))
    del colour
    layout = focus_layout(_paper(found))
    sheet = focus_sheet(layout.paper)
    ruler_scale = _ruler_scale(ruler_mm, layout.paper)
    _check_inside(found, sheet)
    pose = target_pose(
        found,
        sheet,
        layout,
        size_px=size_px,
        image_distance_px=_image_distance_px(picture, found, sheet, ruler_scale),
        mm_scale=ruler_scale,
    )
    check_pose(pose)
    lines, middles, upright = _lines(sheet, layout, pose)
    low = np.floor(np.minimum(lines.from_px, lines.to_px).min(axis=0) - 60).astype(int)
    high = np.ceil(np.maximum(lines.from_px, lines.to_px).max(axis=0) + 60).astype(int)
    blurs = edge_blurs(picture.luma_window(*low, *(high - low)), lines)
    if blurs.clipped_share > MOST_CLIPPED:
        raise InputError(
            "the paper is burnt out", where="focus target", hint="Expose a stop or two less"
        )
    edges = BlurredEdges(
        depth_mm=pose.depths_mm(middles)[blurs.index],
        spread_px=blurs.spread_px,
        error_px=blurs.error_px,
        upright=upright[blurs.index],
    )
    return _Target(sheet=sheet, pose=pose, blurs=blurs, middles_mm=middles, edges=edges)


def _ruler_scale(ruler_mm: float | None, paper: str) -> float:
    said = RULER_MM[paper]
    scale = (ruler_mm or said) / said
    if abs(scale - 1) > MOST_RULER:
        raise InputError(
            f"a ruler of {ruler_mm:g} mm is not that of the {paper} target: it says {said:.0f} mm",
            where="--ruler-mm",
            hint="Measure the whole ruler at the foot of the sheet, in mm",
        )
    return scale


def _paper(found: Mapping[int, Array]) -> str:
    """Return the paper whose marks were found, or say what is there instead."""
    count = {
        key: sum(first <= number < first + 20 for number in found) for key, first in NUMBERS.items()
    }
    (kind, paper), most = max(count.items(), key=lambda item: item[1])
    if not most:
        raise InputError(
            "no focus target is seen",
            where="focus target",
            hint="Photograph the folded sheet that 'eyeplane kit print focus' makes, larger in the "
            "frame and sharp enough that its square marks can be read",
        )
    if kind != "focus":
        raise InputError(
            "this is the chart for resolution, not the focus target",
            where="focus target",
            hint="Read it with 'eyeplane kit chart', or photograph the folded focus target",
        )
    return paper


def _check_inside(found: Mapping[int, Array], sheet: PrintedSheet) -> None:
    marks = sum(mark.number in found for mark in sheet.marks)
    if marks < FEW_MARKS:
        raise InputError(
            f"only {marks} of the sheet's 20 square marks can be read",
            where="focus target",
            hint="Keep the whole sheet in the frame, evenly lit; if it is, focus is far off: come "
            "within an arm's length of focus by hand once and see that it is found",
        )


def _image_distance_px(
    picture: Picture, found: Mapping[int, Array], sheet: PrintedSheet, ruler_scale: float
) -> float | None:
    """Return the distance of the image from the lens, the lens's extension counted in."""
    focal = picture.exposure.focal_length_mm
    if focal is None or picture.pitch_um is None:
        return None
    sizes = [
        float(np.linalg.norm(np.diff(found[m.number][[0, 3]], axis=0)))
        / float(np.linalg.norm(np.subtract(m.corners_mm[3], m.corners_mm[0])))
        for m in sheet.marks
        if m.number in found
    ]
    pitch_mm = picture.pitch_um.value / 1000
    magnification = statistics.median(sizes) / ruler_scale * pitch_mm
    return focal * (1 + magnification) / pitch_mm


def _lines(
    sheet: PrintedSheet, layout: FocusLayout, pose: TargetPose
) -> tuple[EdgeLines, Array, NDArray[np.bool_]]:
    """Return the edges as they should lie in the frame.

    And their middles on the paper, and which of them run up and down in the frame.
    """
    start = np.array([edge.from_mm for edge in sheet.edges])
    end = np.array([edge.to_mm for edge in sheet.edges])
    dark = np.array([edge.dark_mm for edge in sheet.edges])
    middle = (start + end) / 2
    from_px, to_px = pose.to_px(start), pose.to_px(end)
    middle_px, dark_px = pose.to_px(middle), pose.to_px(middle + dark)
    run = to_px - from_px
    run /= np.linalg.norm(run, axis=1, keepdims=True)
    normal = np.column_stack([-run[:, 1], run[:, 0]])
    scale_px = np.abs(np.sum((dark_px - middle_px) * normal, axis=1))
    clear = [FIELD_CLEAR_MM if edge.square == 0 else WING_CLEAR_MM for edge in sheet.edges]
    lines = EdgeLines(
        from_px=from_px,
        to_px=to_px,
        dark_px=dark_px,
        clear_px=np.array(clear) * layout.scale * scale_px,
    )
    return lines, middle, np.abs(run[:, 1]) > np.abs(run[:, 0])


def _told(frame: TargetFrame, seen: _Target, picture: Picture) -> TargetFrame:
    curve = fit_curve(seen.edges)
    if curve is None and len(seen.blurs.too_soft) > len(seen.edges.depth_mm):
        return replace(
            frame,
            problem="the whole target is far out of focus, on which side cannot be told. See that "
            "autofocus is on and its point on the field alone, then try the larger sheet (A3).",
        )
    if curve is None:
        return replace(
            frame,
            problem=f"only {len(seen.edges.depth_mm)} edges of the target can be read. Light the "
            "sheet evenly, come nearer, and keep the whole of it in the frame.",
        )
    field = seen.pose.distance_mm
    expected = _expected_slope_px(frame.f_number, frame.focal_length_mm, seen.pose, picture)
    frame = replace(
        frame,
        points=tuple(_points(seen, curve)),
        least_px=float(np.mean(curve.least_px)),
        slope_ratio=curve.slope_px_mm / expected if expected else None,
        notes=tuple(_notes(frame, curve, expected, seen.pose)),
    )
    if curve.beyond:
        ends = np.quantile(seen.edges.depth_mm, [0.02, 0.98]) - field
        return replace(
            frame,
            beyond="behind" if curve.beyond > 0 else "in front",
            at_least_mm=abs(float(ends[1] if curve.beyond > 0 else ends[0])),
        )
    if curve.plane_mm is None:
        return replace(frame, problem=_why_untold(curve, expected, seen), slope_ratio=None)
    offset = _offset(curve.plane_mm, seen)
    front, behind = _depth_of_field(frame, field + offset.value, picture)
    return replace(frame, offset_mm=offset, depth_front_mm=front, depth_behind_mm=behind)


def _expected_slope_px(
    f_number: float | None, focal_mm: float | None, pose: TargetPose, picture: Picture
) -> float | None:
    """Return how fast the blur should grow: pupil times image distance, px for 1 / mm."""
    if f_number is None or focal_mm is None or picture.pitch_um is None:
        return None
    return EDGE_PER_DISC * focal_mm / f_number * pose.image_distance_px


def _why_untold(curve: BlurCurve, expected: float | None, seen: _Target) -> str:
    near, far = (float(np.quantile(seen.edges.depth_mm, q)) for q in (0.02, 0.98))
    grown = (expected or 0.0) * (1 / near - 1 / far) / 2
    if expected and grown > 2.5 * min(curve.least_px) and max(curve.least_px) > MOVED_PX:
        return (
            "the target is soft at every depth alike. Shoot from a tripod with a shorter shutter "
            "time, and clean the front of the lens."
        )
    if expected and grown > 2 * max(curve.least_px):
        return "blur does not change with depth as it should. Light the sheet evenly and try again."
    return (
        "the whole target is alike sharp: the depth of field is larger than it. Shoot at a wider "
        "aperture, or from nearer."
    )


def _offset(plane: Measured, seen: _Target) -> Measured:
    """Return plane less field, what the pose leaves open counted in."""
    field = seen.pose.distance_mm
    value = plane.value - field
    sd = np.hypot(_pose_sd_mm(value, seen), np.hypot(PLACE_MM, PLACE_SHARE * value))
    low = np.hypot(plane.value - plane.low, Z90 * sd)
    high = np.hypot(plane.high - plane.value, Z90 * sd)
    return Measured(value=value, low=value - float(low), high=value + float(high))


def _pose_sd_mm(offset_mm: float, seen: _Target) -> float:
    """Return how far the depth of places near the plane is open, against that of the field."""
    pose = seen.pose
    middles = seen.middles_mm[seen.blurs.index]
    behind = pose.depths_mm(middles) - pose.distance_mm
    near = middles[np.argsort(np.abs(behind - offset_mm))[:30]]
    points = np.vstack([[pose.layout.middle_mm], near])
    rng = np.random.default_rng(len(seen.edges.depth_mm))
    draws = rng.multivariate_normal(pose.parameters, pose.covariance, DRAWS, method="eigh")
    apart = []
    for draw in draws:
        depth = pose.depths_mm(points, draw)
        apart.append(float(np.mean(depth[1:] - depth[0])))
    return float(np.std(apart))


def _depth_of_field(
    frame: TargetFrame, plane_mm: float, picture: Picture
) -> tuple[float | None, float | None]:
    if frame.f_number is None or frame.focal_length_mm is None or picture.pitch_um is None:
        return None, None
    diagonal_um = picture.pitch_um.value * float(np.hypot(picture.width_px, picture.height_px))
    near, far = depth_of_field_mm(
        focal_length_mm=frame.focal_length_mm,
        f_number=frame.f_number,
        focus_distance_mm=plane_mm,
        circle_um=diagonal_um * CIRCLE_PER_DIAGONAL,
    )
    return plane_mm - near, far - plane_mm if np.isfinite(far) else None


def _points(seen: _Target, curve: BlurCurve) -> Iterator[FocusPoint]:
    """Yield the middles of edges that lie near each other, near to far."""
    depth = seen.edges.depth_mm
    ends = np.linspace(depth.min(), depth.max() + 1e-6, BINS + 1)
    for k in range(BINS):
        for upright in (True, False):
            own = (depth >= ends[k]) & (depth < ends[k + 1]) & (seen.edges.upright == upright)
            if own.sum() < 2:
                continue
            at = float(np.mean(depth[own]))
            yield FocusPoint(
                behind_mm=at - seen.pose.distance_mm,
                spread_px=float(np.median(seen.edges.spread_px[own])),
                fitted_px=float(curve.spread_px(np.array([at]), upright=upright)[0]),
                upright=upright,
                edges=int(own.sum()),
            )


def _notes(
    frame: TargetFrame, curve: BlurCurve, expected: float | None, pose: TargetPose
) -> Iterator[str]:
    upright, across = curve.least_px
    if max(upright, across) > MOVED_PX and max(upright, across) > MOVED_RATIO * min(
        upright, across
    ):
        way = "to the side" if upright > across else "up and down"
        yield f"something moved {way} during the exposure: the offset stands, less sure"
    if frame.tilt_deg is not None and frame.tilt_deg > TILT_DEG:
        yield (
            f"the field is turned {frame.tilt_deg:.0f}° from the sensor: on a slant autofocus "
            "takes a depth of its own"
        )
    if expected and not SLOPES[0] <= curve.slope_px_mm / expected <= SLOPES[1]:
        yield (
            f"blur grows {curve.slope_px_mm / expected:.1f} times as fast with depth as aperture "
            "and focal length give: see whether the file's are right"
        )
    if len(pose.wings) < 4:
        yield f"{4 - len(pose.wings)} of the wings cannot be read"


def exposure_kit(exposure: Exposure) -> tuple[str, str, str, str]:
    """Return what tells one kit from another.

    Parameters
    ----------
    exposure : Exposure
        Of a frame.

    Returns
    -------
    tuple of str
        Body, its serial number, lens, its serial number; empty where the file does not say.
    """
    return (
        exposure.body or "",
        exposure.body_serial or "",
        exposure.lens or "",
        exposure.lens_serial or "",
    )
