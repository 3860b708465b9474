"""A sitting that notes what a watcher hands to it, and waits for it."""

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from eyeplane.records import FrameReading
from eyeplane.records.watched import Watched


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """One call of `take`."""

    reading: FrameReading
    companions: tuple[str, ...]
    landed_at: datetime | None
    was: str | None
    at_s: float


@dataclass(slots=True)
class Taker:
    """A stand-in for the live sitting."""

    folder: Path | None
    known: dict[str, tuple[int, int]] = field(default_factory=dict)
    calls: list[Taken] = field(default_factory=list)
    state: Callable[[], Watched] | None = None
    stirs: int = 0
    came: threading.Condition = field(default_factory=threading.Condition)

    def take(
        self,
        reading: FrameReading,
        *,
        companions: tuple[str, ...] = (),
        landed_at: datetime | None = None,
        was: str | None = None,
    ) -> int:
        with self.came:
            self.calls.append(
                Taken(
                    reading=reading,
                    companions=companions,
                    landed_at=landed_at,
                    was=was,
                    at_s=time.monotonic(),
                )
            )
            self.came.notify_all()
            return len(self.calls)

    def marks(self) -> dict[str, tuple[int, int]]:
        return dict(self.known)

    def watched_by(self, state: Callable[[], Watched] | None) -> None:
        self.state = state

    def stirred(self) -> None:
        with self.came:
            self.stirs += 1
            self.came.notify_all()

    def names(self) -> list[str]:
        return [Path(call.reading.path).name for call in self.calls]

    def until(self, ready: Callable[[], bool], limit_s: float = 90.0) -> None:
        """Wait until something holds."""
        end_s = time.monotonic() + limit_s
        with self.came:
            while not ready():
                assert time.monotonic() < end_s, (self.names(), self.state and self.state())
                self.came.wait(0.1)
