"""The site served for real, and windows that look at it at phone, tablet and desk size."""

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

import uvicorn
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]  # has no types
from playwright.sync_api import Page

from eyeplane.web import Site, make_app

SIZES = {"phone": (390, 844), "tablet": (820, 1180), "desk": (1440, 900)}


@contextmanager
def serving(site: Site) -> Iterator[str]:
    """Serve a site on a free port of this machine; yield its address without a final slash."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    server = uvicorn.Server(
        uvicorn.Config(make_app(site), host="127.0.0.1", port=port, log_level="error")
    )
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    try:
        yield f"http://127.0.0.1:{port}"
    finally:
        server.should_exit = True
        server.force_exit = True  # streams of events would else be waited for
        thread.join(10)


@dataclass(slots=True)
class Look:
    """A page that is looked at; what it asked for and said on the console is kept."""

    page: Page
    address: str
    asked: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)

    def go(self, path: str) -> Page:
        """Open a page of the site."""
        self.page.goto(self.address + path)
        return self.page

    def resize(self, size: str) -> None:
        """Look at the same page at another of `SIZES`: the layout is all that may differ."""
        width, height = SIZES[size]
        self.page.set_viewport_size({"width": width, "height": height})

    def quiet(self) -> None:
        """Hold that nothing outside is asked for, the console is silent, and the page fits."""
        outside = [
            one for one in self.asked if not one.startswith((self.address, "data:", "blob:"))
        ]
        assert outside == []
        assert self.said == []
        width = self.page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
        assert width <= 0, "the page is wider than the screen"

    def check(self) -> None:
        """Hold the same and that axe finds nothing: as dear as loading the page three times."""
        self.quiet()
        found = Axe().run(self.page)
        assert found.violations_count == 0, found.generate_report()


class LookAt(Protocol):
    """Opens a browser's window on a site."""

    def __call__(self, address: str, size: str, **options: Any) -> Look:  # noqa: ANN401
        """Return a window of one of `SIZES`; further options go to the browser's context."""


def screenshot(page: Page, name: str, folder: Path) -> Path:
    """Write what is to be seen, for a person to look at."""
    path = folder / f"{name}.png"
    page.screenshot(path=path, full_page=True)
    return path
