"""What is known of the files of a watched folder, and what a sitting is to take in."""

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Literal

from eyeplane.records import FrameReading
from eyeplane.sitting.landing_walk import Mark
from eyeplane.sitting.landing_whole import BEHIND_S, Look
from eyeplane.sitting.scan import file_rank

Stage = Literal["writing", "whole", "in hand", "kept", "beside", "failed", "done"]
CLOCKS_AGREE_S = 5.0  # a file's own time is believed up to this age: disks of others have clocks


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """A moment on two clocks.

    Attributes
    ----------
    at_s : float
        Of a clock that never goes back.
    utc : datetime
        Of the calendar.
    """

    at_s: float
    utc: datetime


@dataclass(slots=True, eq=False)
class Landed:
    """One file as it is known at the moment.

    Attributes
    ----------
    path : str
        Where it lies.
    mark : Mark
        How it stood when it was asked last.
    since_s : float
        Since when it has stood so.
    fresh : bool
        Whether it landed while somebody waits for it.
    landed_at : datetime or None
        When its last byte was there; None for what lay there before.
    stage : str
        "writing" until it is whole, "whole" while it waits to be measured, "in hand" while it is,
        "kept" if it came out unreadable too early to be told, "beside" if another file of its
        exposure stands for it, "failed" if it was unreadable, and "done".
    look : Look or None
        What a look into it found, as it stands; None where none was needed yet.
    deep : bool
        Whether that look was at all of it.
    handed : Mark or None
        How it stood when it was given to be measured.
    reading : FrameReading or None
        One that says unreadable and is kept back.
    asked : bool
        Whether the store was asked for it, as it stands.
    """

    path: str
    mark: Mark
    since_s: float
    fresh: bool = True
    landed_at: datetime | None = None
    stage: Stage = "writing"
    look: Look | None = None
    deep: bool = False
    handed: Mark | None = None
    reading: FrameReading | None = None
    asked: bool = False

    def changed(self, mark: Mark, moment: Moment) -> None:
        """Note that it stands otherwise than before.

        Parameters
        ----------
        mark : Mark
            How it stands.
        moment : Moment
            Since when.
        """
        self.mark, self.since_s, self.look, self.deep = mark, moment.at_s, None, False
        self.landed_at, self.asked = None, False

    def landed(self, moment: Moment) -> None:
        """Note that it is whole: its last byte came when it changed last.

        Parameters
        ----------
        moment : Moment
            Now.
        """
        self.stage = "whole"
        if self.fresh and self.landed_at is None:
            told = datetime.fromtimestamp(self.mark.mtime_ns / 1e9, tz=UTC)
            since = moment.utc - timedelta(seconds=max(0.0, moment.at_s - self.since_s))
            near = abs((since - told).total_seconds()) <= CLOCKS_AGREE_S and told <= moment.utc
            self.landed_at = told if near else since

    def wait_s(self) -> float:
        """Return after how long standing still something is due.

        Returns
        -------
        float
            Seconds.
        """
        if self.look is None:
            return 0.0
        if self.stage == "kept":
            return self.look.tell_s
        return BEHIND_S if self.look.deeper and not self.deep else self.look.quiet_s

    def tell_s(self) -> float:
        """Return after how long standing still it may be called unreadable.

        Returns
        -------
        float
            Seconds.
        """
        return 0.0 if self.look is None else self.look.tell_s

    def stopped(self) -> str:
        """Return in words that its end never came.

        Returns
        -------
        str
            One line with what to do.
        """
        return (
            f"the file stopped growing at {self.mark.size_bytes:,} bytes and its end is missing. "
            "If it goes on it is measured then; otherwise copy it from the card again."
        )


@dataclass(slots=True, eq=False)
class Exposure:
    """The files of one exposure.

    Attributes
    ----------
    files : dict
        By path.
    taken : str
        The file that was taken in; empty if none was.
    mark : Mark or None
        How it stood then.
    good : bool
        Whether what was taken in could be read.
    """

    files: dict[str, Landed] = field(default_factory=dict)
    taken: str = ""
    mark: Mark | None = None
    good: bool = False

    def companions(self, path: str) -> tuple[str, ...]:
        """Return the other files.

        Parameters
        ----------
        path : str
            The one that stands for the exposure.

        Returns
        -------
        tuple of str
            In the order in which files are preferred.
        """
        return tuple(sorted((p for p in self.files if p != path), key=lambda p: (file_rank(p), p)))

    def others(self, path: str, *stages: Stage) -> list[Landed]:
        """Return the other files at these stages.

        Parameters
        ----------
        path : str
            The file that is not meant.
        *stages : str
            Which stages.

        Returns
        -------
        list of Landed
            In the order in which they were met.
        """
        return [one for p, one in self.files.items() if p != path and one.stage in stages]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToTake:
    """What the sitting is to take in.

    Attributes
    ----------
    path : str
        The file that stands for the exposure.
    reading : FrameReading or None
        None if only companions came or the file was renamed: the store has the reading.
    companions : tuple of str
        Further files of the exposure.
    landed_at : datetime or None
        When its last byte was there.
    was : str or None
        The path under which it was taken in before.
    """

    path: str
    reading: FrameReading | None
    companions: tuple[str, ...]
    landed_at: datetime | None = None
    was: str | None = None
