"""Where sessions are kept: in the store, so that they outlive a restart, or in this process."""

from datetime import datetime
from pathlib import Path
from typing import Protocol

from eyeplane.store import Sessions


class SessionKeep(Protocol):
    """Where sessions are kept; every method from any thread."""

    def add(self, hashed: str, expires_at: datetime) -> None:
        """Keep a session.

        Parameters
        ----------
        hashed : str
            SHA-256 of its secret.
        expires_at : datetime
            Until when it holds, with a time zone.
        """

    def find(self, hashed: str) -> datetime | None:
        """Return until when a session holds.

        Parameters
        ----------
        hashed : str
            SHA-256 of its secret.

        Returns
        -------
        datetime or None
            None if there is no such session.
        """

    def forget_all(self) -> None:
        """Forget all sessions."""


class SessionsHere:
    """Sessions kept in this process alone: they end with it."""

    def __init__(self) -> None:
        self._kept: dict[str, datetime] = {}

    def add(self, hashed: str, expires_at: datetime) -> None:
        """Keep a session.

        Parameters
        ----------
        hashed : str
            SHA-256 of its secret.
        expires_at : datetime
            Until when it holds, with a time zone.
        """
        self._kept[hashed] = expires_at

    def find(self, hashed: str) -> datetime | None:
        """Return until when a session holds.

        Parameters
        ----------
        hashed : str
            SHA-256 of its secret.

        Returns
        -------
        datetime or None
            None if there is no such session.
        """
        return self._kept.get(hashed)

    def forget_all(self) -> None:
        """Forget all sessions."""
        self._kept.clear()


class SessionsInStore:
    """Sessions kept in the store; it is opened anew each time, which takes some milliseconds.

    Parameters
    ----------
    path : Path
        The store.
    """

    def __init__(self, path: Path) -> None:
        self.path = path

    def add(self, hashed: str, expires_at: datetime) -> None:
        """Keep a session, and forget those that have ended.

        Parameters
        ----------
        hashed : str
            SHA-256 of its secret.
        expires_at : datetime
            Until when it holds, with a time zone.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        with Sessions(self.path) as sessions:
            sessions.prune()
            sessions.add(hashed, expires_at)

    def find(self, hashed: str) -> datetime | None:
        """Return until when a session holds.

        Parameters
        ----------
        hashed : str
            SHA-256 of its secret.

        Returns
        -------
        datetime or None
            None if there is no such session.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        with Sessions(self.path) as sessions:
            return sessions.find(hashed)

    def forget_all(self) -> None:
        """Forget all sessions.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        with Sessions(self.path) as sessions:
            sessions.forget_all()
