"""Frames as the sitting's page shows them, each figure and word ready to stand there."""

from collections.abc import Iterable
from dataclasses import dataclass

from eyeplane.deliver.windows import PX_PER_FACE_MM, eye_window
from eyeplane.deliver.wording import cause_words, plain_text, reach_parts
from eyeplane.records import EyeView
from eyeplane.records.live import FrameRow
from eyeplane.sitting.live import LiveSitting
from eyeplane.web.figures import Figures
from eyeplane.web.pages.now_eye import eye_address, eye_jpeg
from eyeplane.web.words import words

MARK = 4  # hexadecimal digits: that new content has the old mark happens once in 65 536


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownFrame:
    """A frame in the list.

    Attributes
    ----------
    number : int
        Its number in addresses.
    name, reach, spread, cause, reason : str
        Words; `reason` where there is no answer.
    window : str
        Address of its eye window; empty if there is none.
    width, height : float
        Of the window at the scale of the page, CSS px.
    best, chosen, shut : bool
        Best of its burst; chosen; an eye is closed.
    """

    number: int
    name: str
    reach: str
    spread: str
    cause: str
    reason: str
    window: str
    width: float
    height: float
    best: bool
    chosen: bool
    shut: bool


# What a script fills: drawn once, by the same template that draws all others.
BLANK = ShownFrame(
    number=0,
    name="",
    reach="",
    spread="",
    cause="",
    reason="",
    window="data:,",
    width=0.0,
    height=0.0,
    best=False,
    chosen=False,
    shut=False,
)


def shown_frame(row: FrameRow, *, live: LiveSitting, figures: Figures) -> ShownFrame:
    """Return a frame as it is shown.

    Parameters
    ----------
    row : FrameRow
        The frame.
    live : LiveSitting
        Its sitting.
    figures : Figures
        As this visitor sees numbers.

    Returns
    -------
    ShownFrame
        Names with all that cannot be seen written out.
    """
    reach, spread = shown_reach(row, figures)
    width, height = window_size(row, live)
    return ShownFrame(
        number=row.number,
        name=plain_text(row.name),
        reach=reach,
        spread=spread,
        cause=cause_said(row),
        reason=reason_of(row),
        window=window_address(row, live.key) if width else "",
        width=width,
        height=height,
        best=row.best,
        chosen=row.chosen,
        shut=row.eyes_open is False,
    )


def shown_reach(row: FrameRow, figures: Figures) -> tuple[str, str]:
    """Return a reach and its spread as this visitor sees lengths.

    Parameters
    ----------
    row : FrameRow
        The frame.
    figures : Figures
        As this visitor sees numbers.

    Returns
    -------
    tuple of str
        ("35 cm", "(30–40)"), the second empty where there is none.
    """
    said, spread = reach_parts(row.reach_cm)
    if not spread:
        return figures.text(said), ""
    whole = figures.text(f"{said} ({spread})")
    reach, _, rest = whole.partition(" (")
    return reach, f"({rest}"


def cause_said(row: FrameRow) -> str:
    """Return what costs a frame most.

    Parameters
    ----------
    row : FrameRow
        The frame.

    Returns
    -------
    str
        Words, also while it is still being worked out.
    """
    return cause_words(row.cause) if row.answered else words("sitting.working")


def reason_of(row: FrameRow) -> str:
    """Return why a frame has no answer.

    Parameters
    ----------
    row : FrameRow
        The frame.

    Returns
    -------
    str
        Empty if it has one.
    """
    if row.status == "measured":
        return ""
    if row.status == "nobody":
        return words("sitting.nobody")
    return plain_text(row.sentence) or words("sitting.unreadable")


def window_address(row: FrameRow, key: str) -> str:
    """Return where a frame's eye window is.

    Parameters
    ----------
    row : FrameRow
        The frame.
    key : str
        The sitting's.

    Returns
    -------
    str
        Empty where there is none.
    """
    if row.window_mm_per_px is None or row.face is None:
        return ""
    return eye_address(key, row.number, row.face, content_mark(row))


def content_mark(row: FrameRow) -> str:
    """Return what tells a frame from what stood in its file before.

    Parameters
    ----------
    row : FrameRow
        The frame.

    Returns
    -------
    str
        So many characters of its hash that all frames of a long sitting stay a small answer.
    """
    return row.sha256[:MARK]


def window_scale(row: FrameRow) -> float:
    """Return how large a pixel of a frame's eye window is drawn: one scale for all faces.

    Parameters
    ----------
    row : FrameRow
        The frame.

    Returns
    -------
    float
        CSS px to one px of the picture; 0 where there is no window.
    """
    known = row.window_mm_per_px is not None and row.face is not None
    return (row.window_mm_per_px or 0.0) * PX_PER_FACE_MM if known else 0.0


def window_size(row: FrameRow, live: LiveSitting) -> tuple[float, float]:
    """Return how large a frame's eye window is drawn.

    Parameters
    ----------
    row : FrameRow
        The frame.
    live : LiveSitting
        The sitting, which has the picture.

    Returns
    -------
    tuple of float
        Width and height, CSS px; zeros where there is no picture that can be read.
    """
    if row.face is None or row.window_mm_per_px is None:
        return 0.0, 0.0
    jpeg = eye_jpeg(live, row.number, row.face)
    window = None
    if jpeg is not None:
        window = eye_window(EyeView(jpeg=jpeg, mm_per_px=row.window_mm_per_px))
    return (0.0, 0.0) if window is None else (window.width, window.height)


def count_chosen(rows: Iterable[FrameRow]) -> int:
    """Return how many frames are chosen.

    Parameters
    ----------
    rows : iterable of FrameRow
        All of a sitting.

    Returns
    -------
    int
        The count.
    """
    return sum(row.chosen for row in rows)
