"""A sitting turned into what the page shows; every word and number here comes from the records."""

from collections.abc import Sequence
from dataclasses import dataclass

from eyeplane.deliver.cautions import cautions
from eyeplane.deliver.drawing import Bar, ReachChart, cause_bars, enlargement, reach_chart
from eyeplane.deliver.frames import frame_size_mm, moment
from eyeplane.deliver.kitline import KitLine, kit_lines
from eyeplane.deliver.summary import (
    ChangePart,
    HabitPart,
    change_is_said,
    change_parts,
    habit_parts,
    tally_beside,
)
from eyeplane.deliver.wording import count_words, whole_cm
from eyeplane.records import Sitting, Viewing


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """The whole page.

    Attributes
    ----------
    name, day, viewed, goal, note : str
        Sitting, date, for which viewer and print the answers hold, and a story if there is one.
    lines : tuple of str
        The sitting in up to four lines.
    counts : str
        How many frames of each status.
    tally : tuple of str
        The sitting as photographers count it.
    changes : tuple of ChangePart
        The one worth most first.
    further : bool
        Whether the change worth most stands in `lines` already.
    habits : tuple of HabitPart
        Most costly first.
    kits : tuple of KitLine
        Most frames first.
    lit : bool
        Whether the light of any frame is told.
    enlarged : int
        How many times blur marks are enlarged.
    bars : tuple of Bar
        Cause chart.
    reach : ReachChart or None
        Reach over the sitting.
    cautions : tuple of str
        Where they apply.
    """

    name: str
    day: str
    viewed: str
    goal: str
    note: str
    lines: tuple[str, ...]
    counts: str
    tally: tuple[str, ...]
    changes: tuple[ChangePart, ...]
    further: bool
    habits: tuple[HabitPart, ...]
    kits: tuple[KitLine, ...]
    lit: bool
    enlarged: int
    bars: tuple[Bar, ...]
    reach: ReachChart | None
    cautions: tuple[str, ...]


def page_of(sitting: Sitting, note: str = "") -> Page:
    """Return the page without its frames.

    Parameters
    ----------
    sitting : Sitting
        Measured and answered.
    note : str
        A few words about the sitting, shown under its name.

    Returns
    -------
    Page
        Small whatever the number of frames.
    """
    parts = [
        count_words(len(sitting.frames), "frame"),
        *([f"{sitting.nobody} without a face"] if sitting.nobody else []),
        *([f"{sitting.unreadable} unreadable"] if sitting.unreadable else []),
    ]
    when = [f.reading.exposure.captured_at for f in sitting.frames]
    return Page(
        name=sitting.name,
        day=next((_day(w) for w in when if w and _day(w)), ""),
        viewed=_viewed(sitting.viewing),
        goal=f"{whole_cm(sitting.goal_cm)}\u2009cm",
        note=note,
        lines=tuple(line for line in sitting.lines if line),
        counts=", ".join(parts),
        tally=tally_beside(sitting, causes=False),  # they are drawn below
        changes=change_parts(sitting),
        further=change_is_said(sitting),
        habits=habit_parts(sitting.habits),
        kits=kit_lines(sitting.kits),
        lit=any(face.lights for frame in sitting.frames for face in frame.answer.faces),
        enlarged=enlargement(_sizes_mm(sitting)),
        bars=cause_bars(sitting.causes),
        reach=reach_chart(sitting.frames, goal_cm=sitting.goal_cm),
        cautions=cautions(sitting),
    )


def _sizes_mm(sitting: Sitting) -> Sequence[float]:
    return [frame_size_mm(frame, sitting.goal_cm) for frame in sitting.frames]


def _viewed(viewing: Viewing) -> str:
    if viewing.distance_cm is None:
        return "50\u2009cm, and from 1.5 times its diagonal beside it"
    return f"{viewing.distance_cm:g}\u2009cm"


def _day(text: str | None) -> str:
    when = moment(text)
    return f"{when.day} {when:%B %Y}" if when else ""
