"""What all pages share: the sittings that are open, the store, and how the site is served."""

import threading
from dataclasses import dataclass, field
from pathlib import Path

from eyeplane.errors import InputError
from eyeplane.sitting.live import LiveSitting


@dataclass(slots=True)
class Site:
    """The site's state; made once by who serves it, handed to `make_app`.

    Attributes
    ----------
    store_path : Path or None
        The store; None: the photographer's own.
    studio : bool
        Whether it is served on the studio's network, so that every visitor needs a token.
    """

    store_path: Path | None = None
    studio: bool = False
    _sittings: dict[str, LiveSitting] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def add(self, sitting: LiveSitting) -> None:
        """Show a sitting; the one added last is the one that is current.

        Parameters
        ----------
        sitting : LiveSitting
            The sitting.
        """
        with self._lock:
            self._sittings.pop(sitting.key, None)
            self._sittings[sitting.key] = sitting

    def sittings(self) -> tuple[LiveSitting, ...]:
        """Return the open sittings.

        Returns
        -------
        tuple of LiveSitting
            The current one last.
        """
        with self._lock:
            return tuple(self._sittings.values())

    def current(self) -> LiveSitting | None:
        """Return the sitting that is being shot.

        Returns
        -------
        LiveSitting or None
            None if none is open.
        """
        found = self.sittings()
        return found[-1] if found else None

    def sitting(self, key: str) -> LiveSitting:
        """Return an open sitting.

        Parameters
        ----------
        key : str
            As in the address.

        Returns
        -------
        LiveSitting
            The sitting.

        Raises
        ------
        InputError
            If none of that name is open; the page answers 404.
        """
        with self._lock:
            found = self._sittings.get(key)
        if found is None:
            raise NotHereError(
                "no open sitting has this address",
                where="the address",
                hint="Choose a sitting from the list",
            )
        return found


class NotHereError(InputError):
    """What an address names is not here: answered with 404."""
