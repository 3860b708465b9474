"""How often a code may be tried: per address and by all together."""

import ipaddress
import math
import threading
import time
from collections import deque
from collections.abc import Callable

WINDOW_S = 300.0  # s
EACH = 10  # tries of one address in that time; a code is scanned once, or typed a few times
ALL = 100  # tries by all addresses together
MOST_ADDRESSES = 1024  # that are remembered; more than fit into `ALL` never come to be


class Tries:
    """Counts tries; every method from any thread.

    Parameters
    ----------
    now_s : callable
        A clock that never goes back, s.
    """

    def __init__(self, *, now_s: Callable[[], float] = time.monotonic) -> None:
        self._now_s = now_s
        self._all: deque[float] = deque()
        self._each: dict[str, deque[float]] = {}
        self._lock = threading.Lock()

    def wait_s(self, address: str) -> int:
        """Count one try in, or say how long to wait before it.

        Parameters
        ----------
        address : str
            Of who tries.

        Returns
        -------
        int
            0: go on. Else seconds, rounded up; the try was not counted.
        """
        whose = _network(address)
        with self._lock:
            now_s = self._now_s()
            self._forget_before(now_s - WINDOW_S)
            own = self._each.setdefault(whose, deque())
            waits = [
                tried[len(tried) - most] + WINDOW_S - now_s
                for tried, most in ((own, EACH), (self._all, ALL))
                if len(tried) >= most
            ]
            if waits:
                return max(1, math.ceil(max(waits)))
            own.append(now_s)
            self._all.append(now_s)
            return 0

    def succeeded(self, address: str) -> None:
        """Count the tries of an address out: it has shown a code that was right.

        Parameters
        ----------
        address : str
            Of who tried.
        """
        with self._lock:
            self._each.pop(_network(address), None)

    def _forget_before(self, then_s: float) -> None:
        while self._all and self._all[0] <= then_s:
            self._all.popleft()
        for address, tried in list(self._each.items()):
            while tried and tried[0] <= then_s:
                tried.popleft()
            if not tried:
                del self._each[address]
        while len(self._each) >= MOST_ADDRESSES:
            del self._each[next(iter(self._each))]


def _network(address: str) -> str:
    """Return an IPv4 address, or the network of 64 bits that one holder of IPv6 addresses has."""
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return ""
    if isinstance(found, ipaddress.IPv6Address):
        if found.ipv4_mapped:
            return str(found.ipv4_mapped)
        return str(ipaddress.ip_network((found, 64), strict=False))
    return str(found)
