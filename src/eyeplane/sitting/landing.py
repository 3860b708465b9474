"""From files that come and grow to exposures that are measured once: decides, and starts nothing.

A file is looked into when it changed or has stood still long enough. The first file of an exposure
that is whole is measured; the others are its companions, and are measured only if it is unreadable.
"""

from dataclasses import replace
from pathlib import PurePath

from eyeplane.records import FrameReading
from eyeplane.sitting.landing_book import Book
from eyeplane.sitting.landing_files import Exposure, Landed, Moment, ToTake
from eyeplane.sitting.landing_walk import Mark, Walk, mark_of
from eyeplane.sitting.landing_whole import BEHIND_S, look_into
from eyeplane.sitting.scan import exposure_of, file_rank

SETTLED_S = 60.0  # age at which a file met at the start is no longer being written; no source
JUST_NOW_S = 120.0  # age up to which a file met at the start has landed just now; no source
# Frames waiting at once above which somebody copies a card: then the newest goes first. Two cores
# measure about four 24 MP frames a second, so eight are two seconds late; no source.
FLOOD = 8
GROWING_S = 5.0  # for how long after a change a file is looked at often; no source


class Landing:
    """All files of a watched folder, and what is to be done with them.

    Parameters
    ----------
    marks : dict or None
        (size, time of change) by path of the files that the sitting has already.
    top : str or None
        The folder, out of which no link is followed; None: links are followed anywhere.
    """

    def __init__(
        self, marks: dict[str, tuple[int, int]] | None = None, *, top: str | None = None
    ) -> None:
        self._top = top
        self._book = Book(marks or {})
        self._open: dict[str, Landed] = {}  # files at which something is still to be done
        self._news: list[ToTake] = []
        self._begun = False

    def walked(self, walk: Walk, moment: Moment) -> bool:
        """Take note of all that lies there.

        Parameters
        ----------
        walk : Walk
            What was found.
        moment : Moment
            When.

        Returns
        -------
        bool
            Whether anything was not known to stand so.
        """
        gone = [path for path in self._book.files if path not in walk.files]
        gone = [path for path in gone if mark_of(path, self._top) is None]  # not come meanwhile
        for path in gone:
            self._vanished(path)
        # Of thousands of files few have changed: only those are put in order.
        other = [path for path, mark in walk.files.items() if not self._stands_so(path, mark)]
        other.sort(key=lambda p: (exposure_of(p), file_rank(p), p))
        changed = [self._seen(path, walk.files[path], moment) for path in other]
        self._begun = True
        return bool(gone) or any(changed)

    def noticed(self, path: str, moment: Moment) -> bool:
        """Take note of one file, which may be gone.

        Parameters
        ----------
        path : str
            The file.
        moment : Moment
            When.

        Returns
        -------
        bool
            Whether it was not known to stand so.
        """
        mark = mark_of(path, self._top)
        if mark is not None:
            return self._seen(path, mark, moment)
        known = path in self._book.files
        self._vanished(path)
        return known

    def look(self, moment: Moment) -> None:
        """Look into what is being written, where it changed or has stood still long enough.

        Parameters
        ----------
        moment : Moment
            When.
        """
        for one in [o for o in self._open.values() if o.stage == "writing"]:
            self.noticed(one.path, moment)
            if self._open.get(one.path) is one and one.stage == "writing":
                self._judge(one, moment)

    def unasked(self, limit: int) -> list[Landed]:
        """Return whole files for which the store was not asked yet.

        Parameters
        ----------
        limit : int
            How many at most.

        Returns
        -------
        list of Landed
            Fresh ones first.
        """
        found = [o for o in self._open.values() if o.stage == "whole" and not o.asked]
        return sorted(found, key=lambda one: not one.fresh)[:limit]

    def next(self) -> Landed | None:
        """Return the file to be measured next.

        Returns
        -------
        Landed or None
            Fresh ones in the order in which they landed, in a flood the newest; then what lay
            there before, by name. Only files for which the store was asked.
        """
        whole = [one for one in self._open.values() if one.stage == "whole" and one.asked]
        new = [one for one in whole if one.fresh]
        if not new:
            return next(iter(whole), None)
        if len(new) > FLOOD:
            return max(new, key=lambda one: (one.since_s, -file_rank(one.path), one.path))
        return min(new, key=lambda one: (one.since_s, file_rank(one.path), one.path))

    def handed(self, one: Landed) -> None:
        """Note that a file is being measured; others of its exposure wait for what comes of it.

        Parameters
        ----------
        one : Landed
            The file.
        """
        one.stage, one.handed = "in hand", one.mark
        for other in self._book.files[one.path].others(one.path, "whole"):
            other.stage = "beside"

    def came(self, path: str, reading: FrameReading, moment: Moment) -> ToTake | None:
        """Return what is to be taken in now that a file was measured.

        Parameters
        ----------
        path : str
            The file.
        reading : FrameReading
            Its reading.
        moment : Moment
            When.

        Returns
        -------
        ToTake or None
            None if it is gone, has changed meanwhile, or is not to be called unreadable yet.
        """
        one = self._open.get(path)
        if one is None or one.stage != "in hand":
            return None
        self.noticed(path, moment)
        if path not in self._open:
            return None
        if reading.status == "unreadable":
            return self._unreadable(one, reading, moment)
        return self._take(one, reading)

    def due(self, moment: Moment) -> list[ToTake]:
        """Return what is to be taken in without anything being measured.

        Parameters
        ----------
        moment : Moment
            When.

        Returns
        -------
        list of ToTake
            Companions, renamed files, and files that are called unreadable from now on.
        """
        news, self._news = self._news, []
        for one in [o for o in self._open.values() if o.stage == "kept"]:
            if one.reading is not None and moment.at_s - one.since_s >= one.tell_s():
                news += self._give_up(one, one.reading)
        return news

    @property
    def writing(self) -> tuple[str, ...]:
        """Return the names of files that are being written.

        Returns
        -------
        tuple of str
            The newest first.
        """
        found = [o for o in self._open.values() if o.stage in ("writing", "kept") and o.fresh]
        found.sort(key=lambda one: one.since_s, reverse=True)
        return tuple(PurePath(one.path).name for one in found)

    @property
    def waiting(self) -> int:
        """Return how many exposures wait to be measured or are being measured.

        Returns
        -------
        int
            What is still being written is not among them.
        """
        waits = ("whole", "in hand")
        return len({id(self._book.files[o.path]) for o in self._open.values() if o.stage in waits})

    def growing(self, moment: Moment) -> bool:
        """Return whether a file changed a moment ago and is not whole.

        Parameters
        ----------
        moment : Moment
            Now.

        Returns
        -------
        bool
            True for `GROWING_S` after a change.
        """
        return any(
            one.stage == "writing" and moment.at_s - one.since_s < GROWING_S
            for one in self._open.values()
        )

    def next_s(self, moment: Moment) -> float:
        """Return when something will be due.

        Parameters
        ----------
        moment : Moment
            Now.

        Returns
        -------
        float
            Seconds from now, infinite if nothing will.
        """
        waits = [
            one.since_s + one.wait_s() - moment.at_s
            for one in self._open.values()
            if one.stage in ("writing", "kept")
        ]
        return max(0.0, min(waits, default=float("inf")))

    def _stands_so(self, path: str, mark: Mark) -> bool:
        exposure = self._book.files.get(path)
        return exposure is not None and exposure.files[path].mark.same(mark)

    def _seen(self, path: str, mark: Mark, moment: Moment) -> bool:
        exposure = self._book.files.get(path)
        if exposure is None:
            return self._new(path, mark, moment)
        one = exposure.files[path]
        if one.mark.same(mark):
            return False
        grown = one.mark.size_bytes != mark.size_bytes
        one.changed(mark, moment)
        if one.stage == "done" and exposure.taken == path:
            one.fresh = grown  # else it only got another date, as copying gives it at the end
            self._reopen(one)
        elif one.stage in ("whole", "kept", "failed"):
            self._reopen(one)
        return True

    def _new(self, path: str, mark: Mark, moment: Moment) -> bool:
        was = self._book.name_before(path, mark)
        if was == path:
            return False  # another name of a file that is known
        if was is not None:
            self._vanished(was)
        one = Landed(path, mark, moment.at_s)
        exposure = self._book.add(one)
        if was is not None:
            self._stands(exposure, one)
            companions = exposure.companions(path)
            self._news.append(ToTake(path=path, reading=None, companions=companions, was=was))
        elif self._book.knows(exposure, one):
            self._stands(exposure, one)
        elif exposure.good and exposure.taken != path:
            self._beside(exposure, one)
        else:
            self._reopen(one)
            if not self._begun:
                self._lay_there(one, moment)
        return True

    def _lay_there(self, one: Landed, moment: Moment) -> None:
        """Judge a file that was met at the start by its age."""
        age_s = moment.utc.timestamp() - one.mark.mtime_ns / 1e9
        one.fresh = age_s <= JUST_NOW_S
        one.since_s = moment.at_s - max(0.0, min(age_s, JUST_NOW_S))
        if age_s > SETTLED_S:
            one.landed(moment)

    def _judge(self, one: Landed, moment: Moment) -> None:
        still_s = moment.at_s - one.since_s
        if one.look is None:
            one.look = look_into(one.path)
        if one.look.deeper and not one.deep and still_s >= BEHIND_S:
            one.look, one.deep = look_into(one.path, deep=True), True
        if still_s < one.look.quiet_s:
            return
        exposure = self._book.files[one.path]
        one.landed(moment)
        if exposure.others(one.path, "in hand"):
            one.stage = "beside"
        elif exposure.good and exposure.taken != one.path:
            self._beside(exposure, one)

    def _beside(self, exposure: Exposure, one: Landed) -> None:
        self._close(one)
        companions = exposure.companions(exposure.taken)
        self._news.append(ToTake(path=exposure.taken, reading=None, companions=companions))

    def _stands(self, exposure: Exposure, one: Landed) -> None:
        """Note that this file stands for its exposure and could be read."""
        self._book.stands(exposure, one)
        for each in exposure.files.values():
            self._close(each)

    def _take(self, one: Landed, reading: FrameReading) -> ToTake:
        exposure = self._book.files[one.path]
        again = (reading.size_bytes, reading.mtime_ns) != (one.mark.size_bytes, one.mark.mtime_ns)
        self._stands(exposure, one)
        if again:  # it changed while it was measured, if only its date
            one.fresh, one.look = one.fresh and reading.size_bytes != one.mark.size_bytes, None
            self._reopen(one)
        return ToTake(
            path=one.path,
            reading=reading,
            companions=exposure.companions(one.path),
            landed_at=one.landed_at,
        )

    def _unreadable(self, one: Landed, reading: FrameReading, moment: Moment) -> ToTake | None:
        exposure = self._book.files[one.path]
        if one.handed is None or not one.handed.same(one.mark):
            self._reopen(one)
            return None
        one.reading = reading
        others = exposure.others(one.path, "beside", "whole", "writing")
        if others:
            self._close(one)
            one.stage = "failed"
            for other in exposure.others(one.path, "beside"):
                self._reopen(other)
            return None
        if moment.at_s - one.since_s < one.tell_s():
            one.stage = "kept"
            return None
        return next(iter(self._give_up(one, reading)), None)

    def _give_up(self, one: Landed, reading: FrameReading) -> list[ToTake]:
        exposure = self._book.files[one.path]
        self._close(one)
        one.stage, one.reading = "failed", None
        if exposure.good:
            return []  # what was read of it before still holds
        exposure.taken, exposure.mark = one.path, one.mark
        if one.look is not None and not one.look.whole:
            reading = replace(reading, reason=one.stopped())
        companions = exposure.companions(one.path)
        return [
            ToTake(path=one.path, reading=reading, companions=companions, landed_at=one.landed_at)
        ]

    def _reopen(self, one: Landed) -> None:
        one.stage, one.reading = "writing", None
        self._open[one.path] = one

    def _close(self, one: Landed) -> None:
        one.stage = "done"
        self._open.pop(one.path, None)

    def _vanished(self, path: str) -> None:
        exposure = self._book.files.get(path)
        if exposure is None:
            return
        one = self._book.remove(path)
        self._open.pop(path, None)
        if one.stage == "in hand":
            for other in exposure.others(path, "beside"):
                self._reopen(other)
