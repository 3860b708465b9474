"""What frames teach, and the photographer's labels of their sittings, in the store."""

import json
import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

from eyeplane.records.lessons import Lesson, SittingLabels
from eyeplane.store.contents import path_key
from eyeplane.store.lesson_rows import Row, lesson_of, lesson_row, no_lesson
from eyeplane.store.opening import OpenStore, writing
from eyeplane.store.trouble import explained


class Lessons(OpenStore):
    """Lessons in the store; a context manager, opened as `OpenStore` says.

    Raises
    ------
    StoreError
        If the file cannot be made, opened or written, is no store, or is of a newer eyeplane.

    Notes
    -----
    Every change is one short transaction, and marks what all lessons say together as stale.
    """

    def keep(self, frames: Mapping[str, Sequence[Lesson]]) -> bool:
        """Keep what frames teach, in place of what they taught before.

        Parameters
        ----------
        frames : mapping of str to sequence of Lesson
            By content hash; empty where a frame teaches nothing.

        Returns
        -------
        bool
            Whether anything changed.

        Raises
        ------
        StoreError
            If the store cannot be written.

        Notes
        -----
        Frames that were forgotten are passed over. A folder that was moved takes its labels along.
        """
        with explained(self.path), writing(self._database):
            before = {row[:2]: row for sha256 in frames for row in self._rows_of(sha256)}
            told = [one for own in frames.values() for one in own if not self._gone(one.sha256)]
            rows = {row[:2]: row for row in map(lesson_row, told)}
            if rows == before:
                return False
            self._take_labels_along(before, rows)
            self._database.executemany(
                "DELETE FROM lessons WHERE sha256 = ?", [(sha256,) for sha256 in frames]
            )
            self._database.executemany(
                "INSERT INTO lessons (sha256, kind, sitting, captured_s, kit, lesson) "
                "VALUES (?, ?, ?, ?, ?, ?)",
                list(rows.values()),
            )
            self._stale()
        return True

    def all(self) -> list[Lesson]:
        """Return all lessons, with the labels of their sittings.

        Returns
        -------
        list of Lesson
            One of another shape, written by another version, is left out.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        with explained(self.path):
            labels = self.labels()
            rows = self._database.execute(
                "SELECT sitting, lesson FROM lessons ORDER BY sitting, sha256, kind"
            ).fetchall()
        found = (lesson_of(text, labels.get(sitting, SittingLabels())) for sitting, text in rows)
        return [one for one in found if one is not None]

    def labels(self) -> dict[str, SittingLabels]:
        """Return the labels of sittings.

        Returns
        -------
        dict of str to SittingLabels
            By folder; without those that have none.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        with explained(self.path):
            rows = self._database.execute("SELECT sitting, label FROM taught").fetchall()
        return {str(sitting): SittingLabels(**json.loads(text)) for sitting, text in rows}

    def label(self, sittings: Sequence[str], labels: Mapping[str, str]) -> None:
        """Label sittings, in place of what the same labels said before.

        Parameters
        ----------
        sittings : sequence of str
            Their folders, as `sitting_key` has them.
        labels : mapping of str to str
            By the names of `SittingLabels`; an empty text takes a label away. Others stay.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        with explained(self.path), writing(self._database):
            known = self.labels()
            changed = False
            for sitting in sittings:
                old = known.get(sitting, SittingLabels())
                new = replace(old, **labels)  # type: ignore[arg-type]  # checked by who calls
                changed |= new != old
                self._put_labels(sitting, new)
            if changed:
                self._stale()

    def forget(self, which: Callable[[Lesson], bool], *, folder: str | None = None) -> int:
        """Forget what frames taught, for good.

        Parameters
        ----------
        which : callable
            True for each lesson that goes; all other lessons of the same frame go with it. It is
            asked of `only_labelled` too.
        folder : str or None
            Every frame that was measured in this folder or inside it goes too, whether it taught
            anything or not.

        Returns
        -------
        int
            How many frames taught something and no longer do.

        Raises
        ------
        StoreError
            If the store cannot be written.

        Notes
        -----
        What is forgotten is overwritten in the file, not only marked as free. Of each frame its
        hash stays, so that the next run does not quietly learn it again; labels of sittings that
        teach nothing any more are forgotten too.
        """
        told = self.all()
        going = {one.sha256 for one in told if which(one)}
        touched = {one.sitting for one in told if one.sha256 in going}
        touched |= {one.sitting for one in self.only_labelled() if which(one)}
        left = {one.sitting for one in told if one.sha256 not in going}
        with explained(self.path):
            self._database.execute("PRAGMA secure_delete = ON")
            with writing(self._database):
                marked = going | (self._measured_in(folder) if folder is not None else set())
                self._database.executemany(
                    "REPLACE INTO forgotten (sha256) VALUES (?)", [(one,) for one in sorted(marked)]
                )
                self._database.executemany(
                    "DELETE FROM lessons WHERE sha256 = ?", [(one,) for one in sorted(going)]
                )
                self._database.executemany(
                    "DELETE FROM taught WHERE sitting = ?", [(one,) for one in touched - left]
                )
                self._database.execute("UPDATE learned SET numbers = '{}', stale = 1")
            self._database.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        return len(going)

    def only_labelled(self) -> list[Lesson]:
        """Return the sittings that have labels and teach nothing.

        Returns
        -------
        list of Lesson
            One a sitting, of no frame: with an empty hash.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        with explained(self.path):
            rows = self._database.execute(
                "SELECT sitting, label FROM taught WHERE sitting NOT IN "
                "(SELECT sitting FROM lessons) ORDER BY sitting"
            ).fetchall()
        return [
            no_lesson(str(sitting), SittingLabels(**json.loads(text))) for sitting, text in rows
        ]

    def forgotten(self) -> int:
        """Return how many frames were forgotten.

        Returns
        -------
        int
            Frames that teach nothing again until they are asked to.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        with explained(self.path):
            row = self._database.execute("SELECT count(*) FROM forgotten").fetchone()
        return int(row[0])

    def learn_again(self, folder: str) -> int:
        """Let frames that were forgotten teach again, once they are measured again.

        Parameters
        ----------
        folder : str
            Where they lie, or lay when they were measured; folders inside it count too.

        Returns
        -------
        int
            How many frames there had been forgotten.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        with explained(self.path), writing(self._database):
            there = sorted(self._measured_in(folder))
            gone = sum(self._gone(one) for one in there)
            self._database.executemany(
                "DELETE FROM forgotten WHERE sha256 = ?", [(one,) for one in there]
            )
        return gone

    def half_life_days(self) -> float | None:
        """Return from what age on a sitting counts half in plans.

        Returns
        -------
        float or None
            None: all sittings count alike.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        with explained(self.path):
            row = self._database.execute("SELECT half_life_days FROM learned").fetchone()
        return None if row is None or row[0] is None else float(row[0])

    def keep_numbers(self, numbers: Mapping[str, Any], half_life_days: float | None) -> None:
        """Keep what all lessons say together.

        Parameters
        ----------
        numbers : mapping
            What `to_plain` made of a `LearnedNumbers`.
        half_life_days : float or None
            With which they were learned, and are to be from now on.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        text = json.dumps(numbers, separators=(",", ":"), allow_nan=False)
        with explained(self.path), writing(self._database):
            self._database.execute(
                "REPLACE INTO learned (id, stale, half_life_days, numbers) VALUES (1, 0, ?, ?)",
                (half_life_days, text),
            )

    def _rows_of(self, sha256: str) -> list[Row]:
        return self._database.execute(
            "SELECT sha256, kind, sitting, captured_s, kit, lesson FROM lessons WHERE sha256 = ?",
            (sha256,),
        ).fetchall()

    def _gone(self, sha256: str) -> bool:
        row = self._database.execute(
            "SELECT 1 FROM forgotten WHERE sha256 = ?", (sha256,)
        ).fetchone()
        return row is not None

    def _measured_in(self, folder: str) -> set[str]:
        """Return the hashes of all files that were measured in a folder or inside it."""
        start = path_key(folder).rstrip(os.fsencode(os.sep)) + os.fsencode(os.sep)
        rows = self._database.execute("SELECT path, sha256 FROM files").fetchall()
        return {str(sha256) for path, sha256 in rows if sha256 and bytes(path).startswith(start)}

    def _take_labels_along(
        self, before: Mapping[tuple[str, str], Row], rows: Mapping[tuple[str, str], Row]
    ) -> None:
        known = self.labels()
        for key, row in rows.items():
            old = before.get(key)
            if old is not None and old[2] != row[2] and old[2] in known and row[2] not in known:
                known[row[2]] = known[old[2]]
                self._put_labels(row[2], known[old[2]])

    def _put_labels(self, sitting: str, labels: SittingLabels) -> None:
        if labels == SittingLabels():
            self._database.execute("DELETE FROM taught WHERE sitting = ?", (sitting,))
            return
        self._database.execute(
            "REPLACE INTO taught (sitting, label) VALUES (?, ?)",
            (sitting, json.dumps(asdict(labels), separators=(",", ":"))),
        )

    def _stale(self) -> None:
        self._database.execute("UPDATE learned SET stale = 1")


def sitting_key(folder: str | Path) -> str:
    """Return how a sitting is known: by its folder.

    Parameters
    ----------
    folder : str or Path
        Absolute, or from the working folder; links are not resolved.

    Returns
    -------
    str
        Text that can be kept, whatever bytes the name has.
    """
    return path_key(folder).decode("utf-8", "backslashreplace")


def is_within(sitting: str, folder: str) -> bool:
    """Return whether a sitting lies in a folder or inside it.

    Parameters
    ----------
    sitting, folder : str
        As `sitting_key` has them.

    Returns
    -------
    bool
        True for the folder itself.
    """
    return sitting == folder or sitting.startswith(folder.rstrip(os.sep) + os.sep)
