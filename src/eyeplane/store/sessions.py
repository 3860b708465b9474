"""Devices that were let in, known by a hash: what they hold is never in the store."""

from datetime import UTC, datetime

from eyeplane.store.opening import OpenStore, writing
from eyeplane.store.sittings_frames import moment
from eyeplane.store.trouble import explained


class Sessions(OpenStore):
    """Devices let in, until a day; a context manager, opened as `OpenStore` says.

    Raises
    ------
    StoreError
        If the file cannot be made, opened or written, is no store, or is of a newer eyeplane.

    Notes
    -----
    Every change is one short transaction; what is forgotten is overwritten in the file.
    """

    def add(self, hashed: str, expires_at: datetime) -> None:
        """Let a device in.

        Parameters
        ----------
        hashed : str
            The hash of what it holds; if it is known already, only the time changes.
        expires_at : datetime
            Until when, with a time zone.

        Raises
        ------
        ValueError
            If the moment has no time zone.
        StoreError
            If the store cannot be written.
        """
        until = moment(expires_at)
        with explained(self.path), writing(self._database):
            self._database.execute(
                "REPLACE INTO sessions (hash, expires_at) VALUES (?, ?)", (hashed, until)
            )

    def find(self, hashed: str, *, now: datetime | None = None) -> datetime | None:
        """Return until when a device is let in.

        Parameters
        ----------
        hashed : str
            The hash of what it holds.
        now : datetime or None
            The moment asked about, with a time zone; None is this one.

        Returns
        -------
        datetime or None
            None if it is not known, or no longer let in.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        with explained(self.path):
            row = self._database.execute(
                "SELECT expires_at FROM sessions WHERE hash = ?", (hashed,)
            ).fetchone()
        if row is None:
            return None
        expires_at = datetime.fromisoformat(row[0])
        return expires_at if expires_at > (now or datetime.now(tz=UTC)) else None

    def forget(self, hashed: str) -> bool:
        """Let a device in no longer.

        Parameters
        ----------
        hashed : str
            The hash of what it holds.

        Returns
        -------
        bool
            Whether it was known.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        return self._delete("DELETE FROM sessions WHERE hash = ?", hashed) > 0

    def forget_all(self) -> int:
        """Let no device in any longer.

        Returns
        -------
        int
            How many there were.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        return self._delete("DELETE FROM sessions")

    def prune(self, *, now: datetime | None = None) -> int:
        """Forget devices whose time is over.

        Parameters
        ----------
        now : datetime or None
            The moment asked about, with a time zone; None is this one.

        Returns
        -------
        int
            How many there were.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        until = moment(now or datetime.now(tz=UTC))
        return self._delete("DELETE FROM sessions WHERE expires_at <= ?", until)

    def _delete(self, statement: str, *values: str) -> int:
        with explained(self.path), writing(self._database):
            return self._database.execute(statement, values).rowcount
