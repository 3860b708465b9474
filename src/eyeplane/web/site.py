"""What all pages share: the sittings that are open, the store, and how the site is served."""

import threading
from dataclasses import dataclass, field
from pathlib import Path

from eyeplane.errors import InputError
from eyeplane.records import MeasureSettings, Viewing
from eyeplane.sitting.known import KnownSitting, folder_of, known_sittings
from eyeplane.sitting.live import LiveSitting
from eyeplane.sitting.live_open import key_of
from eyeplane.sitting.watch import Watcher
from eyeplane.store import default_store_path
from eyeplane.web.guard.codes import Codes
from eyeplane.web.guard.sessions import SessionsInStore
from eyeplane.web.guard.streams import Streams
from eyeplane.web.guard.tries import Tries

MOST_WATCHED = 2  # folders at once: each has measuring processes of its own, some 200 MB a core


@dataclass(slots=True)
class Site:
    """The site's state; made once by who serves it, handed to `make_app`.

    Attributes
    ----------
    store_path : Path or None
        The store; None: the photographer's own.
    studio : bool
        Whether it is served on the studio's network, so that every visitor needs a token.
    port : int
        Where it is served; shown in the address for telephones.
    settings : MeasureSettings
        How frames that land are measured.
    workers : int or None
        Measuring processes; None: one a processor core.
    codes : Codes
        One-time codes and sessions.
    tries : Tries
        How often codes were tried.
    streams : Streams
        Open streams of events.
    closing : threading.Event
        Set once the site is about to end.
    """

    store_path: Path | None = None
    studio: bool = False
    port: int = 8765
    settings: MeasureSettings = field(default_factory=MeasureSettings)
    workers: int | None = None
    codes: Codes = field(default_factory=Codes)
    tries: Tries = field(default_factory=Tries)
    streams: Streams = field(default_factory=Streams)
    closing: threading.Event = field(default_factory=threading.Event)
    _sittings: dict[str, LiveSitting] = field(default_factory=dict)
    _watchers: dict[str, Watcher] = field(default_factory=dict)
    _lock: threading.RLock = field(default_factory=threading.RLock)
    _opening: threading.Lock = field(default_factory=threading.Lock)

    def keep_sessions(self) -> None:
        """Keep sessions in the store from now on, so that they outlive a restart."""
        path = self.store_path or default_store_path()
        self.codes = Codes(SessionsInStore(path))

    def open(
        self, folder: Path, *, viewing: Viewing | None = None, name: str | None = None
    ) -> LiveSitting:
        """Open the sitting of a folder, watch the folder, and make it the current one.

        Parameters
        ----------
        folder : Path
            Where its frames lie or will land.
        viewing : Viewing or None
            For which print and from where; None: as it was when it was open last.
        name : str or None
            What it is called if it is new; None: as the folder.

        Returns
        -------
        LiveSitting
            With all that was known of it; one that is open already is only made current.

        Raises
        ------
        InputError
            If there is no such folder.
        StoreError
            If the store cannot be used.
        """
        with self._opening:  # two visitors may ask for the same one
            if not folder.is_dir():
                raise InputError(
                    "there is no such folder",
                    where=str(folder),
                    hint="Name the folder that your frames land in",
                )
            opened = self._open(key_of(folder))
            if opened is not None:
                self._make_current(opened)
                return opened
            live = LiveSitting.open(
                folder,
                store_path=self.store_path,
                settings=self.settings,
                viewing=viewing,
                name=name,
            )
            self._make_current(live)
            return live

    def open_known(self, key: str) -> LiveSitting:
        """Open a sitting that was open before and make it the current one.

        Parameters
        ----------
        key : str
            As in the list of known sittings; it is looked up there and is never a path.

        Returns
        -------
        LiveSitting
            The sitting.

        Raises
        ------
        NotHereError
            If no sitting is known by this key.
        InputError
            If its folder is gone.
        StoreError
            If the store cannot be used.
        """
        opened = self._open(key)
        if opened is not None:
            with self._opening:
                self._make_current(opened)
            return opened
        folder = folder_of(key, self.store_path)
        if folder is None:
            raise _not_open()
        if not folder.is_dir():
            raise InputError(
                "its folder is not there",
                where=f"the sitting in {folder.name}",
                hint="Connect the disk or card that it lies on, or serve the folder by its new "
                "place: eyeplane serve FOLDER",
            )
        return self.open(folder)

    def known(self) -> tuple[KnownSitting, ...]:
        """Return all sittings that were open once, or measured.

        Returns
        -------
        tuple of KnownSitting
            The one used last first.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        return known_sittings(self.store_path)

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
        found = self._open(key)
        if found is None:
            raise _not_open()
        return found

    def close(self) -> None:
        """Stop watching and let go of all sittings; a second call does nothing."""
        self.closing.set()
        with self._lock:
            watchers, sittings = tuple(self._watchers.values()), tuple(self._sittings.values())
            self._watchers.clear()
            self._sittings.clear()
        for watcher in watchers:
            watcher.stop()
        for sitting in sittings:
            sitting.close()

    def _make_current(self, live: LiveSitting) -> None:
        """Show a sitting and watch its folder; of the others only the latest is watched on."""
        if live.key not in self._watchers:
            watcher = Watcher(
                live,
                settings=self.settings,
                store_path=self.store_path,
                workers=self.workers,
            )
            watcher.start()
            with self._lock:
                self._watchers[live.key] = watcher
        self.add(live)
        with self._lock:
            watched = [key for key in self._sittings if key in self._watchers]
            resting = [self._watchers.pop(key) for key in watched[:-MOST_WATCHED]]
        for watcher in resting:
            watcher.stop()

    def _open(self, key: str) -> LiveSitting | None:
        with self._lock:
            return self._sittings.get(key)


class NotHereError(InputError):
    """What an address names is not here: answered with 404."""


def _not_open() -> NotHereError:
    return NotHereError(
        "no open sitting has this address",
        where="the address",
        hint="Choose a sitting from the list",
    )
