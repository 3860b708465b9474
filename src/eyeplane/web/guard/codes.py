"""One-time codes that let a device in, and the sessions they are exchanged for.

Only hashes are kept. A code has 192 bits from the system's random generator, so a hash without salt
or stretching hides it (NIST SP 800-63B, section 5.1.2.2, asks for no more from 112 bits on).
"""

import hashlib
import hmac
import secrets
import threading
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from eyeplane.web.guard.sessions import SessionKeep, SessionsHere

BYTES = 24  # of a code and of a session: 192 bits
LETTERS = 32  # which are so many letters of the URL alphabet (RFC 4648, section 5)
CODE_LIFE = timedelta(minutes=5)  # time to fetch a telephone, and no more
SESSION_LIFE = timedelta(hours=16)  # the longest day of a studio and its evening
MOST_CODES = 8  # that wait at once; the oldest is dropped for a ninth
MOST_KNOWN = 256  # sessions remembered here, so that not every request opens the store


def _now() -> datetime:
    return datetime.now(tz=UTC)


class Codes:
    """Codes that wait to be used and sessions that hold; every method from any thread.

    Parameters
    ----------
    keep : SessionKeep or None
        Where sessions are kept; None: in this process alone.
    now : callable
        The time, with a time zone.
    """

    def __init__(
        self, keep: SessionKeep | None = None, *, now: Callable[[], datetime] = _now
    ) -> None:
        self._keep = keep or SessionsHere()
        self._now = now
        self._waiting: dict[str, datetime] = {}
        self._known: dict[str, datetime] = {}
        self._lock = threading.Lock()
        # Held from looking at what is kept to noting it here, so that whoever is put out meanwhile
        # does not stay in.
        self._letting_in = threading.RLock()

    def new_code(self) -> str:
        """Return a fresh code; it can be used once, within some minutes.

        Returns
        -------
        str
            32 letters, digits, - and _.
        """
        code = secrets.token_urlsafe(BYTES)
        with self._lock:
            self._drop_old()
            while len(self._waiting) >= MOST_CODES:
                del self._waiting[next(iter(self._waiting))]
            self._waiting[_hashed(code)] = self._now() + CODE_LIFE
        return code

    def exchange(self, code: str) -> str | None:
        """Return the secret of a new session for a code, which is used up by it.

        Parameters
        ----------
        code : str
            Anything at all.

        Returns
        -------
        str or None
            None if the code was never made, is used up or too old. All codes that wait are
            compared, each in constant time, whatever this one is like.
        """
        hashed = _hashed(code)
        with self._letting_in:
            with self._lock:
                self._drop_old()
                found = [one for one in self._waiting if hmac.compare_digest(one, hashed)]
                for one in found:
                    del self._waiting[one]
            return self.new_session() if found else None

    def new_session(self) -> str:
        """Return the secret of a session that holds from now on.

        Returns
        -------
        str
            32 letters, digits, - and _.

        Raises
        ------
        StoreError
            If it cannot be kept.
        """
        session = secrets.token_urlsafe(BYTES)
        ends = self._now() + SESSION_LIFE
        with self._letting_in:
            self._keep.add(_hashed(session), ends)
            self._remember(_hashed(session), ends)
        return session

    def knows(self, session: str) -> bool:
        """Return whether a session is remembered here and has not ended; quick.

        Parameters
        ----------
        session : str
            Its secret, or anything at all.

        Returns
        -------
        bool
            False also for a session that only the store knows.
        """
        ends = self._known.get(_hashed(session))
        return ends is not None and self._now() < ends

    def holds(self, session: str) -> bool:
        """Return whether a session is one, and has not ended; looks into the store.

        Parameters
        ----------
        session : str
            Its secret, or anything at all.

        Returns
        -------
        bool
            False for what no session can look like, without looking it up.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        if len(session) != LETTERS:
            return False
        hashed = _hashed(session)
        with self._letting_in:
            ends = self._keep.find(hashed)
            if ends is None or self._now() >= ends:
                return False
            self._remember(hashed, ends)
        return True

    def end_all(self) -> None:
        """End all sessions and drop all codes: whoever is in must be let in anew.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        with self._letting_in:
            self._keep.forget_all()
            with self._lock:
                self._waiting.clear()
                self._known.clear()

    def _remember(self, hashed: str, ends: datetime) -> None:
        with self._lock:
            while len(self._known) >= MOST_KNOWN:
                del self._known[next(iter(self._known))]
            self._known[hashed] = ends

    def _drop_old(self) -> None:
        now = self._now()
        for hashed in [one for one, ends in self._waiting.items() if ends <= now]:
            del self._waiting[hashed]


def _hashed(secret: str) -> str:
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()
