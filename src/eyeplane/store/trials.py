"""Guided trials, kept from their start, so that a reload or a restart loses none."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from eyeplane.store.opening import OpenStore, writing
from eyeplane.store.trouble import explained


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptTrial:
    """A trial as it is kept.

    Attributes
    ----------
    number : int
        Its own.
    sitting : str
        Key of the sitting that its frames land in.
    started_at : datetime
        When, with a time zone.
    trial : dict
        As `eyeplane.records.to_plain` gives it.
    """

    number: int
    sitting: str
    started_at: datetime
    trial: dict[str, Any]


class Trials(OpenStore):
    """Trials in the store; a context manager, opened as `OpenStore` says.

    Raises
    ------
    StoreError
        If the file cannot be made, opened or written, is no store, or is of a newer eyeplane.
    """

    def start(self, sitting: str, started_at: datetime, trial: Mapping[str, Any]) -> int:
        """Keep a trial that begins; one that was going on ends.

        Parameters
        ----------
        sitting : str
            Key of its sitting.
        started_at : datetime
            When, with a time zone.
        trial : mapping
            What `to_plain` made of it.

        Returns
        -------
        int
            Its number.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        moment, text = started_at.isoformat(), json.dumps(trial, allow_nan=False)
        with explained(self.path), writing(self._database):
            self._database.execute(
                "UPDATE trials SET ended_at = ? WHERE ended_at IS NULL", (moment,)
            )
            added = self._database.execute(
                "INSERT INTO trials (sitting, started_at, trial) VALUES (?, ?, ?)",
                (sitting, moment, text),
            )
        return int(added.lastrowid or 0)

    def current(self) -> KeptTrial | None:
        """Return the trial that is going on.

        Returns
        -------
        KeptTrial or None
            None if there is none, or it cannot be read any more.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        with explained(self.path):
            row = self._database.execute(
                "SELECT id, sitting, started_at, trial FROM trials WHERE ended_at IS NULL "
                "ORDER BY id DESC LIMIT 1"
            ).fetchone()
        if row is None:
            return None
        try:
            trial, when = json.loads(row[3]), datetime.fromisoformat(row[2])
        except ValueError:
            return None
        if not isinstance(trial, dict):
            return None
        return KeptTrial(number=row[0], sitting=row[1], started_at=when, trial=trial)

    def change(self, number: int, trial: Mapping[str, Any]) -> None:
        """Keep a trial as it is now.

        Parameters
        ----------
        number : int
            Its own.
        trial : mapping
            What `to_plain` made of it.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        text = json.dumps(trial, allow_nan=False)
        with explained(self.path), writing(self._database):
            self._database.execute(
                "UPDATE trials SET trial = ? WHERE id = ? AND ended_at IS NULL", (text, number)
            )

    def end(self, number: int, ended_at: datetime) -> None:
        """End a trial.

        Parameters
        ----------
        number : int
            Its own.
        ended_at : datetime
            When, with a time zone.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        with explained(self.path), writing(self._database):
            self._database.execute(
                "UPDATE trials SET ended_at = ? WHERE id = ? AND ended_at IS NULL",
                (ended_at.isoformat(), number),
            )
