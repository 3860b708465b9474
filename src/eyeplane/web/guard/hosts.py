"""For whom an answer is meant: only who asked this machine by its own name or address.

A page of another site can let its own name lead to this machine (DNS rebinding: Jackson and others,
Protecting Browsers from DNS Rebinding Attacks, ACM CCS 2007); the browser then takes both for one
site. It still sends the other name as Host, by which it is refused here.
"""

import ipaddress
import re
from dataclasses import dataclass

from starlette.types import ASGIApp, Receive, Scope, Send

from eyeplane.web.guard.refuse import refuse

LOOPBACK = frozenset(("localhost", "127.0.0.1", "::1"))
HOST = re.compile(r"(\[[0-9a-f:.]+\]|[a-z0-9](?:[a-z0-9.-]*[a-z0-9])?)(?::(\d{1,5}))?")
METHODS = frozenset(("GET", "HEAD", "POST"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Host:
    """Whom a request names.

    Attributes
    ----------
    name : str
        Name or address, lower case, without brackets.
    port : int
        Port; that of the scheme where none is named.
    """

    name: str
    port: int


def read_host(text: str, *, scheme: str = "http") -> Host | None:
    """Return whom a Host header or an origin names.

    Parameters
    ----------
    text : str
        E.g. "127.0.0.1:8765" or "[::1]".
    scheme : str
        "http" or "https", for the port.

    Returns
    -------
    Host or None
        None if it is no name or address with a port (RFC 3986, section 3.2).
    """
    found = HOST.fullmatch(text.lower())
    if found is None:
        return None
    port = int(found[2]) if found[2] else {"http": 80, "https": 443}[scheme]
    return Host(name=found[1].strip("[]"), port=port) if 0 < port < 65_536 else None


def own_name(host: Host, *, names: frozenset[str], reached_at: str) -> bool:
    """Return whether a name is this machine's.

    Parameters
    ----------
    host : Host
        Whom the request names.
    names : frozenset of str
        Further names of this machine, lower case.
    reached_at : str
        The machine's own address at which the connection came in; empty where only loopback
        counts.

    Returns
    -------
    bool
        True for loopback, the machine's names, and the very address that was reached: no name of
        another site is an address.
    """
    if host.name in LOOPBACK or host.name in names:
        return True
    try:
        return bool(reached_at) and ipaddress.ip_address(host.name) == ipaddress.ip_address(
            reached_at
        )
    except ValueError:
        return False


class OwnHost:
    """An ASGI layer that lets through what was asked of this machine by its own name.

    Parameters
    ----------
    app : ASGIApp
        What stands behind it.
    names : frozenset of str
        Names of this machine, lower case.
    network : bool
        Whether it is served on the network, so that its own addresses count.
    """

    def __init__(self, app: ASGIApp, *, names: frozenset[str], network: bool) -> None:
        self.app, self.names, self.network = app, names, network

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or turn it away.

        Parameters
        ----------
        scope : Scope
            The request.
        receive : Receive
            Where its body comes from.
        send : Send
            Where the answer goes.
        """
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":  # there are no sockets here
            await send({"type": "websocket.close", "code": 1008})
            return
        given = [value for name, value in scope["headers"] if name == b"host"]
        host = read_host(given[0].decode("latin-1")) if len(given) == 1 else None
        reached_at = str((scope.get("server") or ("",))[0]) if self.network else ""
        if host is None:
            await refuse(scope, receive, send, 400, "site.trouble.request")
        elif not own_name(host, names=self.names, reached_at=reached_at):
            await refuse(scope, receive, send, 421, "site.refused.host")
        elif scope["method"] not in METHODS:
            await refuse(scope, receive, send, 405, "site.trouble.method")
        else:
            await self.app(scope, receive, send)
