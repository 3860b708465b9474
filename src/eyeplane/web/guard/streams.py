"""The streams of events that are open, so that all of them can be ended."""

import anyio

MOST = 64  # streams at once; a studio has a handful of devices with a few pages each
LONGEST_S = (
    900.0  # s after which a stream ends and its page asks anew, so that a session that ended
)
# ends its streams too; common practice, no source


class Streams:
    """The streams that are open; used from the server's own thread alone."""

    def __init__(self) -> None:
        self._open: set[anyio.CancelScope] = set()
        self._ended = False

    def __len__(self) -> int:
        return len(self._open)

    def add(self, stream: anyio.CancelScope) -> bool:
        """Count a stream in.

        Parameters
        ----------
        stream : CancelScope
            By which it can be ended.

        Returns
        -------
        bool
            False if there are too many, or the site is about to end: it was not counted in.
        """
        if self._ended or len(self._open) >= MOST:
            return False
        self._open.add(stream)
        stream.deadline = anyio.current_time() + LONGEST_S
        return True

    def drop(self, stream: anyio.CancelScope) -> None:
        """Count a stream out; one that was never counted in is no trouble.

        Parameters
        ----------
        stream : CancelScope
            As added.
        """
        self._open.discard(stream)

    def end(self) -> None:
        """End all streams, and let no other begin."""
        self._ended = True
        self.cut()

    def cut(self) -> None:
        """End all streams that are open: their pages come again if they are let in."""
        for stream in tuple(self._open):
            stream.cancel()
