"""A group: who is in the depth of field and who is out, by how much, and what would have held."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from eyeplane.deliver.wording import (
    CANNOT,
    NEARNESS,
    offset_words,
    reach_words,
    side_words,
    stop_words,
)
from eyeplane.records import FaceAnswer, FrameAnswer, Measured

FROM_LEFT = " from the left"


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupRow:
    """One sitter of a group.

    Attributes
    ----------
    who : str
        Which sitter.
    standing, away, reach, stop : str
        In or out; near eye from the focus plane; reach; aperture that would have held.
    """

    who: str
    standing: str
    away: str
    reach: str
    stop: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """The sitters of one frame.

    Attributes
    ----------
    rows : tuple of GroupRow
        From left to right.
    heading : str
        Of the column that says who.
    told : bool
        Whether of anybody it can be told if in or out.
    placed : bool
        Whether of anybody the distance from the focus plane can be told.
    for_all : str
        A sentence on what would have held everybody; empty if none would or nothing need change.
    """

    rows: tuple[GroupRow, ...]
    heading: str
    told: bool
    placed: bool
    for_all: str


def group_of(
    sitters: Sequence[FaceAnswer], answer: FrameAnswer, *, places: Sequence[str]
) -> Group | None:
    """Return who is in and who is out.

    Parameters
    ----------
    sitters : sequence of FaceAnswer
        From left to right, bystanders left out.
    answer : FrameAnswer
        Of the frame.
    places : sequence of str
        What to call those without a name, from left to right.

    Returns
    -------
    Group or None
        None for a single sitter.
    """
    if len(sitters) < 2:
        return None
    names = [name_words(a.name) or place for a, place in zip(sitters, places, strict=True)]
    short = all(name.endswith(FROM_LEFT) for name in names)
    rows = tuple(
        GroupRow(
            who=name.removesuffix(FROM_LEFT).removesuffix(" face") if short else name,
            standing=standing_words(answer),
            away=away_words(behind_plane(answer)),
            reach=reach_words(answer.reach_cm),
            stop=_stop(answer),
        )
        for answer, name in zip(sitters, names, strict=True)
    )
    return Group(
        rows=rows,
        heading=FROM_LEFT.strip() if short else "sitter",
        told=any(a.inside is not None for a in sitters),
        placed=any(behind_plane(a) is not None for a in sitters),
        for_all=_for_all(answer),
    )


def _for_all(answer: FrameAnswer) -> str:
    """Return what would have held everybody, unless the frame's own words say it."""
    if answer.stop_for_all is None:
        return ""
    stop = stop_words(answer.stop_for_all)
    said = [answer.sentence, answer.advice]
    said += [text for finding in answer.findings for text in (finding.text, finding.advice)]
    if any(re.search(rf"{re.escape(stop)}(?![0-9.]*[0-9])", text) for text in said):
        return ""
    return f"{stop} would have held everybody where the focus lay."


def name_words(name: str) -> str:
    """Return a sitter's name as a row begins with it.

    Parameters
    ----------
    name : str
        "the second face from the left".

    Returns
    -------
    str
        "second face from the left".
    """
    return name.removeprefix("the ").removeprefix("The ")


def standing_words(answer: FaceAnswer) -> str:
    """Return whether a sitter is in the depth of field, and if not, on which side of it.

    Parameters
    ----------
    answer : FaceAnswer
        One sitter.

    Returns
    -------
    str
        "in", "out, too near", "out, too far", "out" or "cannot tell".
    """
    if answer.inside is None:
        return CANNOT
    if answer.inside:
        return "in"
    behind = behind_plane(answer)
    if behind is None or behind.low <= 0 <= behind.high:
        return "out"
    return "out, too near" if behind.value < 0 else "out, too far"


def behind_plane(answer: FaceAnswer) -> Measured | None:
    """Return how far a near eye lies behind the focus plane.

    Parameters
    ----------
    answer : FaceAnswer
        One sitter.

    Returns
    -------
    Measured or None
        Near eye minus focus plane in mm: as the group tells it, else as this face does.
    """
    offset = answer.offset_mm
    if answer.behind_mm is not None or offset is None:
        return answer.behind_mm
    return Measured(value=-offset.value, low=-offset.high, high=-offset.low)


def away_words(behind: Measured | None) -> str:
    """Return how far the near eye lies from the focus plane.

    Parameters
    ----------
    behind : Measured or None
        Near eye minus focus plane in mm, + farther from the camera.

    Returns
    -------
    str
        "14 mm nearer (10–18)", seen from the camera; "within 18 mm" where the side is not known.
    """
    if behind is None:
        return CANNOT
    if behind.low < 0 < behind.high:
        most = float(f"{max(-behind.low, behind.high):.2g}")
        return f"within {side_words(most, ('', '', '')).strip()}"
    return offset_words(behind, NEARNESS)


def _stop(answer: FaceAnswer) -> str:
    if answer.stop is not None:
        return stop_words(answer.stop)
    if answer.inside is None:
        return CANNOT
    return "as shot" if answer.inside else "none would"
