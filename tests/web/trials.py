"""A sitting into which the frames of a made-up ladder land one by one."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from tests.sitting.ladders import Shooter, ladder

from eyeplane.records import FrameReading, Viewing
from eyeplane.sitting.live import LiveSitting
from eyeplane.web import Site

PRINT_CM = 40.0
FORM = {
    "subject": "sitter",
    "sitter": "adult",
    "stabiliser": "off",
    "kit": "Studio",
    "client": "",
    "each": "6",
    "more_times": "",
    "print_cm": "40 cm",
    "viewing_cm": "50",
    "share": "90",
    "sitting": "t1",
}
TIMES = ("1/500", "1/250", "1/125", "1/60", "1/30", "1/15")


def empty_site(folder: Path) -> tuple[Site, LiveSitting]:
    """Return a site with one open sitting that holds no frame yet."""
    site = Site(store_path=folder / "store.sqlite3")
    live = LiveSitting(
        key="t1", name="<b>Trial</b>", folder=None, viewing=Viewing(print_cm=PRINT_CM)
    )
    site.add(live)
    return site, live


def ladder_readings(seed: int = 3) -> tuple[FrameReading, ...]:
    """Return what is measured of a ladder of 36 frames, fast to slow, in order of time."""
    return tuple(f.reading for f in ladder(np.random.default_rng(seed), Shooter()))


def land(live: LiveSitting, readings: Sequence[FrameReading]) -> None:
    """Let frames land."""
    for one in readings:
        live.take(one)
