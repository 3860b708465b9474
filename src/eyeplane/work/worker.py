"""What runs inside a measuring process: one path in, one reading out, until the pipe closes."""

import contextlib
import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing import connection
from typing import Any

from eyeplane.records import FrameReading

READY = "ready"


@dataclass(frozen=True, slots=True, kw_only=True)
class Manner:
    """How a measuring process behaves.

    Attributes
    ----------
    warm : callable or None
        What it does before it says that it is ready, so that its first frame takes no longer than
        the next; picklable; an error in it is of no consequence.
    yielding : int
        By how much it lets others go first, 0 to 19, where the system has such a thing (nice).
    """

    warm: Callable[[], object] | None = None
    yielding: int = 0


def serve(
    pipe: Any,  # noqa: ANN401  a Connection
    function: Callable[[str], FrameReading],
    manner: Manner,
) -> None:
    """Answer paths with readings until the other end of the pipe is closed.

    Parameters
    ----------
    pipe : multiprocessing.connection.Connection
        To the process that hands out paths.
    function : callable
        Measures one path.
    manner : Manner
        How to behave.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent decides what Ctrl-C means
    threading.Thread(target=_leave_with_parent, daemon=True).start()
    _hush()
    if manner.yielding and hasattr(os, "nice"):
        os.nice(manner.yielding)
    if manner.warm is not None:
        with contextlib.suppress(Exception):
            manner.warm()
    try:
        pipe.send(READY)
        while True:
            pipe.send(attempt(function, pipe.recv()))
    except (EOFError, OSError):  # the parent is done, or gone
        return


def attempt(function: Callable[[str], FrameReading], path: str) -> FrameReading | str:
    """Return the reading of one path, or in words why there is none.

    Parameters
    ----------
    function : callable
        Measures one path.
    path : str
        The frame.

    Returns
    -------
    FrameReading or str
        The reading, or the error's kind and message.
    """
    try:
        return function(path)
    except Exception as error:  # noqa: BLE001  whatever a bad file provokes must not end the run
        return f"{type(error).__name__}: {error}".strip(": ")


def _leave_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        connection.wait([parent.sentinel])
        os._exit(1)  # also out of a decoder that hangs


def _hush() -> None:
    """Keep what decoders print by themselves out of the photographer's terminal."""
    sys.stdout.flush()
    sys.stderr.flush()
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    os.close(nowhere)
