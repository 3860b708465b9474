"""Made-up sittings that lie in folders, with content of their own: what lessons are made of."""

import hashlib
from dataclasses import replace
from pathlib import Path

import numpy as np
from tests.sitting.simulated import CLEAN, Habits, simulate

from eyeplane.records import SittingFrame

DAY_S = 86_400.0
LIVELY = replace(CLEAN, speed_mm_per_s=60.0, speed_log_sd=0.9, times_s=(1 / 60, 1 / 125, 1 / 250))


def sitting_in(
    folder: Path, seed: int, habits: Habits = LIVELY, *, bursts: int = 8, day: int = 0
) -> tuple[SittingFrame, ...]:
    """Return the frames of a sitting that lies in a folder and was shot on a day."""
    frames, _ = simulate(np.random.default_rng(seed), habits, bursts=bursts)
    return tuple(_placed(frame, folder, seed, day) for frame in frames)


def _placed(frame: SittingFrame, folder: Path, seed: int, day: int) -> SittingFrame:
    reading = frame.reading
    exif = replace(reading.exposure, captured_s=(reading.exposure.captured_s or 0.0) + day * DAY_S)
    content = hashlib.sha256(f"{seed} {reading.path}".encode()).hexdigest()
    path = str(folder / reading.path)
    return replace(frame, reading=replace(reading, path=path, sha256=content, exposure=exif))
