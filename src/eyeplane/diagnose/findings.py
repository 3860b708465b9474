"""What else is worth knowing about a face and about a frame, most telling first."""

from collections.abc import Sequence

from eyeplane.diagnose import words
from eyeplane.diagnose.case import FaceCase, deciding_index
from eyeplane.diagnose.caught import caught_findings
from eyeplane.diagnose.cause import cause_of
from eyeplane.diagnose.far_eye import far_eye_findings
from eyeplane.diagnose.group import GroupFace, group_findings
from eyeplane.diagnose.signs import sharp_sitters
from eyeplane.records import Cause, Finding, FrameReading

# Most telling first; what is the same kind keeps its order. Our own.
ORDER = (
    "closed",
    "glasses",
    "caught",
    "elsewhere",
    "ghost",
    "rotation",
    "group",
    "far eye",
    "veil",
    "dark",
    "noise",
)


def face_findings(
    case: FaceCase,
    cases: Sequence[FaceCase],
    reading: FrameReading,
    *,
    cause: Cause | None = None,
) -> tuple[Finding, ...]:
    """Return what else is worth knowing about one face.

    Parameters
    ----------
    case : FaceCase
        One face.
    cases : sequence of FaceCase
        All faces of the frame.
    reading : FrameReading
        The frame.
    cause : str, optional
        Of this face, where it was worked out already.

    Returns
    -------
    tuple of Finding
        Most telling first; empty for bystanders. What the frame's own sentence says of its
        deciding face is not said again.
    """
    if not case.sitter:
        return ()
    found = [
        *_closed(case, cases),
        *(() if _shut(case) else caught_findings(case, reading)),
        *far_eye_findings(case, reading, said=_far_eye_said(case, cases, reading, cause)),
    ]
    return in_order(found)


def frame_findings(
    cases: Sequence[FaceCase], reading: FrameReading, table: Sequence[GroupFace] | None = None
) -> tuple[Finding, ...]:
    """Return what is worth knowing about a frame as a whole.

    Parameters
    ----------
    cases : sequence of FaceCase
        All faces of the frame.
    reading : FrameReading
        The frame.
    table : sequence of GroupFace or None
        What `group_table` says, where that is known already.

    Returns
    -------
    tuple of Finding
        Most telling first.
    """
    return in_order(group_findings(cases, reading, table))


def in_order(found: Sequence[Finding]) -> tuple[Finding, ...]:
    """Return findings in the order in which they are shown, each text once.

    Parameters
    ----------
    found : sequence of Finding
        From any part.

    Returns
    -------
    tuple of Finding
        By `ORDER`.
    """
    once = {f.text: f for f in reversed(found)}
    kept = [f for f in found if once[f.text] is f]
    return tuple(sorted(kept, key=lambda f: ORDER.index(f.kind)))


def _shut(case: FaceCase) -> bool:
    """Return whether the eye that counts is closed: then its lashes were measured, not its iris."""
    return any(e.side == case.eye.side and e.open is False for e in case.reading.face.eyes)


def _closed(case: FaceCase, cases: Sequence[FaceCase]) -> tuple[Finding, ...]:
    """Return who of a group has one eye closed: that somebody blinks is the frame's sentence."""
    eyes = [e.side for e in case.reading.face.eyes if e.open is False]
    counted = [c for c in cases if c.sitter]
    if len(eyes) != 1 or len(counted) < 2:
        return ()
    ranked = sorted(counted, key=_middle)
    place = next(i for i, c in enumerate(ranked) if c is case)
    who = words.sentence_case(words.which_face(place, len(ranked)))
    text = f"{who}: only the {eyes[0]} eye in the picture is closed."
    return (Finding(kind="closed", text=text),)


def _middle(case: FaceCase) -> float:
    x, _, width, _ = case.reading.face.box_px
    return x + width / 2


def _far_eye_said(
    case: FaceCase, cases: Sequence[FaceCase], reading: FrameReading, cause: Cause | None
) -> bool:
    """Return whether the frame's sentence tells of this face's far eye already."""
    deciding = deciding_index(tuple(cases))
    if deciding is None or cases[deciding] is not case:
        return False
    others = [c for c in cases if c.sitter and c is not case]
    cause = cause or cause_of(case, cases, reading)
    if cause == "depth":
        return not sharp_sitters(case, others)
    return cause == "none"
