"""What the depth line shows: marks along the lens axis and the depth of field around the focus."""

import math

from eyeplane.diagnose.case import FaceCase
from eyeplane.optics import blur_for_print_px, depth_of_field_mm
from eyeplane.records import DepthMark

FARTHEST_MM = 100_000.0  # depth beyond 100 m is said as none: it is no part of a portrait


def marks_of(case: FaceCase) -> tuple[DepthMark, ...]:
    """Return the ticks of the depth line, near to far.

    Parameters
    ----------
    case : FaceCase
        One face.

    Returns
    -------
    tuple of DepthMark
        The near iris at 0, the face's landmarks, and probes at other named places; each name once.
    """
    marks = {m.name: m.depth_mm for m in case.reading.face.landmarks}
    for probe in case.reading.probes:
        if probe.depth_mm is not None:
            marks.setdefault(probe.name, probe.depth_mm)
    marks["near iris"] = 0.0
    ordered = sorted(marks.items(), key=lambda item: (item[1], item[0]))
    return tuple(DepthMark(name=name, depth_mm=depth) for name, depth in ordered)


def depth_of(case: FaceCase) -> tuple[float | None, float | None]:
    """Return the depth of field in front of and behind the focus plane.

    Parameters
    ----------
    case : FaceCase
        One face; its goal is the promised print, else as `FaceCase.goal_cm` says.

    Returns
    -------
    tuple of float or None
        (front, back) in mm. None without the lens's numbers or where no disc at all looks sharp
        on that print; back alone None where it goes beyond `FARTHEST_MM`.
    """
    lens = case.lens
    if lens is None or case.goal_cm <= 0:
        return None, None
    circle_px = blur_for_print_px(
        long_edge_px=case.view.long_edge_px,
        print_cm=case.goal_cm,
        viewing_cm=case.view.viewing_cm,
        noise_contrast=case.noise,
    )
    if circle_px <= 0:
        return None, None
    offset = case.offset.offset_mm
    focus = lens.distance_mm.value + (0.0 if offset is None else offset.value)
    near, far = depth_of_field_mm(
        focal_length_mm=lens.focal_length_mm,
        f_number=lens.f_number,
        focus_distance_mm=focus,
        circle_um=circle_px * lens.pitch_um.value,
    )
    back = far - focus
    return focus - near, back if math.isfinite(back) and back < FARTHEST_MM else None
