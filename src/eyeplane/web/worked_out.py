"""Dear results that pages show: each worked out once, beside the pages, the last ones kept."""

import threading
import traceback
from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import Generic, TypeVar

from starlette.exceptions import HTTPException

from eyeplane.errors import EyeplaneError

R = TypeVar("R")
KEPT = 2  # results at once: that of now, and the one before it to compare with


@dataclass(frozen=True, slots=True, kw_only=True)
class Found(Generic[R]):
    """A result that was worked out.

    Attributes
    ----------
    result : R
        It.
    current : bool
        False if what it rests on has changed since; it is then being worked out anew.
    """

    result: R
    current: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kept(Generic[R]):
    revision: int
    result: R | None = None
    fault: EyeplaneError | None = None


class WorkedOut(Generic[R]):
    """Works out one result at a time in a thread of its own; every method from any thread."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._kept: OrderedDict[Hashable, _Kept[R]] = OrderedDict()
        self._working = False

    def look(self, key: Hashable, revision: int, work: Callable[[], R]) -> Found[R] | None:
        """Return a result if it is there, else have it worked out.

        Parameters
        ----------
        key : hashable
            Which one.
        revision : int
            Changes when what it rests on does.
        work : callable
            Works it out; not called while anything else is being worked out.

        Returns
        -------
        Found or None
            At once; None while it is not there: look again.

        Raises
        ------
        EyeplaneError
            If it could not be worked out; told once, the next look tries anew.
        HTTPException
            If that is a fault of ours; the terminal says which.
        """
        with self._lock:
            kept = self._kept.get(key)
            if kept is not None and kept.result is None:
                del self._kept[key]
                raise kept.fault or HTTPException(500)
            current = kept is not None and kept.revision == revision
            if not current and not self._working:
                args = (key, revision, work)
                threading.Thread(target=self._run, args=args, daemon=True).start()
                self._working = True  # the thread cannot end before: it needs the lock for that
            if kept is None or kept.result is None:
                return None
            self._kept.move_to_end(key)
            return Found(result=kept.result, current=current)

    def news(self, key: Hashable) -> bool:
        """Return whether a look brings anything but more waiting.

        Parameters
        ----------
        key : hashable
            Which result.

        Returns
        -------
        bool
            Starts nothing and tells no fault. True too if nothing is being worked out: a look
            begins with it then.
        """
        with self._lock:
            return key in self._kept or not self._working

    def _run(self, key: Hashable, revision: int, work: Callable[[], R]) -> None:
        found: _Kept[R] = _Kept(revision=revision)
        try:
            found = _Kept(revision=revision, result=work())
        except EyeplaneError as error:  # without the frames that it went through
            found = _Kept(revision=revision, fault=error.with_traceback(None))
        except Exception:  # noqa: BLE001  a fault of ours is told; what it was says the terminal
            traceback.print_exc()
        with self._lock:
            self._kept[key] = found
            self._kept.move_to_end(key)
            while len(self._kept) > KEPT:
                self._kept.popitem(last=False)
            self._working = False
