"""Why a frame's answer is what it is, in lines for a terminal."""

from collections.abc import Sequence

from eyeplane.deliver.chances import chance_lines
from eyeplane.deliver.findings import finding_parts, findings_line
from eyeplane.deliver.frames import sitters_of
from eyeplane.deliver.group import Group, group_of
from eyeplane.deliver.light import light_words
from eyeplane.deliver.wording import CANNOT
from eyeplane.records import FaceAnswer, SittingFrame
from eyeplane.records.said import capital


def frame_reasons(frame: SittingFrame) -> tuple[str, ...]:
    """Return what stands behind a frame's answer.

    Parameters
    ----------
    frame : SittingFrame
        One frame.

    Returns
    -------
    tuple of str
        Findings with their advice, who of a group is in and who is out, and of the deciding
        sitter the light and how probable each cause is; without what is not known.
    """
    answer = frame.answer
    order, places = sitters_of(frame)
    sitters = [answer.faces[k] for k in order]
    said = list(findings_line(finding_parts(answer)))
    group = group_of(sitters, answer, places=places)
    if group is not None and not any(f.kind == "group" for f in answer.findings):
        said += _group_lines(group)  # else the finding has said who is out and what holds all
    deciding = _deciding(frame, sitters)
    if deciding is not None and deciding.lights:
        said.append(light_words(deciding.lights))
    if deciding is not None:
        said += chance_lines(deciding.chances)
    return tuple(said)


def _group_lines(group: Group) -> list[str]:
    if not group.told and not group.placed:
        return []
    suffix = "" if group.heading == "sitter" else f" {group.heading}"
    lines = []
    for row in group.rows:
        away = "" if row.away == CANNOT else f"; eye from the focus plane {row.away}"
        away = away.replace("eye from the focus plane within", "focus plane within")
        stop = f"; {row.stop} would have held" if row.stop.startswith("f/") else ""
        standing = row.standing if group.told else "in or out cannot be told"
        lines.append(f"{capital(row.who + suffix)}: {standing}{away}; reach {row.reach}{stop}.")
    return [*lines, group.for_all] if group.for_all else lines


def _deciding(frame: SittingFrame, sitters: Sequence[FaceAnswer]) -> FaceAnswer | None:
    if frame.answer.deciding is not None:
        return frame.answer.faces[frame.answer.deciding]
    return sitters[0] if sitters else None
