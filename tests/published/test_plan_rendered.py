"""Blur of planned geometry against rendered heads, whose geometry another program made.

Source: truth.json of the rendered heads (mitsuba, thin-lens camera). How its camera counts, as
found here and held below: distances run from the lens along its axis, as ours; the focal length is
the lens's own, and the field of view is the sensor's over the image distance f s / (s − f), so
that focusing nearer narrows it; blur is the diameter of the disc on the sensor over the pitch.
"""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from eyeplane.optics import blur_circle_um, magnification
from eyeplane.plan.blurs import disc_um

Seen = tuple[dict[str, Any], dict[str, Any]]


@pytest.fixture(scope="module")
def heads(data: Path) -> list[Seen]:
    """Return frame and head of every rendered head, with or without motion."""
    found = []
    for folder in ("single", "group", "full"):
        text = (data / "rendered" / folder / "truth.json").read_text(encoding="utf-8")
        for frame in json.loads(text)["frames"]:
            found += [(frame, head) for head in frame.get("heads", [frame])]
    return found


def places(heads: list[Seen]) -> list[tuple[dict[str, Any], float, float]]:
    """Return frame, depth and true disc in pixels of every landmark."""
    return [
        (frame, p["depth_mm"], p["geom_blur_px"])
        for frame, head in heads
        for p in head["points"].values()
    ]


def test_every_rendered_head_is_here(heads: list[Seen]) -> None:
    assert len(heads) == 104 + 3 * 5 + 2
    assert {frame["f_number"] for frame, _ in heads} >= {1.4, 2.0, 2.8, 5.6}
    assert {frame["focal_mm"] for frame, _ in heads} == {50.0, 85.0}


def test_disc_of_every_landmark(heads: list[Seen]) -> None:
    measured, planned, true = [], [], []
    for frame, depth_mm, disc_px in places(heads):
        circle_um = blur_circle_um(
            focal_length_mm=frame["focal_mm"],
            f_number=frame["f_number"],
            focus_distance_mm=frame["focus_mm"],
            subject_distance_mm=depth_mm,
        )
        disc = disc_um(
            focal_length_mm=frame["focal_mm"],
            f_number=frame["f_number"],
            focus_mm=frame["focus_mm"],
            eye_mm=depth_mm,
        )
        measured.append(circle_um / 1000 / frame["pitch_mm"])
        planned.append(float(disc) / 1000 / frame["pitch_mm"])
        true.append(disc_px)
    discs = np.array(true)
    apart = np.maximum(np.abs(np.array(measured) - discs), np.abs(np.array(planned) - discs))
    above = discs > 4
    assert above.sum() > 700
    # Asked: 1 %. Truth is written to .001 px and .001 mm, which alone makes 0.02 % at 4 px.
    assert np.max(apart[above] / discs[above]) < 0.0005
    assert np.max(apart) < 0.001


def test_scale_belongs_to_the_plane_in_focus(heads: list[Seen]) -> None:
    for frame, _ in heads:
        m = magnification(focal_length_mm=frame["focal_mm"], subject_distance_mm=frame["focus_mm"])
        assert frame["pitch_mm"] / m == pytest.approx(frame["object_mm_per_px"], abs=1e-5)


def eye_distances_mm(heads: list[Seen], *, breathing: bool) -> dict[str, list[float]]:
    """Return the distance of the irises of each build of head, from pixels and depths."""
    found: dict[str, list[float]] = {}
    for frame, head in heads:
        image_mm = frame["focal_mm"]
        if breathing:
            image_mm = 1 / (1 / frame["focal_mm"] - 1 / frame["focus_mm"])
        middle = np.array(frame["sensor_px"]) / 2 - frame["crop"][:2]
        ends = []
        for name in ("iris_l", "iris_r"):
            point = head["points"][name]
            aside = (np.array(point["px"]) - middle) * frame["pitch_mm"]
            ends.append([*(aside * point["depth_mm"] / image_mm), point["depth_mm"]])
        found.setdefault(head["build"], []).append(
            float(np.linalg.norm(np.array(ends[0]) - ends[1]))
        )
    return found


def test_field_of_view_is_that_of_a_lens_racked_out_to_focus(heads: list[Seen]) -> None:
    # One head has its eyes one distance apart, in every frame, at 1.2 to 3.5 m, 50 and 85 mm: so it
    # comes out with the thin lens's image distance, and not with the focal length in its place.
    racked, fixed = (eye_distances_mm(heads, breathing=b) for b in (True, False))
    assert {len(v) >= 3 for v in racked.values()} == {True}
    for distances in racked.values():
        assert np.ptp(distances) < 0.005
    assert np.ptp(fixed["A"]) > 1.0
