"""Frames of the folded target from our own simulated thin lens, good ones and bad ones."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from tests.kit.camera import Pose, photographed, render_sheet
from tests.kit.focus_frames import FocusScene, photograph_target

from eyeplane.kit.focus_design import focus_sheet
from eyeplane.kit.focus_frame import read_target
from eyeplane.records.kit_focus import TargetFrame

SCENE = FocusScene(width_px=900, height_px=640, pitch_um=22.0, steps=1, tilt_deg=2, turn_deg=-3)


def taken(
    scene: FocusScene,
    path: Path,
    *,
    gain: float = 1.0,
    ruler_mm: float | None = None,
    **exif: object,
) -> TargetFrame:
    """Return what is read of a simulated frame."""
    light = gain * photograph_target(scene, np.random.default_rng(1))
    notes: dict[str, object] = {
        "pitch_um": scene.pitch_um,
        "f_number": scene.f_number,
        "focal_length_mm": scene.focal_length_mm,
        "quality": 92,
    }
    return read_target(photographed(path / "a.jpg", light, **(notes | exif)), ruler_mm=ruler_mm)


@pytest.mark.slow
@pytest.mark.parametrize("offset", [-18.0, 11.0])
def test_offset_is_read_with_its_sign(offset: float, tmp_path: Path) -> None:
    frame = taken(replace(SCENE, offset_mm=offset, folds_deg=(38, 50, 44, 52)), tmp_path)
    assert frame.problem == ""
    assert frame.offset_mm is not None
    assert frame.offset_mm.value == pytest.approx(offset, abs=1.0)
    assert frame.offset_mm.low <= offset <= frame.offset_mm.high
    assert frame.tilt_deg == pytest.approx(3.6, abs=0.3)


@pytest.mark.slow
def test_without_exif_the_offset_is_told_and_no_distance(tmp_path: Path) -> None:
    frame = taken(
        replace(SCENE, offset_mm=11.0), tmp_path, focal_length_mm=None, pitch_um=None, f_number=None
    )
    assert frame.offset_mm is not None
    assert frame.offset_mm.value == pytest.approx(11.0, abs=1.2)
    assert frame.distance_mm is None  # perspective alone is up to a fifth off
    assert frame.depth_front_mm is None
    assert frame.slope_ratio is None


@pytest.mark.slow
def test_a_print_that_is_off_its_scale_is_put_right_by_its_ruler(tmp_path: Path) -> None:
    frame = taken(replace(SCENE, offset_mm=14.0, print_scale=0.96), tmp_path, ruler_mm=200 * 0.96)
    assert frame.offset_mm is not None
    assert frame.offset_mm.value == pytest.approx(14.0, abs=1.0)
    assert frame.distance_mm == pytest.approx(1500.0, rel=0.01)


def test_a_ruler_of_another_paper_is_refused(tmp_path: Path) -> None:
    frame = taken(SCENE, tmp_path, ruler_mm=300.0)
    assert "ruler of 300 mm is not that of the A4 target" in frame.problem


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"folds_deg": (1.0, 1.0, 2.0, 1.0)}, "the sheet is flat"),
        ({"folds_deg": (45.0, 12.0, 45.0, 45.0)}, "the upper right wing is folded too little"),
        ({"folds_deg": (70.0, 45.0, 45.0, 45.0)}, "the upper left wing is folded too far"),
        ({"turn_deg": 30.0}, "turned"),
        ({"f_number": 22.0}, "the depth of field is larger"),
        ({"distance_mm": 4500.0}, "marks can be read"),
    ],
)
def test_bad_frames_say_what_is_wrong_and_what_to_do(
    change: dict[str, object], words: str, tmp_path: Path
) -> None:
    frame = taken(replace(SCENE, **change), tmp_path)  # type: ignore[arg-type]  # by name
    assert words in frame.problem, frame
    assert frame.offset_mm is None
    assert frame.problem.count(". ") >= 1  # what to do follows


def test_two_wings_outside_the_frame_leave_an_answer_and_are_told(tmp_path: Path) -> None:
    frame = taken(replace(SCENE, shift_mm=(110.0, 0.0), offset_mm=8.0), tmp_path)
    assert frame.offset_mm is not None
    assert frame.offset_mm.low <= 8.0 <= frame.offset_mm.high
    assert any("2 of the wings cannot be read" in note for note in frame.notes)


def test_burnt_out_paper_is_refused(tmp_path: Path) -> None:
    assert "burnt out" in taken(SCENE, tmp_path, gain=1.9).problem


def test_an_even_wall_and_the_other_chart_are_not_taken_for_the_target(tmp_path: Path) -> None:
    wall = photographed(tmp_path / "wall.jpg", np.full((300, 450), 0.4), pitch_um=22.0)
    assert read_target(wall).problem.startswith("no focus target is seen")
    sheet = focus_sheet("A4")
    flat = render_sheet(
        replace(sheet, marks=sheet.marks),
        pose=Pose(distance_mm=1500.0),
        focal_length_mm=85.0,
        pitch_um=22.0,
        width_px=900,
        height_px=640,
    )
    assert "flat" in read_target(photographed(tmp_path / "flat.jpg", flat, pitch_um=22.0)).problem
