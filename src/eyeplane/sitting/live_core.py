"""What the parts of a live sitting share: its frames, its store, and what works behind it."""

import threading
import time
from collections import deque
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from eyeplane.records import Viewing
from eyeplane.records.watched import Watched
from eyeplane.sitting.live_book import Book
from eyeplane.sitting.live_helpers import Helpers
from eyeplane.sitting.live_journal import SittingJournal
from eyeplane.sitting.live_passes import Passes
from eyeplane.sitting.live_settle import Settler
from eyeplane.sitting.live_warn import Warner

if TYPE_CHECKING:
    from concurrent.futures import Future

    from eyeplane.records.live import LiveFrame, RunWarning
    from eyeplane.sitting.live_held import Held
    from eyeplane.store.sittings_frames import KeptFrame

INLINE = 40  # frames that a sitting without a store answers while one waits


class LiveCore:
    """The middle of a live sitting; use `LiveSitting`.

    Parameters
    ----------
    key : str
        Its name in addresses.
    name : str
        What it is called.
    folder : Path or None
        Where its frames lie.
    viewing : Viewing
        For which print and from where to answer.
    journal : SittingJournal or None
        Its store; None: nothing is kept, and frames are answered as they are taken in.
    helpers : int
        Processes that answer many frames.
    learns : bool
        Whether what it teaches is kept for other sittings.
    version : str
        Of what answers.
    """

    def __init__(  # noqa: PLR0913  what a sitting is made of
        self,
        *,
        key: str,
        name: str,
        folder: Path | None,
        viewing: Viewing,
        journal: SittingJournal | None = None,
        helpers: int = 0,
        learns: bool = False,
        version: str = "",
    ) -> None:
        self.key, self.name, self.folder = key, name, folder
        self._book = Book(viewing)
        self._journal = journal
        self._passes = Passes(self._book, name=name, helpers=Helpers(helpers), journal=journal)
        self._settler = Settler(self._passes, version=version, learns=learns)
        self._taking = threading.Lock()  # numbers are given one by one
        self._watched: Callable[[], Watched] | None = None
        self._absent: dict[str, KeptFrame] = {}  # by exposure: known, their readings not there
        self._writing: deque[Future[None]] = deque()  # frames of before, on their way to the store
        self._steps: list[tuple[frozenset[int], bool]] = []  # changes of the choice, in order
        self._names: dict[int, str] = {}
        self._warned: list[RunWarning] = []
        self._warner = Warner(self._book, show=self._whole_frame, say=self._warn)

    @property
    def viewing(self) -> Viewing:
        """Return for which print and viewer the answers hold.

        Returns
        -------
        Viewing
            As set last.
        """
        return self._book.viewing

    def set_viewing(self, viewing: Viewing) -> None:
        """Answer for another print or viewer; answers follow in the background.

        Parameters
        ----------
        viewing : Viewing
            The new one.

        Raises
        ------
        StoreError
            If the store cannot be written; then all stays as it was.
        """
        with self._taking:
            if viewing == self._book.viewing:
                return
            journal = self._journal
            if journal is not None:
                journal.do(lambda store: store.set_viewing(journal.sitting, viewing))
            self._book.look_for(viewing)
        self._settler.hurry()
        self._at_once()

    def listen(self, heard: Callable[[], None]) -> Callable[[], None]:
        """Be told of changes.

        Parameters
        ----------
        heard : callable
            Called from any thread after each change; must return at once.

        Returns
        -------
        callable
            Ends it.
        """
        return self._book.listen(heard)

    def stirred(self) -> None:
        """Count a change that came from elsewhere (the watching) and tell who listens."""
        self._book.stirred()

    def watched_by(self, state: Callable[[], Watched] | None) -> None:
        """Say who watches its folder.

        Parameters
        ----------
        state : callable or None
            How the watching stands; None: nobody watches any more.
        """
        self._watched = state
        self._book.stirred()

    def settle(self, timeout_s: float = 600.0) -> bool:
        """Wait until everything is answered and summed up as `make_sitting` would have it.

        Parameters
        ----------
        timeout_s : float
            For how long at most.

        Returns
        -------
        bool
            False if it took longer.
        """
        end_s = time.monotonic() + timeout_s
        if self._journal is None:
            return self._settler.exact() or self._settler.settle(calm=True)
        while not self._settler.exact():
            if time.monotonic() > end_s:
                return False
            self._settler.hurry()
            time.sleep(0.05)
        return True

    def close(self) -> None:
        """End what works behind it and close its store; a second call does nothing."""
        self._warner.stop()
        self._settler.stop()
        if self._journal is not None:
            self._journal.close()

    def _whole_frame(self, held: "Held") -> "LiveFrame | None":
        """Return a frame with its whole answer; see `LiveShown`."""
        raise NotImplementedError

    def _watch(self, held: "Held") -> None:
        """Have a frame that landed looked at for warnings of the run."""
        if self._journal is None:
            self._warner.look(held)
        else:
            self._warner.saw(held)

    def _warn(self, warnings: "Sequence[RunWarning]") -> None:
        """Show warnings of the run, and keep them so that they are not said again."""
        journal = self._journal
        if journal is not None:
            journal.later(lambda store: store.warn(journal.sitting, warnings))
        with self._book.lock:
            self._warned = [*self._warned, *warnings]
        self._book.stirred()

    def _at_once(self) -> None:
        """Settle here and now a small sitting that has no store, hence nobody behind it."""
        if self._journal is not None:
            return
        if self._settler.exact():
            return
        if len(self._book.held) <= INLINE:
            self._settler.settle(calm=True)
        else:
            self._settler.start()
