"""Where changes of a folder become known: notices of the system, and walks where none come.

Network disks often send no notices, and some are lost. So the folder is walked as well: several
times a second until notices prove to come, every few seconds from then on.
"""

import contextlib
import os
import threading
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from watchfiles import watch

from eyeplane.sitting.landing_walk import Walk, is_watched, walk_folder

# All of these: common practice, no source.
NOTICE_STEP_MS = 15  # notices are handed on once none came for so long
NOTICE_LIMIT_MS = 60  # or after so long, while a file grows
WALK_S = 0.3  # between walks while no notices come
RARE_WALK_S = 5.0  # between walks while notices come
WALK_SHARE = 20  # a walk may take one part of so many of the time: slow disks are asked less often
DOUBT_S = 1.0  # what a walk found must have been noticed by then, else notices do not come
AGAIN_S = 1.0  # between tries while the folder is away
HANGING_S = 10.0  # a walk that takes so long is told


@dataclass(frozen=True, slots=True, kw_only=True)
class Sighted:
    """What became known since last asked.

    Attributes
    ----------
    paths : frozenset of str
        Files of which a notice came.
    walk : Walk or None
        What the last walk found; None if there was none since.
    """

    paths: frozenset[str]
    walk: Walk | None


class Sight:
    """Watches a folder with two threads.

    Parameters
    ----------
    folder : Path
        The folder, with all that are in it.
    told : callable
        Called when something became known; from any thread, returns at once.
    """

    def __init__(self, folder: Path, told: Callable[[], None]) -> None:
        self._folder, self._told = str(folder), told
        self._lock = threading.Lock()
        self._paths: set[str] = set()
        self._walk: Walk | None = None
        self._away = ""  # why the folder cannot be listed
        self._proven = False  # whether notices come
        self._doubted_s = float("inf")  # since when a walk knows more than the notices
        self._walking_s = float("inf")  # since when a walk goes on
        self._ended = threading.Event()
        self._restart = threading.Event()  # the notices: the folder was away
        self._hurry = threading.Event()  # the next walk
        self._threads = [
            threading.Thread(target=self._walks, name="eyeplane-walk", daemon=True),
            threading.Thread(target=self._notices, name="eyeplane-notice", daemon=True),
        ]

    def start(self) -> None:
        """Begin."""
        for thread in self._threads:
            thread.start()

    def stop(self, wait_s: float = 1.0) -> None:
        """End both threads.

        Parameters
        ----------
        wait_s : float
            How long each gets; one that waits for a disk that does not answer is left to it.
        """
        self._ended.set()
        self._hurry.set()
        for thread in self._threads:
            if thread.ident is not None:
                thread.join(wait_s)

    def collect(self) -> Sighted:
        """Return what became known since last asked.

        Returns
        -------
        Sighted
            Maybe nothing.
        """
        with self._lock:
            found = Sighted(paths=frozenset(self._paths), walk=self._walk)
            self._paths, self._walk = set(), None
        return found

    def knew_more(self) -> None:
        """Note that a walk found what no notice told: if none follows, notices do not come."""
        with self._lock:
            self._doubted_s = min(self._doubted_s, time.monotonic())

    @property
    def noticing(self) -> bool:
        """Return whether notices come.

        Returns
        -------
        bool
            False until the first one.
        """
        return self._proven

    def trouble(self) -> str:
        """Return why the folder cannot be watched.

        Returns
        -------
        str
            One line with what to do; empty if all is well.
        """
        if self._away:
            return self._away
        if time.monotonic() - self._walking_s > HANGING_S:
            return (
                "The folder does not answer. Look to the network disk or the card reader; "
                "frames are taken in as soon as it answers again."
            )
        return ""

    def _walks(self) -> None:
        while not self._ended.is_set():
            began_s = self._walking_s = time.monotonic()
            try:
                found = walk_folder(self._folder)
            except OSError as error:
                self._gone(error)
                self._wait(AGAIN_S)
                continue
            took_s = time.monotonic() - began_s
            self._walking_s = float("inf")
            self._there(found)
            self._wait(max(RARE_WALK_S if self._proven else WALK_S, WALK_SHARE * took_s))

    def _wait(self, seconds: float) -> None:
        self._walking_s = float("inf")
        self._hurry.wait(seconds)
        if not self._ended.is_set():
            self._ended.wait(NOTICE_LIMIT_MS / 1000)  # notices of many folders make one walk
            self._hurry.clear()

    def _gone(self, error: OSError) -> None:
        told = bool(self._away)
        self._away = (
            f"The folder cannot be reached ({error.strerror or error}). Put the card back or "
            "connect the disk again; frames are taken in as soon as it is there."
        )
        self._proven = False
        if not told:
            self._told()

    def _there(self, found: Walk) -> None:
        if self._away:
            self._away = ""
            self._restart.set()
        with self._lock:
            self._walk = found
            if time.monotonic() - self._doubted_s > DOUBT_S:
                self._proven, self._doubted_s = False, float("inf")
        self._told()

    def _notices(self) -> None:
        while not self._ended.is_set():
            self._restart.clear()
            with contextlib.suppress(OSError, RuntimeError):  # then walks alone must do
                for changes in watch(
                    self._folder,
                    watch_filter=None,
                    debounce=NOTICE_LIMIT_MS,
                    step=NOTICE_STEP_MS,
                    stop_event=_Either(self._ended, self._restart),
                    rust_timeout=1000,
                    raise_interrupt=False,
                    recursive=True,
                    force_polling=False,
                    ignore_permission_denied=True,
                ):
                    self._noticed(path for _, path in changes)
            self._ended.wait(AGAIN_S)

    def _noticed(self, paths: Iterable[str]) -> None:
        """Hand on notices of frames; of a folder, or a name without suffix, walk anew."""
        found, elsewhere = set(), False
        for path in paths:
            if is_watched(path, self._folder):
                found.add(path)
            elif not Path(path).suffix or os.path.isdir(path):  # noqa: PTH112  never raises
                elsewhere = True
        with self._lock:
            self._paths |= found
            self._proven, self._doubted_s = True, float("inf")
        if found:
            self._told()
        if elsewhere:
            self._hurry.set()


class _Either:
    """Is set when one of several is: what ends a wait for notices."""

    def __init__(self, *events: threading.Event) -> None:
        self._events = events

    def is_set(self) -> bool:
        return any(event.is_set() for event in self._events)
