"""A near eye that is sharp beside a far eye that is not: what would have held both."""

from eyeplane.diagnose import words
from eyeplane.diagnose.case import FaceCase
from eyeplane.diagnose.reach import other_eye
from eyeplane.diagnose.remedy import SMALLEST_STOP, STEP
from eyeplane.diagnose.signs import far_eye_reach, far_eye_soft
from eyeplane.diagnose.stops import aim_cm, stop_as_focused, stop_with_focus_between
from eyeplane.records import Finding, FrameReading

TURN = "Turn the face until both eyes are equally far from you"


def far_eye_findings(
    case: FaceCase, reading: FrameReading, *, said: bool = False
) -> tuple[Finding, ...]:
    """Return that the near eye holds the print and the far eye does not, and what would hold both.

    Parameters
    ----------
    case : FaceCase
        One face.
    reading : FrameReading
        Its frame.
    said : bool
        Whether the frame's sentence already tells how far back the far eye lies and what it holds.

    Returns
    -------
    tuple of Finding
        One of kind "far eye", or none.
    """
    depth, far_px = _far_depth(case), other_eye(case.reading).blur.size_px
    near_px, far_cm = case.eye.blur.size_px, far_eye_reach(case)
    if case.reach_cm is None or near_px is None or far_px is None:
        return ()
    if depth is None or far_cm is None or case.motion is not None or not far_eye_soft(case):
        return ()
    aim = aim_cm(case)
    if not far_cm < aim <= case.reach_cm.value:
        return ()
    as_focused = stop_as_focused([(case, far_px.value), (case, near_px.value)], reading)
    midway = None
    if case.lens is not None:
        near_mm = case.lens.distance_mm.value
        midway = stop_with_focus_between([(case, near_mm), (case, near_mm + depth)], reading)
    remedy, advice = _remedy((as_focused, midway), depth, aim, reading)
    if said:
        return (Finding(kind="far eye", text=remedy, advice=advice),) if remedy else ()
    facts = (
        f"The far eye, {words.mm(depth)} behind the near one, holds {words.cm(far_cm)},"
        f" the near eye {words.cm(case.reach_cm.value)}."
    )
    return (Finding(kind="far eye", text=f"{facts} {remedy}".rstrip(), advice=advice),)


def _far_depth(case: FaceCase) -> float | None:
    """Return how far behind the near eye the far one lies, if it does."""
    marks = (m.depth_mm for m in case.reading.face.landmarks if m.name == "far iris")
    depth = next(marks, None)
    return depth if depth is not None and depth > 0 else None


def _remedy(
    stops: tuple[float | None, float | None], depth_mm: float, aim: float, reading: FrameReading
) -> tuple[str, str]:
    """Return what would have held both eyes, and the one thing to change."""
    as_focused, midway = stops
    goal, used = words.cm(aim), reading.exposure.f_number
    if not used:
        return "", f"{TURN}, or stop down."
    if as_focused is None and midway is None:
        smallest = words.f_stop(SMALLEST_STOP)
        return f"No aperture down to {smallest} would have held {goal} in both.", f"{TURN}."
    ways = []
    if as_focused is not None:
        ways.append(f"at {words.f_stop(as_focused)}")
    if midway is not None:
        same = "the same aperture" if midway <= used * STEP else words.f_stop(midway)
        plane = f"the focus midway between them, {words.mm(depth_mm / 2)} behind the near iris"
        ways.append(f"at {same} with {plane}")
    text = f"Both would have held {goal} {', or '.join(ways)}."
    if midway is None:
        return text, f"{TURN}, or close to {words.f_stop(as_focused or SMALLEST_STOP)}."
    close = "" if midway <= used * STEP else f" at {words.f_stop(midway)}"
    return text, f"{TURN}, or focus midway between them{close}."
