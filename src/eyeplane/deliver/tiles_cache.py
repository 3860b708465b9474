"""A few decoded frames kept at hand: one decode for all who ask at once, memory bounded."""

import threading
import time
from collections import OrderedDict
from concurrent.futures import Future
from pathlib import Path

from eyeplane.deliver.tiles_frame import OpenFrame, open_frame

BYTE_LIMIT = 512_000_000  # five frames of 24 MP or two of 60 MP, all levels made
DECODES_AT_ONCE = 2  # more would only wait for each other, and each holds a whole frame
IDLE_S = 180.0  # a frame is let go when nobody has asked for it in so long


class FrameCache:
    """Decoded frames by content; every method may be called from any thread.

    Parameters
    ----------
    byte_limit : int
        Those asked for longest ago are let go beyond it; the newest stays even if it alone is
        larger.
    idle_s : float
        Frames nobody asked for in so long are let go, at the latest after as long again.
    """

    def __init__(self, *, byte_limit: int = BYTE_LIMIT, idle_s: float = IDLE_S) -> None:
        self._byte_limit, self._idle_s = byte_limit, idle_s
        self._frames: OrderedDict[tuple[str, str], Future[OpenFrame]] = OrderedDict()
        self._asked_s: dict[tuple[str, str], float] = {}
        self._lock = threading.Lock()
        self._decoding = threading.BoundedSemaphore(DECODES_AT_ONCE)
        self._resting = False

    def frame(self, path: Path, *, sha256: str) -> OpenFrame:
        """Return a decoded frame; who asks while it is being decoded waits for that one decode.

        Parameters
        ----------
        path : Path
            Where it lay when it was measured.
        sha256 : str
            Of its bytes as they were measured.

        Returns
        -------
        OpenFrame
            The frame.

        Raises
        ------
        GoneError
            If the file is not there.
        ChangedError
            If it holds something else now.
        """
        key = (str(path), sha256)
        with self._lock:
            found = self._frames.get(key)
            mine = found is None
            if found is None:
                found = self._frames[key] = Future()
            self._frames.move_to_end(key)
            self._asked_s[key] = time.monotonic()
        if mine:
            self._open(key, found, path, sha256)
        return found.result()

    @property
    def held_bytes(self) -> int:
        """Return the memory of the frames at hand.

        Returns
        -------
        int
            All levels counted; frames being decoded are not yet.
        """
        with self._lock:
            return sum(_bytes(one) for one in self._frames.values())

    def clear(self) -> None:
        """Let all frames go that nobody is waiting for."""
        with self._lock:
            for key in [k for k, one in self._frames.items() if one.done()]:
                self._drop(key)

    def _open(
        self, key: tuple[str, str], promised: "Future[OpenFrame]", path: Path, sha256: str
    ) -> None:
        try:
            with self._decoding:
                frame = open_frame(path, sha256=sha256)
        except BaseException as error:
            with self._lock:
                self._drop(key)
            promised.set_exception(error)
            raise
        promised.set_result(frame)
        with self._lock:
            self._trim(key)
            self._rest_later()

    def _rest_later(self) -> None:
        if not self._resting:
            self._resting = True
            timer = threading.Timer(self._idle_s, self._rest)
            timer.daemon = True
            timer.start()

    def _rest(self) -> None:
        with self._lock:
            self._resting = False
            stale_s = time.monotonic() - self._idle_s
            for key in [k for k, one in self._frames.items() if one.done()]:
                if self._asked_s[key] <= stale_s:
                    self._drop(key)
            if self._frames:
                self._rest_later()

    def _trim(self, newest: tuple[str, str]) -> None:
        done = [k for k, one in self._frames.items() if one.done() and k != newest]
        held = sum(_bytes(one) for one in self._frames.values())
        for key in done:  # the one asked for longest ago first
            if held > self._byte_limit:
                held -= _bytes(self._frames[key])
                self._drop(key)

    def _drop(self, key: tuple[str, str]) -> None:
        self._frames.pop(key, None)
        self._asked_s.pop(key, None)


def _bytes(frame: "Future[OpenFrame]") -> int:
    if not frame.done() or frame.exception() is not None:
        return 0
    return frame.result().size_bytes
