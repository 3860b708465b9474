"""A sitting that grows while a page looks at it, and a site that stops and starts again."""

import threading
import time
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import ModuleType

import uvicorn

from eyeplane.records import FrameReading, Viewing
from eyeplane.sitting.live import LiveSitting
from eyeplane.web import Site, make_app

VIEWING = Viewing(distance_cm=50.0, print_cm=60.0)


class Growing:
    """A sitting whose frames land when a test says so; its journal outlives its server."""

    def __init__(self, builder: ModuleType, *, port: int) -> None:
        self.builder, self.port = builder, port
        self.folder: Path | None = None
        self.journal: list[tuple[FrameReading, datetime | None]] = []
        self.live = self._begun()

    def keep_in(self, folder: Path) -> None:
        """Let frames lie in a folder from now on."""
        self.folder = folder

    def land(
        self, *, sharp: bool = True, now: bool = True, shrunk: float = 1.0, age_s: float = 0.0
    ) -> int:
        """Let one frame land, or have landed so long ago; return its number."""
        n = len(self.journal) + 1
        blur = self.builder.blur_of("none", 0.8) if sharp else self.builder.blur_of("disc", 9.0)
        view = self.builder.drawn_eye(1 if sharp else 9)
        view = replace(view, mm_per_px=view.mm_per_px * shrunk)
        face = self.builder.face_reading(blur, view=view)
        reading = self.builder.reading_of(f"live-{n:04d}.jpg", (face,), second=2.0 * n)
        reading = replace(reading, sha256=f"{n:064x}")
        if self.folder is not None:
            path = self.folder / f"live-{n:04d}.jpg"
            path.write_bytes(view.jpeg)
            reading = replace(reading, path=str(path))
        landed_at = datetime.now(tz=UTC) - timedelta(seconds=age_s) if now else None
        self.journal.append((reading, landed_at))
        return self.live.take(reading, landed_at=landed_at)

    def start(self) -> None:
        """Serve it."""
        site = Site()
        site.add(self.live)
        config = uvicorn.Config(
            make_app(site), host="127.0.0.1", port=self.port, log_level="error", lifespan="off"
        )
        self.server = uvicorn.Server(config)
        self.thread = threading.Thread(target=self.server.run, daemon=True)
        self.thread.start()
        while not self.server.started:
            time.sleep(0.01)

    def stop(self) -> None:
        """End the server, with all its lines, as a machine that goes down does."""
        self.server.should_exit = True
        self.server.force_exit = True
        self.thread.join(10)

    def begin_anew(self) -> None:
        """Bring the sitting back out of its journal, as a new process does."""
        self.live = self._begun()

    def _begun(self) -> LiveSitting:
        live = LiveSitting(key="grown", name="Grown", folder=None, viewing=VIEWING)
        for reading, landed_at in self.journal:
            live.take(reading, landed_at=landed_at)
        return live
