"""A connection: it says in time what it wants, takes what it gets, and no device has too many.

Who is not let in yet reaches this far too, so a single device of the network could else keep all
connections to itself, each with half a request that never ends.
"""

import asyncio
import ipaddress
from typing import cast

from uvicorn.protocols.http.h11_impl import H11Protocol

# All of these: common practice, no source.
ASKED_WITHIN_S = 20.0  # s from a request's first byte, or the connection, to its last byte
TAKEN_WITHIN_S = 60.0  # s that a full line may wait for who takes nothing; a telephone comes again
MOST_EACH = 64  # connections of one device; six for each browser that is open
MOST_OTHERS = 160  # connections of all other devices: some are always left for this machine

NOT_WHOLE = ("IDLE", "SEND_BODY")  # how uvicorn's h11 calls a request that still comes in


class Line(H11Protocol):
    """A connection as uvicorn speaks HTTP on it, with bounds on time and number."""

    _asking: asyncio.TimerHandle | None = None
    _taking: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]  # as uvicorn has it
        """Take a connection, or end it at once where there are too many.

        Parameters
        ----------
        transport : Transport
            The connection.
        """
        super().connection_made(transport)
        others = [cast("Line", one) for one in self.connections]
        own = sum(one.address == self.address for one in others)
        foreign = sum(not one.here for one in others)
        if own > MOST_EACH or (not self.here and foreign > MOST_OTHERS):
            transport.abort()
            return
        self._asking = self.loop.call_later(ASKED_WITHIN_S, self._end)

    @property
    def address(self) -> str:
        """Return whose it is.

        Returns
        -------
        str
            An address of the network.
        """
        return self.client[0] if self.client else ""

    @property
    def here(self) -> bool:
        """Return whether it comes from this machine itself.

        Returns
        -------
        bool
            By its address.
        """
        try:
            return ipaddress.ip_address(self.address).is_loopback
        except ValueError:
            return False

    def data_received(self, data: bytes) -> None:
        """Take what came; the time runs until a request is whole.

        Parameters
        ----------
        data : bytes
            Some of a request, or more.
        """
        super().data_received(data)
        if str(self.conn.their_state) not in NOT_WHOLE:
            self._stop_asking()
        elif self._asking is None:
            self._asking = self.loop.call_later(ASKED_WITHIN_S, self._end)

    def pause_writing(self) -> None:
        """Wait for who does not take what was sent, but not for ever."""
        super().pause_writing()
        if self._taking is None:
            self._taking = self.loop.call_later(TAKEN_WITHIN_S, self._end)

    def resume_writing(self) -> None:
        """Go on."""
        self._stop_taking()
        super().resume_writing()

    def connection_lost(self, exc: Exception | None) -> None:
        """Let go of a connection.

        Parameters
        ----------
        exc : Exception or None
            Why it ended, if not as it should.
        """
        self._stop_asking()
        self._stop_taking()
        super().connection_lost(exc)

    def _end(self) -> None:
        if not self.transport.is_closing():
            self.transport.abort()

    def _stop_asking(self) -> None:
        if self._asking is not None:
            self._asking.cancel()
            self._asking = None

    def _stop_taking(self) -> None:
        if self._taking is not None:
            self._taking.cancel()
            self._taking = None
