"""The store: readings by content, settings and version of the measuring."""

import json
from dataclasses import replace
from pathlib import Path

from eyeplane.records import FaceReading, FrameReading, MeasureSettings, from_plain, to_plain
from eyeplane.store.contents import FileMark, content_hash, file_mark, path_key
from eyeplane.store.opening import BUSY_LIMIT_S, OpenStore, writing
from eyeplane.store.trouble import explained


class Store(OpenStore):
    """Readings on disk; a context manager, to be used by the thread that made it.

    Parameters
    ----------
    path : Path
        The file; made with its folder if absent.
    measure_version : str
        Version of the measuring; readings of other versions stay in the file but are not found.
    busy_limit_s : float
        How long to wait for another process that writes.

    Raises
    ------
    StoreError
        If the file cannot be made, opened or written, is no store, or is of a newer eyeplane.

    Notes
    -----
    Every `put` is one short transaction. Should the process be killed, what was put is there and
    nothing else is lost than what was not put. Several processes may use one file.
    """

    def __init__(
        self, path: Path, *, measure_version: str, busy_limit_s: float = BUSY_LIMIT_S
    ) -> None:
        super().__init__(path, busy_limit_s=busy_limit_s)
        self.measure_version = measure_version

    def count(self) -> int:
        """Return how many readings of this version there are, whatever their settings.

        Returns
        -------
        int
            Number of readings.

        Raises
        ------
        StoreError
            If the file cannot be read.
        """
        with explained(self.path):
            return int(
                self._database.execute(
                    "SELECT count(*) FROM readings WHERE measure_version = ?",
                    (self.measure_version,),
                ).fetchone()[0]
            )

    def find(self, path: str | Path, settings: MeasureSettings) -> FrameReading | None:
        """Return what was measured in a file, if it was and the file has not changed since.

        Parameters
        ----------
        path : str or Path
            The frame.
        settings : MeasureSettings
            What was to be measured.

        Returns
        -------
        FrameReading or None
            With the path as given here and the file's size and time of today.

        Raises
        ------
        StoreError
            If the store cannot be used.

        Notes
        -----
        A file whose path, size and time of change are known is not opened. Any other is hashed,
        but only if a reading of that size exists, so that a moved or copied folder is found again
        while a new one costs nothing.
        """
        mark = file_mark(path)
        if mark is None:
            return None
        with explained(self.path):
            sha256 = self._known_hash(mark)
            if sha256 is None and self._has_size(mark.size_bytes, settings):
                sha256 = content_hash(path)
            reading = self._load(sha256, settings) if sha256 else None
            if reading is None or sha256 is None:
                return None
            self._remember(mark, sha256)
        return replace(reading, path=str(path), size_bytes=mark.size_bytes, mtime_ns=mark.mtime_ns)

    def put(self, reading: FrameReading, settings: MeasureSettings) -> None:
        """Keep a reading, in place of an earlier one of the same content and settings.

        Parameters
        ----------
        reading : FrameReading
            What was measured. One without a content hash (the file could not be read) is not
            kept: it is tried again next time, since a card or a permission may be mended.
        settings : MeasureSettings
            What was to be measured.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        if not reading.sha256:
            return
        text = json.dumps(to_plain(without_views(reading)), separators=(",", ":"))
        key = (reading.sha256, settings_key(settings), self.measure_version)
        with explained(self.path), writing(self._database):
            self._database.execute(
                "DELETE FROM readings WHERE sha256 = ? AND settings = ? AND measure_version = ?",
                key,
            )
            row = self._database.execute(
                "INSERT INTO readings (sha256, settings, measure_version, size_bytes, reading) "
                "VALUES (?, ?, ?, ?, ?)",
                (*key, reading.size_bytes, text),
            ).lastrowid
            self._database.executemany(
                "INSERT INTO views (reading_id, face, jpeg) VALUES (?, ?, ?)",
                [
                    (row, number, face.view.jpeg)
                    for number, face in enumerate(reading.faces)
                    if face.view is not None
                ],
            )
            self._database.execute(
                "REPLACE INTO files (path, size_bytes, mtime_ns, sha256) VALUES (?, ?, ?, ?)",
                (path_key(reading.path), reading.size_bytes, reading.mtime_ns, reading.sha256),
            )

    def _known_hash(self, mark: FileMark) -> str | None:
        row = self._database.execute(
            "SELECT sha256 FROM files WHERE path = ? AND size_bytes = ? AND mtime_ns = ?",
            (mark.path, mark.size_bytes, mark.mtime_ns),
        ).fetchone()
        return None if row is None else str(row[0])

    def _has_size(self, size_bytes: int, settings: MeasureSettings) -> bool:
        row = self._database.execute(
            "SELECT 1 FROM readings WHERE size_bytes = ? AND settings = ? AND measure_version = ?",
            (size_bytes, settings_key(settings), self.measure_version),
        ).fetchone()
        return row is not None

    def _remember(self, mark: FileMark, sha256: str) -> None:
        if self._known_hash(mark) == sha256:
            return
        with writing(self._database):
            self._database.execute(
                "REPLACE INTO files (path, size_bytes, mtime_ns, sha256) VALUES (?, ?, ?, ?)",
                (mark.path, mark.size_bytes, mark.mtime_ns, sha256),
            )

    def _load(self, sha256: str, settings: MeasureSettings) -> FrameReading | None:
        rows = self._database.execute(  # one statement, so that another process cannot come between
            "SELECT reading, face, jpeg FROM readings LEFT JOIN views ON reading_id = id "
            "WHERE sha256 = ? AND settings = ? AND measure_version = ?",
            (sha256, settings_key(settings), self.measure_version),
        ).fetchall()
        if not rows:
            return None
        views = {face: jpeg for _, face, jpeg in rows if face is not None}
        try:
            return _with_views(from_plain(FrameReading, json.loads(rows[0][0])), views)
        except (KeyError, TypeError, ValueError):
            return None  # a record of another shape: measured anew, and then replaced


def settings_key(settings: MeasureSettings) -> str:
    """Return settings as the store tells them apart.

    Parameters
    ----------
    settings : MeasureSettings
        What to measure.

    Returns
    -------
    str
        The same for equal settings.
    """
    return json.dumps(to_plain(settings), sort_keys=True, separators=(",", ":"))


def without_views(reading: FrameReading) -> FrameReading:
    """Return a reading without its pictures.

    Parameters
    ----------
    reading : FrameReading
        With or without views.

    Returns
    -------
    FrameReading
        Views keep their scale; their JPEG is empty.
    """
    return _with_views(reading, dict.fromkeys(range(len(reading.faces)), b""))


def _with_views(reading: FrameReading, views: dict[int, bytes]) -> FrameReading:
    def swap(number: int, face: FaceReading) -> FaceReading:
        if face.view is None:
            return face
        return replace(face, view=replace(face.view, jpeg=views[number]))

    return replace(reading, faces=tuple(swap(n, f) for n, f in enumerate(reading.faces)))
