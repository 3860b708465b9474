"""From a reading to its answer: numbers only, no pixels."""

from dataclasses import replace
from typing import Any

from eyeplane.diagnose import words
from eyeplane.diagnose.budget import budget_of, in_um, times
from eyeplane.diagnose.case import FaceCase, case_of, deciding_index, sitters
from eyeplane.diagnose.cause import (
    diffraction_explains,
    far_eye_reach,
    far_eye_soft,
    glass_possible,
    judged,
    sharp_sitters,
)
from eyeplane.diagnose.dark import dark_findings
from eyeplane.diagnose.depth import depth_of, marks_of
from eyeplane.diagnose.facts import Facts
from eyeplane.diagnose.findings import face_findings, frame_findings, in_order
from eyeplane.diagnose.group import GroupFace, group_table, stop_for_all
from eyeplane.diagnose.light import lights_of
from eyeplane.diagnose.motion_findings import ghost_findings, rotation_findings
from eyeplane.diagnose.reach import diagonal_of, other_eye, print_view
from eyeplane.diagnose.remedy import holding_factor, holding_iso, holding_stop, holding_time_s
from eyeplane.diagnose.sentence import sentence
from eyeplane.diagnose.veil import veil_now
from eyeplane.records import (
    Cause,
    CauseChance,
    FaceAnswer,
    Finding,
    FrameAnswer,
    FrameReading,
    Learned,
    Viewing,
)


def answer_frame(
    reading: FrameReading,
    viewing: Viewing,
    learned: Learned | None = None,
    *,
    brief: bool = False,
) -> FrameAnswer:
    """Return what a frame holds, why not more, and the one thing to change.

    Parameters
    ----------
    reading : FrameReading
        What was measured.
    viewing : Viewing
        For which print and from where.
    learned : Learned or None
        What is known of this photographer and kit.
    brief : bool
        Whether numbers are enough: without sentence, advice, findings and the group's table, in
        half the time.

    Returns
    -------
    FrameAnswer
        Also for a frame that could not be read or that shows nobody: then without a reach, with
        the reason as its sentence.
    """
    if reading.status != "measured" or not reading.faces:
        return _empty(reading)
    view = print_view(reading, viewing)
    cases = tuple(
        case_of(face, reading, view, sitter=sitter, learned=learned)
        for face, sitter in zip(reading.faces, sitters(reading), strict=True)
    )
    known = learned or Learned()
    verdicts = tuple(judged(case, cases, reading, known) for case in cases)
    causes = tuple(cause for cause, _ in verdicts)
    faces = tuple(
        _face(case, verdict, reading) for case, verdict in zip(cases, verdicts, strict=True)
    )
    deciding = deciding_index(cases)
    index = 0 if deciding is None else deciding
    if brief:
        return _brief(faces, index, deciding)
    table = group_table(cases, reading)
    rows = {row.index: row for row in table}
    faces = tuple(
        replace(
            face,
            findings=_findings(case, cases, (verdict[0], reading, known)),
            **_standing(rows.get(i)),
        )
        for i, (face, case, verdict) in enumerate(zip(faces, cases, verdicts, strict=True))
    )
    facts = _facts(cases, index, causes[index], (reading, viewing))
    doubt = _doubt(faces[index].chances)
    stop = facts.stop or (faces[index].stop if causes[index] == "depth" else None)
    said, advice = sentence(replace(facts, doubt=doubt, stop=stop))
    return FrameAnswer(
        reach_cm=faces[index].reach_cm,
        holds_diagonal=faces[index].holds_diagonal,
        cause=causes[index],
        sentence=said,
        advice=advice,
        deciding=deciding,
        faces=faces,
        findings=_frame_findings(cases, reading, table),
        stop_for_all=stop_for_all(cases, reading, table),
    )


def _brief(faces: tuple[FaceAnswer, ...], index: int, deciding: int | None) -> FrameAnswer:
    return FrameAnswer(
        reach_cm=faces[index].reach_cm,
        holds_diagonal=faces[index].holds_diagonal,
        cause=faces[index].cause,
        sentence="",
        advice="",
        deciding=deciding,
        faces=faces,
    )


def _findings(
    case: FaceCase, cases: tuple[FaceCase, ...], rest: tuple[Cause, FrameReading, Learned]
) -> tuple[Finding, ...]:
    """Return what else is worth knowing about one face."""
    cause, reading, learned = rest
    if not case.sitter:
        return ()
    return in_order(
        (
            *face_findings(case, cases, reading, cause=cause),
            *ghost_findings(case.reading, reading),
            *dark_findings(case, reading, learned=learned),
        )
    )


def _frame_findings(
    cases: tuple[FaceCase, ...], reading: FrameReading, table: tuple[GroupFace, ...]
) -> tuple[Finding, ...]:
    veil = veil_now(reading.veil)
    return in_order(
        (
            *frame_findings(cases, reading, table),
            *rotation_findings(reading),
            *(() if veil is None else (veil,)),
        )
    )


def _standing(row: GroupFace | None) -> dict[str, Any]:
    """Return what a group's table says of one face."""
    if row is None:
        return {}
    return {
        "name": row.name,
        "inside": row.inside,
        "behind_mm": row.behind_mm,
        "stop": row.stop,
    }


def _doubt(chances: tuple[CauseChance, ...]) -> bool | None:
    """Return whether blur is likelier than none; None where no chances were asked for."""
    if not chances:
        return None
    return sum(c.chance for c in chances if c.cause in ("none", "pixels")) < 0.5


def _empty(reading: FrameReading) -> FrameAnswer:
    said = "Nobody found in this frame."
    if reading.status == "unreadable":
        reason = reading.reason.rstrip(".") or "no reason was given"
        said = f"This frame cannot be read: {reason}."
    return FrameAnswer(
        reach_cm=None,
        holds_diagonal=None,
        cause="cannot tell",
        sentence=said,
        advice="",
        deciding=None,
        faces=(),
    )


def _face(
    case: FaceCase, verdict: tuple[Cause, tuple[CauseChance, ...]], reading: FrameReading
) -> FaceAnswer:
    cause, chances = verdict
    front, back = depth_of(case)
    motion = case.motion
    return FaceAnswer(
        sitter=case.sitter,
        reach_cm=case.reach_cm,
        holds_diagonal=diagonal_of(case.eye.blur, case.reading.noise_contrast, case.view),
        offset_mm=case.offset.offset_mm,
        offset_why=case.offset.why,
        cause=cause,
        motion_um=None if motion is None else in_um(motion.length_px, reading),
        motion_mm=(
            None if motion is None else times(motion.length_px, case.reading.face.mm_per_px)
        ),
        motion_angle_deg=None if motion is None else motion.angle_deg,
        budget=budget_of(case, cause, reading),
        marks=marks_of(case),
        depth_front_mm=front,
        depth_back_mm=back,
        eyes_open=_eyes_open(case),
        chances=chances,
        lights=lights_of(case.reading),
    )


def _eyes_open(case: FaceCase) -> bool | None:
    states = [eye.open for eye in case.reading.face.eyes]
    if False in states:
        return False
    return None if None in states else True


def _facts(
    cases: tuple[FaceCase, ...],
    index: int,
    cause: Cause,
    frame: tuple[FrameReading, Viewing],
) -> Facts:
    """Return the deciding face's numbers as the sentence takes them."""
    reading, viewing = frame
    case = cases[index]
    names = _names(cases)
    counted = [c for c in cases if c.sitter]
    others = [c for c in counted if c is not case]
    sharp = sharp_sitters(case, others) if cause == "depth" else ()
    soft_far = not sharp and cause in ("depth", "none") and far_eye_soft(case)
    motion = case.motion
    promised = viewing.print_cm
    exif = reading.exposure
    return Facts(
        who=_who(case) if len(counted) == 1 else names[index],
        sitters=len(counted),
        holding=sum(_holding(c, promised) for c in counted),
        untold=tuple(
            names[i]
            for i, c in enumerate(cases)
            if c.sitter and c.reach_cm is None and i != index and len(counted) > 1
        ),
        reach_cm=case.reach_cm,
        diagonal=diagonal_of(case.eye.blur, case.reading.noise_contrast, case.view),
        viewing_cm=viewing.distance_cm,
        print_cm=promised,
        goal_cm=case.light_goal_cm if cause == "noise" else case.goal_cm,
        cause=cause,
        closed=_closed(cases, names),
        eye_shut=_shut(case, case.eye.side),
        side=case.offset.side,
        offset_mm=case.offset.offset_mm,
        size_mm=case.offset.size_mm,
        offset_why=case.offset.why,
        motion_um=None if motion is None else in_um(motion.length_px, reading),
        motion_mm=(
            None if motion is None else times(motion.length_px, case.reading.face.mm_per_px)
        ),
        motion_px=None if motion is None else motion.length_px,
        angle_deg=None if motion is None else motion.angle_deg,
        time_s=exif.exposure_time_s,
        f_number=exif.f_number,
        iso=exif.iso,
        reach_without_noise_cm=case.reach_without_noise_cm,
        far_reach_cm=far_eye_reach(case) if soft_far else None,
        far_depth_mm=_far_depth(case) if soft_far else None,
        others=tuple(names[i] for i, c in enumerate(cases) if any(c is s for s in sharp)),
        small_stop=diffraction_explains(case, reading),
        undecided=_undecided(case, reading),
        stop=_stop(case, cause, reading, soft_far=soft_far),
        hold_time_s=holding_time_s(case, reading),
        hold_factor=holding_factor(case),
        hold_iso=holding_iso(case, reading) if cause == "noise" else None,
    )


def _stop(case: FaceCase, cause: Cause, reading: FrameReading, *, soft_far: bool) -> float | None:
    if cause not in ("focus", "depth"):
        return None
    blur = other_eye(case.reading).blur if soft_far else case.eye.blur
    return None if blur.size_px is None else holding_stop(case, reading, blur.size_px.value)


def _undecided(case: FaceCase, reading: FrameReading) -> str:
    kind = case.eye.blur.kind
    if kind == "none":
        return "texture"
    if kind == "disc":
        return "focus or glass" if glass_possible(case, reading) else ""
    return "focus or motion"


def _who(case: FaceCase) -> str:
    return "near eye" if case.reading.face.near is not None else "the sharper eye"


def _names(cases: tuple[FaceCase, ...]) -> dict[int, str]:
    """Return the names of the sitters by their place from the left."""
    counted = [i for i, c in enumerate(cases) if c.sitter]

    def middle(i: int) -> float:
        x, _, width, _ = cases[i].reading.face.box_px
        return x + width / 2

    ranked = sorted(counted, key=middle)
    return {i: words.which_face(place, len(ranked)) for place, i in enumerate(ranked)}


def _holding(case: FaceCase, promised: float | None) -> bool:
    return promised is not None and case.reach_cm is not None and case.reach_cm.value >= promised


def _shut(case: FaceCase, side: str) -> bool:
    return any(e.side == side and e.open is False for e in case.reading.face.eyes)


def _closed(cases: tuple[FaceCase, ...], names: dict[int, str]) -> tuple[str, ...]:
    """Return whose eyes are closed: which eye of a single sitter, which sitters of a group."""
    if len(names) > 1:
        return tuple(names[i] for i, c in enumerate(cases) if c.sitter and _eyes_open(c) is False)
    case = next(c for c in cases if c.sitter)
    left, right = (e.open is False for e in case.reading.face.eyes)
    if left and right:
        return ("both eyes",)
    if not (left or right):
        return ()
    side = "left" if left else "right"
    near = case.reading.face.near
    if near is None:
        return (f"the {side} eye",)
    return ("the near eye" if side == near else "the far eye",)


def _far_depth(case: FaceCase) -> float | None:
    marks = {m.name: m.depth_mm for m in case.reading.face.landmarks}
    return marks.get("far iris")
