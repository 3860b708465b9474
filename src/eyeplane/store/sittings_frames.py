"""Frames of sittings that were opened in the pages: by number, with what was said of each."""

import json
import os
import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

from eyeplane.errors import StoreError
from eyeplane.records import FrameReading, MeasureSettings, from_plain, to_plain
from eyeplane.store.contents import path_key
from eyeplane.store.opening import OpenStore, writing
from eyeplane.store.readings import settings_key, without_views
from eyeplane.store.trouble import explained

MOST_FACES = 1_000_000  # in a frame: larger numbers come from an address that was made up


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptFrame:
    """A frame as it is kept.

    Attributes
    ----------
    number : int
        Given once.
    known_by_path : bool
        Whether its file still holds it; False once another frame was saved there.
    path : str
        Its file.
    companions : tuple of str
        Further files of the same exposure.
    sha256 : str
        What the file held; empty for one that could not be read.
    size_bytes, mtime_ns : int
        Of the file when it was taken in.
    landed_at, answered_at : datetime or None
        When it was there and when its answer was.
    said : str
        The frame in one line; empty if nothing was said yet.
    """

    number: int
    known_by_path: bool
    path: str
    companions: tuple[str, ...]
    sha256: str
    size_bytes: int
    mtime_ns: int
    landed_at: datetime | None
    answered_at: datetime | None
    said: str


class SittingFrames(OpenStore):
    """Frames of sittings in the store; opened as `OpenStore` says."""

    def frames(self, sitting: int) -> tuple[KeptFrame, ...]:
        """Return the frames of a sitting.

        Parameters
        ----------
        sitting : int
            Its id.

        Returns
        -------
        tuple of KeptFrame
            In order of number.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        with explained(self.path):
            rows = self._database.execute(
                "SELECT number, place IS NOT NULL, path, companions, sha256, size_bytes, mtime_ns, "
                "landed_at, answered_at, said FROM landed WHERE sitting = ? ORDER BY number",
                (sitting,),
            ).fetchall()
        return tuple(_frame(row) for row in rows)

    def take(self, sitting: int, frame: KeptFrame, reading: FrameReading) -> None:
        """Keep a frame under a number that was not given yet.

        Parameters
        ----------
        sitting : int
            The sitting's id.
        frame : KeptFrame
            The frame; an earlier one known by the same file is so no longer.
        reading : FrameReading
            What was measured; kept only if it has no content hash, since the store of readings
            does not keep it then.

        Raises
        ------
        StoreError
            If the store cannot be written, or the number was given away by another eyeplane.
        """
        with explained(self.path):
            try:
                with writing(self._database):
                    self._free(sitting, frame)
                    self._database.execute(
                        "INSERT INTO landed (sitting, number, place, path, companions, sha256, "
                        "size_bytes, mtime_ns, landed_at, answered_at, reading, said) "
                        "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                        (sitting, frame.number, *_values(frame, reading)),
                    )
            except sqlite3.IntegrityError as error:
                raise StoreError(
                    "another eyeplane is taking in frames of the same sitting",
                    where=str(self.path),
                    hint="Close the other one, then open the sitting again",
                ) from error

    def replace(self, sitting: int, frame: KeptFrame, reading: FrameReading) -> None:
        """Keep a frame in place of what its number stood for.

        Parameters
        ----------
        sitting : int
            The sitting's id.
        frame : KeptFrame
            The frame, with a number that was given.
        reading : FrameReading
            What was measured, as for `take`.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        with explained(self.path), writing(self._database):
            self._free(sitting, frame)
            self._database.execute(
                "UPDATE landed SET place = ?, path = ?, companions = ?, sha256 = ?, "
                "size_bytes = ?, mtime_ns = ?, landed_at = ?, answered_at = ?, reading = ?, "
                "said = ? WHERE sitting = ? AND number = ?",
                (*_values(frame, reading), sitting, frame.number),
            )

    def say(self, sitting: int, said: Mapping[int, str], whole: str | None = None) -> None:
        """Keep what is said of frames and of the sitting.

        Parameters
        ----------
        sitting : int
            The sitting's id.
        said : mapping of int to str
            By number: the frame in one line.
        whole : str or None
            What is said of the sitting; None leaves it as it is.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        with explained(self.path), writing(self._database):
            self._database.executemany(
                "UPDATE landed SET said = ? WHERE sitting = ? AND number = ?",
                [(text, sitting, number) for number, text in said.items()],
            )
            if whole is not None:
                self._database.execute(
                    "UPDATE sittings SET whole = ? WHERE id = ?", (whole, sitting)
                )

    def readings(
        self,
        sitting: int,
        *,
        settings: MeasureSettings,
        measure_version: str,
        numbers: tuple[int, int] = (1, 2**62),
    ) -> dict[int, str]:
        """Return the readings of a sitting's frames, as JSON.

        Parameters
        ----------
        sitting : int
            Its id.
        settings : MeasureSettings
            What was to be measured.
        measure_version : str
            By which version of the measuring.
        numbers : tuple of int
            The first and the last number asked for.

        Returns
        -------
        dict of int to str
            By number; frames whose reading is not there are left out. Taken apart by
            `reading_of`.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        with explained(self.path):
            rows = self._database.execute(
                "SELECT number, coalesce(readings.reading, landed.reading) FROM landed "
                "LEFT JOIN readings ON readings.sha256 = landed.sha256 AND landed.sha256 != '' "
                "AND settings = ? AND measure_version = ? "
                "WHERE sitting = ? AND number BETWEEN ? AND ?",
                (settings_key(settings), measure_version, sitting, *numbers),
            ).fetchall()
        return {int(number): text for number, text in rows if text}

    def numbers_read(
        self, sitting: int, *, settings: MeasureSettings, measure_version: str
    ) -> frozenset[int]:
        """Return the frames whose readings are there.

        Parameters
        ----------
        sitting : int
            The sitting's id.
        settings : MeasureSettings
            What was to be measured.
        measure_version : str
            By which version of the measuring.

        Returns
        -------
        frozenset of int
            Their numbers.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        with explained(self.path):
            rows = self._database.execute(
                "SELECT number FROM landed WHERE sitting = ? AND (landed.reading != '' OR EXISTS "
                "(SELECT 1 FROM readings WHERE readings.sha256 = landed.sha256 AND settings = ? "
                "AND measure_version = ?))",
                (sitting, settings_key(settings), measure_version),
            ).fetchall()
        return frozenset(int(number) for (number,) in rows)

    def view(
        self, sha256: str, face: int, *, settings: MeasureSettings, measure_version: str
    ) -> bytes | None:
        """Return the picture of an eye.

        Parameters
        ----------
        sha256 : str
            What the frame's file held.
        face : int
            Index of the face.
        settings : MeasureSettings
            What was to be measured.
        measure_version : str
            By which version of the measuring.

        Returns
        -------
        bytes or None
            A JPEG; None if there is none.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        if not 0 <= face < MOST_FACES:
            return None
        with explained(self.path):
            row = self._database.execute(
                "SELECT jpeg FROM views JOIN readings ON reading_id = id WHERE sha256 = ? "
                "AND settings = ? AND measure_version = ? AND face = ?",
                (sha256, settings_key(settings), measure_version, face),
            ).fetchone()
        return None if row is None else bytes(row[0])

    def _free(self, sitting: int, frame: KeptFrame) -> None:
        """Let no other frame be known by this one's file."""
        self._database.execute(
            "UPDATE landed SET place = NULL WHERE sitting = ? AND place = ? AND number != ?",
            (sitting, path_key(frame.path), frame.number),
        )


def reading_of(text: str, frame: KeptFrame) -> FrameReading | None:
    """Return a frame's reading from its JSON.

    Parameters
    ----------
    text : str
        As `Sittings.readings` gives it.
    frame : KeptFrame
        Whose file it is, and its size and time.

    Returns
    -------
    FrameReading or None
        Without pictures; None for a record of another shape.
    """
    try:
        reading = from_plain(FrameReading, json.loads(text))
    except (KeyError, TypeError, ValueError):
        return None
    return replace(reading, path=frame.path, size_bytes=frame.size_bytes, mtime_ns=frame.mtime_ns)


def _values(frame: KeptFrame, reading: FrameReading) -> tuple[object, ...]:
    text = "" if frame.sha256 else json.dumps(to_plain(without_views(reading)))
    return (
        path_key(frame.path) if frame.known_by_path else None,
        os.fsencode(frame.path),
        json.dumps(frame.companions),
        frame.sha256,
        frame.size_bytes,
        frame.mtime_ns,
        None if frame.landed_at is None else moment(frame.landed_at),
        None if frame.answered_at is None else moment(frame.answered_at),
        text,
        frame.said,
    )


def _frame(row: tuple[Any, ...]) -> KeptFrame:
    number, known, path, companions, sha256, size_bytes, mtime_ns, landed_at, answered_at, said = (
        row
    )
    return KeptFrame(
        number=number,
        known_by_path=bool(known),
        path=os.fsdecode(path),
        companions=tuple(json.loads(companions)),
        sha256=sha256,
        size_bytes=size_bytes,
        mtime_ns=mtime_ns,
        landed_at=None if landed_at is None else datetime.fromisoformat(landed_at),
        answered_at=None if answered_at is None else datetime.fromisoformat(answered_at),
        said=said,
    )


def moment(when: datetime) -> str:
    """Return a moment as text of one width, so that it sorts as time does.

    Parameters
    ----------
    when : datetime
        With a time zone.

    Returns
    -------
    str
        ISO 8601, UTC.

    Raises
    ------
    ValueError
        If it has no time zone.
    """
    if when.tzinfo is None:
        msg = f"{when.isoformat()} has no time zone"
        raise ValueError(msg)
    return when.astimezone(UTC).isoformat(timespec="microseconds")
