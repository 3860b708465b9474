"""What the Now page shows: one frame at arm's length, and what landed around it."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path, PurePath

from eyeplane.deliver.cautions import frame_cautions
from eyeplane.deliver.depthline import AT_ARMS_LENGTH, depth_line
from eyeplane.deliver.frames import FramePart, frame_part
from eyeplane.deliver.group_sketch import GroupSketch, group_sketch
from eyeplane.deliver.print_window import PrintWindow, print_window
from eyeplane.records.live import LiveFrame, LiveState, RunWarning
from eyeplane.sitting.live import LiveSitting
from eyeplane.sitting.run import goal_of
from eyeplane.web.pages.eyes_print import PieceAsked
from eyeplane.web.pages.now_eye import eye_address, eye_jpeg
from eyeplane.web.pages.now_journal import Entry, entries_after, entry_of, latest_entries
from eyeplane.web.seen import Seen
from eyeplane.web.words import words

MINUTE_S, HOUR_S, DAY_S = 60, 3600, 86400
MOST_BACK = 500  # frames looked through for the last answer
MOST_SIDE_PX = 2048  # of the eye with every pixel; no screen shows more of it
MOST_NEWER = 99  # frames counted after one that is held still


@dataclass(frozen=True, slots=True, kw_only=True)
class Eye:
    """The near eye at print scale.

    Attributes
    ----------
    source : str
        Address of the picture.
    window : PrintWindow
        Its size on the page.
    whole : str
        Address of the same with every pixel of the frame; empty where the first shows them all,
        or the frame no longer lies where it lay. It is asked for only when nothing else lands.
    """

    source: str
    window: PrintWindow
    whole: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Ago:
    """The last frame that held.

    Attributes
    ----------
    number : int
        Of the frame.
    age_s : float or None
        How long ago it landed; None where that is not known.
    text : str
        Both in words.
    """

    number: int
    age_s: float | None
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """The page's content.

    Attributes
    ----------
    key, name : str
        Of the sitting.
    file : str
        File name of the frame; empty while there is none.
    state : LiveState
        How it stands.
    live : LiveFrame or None
        The frame; None while there is none.
    part : FramePart or None
        The same in words and drawings.
    enlarged : int
        How many times its blur mark is enlarged.
    held : bool
        Whether the page holds still on it.
    eye : Eye or None
        The near eye.
    sketch : GroupSketch or None
        Of a group.
    sitters : tuple of str
        The names typed for its places, from the left; empty for a single sitter.
    print_words : str
        The print it is answered for.
    warning : RunWarning or None
        What goes wrong just now.
    good : Ago or None
        The last frame that held.
    answered : Entry or None
        The last frame with an answer, where this one has none.
    previous : int or None
        The frame before.
    newer : int
        How many landed after it, where the page holds still.
    journal : tuple of Entry
        What landed last, in order.
    cautions : tuple of str
        What to take care of where the advice is followed.
    """

    key: str
    name: str
    file: str
    state: LiveState
    live: LiveFrame | None
    part: FramePart | None
    enlarged: int
    held: bool
    eye: Eye | None
    sketch: GroupSketch | None
    sitters: tuple[str, ...]
    print_words: str
    warning: RunWarning | None
    good: Ago | None
    answered: Entry | None
    previous: int | None
    newer: int
    journal: tuple[Entry, ...]
    cautions: tuple[str, ...]


def shown_of(live: LiveSitting, *, number: int | None, seen: Seen) -> Shown:
    """Return what the page shows.

    Parameters
    ----------
    live : LiveSitting
        The sitting.
    number : int or None
        The frame to hold still on; None, or one that is not there: the newest.
    seen : Seen
        How the visitor sees pages.

    Returns
    -------
    Shown
        Of one moment.
    """
    state = live.state()
    asked = None if number is None else live.frame(number)
    frame = asked or live.last()
    goal_cm = goal_of(live.viewing)
    part, enlarged = (None, 1) if frame is None else _part(frame, goal_cm)
    names = live.sitter_names()
    sketch = None if frame is None else group_sketch(frame.frame, names)
    last = state.last_number if frame is None else frame.number
    return Shown(
        key=live.key,
        name=live.name,
        file="" if frame is None else PurePath(frame.frame.reading.path).name,
        state=state,
        live=frame,
        part=part,
        enlarged=enlarged,
        held=asked is not None,
        eye=None if frame is None else _eye(live, frame, goal_cm=goal_cm, seen=seen),
        sketch=sketch,
        sitters=_names(names, sketch),
        print_words=print_words(goal_cm),
        warning=_warning(live, last),
        good=_good(live),
        answered=None if frame is None else _answered(live, frame),
        previous=last - 1 if last > 1 else None,
        newer=0 if asked is None else _newer(live, asked),
        journal=latest_entries(live),
        cautions=() if frame is None else frame_cautions(frame.frame),
    )


def print_words(length_cm: float) -> str:
    """Return the length of a print in words.

    Parameters
    ----------
    length_cm : float
        Its longest edge, > 0 cm.

    Returns
    -------
    str
        For instance "60 cm".
    """
    return f"{length_cm:g}\u2009cm"


def _part(frame: LiveFrame, goal_cm: float) -> tuple[FramePart, int]:
    """Return a frame as a report shows it, its depth line drawn for who stands at arm's length."""
    part, enlarged = frame_part(frame.frame, goal_cm=goal_cm)
    k = frame.frame.answer.deciding
    if k is None or part.deciding is None:
        return part, enlarged
    reading, answer = frame.frame.reading.faces[k], frame.frame.answer.faces[k]
    depth = depth_line(reading, answer, drawn=AT_ARMS_LENGTH)
    return replace(part, deciding=replace(part.deciding, depth=depth)), enlarged


def _eye(live: LiveSitting, frame: LiveFrame, *, goal_cm: float, seen: Seen) -> Eye | None:
    reading, k = frame.frame.reading, frame.frame.answer.deciding
    jpeg = None if k is None else eye_jpeg(live, frame.number, k)
    if k is None or jpeg is None:
        return None
    window = print_window(
        jpeg,
        frame=reading,
        face=reading.faces[k],
        print_cm=goal_cm,
        screen_px_per_mm=seen.screen_px_per_mm,
    )
    if window is None:
        return None
    source = eye_address(live.key, frame.number, k, reading.sha256)
    shrunk = min(1.0, MOST_SIDE_PX / max(window.frame_px))  # one for both: an eye stays round
    wide, high = (round(shrunk * px) for px in window.frame_px)
    piece = PieceAsked(
        print_cm=goal_cm, width_mm=window.width_mm, width_px=wide, height_px=high, face=k
    )
    whole = f"/eye/{live.key}/{frame.number}/print.jpg?{piece.query(version=reading.sha256[:12])}"
    shown_all = window.whole or not Path(reading.path).is_file()
    return Eye(source=source, window=window, whole="" if shown_all else whole)


def _newer(live: LiveSitting, held: LiveFrame) -> int:
    """Return how many frames landed after one; where none landed, how many were taken in."""
    after = entries_after(live, held.number, MOST_NEWER)
    landed = sum(entry.landed_at is not None for entry in after)
    return landed or (len(after) if held.landed_at is None else 0)


def _names(names: dict[int, str], sketch: GroupSketch | None) -> tuple[str, ...]:
    if sketch is None:
        return ()
    return tuple(names.get(n, "") for n in range(1, len(sketch.heads) + 1))


def _warning(live: LiveSitting, last: int) -> RunWarning | None:
    """Return the newest warning of the run, until a frame after it has held."""
    told = [w for w in live.warnings() if w.number <= last]
    good = live.last_good()
    if not told or (good is not None and good.number > told[-1].number):
        return None
    return told[-1]


def _good(live: LiveSitting) -> Ago | None:
    good = live.last_good()
    if good is None:
        return None
    if good.landed_at is None:
        return Ago(number=good.number, age_s=None, text=words("now.good.known", n=good.number))
    age_s = max(0.0, (datetime.now(tz=UTC) - good.landed_at).total_seconds())
    return Ago(number=good.number, age_s=age_s, text=words("now.script.ago", ago=ago_words(age_s)))


def ago_words(age_s: float) -> str:
    """Return how long ago something was, rounded down.

    Parameters
    ----------
    age_s : float
        Seconds, >= 0.

    Returns
    -------
    str
        Seconds below a minute, minutes below an hour, then hours and days.
    """
    for step_s, name in ((DAY_S, "days"), (HOUR_S, "hours"), (MINUTE_S, "minutes"), (1, "seconds")):
        if age_s >= step_s:
            return words(f"now.script.{name}", n=int(age_s // step_s))
    return words("now.script.seconds", n=0)


def _answered(live: LiveSitting, frame: LiveFrame) -> Entry | None:
    """Return the newest frame before this one that somebody was found on, if this one has none."""
    if frame.frame.reading.status == "measured":
        return None
    for number in range(frame.number - 1, max(0, frame.number - MOST_BACK), -1):
        row = live.row(number)
        if row is not None and row.status == "measured":
            return entry_of(row)
    return None
