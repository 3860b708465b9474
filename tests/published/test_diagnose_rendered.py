"""Discs and offsets against the truth of rendered heads, whose geometry another program made.

Blur sizes and depths come from the renderer's truth, with errors laid on; no pixels are read.
"""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests.diagnose.builders import face, frame, measured, sharp_or_disc

from eyeplane.diagnose import answer_frame
from eyeplane.diagnose.lens import Lens
from eyeplane.records import Exposure, FrameReading, Measured, Viewing

BLUR_LOG_SD = 0.12  # measuring.md: median error of 4 % to 10 % where there is texture
DEPTH_SD_MM = 2.5


@pytest.fixture(scope="module")
def still_frames(data: Path) -> list[dict[str, Any]]:
    """Return the truth of the frames without motion."""
    truth = json.loads((data / "rendered" / "single" / "truth.json").read_text())
    return [f for f in truth["frames"] if f["motion"] is None]


def places_of(truth: dict[str, Any]) -> list[tuple[str, float, float]]:
    """Return name, depth behind the near iris and disc of the seen places but the irises."""
    near = truth["near_iris_depth_mm"]
    return [
        (name, p["depth_mm"] - near, p["geom_blur_px"])
        for name, p in truth["points"].items()
        if p["seen"] and name.split("_")[0] in ("lash", "brow", "nose", "mouth", "ear")
    ]


def reading_of(truth: dict[str, Any], rng: np.random.Generator) -> FrameReading:
    """Return a reading as an able measuring would give it."""

    def seen(size_px: float) -> float:
        return float(size_px * np.exp(rng.normal(0, BLUR_LOG_SD)))

    near, far = ("l", "r") if truth["near_eye"] == "l" else ("r", "l")
    far_px = truth["points"][f"iris_{far}"]["geom_blur_px"]
    probes = [
        (name, depth + rng.normal(0, DEPTH_SD_MM), sharp_or_disc(seen(size)))
        for name, depth, size in places_of(truth)
    ]
    one = face(
        near_blur=sharp_or_disc(seen(truth["near_iris_blur_px"])),
        far_blur=sharp_or_disc(seen(far_px)),
        probes=probes,
        near="left" if near == "r" else "right",
        distance_mm=truth["near_iris_depth_mm"],
    )
    # The builder's head stands for another one: its far iris must lie where this one's does.
    depth = truth["points"][f"iris_{far}"]["depth_mm"] - truth["near_iris_depth_mm"]
    marks = tuple(
        replace(m, depth_mm=depth) if m.name == "far iris" else m for m in one.face.landmarks
    )
    one = replace(one, face=replace(one.face, landmarks=marks))
    exif = Exposure(
        exposure_time_s=truth["exposure_s"],
        f_number=truth["f_number"],
        focal_length_mm=truth["focal_mm"],
        iso=float(truth["iso"]),
    )
    return frame(one, exposure=exif, pitch_um=1000 * truth["pitch_mm"])


def test_disc_of_every_place_is_the_renderer_s(still_frames: list[dict[str, Any]]) -> None:
    for truth in still_frames:
        lens = Lens(
            focal_length_mm=truth["focal_mm"],
            f_number=truth["f_number"],
            distance_mm=measured(truth["near_iris_depth_mm"]),
            pitch_um=Measured(value=1000 * truth["pitch_mm"], low=5.9, high=6.1),
        )
        points = list(truth["points"].values())
        found = lens.circle_px(
            np.array(truth["focus_mm"]), np.array([p["depth_mm"] for p in points])
        )
        assert found == pytest.approx(np.array([p["geom_blur_px"] for p in points]), abs=0.01)


@pytest.mark.slow
def test_offset_and_its_side(still_frames: list[dict[str, Any]]) -> None:
    rng = np.random.default_rng(11)
    errors, held, far_off, called, right = [], [], 0, 0, 0
    in_focus, wrongly = 0, 0
    for truth in still_frames:
        answer = answer_frame(reading_of(truth, rng), Viewing()).faces[0]
        offset, true = answer.offset_mm, truth["focus_error_mm"]
        if true == 0:
            in_focus += 1
            wrongly += answer.cause == "focus"
        if abs(true) >= 10:
            far_off += 1
            if offset is not None:
                called += 1
                right += (offset.value > 0) == (true > 0)
        if offset is not None and truth["f_number"] <= 2.8:
            errors.append(abs(offset.value - true))
            held.append(offset.low <= true <= offset.high)
    # Goals of the accuracy to come (right .99, called .90, median 2 mm, in focus called out of
    # focus in 5 %), here with errors laid on the truth instead of measured ones.
    assert right >= 0.99 * called
    assert called >= 0.90 * far_off
    assert np.median(errors) <= 2.0
    assert np.mean(held) >= 0.85
    assert wrongly <= 0.05 * in_focus
