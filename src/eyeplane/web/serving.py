"""The site on a port: taken first, served until it is stopped, and let go of at once."""

import errno
import logging
import os
import socket

import uvicorn

from eyeplane.errors import InputError
from eyeplane.web.app import make_app
from eyeplane.web.guard.line import Line
from eyeplane.web.site import Site

HERE, EVERYWHERE = "127.0.0.1", "0.0.0.0"  # noqa: S104  the network only with a token
END_WITHIN_S = 0.4  # s for answers under way once the site is to end; streams end at once
KEEP_ALIVE_S = 20  # s; a telephone that looks again within it needs no new connection
MOST_AT_ONCE = 200  # connections; six for each page that is open
HEADER_BYTES = 16_384  # of one request
WAITING = 64  # connections that may wait to be taken


def take_port(port: int, *, network: bool) -> socket.socket:
    """Return a socket that listens.

    Parameters
    ----------
    port : int
        0: any that is free.
    network : bool
        Whether other machines reach it; else this one alone.

    Returns
    -------
    socket
        Bound and listening.

    Raises
    ------
    InputError
        If the port is taken, or may not be used.
    """
    taken = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if os.name == "posix":  # elsewhere it would let two programs have one port
            taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        taken.bind((EVERYWHERE if network else HERE, port))
        taken.listen(WAITING)
    except OSError as error:
        taken.close()
        if error.errno in {errno.EADDRINUSE, errno.EACCES, errno.EPERM}:
            why = (
                "another program has it"
                if error.errno == errno.EADDRINUSE
                else "this user may not take it"
            )
        else:
            why = f"it cannot be taken ({error.strerror})"
        raise InputError(
            why,
            where=f"port {port}",
            hint="If eyeplane runs in another window, stop it there; or give another port, like "
            f"--port {port + 1 if 1023 < port < 65_535 else 8765}",
        ) from error
    return taken


def serve(site: Site, taken: socket.socket) -> None:
    """Serve a site until it is stopped; raises KeyboardInterrupt if Ctrl-C did it.

    Parameters
    ----------
    site : Site
        The site; let go of at the end.
    taken : socket
        As `take_port` returns it; closed at the end.
    """
    logging.getLogger("uvicorn.error").addFilter(_worth_telling)
    try:
        _Server(site, settings(site)).run(sockets=[taken])
    finally:
        site.close()
        taken.close()


def settings(site: Site) -> uvicorn.Config:
    """Return how the site is served.

    Parameters
    ----------
    site : Site
        The site.

    Returns
    -------
    uvicorn.Config
        Bounded in every way; it tells nobody what it is and writes down nobody's requests.
    """
    found = uvicorn.Config(
        make_app(site),
        http=Line,
        ws="none",
        lifespan="off",
        log_level="error",
        access_log=False,
        server_header=False,
        proxy_headers=False,  # no header says who asks
        limit_concurrency=MOST_AT_ONCE,
        timeout_keep_alive=KEEP_ALIVE_S,
        h11_max_incomplete_event_size=HEADER_BYTES,
    )
    found.timeout_graceful_shutdown = END_WITHIN_S  # type: ignore[assignment]  # waits for parts of a second as well
    return found


class _Server(uvicorn.Server):
    """A server that ends its streams of events first, since they would never end by themselves."""

    def __init__(self, site: Site, config: uvicorn.Config) -> None:
        super().__init__(config)
        self.site = site

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        self.site.closing.set()
        self.site.streams.end()
        await super().shutdown(sockets)


def _worth_telling(record: logging.LogRecord) -> bool:
    """Return whether a line is one for the photographer: not that answers were cut at the end."""
    return "graceful shutdown exceeded" not in record.getMessage()
