"""How this machine is called and where it is reached on its network."""

import ipaddress
import re
import socket

# Asked for a route and never spoken to: an address set aside for documentation (RFC 5737).
NOWHERE = ("192.0.2.1", 9)
NAME = re.compile(r"[a-z0-9](?:[a-z0-9.-]*[a-z0-9])?")


def own_names() -> frozenset[str]:
    """Return the names of this machine.

    Returns
    -------
    frozenset of str
        Its own, the same without a domain, and with ".local" (multicast DNS, RFC 6762); lower case.
        Empty if it has none that could stand in an address.
    """
    name = socket.gethostname().lower().rstrip(".")
    short = name.partition(".")[0]
    return frozenset(
        one for one in (name, short, f"{short}.local") if short and NAME.fullmatch(one)
    )


def own_addresses() -> tuple[str, ...]:
    """Return the addresses at which other devices reach this machine.

    Returns
    -------
    tuple of str
        IPv4, the one towards the network first; empty without a network. No packet is sent.
    """
    found: list[str] = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            asked.connect(NOWHERE)  # looks up the route, no more
            found.append(asked.getsockname()[0])
        except OSError:  # no network
            pass
    try:
        entries = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
        found += [str(entry[4][0]) for entry in entries]
    except OSError:  # its own name leads nowhere
        pass
    usable = [one for one in dict.fromkeys(found) if not _only_here(one)]
    return tuple(usable)


def _only_here(address: str) -> bool:
    found = ipaddress.ip_address(address)
    return found.is_loopback or found.is_unspecified
