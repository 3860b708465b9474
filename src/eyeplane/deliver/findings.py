"""What else is worth knowing about a frame, each once and with its own advice."""

from collections.abc import Sequence
from dataclasses import dataclass

from eyeplane.deliver.group import name_words
from eyeplane.records import FaceAnswer, Finding, FrameAnswer
from eyeplane.records.said import capital

SHOWN = 4  # further ones wait one click below


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingPart:
    """One finding.

    Attributes
    ----------
    who : str
        Which sitter; empty for the frame, for a single sitter, and where the text says it.
    text, advice : str
        The sentence and what to change.
    """

    who: str
    text: str
    advice: str


def finding_parts(answer: FrameAnswer) -> tuple[FindingPart, ...]:
    """Return the findings of a frame and of all its sitters.

    Parameters
    ----------
    answer : FrameAnswer
        What is said about the frame.

    Returns
    -------
    tuple of FindingPart
        Closed eyes first, then of the frame, of the deciding sitter, and of the others in the order
        of the record; what the frame's sentence says already, or another finding, is left out.
    """
    sitters = [k for k, face in enumerate(answer.faces) if face.sitter]
    sitters.sort(key=lambda k: k != answer.deciding)
    told = [("", f) for f in answer.findings]
    for k in sitters:
        face = answer.faces[k]
        told += [(_who(face, finding, len(sitters)), finding) for finding in face.findings]
    told.sort(key=lambda pair: pair[1].kind != "closed")  # a blink spoils whatever else is right
    seen: set[tuple[str, str]] = set()
    parts = []
    for who, finding in told:
        key = who, finding.text.strip()
        if not key[1] or key in seen or key[1].rstrip(".") in answer.sentence:
            continue
        seen.add(key)
        text = _after(who, finding.text)
        parts.append(FindingPart(who=who, text=text, advice=_advice(finding, answer)))
    return tuple(parts)


def _who(face: FaceAnswer, finding: Finding, sitters: int) -> str:
    short = name_words(face.name)
    said = short.lower() in finding.text.lower()
    return "" if sitters < 2 or said else capital(short)


def _after(who: str, text: str) -> str:
    """Return a sentence as it goes on after a name and a colon."""
    return text[0].lower() + text[1:] if who and text.startswith(("The ", "A ", "An ")) else text


def _advice(finding: Finding, answer: FrameAnswer) -> str:
    return "" if finding.advice == answer.advice else finding.advice


def findings_line(parts: Sequence[FindingPart]) -> tuple[str, ...]:
    """Return findings for a terminal, one a line.

    Parameters
    ----------
    parts : sequence of FindingPart
        From `finding_parts`.

    Returns
    -------
    tuple of str
        For instance "Second face from the left: an eye is closed. Take one more.".
    """
    return tuple(
        " ".join(
            p for p in (f"{part.who}: {part.text}" if part.who else part.text, part.advice) if p
        )
        for part in parts
    )
