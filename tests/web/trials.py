"""A sitting into which the frames of a made-up ladder land one by one."""

import time
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from starlette.testclient import TestClient
from tests.sitting.ladders import Shooter, ladder

from eyeplane.records import FrameReading, Viewing
from eyeplane.sitting.live import LiveSitting
from eyeplane.web import Site

HERE = "http://127.0.0.1:8765"
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


def ladder_readings(
    times: Sequence[str] = TIMES, each: int = 6, name: str = ""
) -> tuple[FrameReading, ...]:
    """Return what is measured of a ladder, fast to slow, in order of time."""
    times_s = [float(Fraction(one)) for one in times]
    made = ladder(np.random.default_rng(3), Shooter(), times_s=times_s, each=each)
    return tuple(replace(f.reading, path=name + f.reading.path) for f in made)


def land(live: LiveSitting, readings: Sequence[FrameReading]) -> None:
    """Let frames land."""
    for one in readings:
        live.take(one, landed_at=datetime.now(tz=UTC))


def finished(client: TestClient) -> str:
    """Return the address of a check's result, once there is one."""
    for _ in range(900):
        answer = client.get("/kit/work", follow_redirects=False)
        if answer.status_code == 303:
            return str(answer.headers["location"])
        assert 'role="alert"' not in answer.text, answer.text
        time.sleep(0.1)
    pytest.fail("the check was never finished")
