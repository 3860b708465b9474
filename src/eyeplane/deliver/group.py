"""A group: who is in the depth of field and who is out, by how much, and what would have held."""

from collections.abc import Sequence
from dataclasses import dataclass

from eyeplane.deliver.wording import CANNOT, NEARNESS, offset_words, reach_words, stop_words
from eyeplane.records import FaceAnswer, Measured

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
        Whether anything beyond the reach can be told of anybody.
    for_all : str
        A sentence on what would have held everybody; empty if none would or nothing need change.
    """

    rows: tuple[GroupRow, ...]
    heading: str
    told: bool
    for_all: str


def group_of(
    sitters: Sequence[FaceAnswer], *, places: Sequence[str], stop_for_all: float | None
) -> Group | None:
    """Return who is in and who is out.

    Parameters
    ----------
    sitters : sequence of FaceAnswer
        From left to right, bystanders left out.
    places : sequence of str
        What to call those without a name, likewise.
    stop_for_all : float or None
        Aperture that would have held everybody, f-number.

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
            away=away_words(answer.offset_mm),
            reach=reach_words(answer.reach_cm),
            stop=_stop(answer),
        )
        for answer, name in zip(sitters, names, strict=True)
    )
    for_all = ""
    if stop_for_all is not None:
        for_all = f"{stop_words(stop_for_all)} would have held everybody where the focus lay."
    told = any(a.inside is not None or a.offset_mm is not None for a in sitters)
    return Group(
        rows=rows,
        heading=FROM_LEFT.strip() if short else "sitter",
        told=told,
        for_all=for_all,
    )


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
        "in", "out: too near", "out: too far", "out" or "cannot tell".
    """
    if answer.inside is None:
        return CANNOT
    if answer.inside:
        return "in"
    offset = answer.offset_mm
    if offset is None or offset.low <= 0 <= offset.high:
        return "out"
    return "out: too near" if offset.value > 0 else "out: too far"


def away_words(offset: Measured | None) -> str:
    """Return how far the near eye lies from the focus plane.

    Parameters
    ----------
    offset : Measured or None
        Focus plane minus near iris in mm.

    Returns
    -------
    str
        "14 mm nearer (10–18)", seen from the camera.
    """
    if offset is None:
        return CANNOT
    turned = Measured(value=-offset.value, low=-offset.high, high=-offset.low)
    return offset_words(turned, NEARNESS)


def _stop(answer: FaceAnswer) -> str:
    if answer.stop is not None:
        return stop_words(answer.stop)
    if answer.inside is None:
        return CANNOT
    return "as shot" if answer.inside else "none would"
