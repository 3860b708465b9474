"""Which frames a visitor wants to see and in which order, kept in the address."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from urllib.parse import urlencode

from eyeplane.deliver.wording import CAUSE_WORDS, plain_text
from eyeplane.errors import InputError
from eyeplane.records.live import FrameRow
from eyeplane.web.figures import CM_PER_INCH

ORDERS = ("capture", "longest", "shortest", "behind", "front", "cause", "eyes", "chosen")
CAUSES = tuple(cause for cause in CAUSE_WORDS if cause != "diffraction")
SIDES = ("behind", "on", "front", "cannot-tell")
EYES = ("open", "closed", "cannot-tell")
CHOSEN = ("yes", "no")
MOST_CM = 10_000.0  # as for a print: 100 m
MOST_PAGES = 100_000  # more than any sitting has
NAME_LENGTH = 255  # of a file name on common file systems, in characters


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What was asked for; empty texts and None ask for nothing.

    Attributes
    ----------
    order : str
        One of `ORDERS`; equals stay in order of capture.
    cause, offset, eyes, chosen : str
        One of `CAUSES`, `SIDES`, `EYES`, `CHOSEN`, or empty for all.
    from_cm, to_cm : float or None
        Reach at least and at most.
    name : str
        What the file's name contains, letters large or small.
    page : int
        From 1.
    paged : bool
        Whether the list stays in pages also where a script could show all of it.
    """

    order: str = "capture"
    cause: str = ""
    offset: str = ""
    eyes: str = ""
    chosen: str = ""
    from_cm: float | None = None
    to_cm: float | None = None
    name: str = ""
    page: int = 1
    paged: bool = False

    @property
    def narrows(self) -> bool:
        """Return whether frames are left out.

        Returns
        -------
        bool
            False if all are shown, in whatever order.
        """
        return replace(self, order="capture", page=1, paged=False) != Asked()

    def query(self, **changed: object) -> str:
        """Return the address's query for this, with something changed.

        Parameters
        ----------
        **changed : object
            Fields.

        Returns
        -------
        str
            With its question mark; empty where nothing is asked for. Lengths in cm.
        """
        wanted = replace(self, **changed)  # type: ignore[arg-type]  # fields by name
        told: list[tuple[str, str]] = []
        for field in fields(wanted):
            value = getattr(wanted, field.name)
            if value != field.default:
                told.append((field.name.removesuffix("_cm"), _text(value)))
        return f"?{urlencode(told)}" if told else ""


def asked_of(query: Mapping[str, str]) -> Asked:
    """Return what an address asks for.

    Parameters
    ----------
    query : mapping of str to str
        Its query; unknown names are left aside.

    Returns
    -------
    Asked
        What it says.

    Raises
    ------
    InputError
        If a value is none of those that can be asked for.
    """
    in_cm = CM_PER_INCH if query.get("unit") == "inch" else 1.0
    return Asked(
        order=_one_of(query, "order", ORDERS) or "capture",
        cause=_one_of(query, "cause", CAUSES),
        offset=_one_of(query, "offset", SIDES),
        eyes=_one_of(query, "eyes", EYES),
        chosen=_one_of(query, "chosen", CHOSEN),
        from_cm=_length_cm(query, "from", in_cm),
        to_cm=_length_cm(query, "to", in_cm),
        name=query.get("name", "").strip()[:NAME_LENGTH],
        page=_page(query.get("page", "")),
        paged=query.get("paged") == "yes",
    )


def in_order(rows: Sequence[FrameRow], asked: Asked) -> tuple[FrameRow, ...]:
    """Return the frames that are asked for, in the order asked for.

    Parameters
    ----------
    rows : sequence of FrameRow
        All frames in order of capture.
    asked : Asked
        What is wanted.

    Returns
    -------
    tuple of FrameRow
        Frames without an answer come last, in order of capture. In that order frames of one burst
        stand together, those of bodies that were used at the same time too.
    """
    kept = [row for row in rows if _wanted(row, asked)]
    answered = [row for row in kept if row.status == "measured"]
    rest = [row for row in kept if row.status != "measured"]
    return (*sorted(answered, key=lambda row: _place(row, asked.order)), *rest)


def side_of(row: FrameRow) -> str:
    """Return on which side of the near iris the focus plane lies, as far as that is certain.

    Parameters
    ----------
    row : FrameRow
        A frame.

    Returns
    -------
    str
        One of `SIDES`; "on" where the interval of the offset holds the iris.
    """
    offset = row.offset_mm
    if offset is None:
        return "cannot-tell"
    if offset.low > 0:
        return "behind"
    return "front" if offset.high < 0 else "on"


def eyes_of(row: FrameRow) -> str:
    """Return whether the eyes are open.

    Parameters
    ----------
    row : FrameRow
        A frame.

    Returns
    -------
    str
        One of `EYES`.
    """
    return {True: "open", False: "closed", None: "cannot-tell"}[row.eyes_open]


def _wanted(row: FrameRow, asked: Asked) -> bool:
    reach = None if row.reach_cm is None else round(row.reach_cm.value, 1)
    return (
        asked.cause in ("", row.cause if row.status == "measured" and row.answered else None)
        and asked.offset in ("", side_of(row) if row.status == "measured" else None)
        and asked.eyes in ("", eyes_of(row) if row.status == "measured" else None)
        and asked.chosen in ("", "yes" if row.chosen else "no")
        and (asked.from_cm is None or (reach is not None and reach >= asked.from_cm))
        and (asked.to_cm is None or (reach is not None and reach <= asked.to_cm))
        and asked.name.lower() in plain_text(row.name).lower()
    )


def _place(row: FrameRow, order: str) -> float:
    """Return a sort key, small first; what cannot be told comes after all else."""
    reach, offset = row.reach_cm, row.offset_mm
    if order in {"longest", "shortest"}:
        sign = -1 if order == "longest" else 1
        return math.inf if reach is None else sign * round(reach.value, 1)
    if order in {"behind", "front"}:
        sign = -1 if order == "behind" else 1
        return math.inf if offset is None else sign * round(offset.value, 1)
    if order == "cause":
        return CAUSES.index(row.cause) if row.answered else len(CAUSES)
    if order == "eyes":
        return EYES.index(eyes_of(row))
    if order == "chosen":
        return 0 if row.chosen else 1
    return row.burst or 0


def _one_of(query: Mapping[str, str], name: str, known: Sequence[str]) -> str:
    value = query.get(name, "")
    if value and value not in known:
        raise InputError(
            f"'{value[:40]}' is none of its choices",
            where=f"'{name}' in the address",
            hint=f"Ask for {', '.join(known)}, or leave it out",
        )
    return value


def _length_cm(query: Mapping[str, str], name: str, in_cm: float) -> float | None:
    text = query.get(name, "").strip().replace(",", ".")
    if not text:
        return None
    try:
        value = float(text) * in_cm
    except ValueError:
        value = math.nan
    if not 0 <= value <= MOST_CM:
        raise InputError(
            f"'{text[:40]}' is no reach",
            where=f"'{name}' in the address",
            hint="Give a print's longest edge, like 60, or leave it out",
        )
    return value


def _page(text: str) -> int:
    if not (text.isascii() and text.isdigit()):
        return 1
    return min(max(int(text[:9]), 1), MOST_PAGES)


def _text(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.10g}" if isinstance(value, float) else str(value)
