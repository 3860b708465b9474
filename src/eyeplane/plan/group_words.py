"""What a group's plan says: the answer, the one thing to change, what each choice gives up."""

from collections.abc import Sequence
from dataclasses import dataclass

from eyeplane.plan import sitter_words, words
from eyeplane.plan.group_shares import RowShares
from eyeplane.plan.lean import MOST_LEAN_MM, in_words
from eyeplane.plan.sitter_words import NOTHING_SHARE, dialled
from eyeplane.records import GroupRequest, GroupRow, PlanSetting

WORTH_SHARE = 0.02  # of frames: a difference between rows that is worth a word; our own
ORDINALS = ("front", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth")


@dataclass(frozen=True, slots=True, kw_only=True)
class FocusOnRow:
    """What focusing on an eye of a row does, instead of on the best plane.

    Attributes
    ----------
    row : int
        From 1.
    share : float
        Of frames in which everybody then holds.
    harmless : bool
        Whether that costs next to nothing.
    """

    row: int
    share: float
    harmless: bool


def row_name(row: int, rows: int) -> str:
    """Return what a row is called.

    Parameters
    ----------
    row : int
        From 1, the front row.
    rows : int
        How many there are.

    Returns
    -------
    str
        "the front row", "the second row", "the back row"; "the row" where there is one.
    """
    if rows == 1:
        return "the row"
    if row == rows:
        return "the back row"
    return f"the {ORDINALS[row - 1]} row" if row <= len(ORDINALS) else f"row {row}"


def row_names(out: Sequence[int], rows: int) -> str:
    """Return what some rows are called together.

    Parameters
    ----------
    out : sequence of int
        From 1.
    rows : int
        How many there are.

    Returns
    -------
    str
        "the front row and the back row"; "every row" of all; "nobody" of none.
    """
    if not out:
        return "nobody"
    if len(out) == rows and rows > 1:
        return "both rows" if rows == 2 else "every row"
    return words.listed([row_name(row, rows) for row in out])


def far(distance_mm: float) -> str:
    """Return a distance from the lens to the centimetre.

    Parameters
    ----------
    distance_mm : float
        In mm.

    Returns
    -------
    str
        For instance "3.78 m".
    """
    return f"{distance_mm / 1000:.2f}{words.THIN}m"


def focus_words(
    request: GroupRequest, plane_mm: float, on_row: FocusOnRow | None, front: FocusOnRow | None
) -> str:
    """Return where to put the focus plane, and how to find it.

    Parameters
    ----------
    request : GroupRequest
        The group.
    plane_mm : float
        Best focus plane from the lens.
    on_row : FocusOnRow or None
        The row nearest to it; None where all are equally far.
    front : FocusOnRow or None
        The front row, where that is another and focusing on it costs frames.

    Returns
    -------
    str
        A sentence or two.
    """
    rows = request.rows
    if on_row is None:
        return "Focus on any eye: all are equally far along the lens axis."
    warned = ""
    if front is not None:
        warned = f" Focused on the front row only {words.percent(front.share)} of frames hold."
    if on_row.harmless:
        return (
            f"Focus on an eye of {row_name(on_row.row, rows)}, near the middle of the frame: the "
            f"best plane, {far(plane_mm)} from the lens, is near enough.{warned}"
        )
    behind = plane_mm - request.distance_mm
    side = "behind" if behind >= 0 else "before"
    where = "the front row's eyes" if rows > 1 else "the eyes in the middle"
    return (
        f"The focus plane belongs {words.length(behind)} {side} {where}, {far(plane_mm)} from "
        f"the lens: have a hand held up there, focus on it, and keep that focus.{warned}"
    )


def sentence(request: GroupRequest, best: PlanSetting, leans: str) -> str:
    """Return the answer.

    Parameters
    ----------
    request : GroupRequest
        What was asked.
    best : PlanSetting
        The best setting.
    leans : str
        Who leans how far, as `leaning` says it; empty where the plan has nobody lean.

    Returns
    -------
    str
        Settings, and the share of frames in which everybody holds the print.
    """
    goal = words.print_cm(request.promise.print_cm)
    people = request.rows * request.faces_per_row
    many = "both near eyes" if people == 2 else f"all {people} near eyes"
    who = many if people > 1 else "the near eye"
    if best.share.high <= 0.0:
        said = (
            f"Nothing here holds {goal} at {who}: {dialled(best)} comes nearest, and no frame does."
        )
    elif best.share.value < NOTHING_SHARE:
        said = (
            f"Nothing here holds {goal} at {who}: {dialled(best)} comes nearest, with "
            f"{words.share(best.share)}."
        )
    else:
        said = f"{dialled(best)}: about {words.share(best.share, f' hold {goal} at {who}')}."
    if best.exposure_off_ev:
        over = "over" if best.exposure_off_ev > 0 else "under"
        said += f" They {over}-expose this light by {words.stops(best.exposure_off_ev)}."
    return f"{said} {words.capital(leans)}." if leans else said


def leaning(rows: Sequence[GroupRow]) -> str:
    """Return who leans how far.

    Parameters
    ----------
    rows : sequence of GroupRow
        The rows.

    Returns
    -------
    str
        "the back row leans in by 6 cm"; empty if nobody moves.
    """
    said = [
        f"{row_name(row.row, len(rows))} {in_words(10.0 * row.lean_cm)}"
        for row in rows
        if row.lean_cm
    ]
    return words.listed(said) if said else ""


def moving(rows: Sequence[GroupRow]) -> str:
    """Return who would have to move how far to be inside, where nobody was asked to lean.

    Parameters
    ----------
    rows : sequence of GroupRow
        The rows.

    Returns
    -------
    str
        A sentence; empty if all are inside.
    """
    said = leaning(rows)
    if not said:
        return ""
    step = any(abs(10.0 * row.lean_cm) > MOST_LEAN_MM for row in rows)
    more = (
        f" More than {MOST_LEAN_MM / 10:.0f}{words.THIN}cm is no lean but a step." if step else ""
    )
    return f"To be inside the depth of field, {said}.{more}"


def gives_up(
    best: PlanSetting,
    other: PlanSetting,
    shares: tuple[RowShares, RowShares],
    out: tuple[int, ...],
) -> str:
    """Return what a neighbouring choice gives up and gains against the best.

    Parameters
    ----------
    best, other : PlanSetting
        The two.
    shares : tuple of RowShares
        Their shares.
    out : tuple of int
        Rows that the depth of field of the other does not take in.

    Returns
    -------
    str
        A sentence, and a second one if rows fall out.
    """
    said = sitter_words.gives_up(best, other)
    rows = len(shares[0].rows)
    if rows == 1:
        return said
    if out and best.share.value >= NOTHING_SHARE:
        return f"{said} {words.capital(row_names(out, rows))} {_fall(out, rows)} out."
    lost = [a.value - b.value for a, b in zip(shares[0].rows, shares[1].rows, strict=True)]
    if max(lost) > WORTH_SHARE and max(lost) - min(lost) > WORTH_SHARE:
        return f"{said} Most is lost in {row_name(lost.index(max(lost)) + 1, rows)}."
    return said


def _fall(out: tuple[int, ...], rows: int) -> str:
    return "fall" if 1 < len(out) < rows or (len(out) == rows == 2) else "falls"
