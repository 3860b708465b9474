"""One longer piece of work at a time, beside the pages, with how far it is."""

import threading
import traceback
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import PurePath

from starlette.requests import Request

from eyeplane.errors import EyeplaneError, InputError
from eyeplane.web.words import words

FAILED = "site.trouble.failed"
Heard = Callable[[int, int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """What a piece of work came to.

    Attributes
    ----------
    where : str
        Address of the page that shows it.
    said : tuple of str
        What is told there once, besides.
    """

    where: str
    said: tuple[str, ...] = ()


Work = Callable[[Heard], Result]  # is told how to tell of progress


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How a piece of work stands.

    Attributes
    ----------
    number : int
        Which one since the site was started.
    name : str
        What is being done, as its page calls it.
    done, total : int
        Parts that are finished, and all; 0 of 0 while that is not known.
    where : str
        Address of its result; empty while it runs, and where it failed.
    trouble : str
        Why it failed, with what to do; else empty.
    said : tuple of str
        What is told beside the result.
    """

    number: int
    name: str
    done: int = 0
    total: int = 0
    where: str = ""
    trouble: str = ""
    said: tuple[str, ...] = ()

    @property
    def running(self) -> bool:
        """Return whether it is still being worked on.

        Returns
        -------
        bool
            False once there is a result or a reason.
        """
        return not self.where and not self.trouble


class Background:
    """Works off one piece at a time in a thread of its own; every method from any thread."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._now: Standing | None = None

    def start(self, name: str, work: Work) -> int:
        """Start a piece of work.

        Parameters
        ----------
        name : str
            What is being done.
        work : callable
            Does it.

        Returns
        -------
        int
            Its number.

        Raises
        ------
        InputError
            If another is not finished.
        """
        with self._lock:
            if self._now is not None and self._now.running:
                raise InputError(
                    "another check is still being worked out",
                    where=self._now.name,
                    hint="Wait until it is finished, then ask again",
                )
            number = 1 if self._now is None else self._now.number + 1
            self._now = Standing(number=number, name=name)
        threading.Thread(target=self._run, args=(number, work), daemon=True).start()
        return number

    def now(self) -> Standing | None:
        """Return how the piece started last stands.

        Returns
        -------
        Standing or None
            None if there was none yet.
        """
        with self._lock:
            return self._now

    def _run(self, number: int, work: Work) -> None:
        def heard(done: int, total: int) -> None:
            self._change(number, done=done, total=total)

        try:
            found = work(heard)
            self._change(number, where=found.where, said=found.said)
        except EyeplaneError as error:
            where = PurePath(error.where).name  # of a frame its name, not where it lies
            self._change(number, trouble=f"{where}: {error.what}. {error.hint}.")
        except Exception:  # noqa: BLE001  a fault of ours is told; what it was says the terminal
            traceback.print_exc()
            self._change(number, trouble=f"{words(FAILED)} {words(f'{FAILED}_hint')}")

    def _change(self, number: int, **parts: str | int | tuple[str, ...]) -> None:
        with self._lock:
            if self._now is not None and self._now.number == number:
                self._now = replace(self._now, **parts)  # type: ignore[arg-type]  # by name


_MAKING = threading.Lock()


def background_of(request: Request) -> Background:
    """Return what works beside the pages of the site that a request came to.

    Parameters
    ----------
    request : Request
        The request.

    Returns
    -------
    Background
        One for each site.
    """
    state = request.app.state
    with _MAKING:
        if not hasattr(state, "background"):
            state.background = Background()
    found: Background = state.background
    return found
