"""Readings for live sittings: simulated frames, each with a file and content of its own."""

from dataclasses import replace
from pathlib import Path

import numpy as np
from tests.sitting.made import reading
from tests.sitting.simulated import Habits, simulate

from eyeplane.records import EyeView, FrameReading, MeasureSettings
from eyeplane.sitting.gather import standard_measuring
from eyeplane.store import Store

SETTINGS = MeasureSettings()


def readings(
    folder: Path, *, bursts: int = 5, per_burst: int = 3, habits: Habits | None = None
) -> list[FrameReading]:
    """Return frames in order of time, an unreadable one and one without anybody among them."""
    shown, _ = simulate(
        np.random.default_rng(7), habits or Habits(), bursts=bursts, per_burst=per_burst
    )
    found = [with_view(frame.reading, folder) for frame in shown]
    nobody = reading(str(folder / "n.jpg"), at_s=1e6, faces=[], status="nobody", sha256="nn")
    broken = reading(str(folder / "u.jpg"), at_s=None, status="unreadable", sha256="")
    return [*found, nobody, broken]


def with_view(one: FrameReading, folder: Path, *, sha256: str | None = None) -> FrameReading:
    """Return a frame in a folder, with the picture of an eye."""
    path = folder / one.path
    view = EyeView(jpeg=f"eye of {path.name}".encode(), mm_per_px=0.1)
    return replace(
        one,
        path=str(path),
        sha256=sha256 or f"sha of {path.name}",
        faces=tuple(replace(face, view=view) for face in one.faces),
    )


def put(path: Path, found: list[FrameReading]) -> None:
    """Keep readings, as whoever watches the folder does before they are taken in."""
    with Store(path, measure_version=standard_measuring().version) as store:
        for one in found:
            store.put(one, SETTINGS)
