"""Marks as they are printed, and their corners as they are found again."""

from itertools import pairwise

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from tests.kit.camera import Camera, Pose, render
from tests.kit.coverage import coverage

from eyeplane.imaging.tone import linear_to_srgb
from eyeplane.kit.fiducials import CELLS, cells_of, find_marks, mark_patches
from eyeplane.kit.mark_edges import refined
from eyeplane.records.printed import PrintedSheet

SIZE_MM = 10.0


def sheet_of(*numbers: int) -> PrintedSheet:
    """Return marks in a row on a sheet of their own."""
    parts = [
        mark_patches(number, (5.0 + 20.0 * k, 5.0), SIZE_MM) for k, number in enumerate(numbers)
    ]
    return PrintedSheet(
        kind="chart",
        paper="A4",
        width_mm=20.0 * len(numbers),
        height_mm=20.0,
        patches=tuple(patch for patches, _ in parts for patch in patches),
        words=(),
        marks=tuple(mark for _, mark in parts),
        edges=(),
        ruler_mm=((0.0, 0.0), (1.0, 0.0)),
    )


def codes(frame: NDArray[np.float64]) -> NDArray[np.uint8]:
    """Return a frame as sRGB bytes."""
    return np.rint(255 * linear_to_srgb(np.clip(frame, 0, 1))).astype(np.uint8)


def camera_at(distance_mm: float = 1000.0, **pose: float) -> Camera:
    """Return a camera that sees 3 marks, each about 106 px long from a metre."""
    return Camera(
        pose=Pose(distance_mm=distance_mm, **pose),  # type: ignore[arg-type]  # fields by name
        focal_length_mm=85.0,
        pitch_um=8.77,
        width_px=900,
        height_px=460,
    )


def test_a_printed_mark_is_the_one_of_the_dictionary() -> None:
    """Held against OpenCV's own picture of each mark, 2 px a cell."""
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000)
    for number in range(120):
        patches, mark = mark_patches(number, (0.0, 0.0), 14.0)
        drawn = np.full((14, 14), 1.0)
        for patch in patches:
            drawn += coverage(np.array(patch.corners_mm), 14, 14) * (patch.level - drawn)
        assert np.allclose(drawn * 255, dictionary.generateImageMarker(number, 14))
        assert mark.corners_mm == ((0.0, 0.0), (14.0, 0.0), (14.0, 14.0), (0.0, 14.0))


def test_no_two_areas_of_the_same_ink_share_a_side() -> None:
    """Else a hairline would show between them, on screen and in print."""
    for number in range(120):
        bare = [p for p in mark_patches(number, (0.0, 0.0), 7.0)[0] if p.level == 1.0]
        seen: set[frozenset[tuple[int, int]]] = set()
        for patch in bare:
            ring = [*patch.corners_mm, patch.corners_mm[0]]
            for (x0, y0), (x1, y1) in pairwise(ring):
                long = max(abs(x1 - x0), abs(y1 - y0))
                steps = range(round(long))
                sides = {
                    frozenset(
                        [
                            (round(x0 + (x1 - x0) * k / long), round(y0 + (y1 - y0) * k / long)),
                            (
                                round(x0 + (x1 - x0) * (k + 1) / long),
                                round(y0 + (y1 - y0) * (k + 1) / long),
                            ),
                        ]
                    )
                    for k in steps
                }
                assert not sides & seen
                seen |= sides


@pytest.mark.parametrize(
    ("blur", "distance_mm", "noise", "tolerance"),
    [(0.5, 1000, 0, 0.02), (3.0, 1000, 0, 0.05), (0.8, 1000, 4000, 0.04), (0.8, 3500, 4000, 0.06)],
)
def test_corners_are_found_to_a_fraction_of_a_pixel(
    blur: float, distance_mm: float, noise: float, tolerance: float
) -> None:
    """Sides of 106 px, and of 30 px; the truth is the simulated camera's geometry."""
    sheet = sheet_of(3, 17, 61)
    camera = camera_at(distance_mm, tilt_deg=12.0, turn_deg=-9.0, roll_deg=7.0)
    rng = np.random.default_rng(4) if noise else None
    frame = render(sheet, camera, blur=blur, rng=rng, full_well_e=noise, read_noise_e=6)
    found = find_marks(codes(frame))
    assert sorted(found) == [3, 17, 61]
    errors = [found[m.number] - camera.to_px(np.array(m.corners_mm), sheet) for m in sheet.marks]
    assert np.abs(errors).max() < 2 * tolerance
    assert np.sqrt(np.mean(np.square(errors))) < tolerance


def test_faint_ink_in_a_dark_frame_is_found_too() -> None:
    sheet = sheet_of(3, 17, 61)
    camera = camera_at()
    rng = np.random.default_rng(4)
    frame = render(
        sheet, camera, blur=1, white=0.1, black=0.05, around=0.08, rng=rng, full_well_e=8000
    )
    found = find_marks(codes(frame))
    errors = [found[m.number] - camera.to_px(np.array(m.corners_mm), sheet) for m in sheet.marks]
    assert np.sqrt(np.mean(np.square(errors))) < 0.12


def test_the_spread_told_is_that_of_the_errors() -> None:
    sheet = sheet_of(3, 17, 61)
    camera = camera_at(roll_deg=4.0)
    clean = render(sheet, camera, blur=0.8)
    rng = np.random.default_rng(8)
    ratios = []
    for _ in range(6):
        noisy = (clean + rng.normal(0, 0.05, clean.shape)).astype(np.float32)
        for mark in sheet.marks:
            true = camera.to_px(np.array(mark.corners_mm), sheet)
            fitted = refined(noisy, true + rng.normal(0, 0.5, (4, 2)), cells_of(mark.number))
            assert fitted is not None
            ratios.append((fitted.corners_px - true) / fitted.sd_px)
    assert np.sqrt(np.mean(np.square(ratios))) == pytest.approx(1.0, abs=0.25)


def test_blur_of_a_mark_is_told() -> None:
    """σ of the blur with the pixel's own area: √(σ² + 1/12), and a little from reading between."""
    sheet = sheet_of(3)
    camera = camera_at()
    mark = sheet.marks[0]
    true = camera.to_px(np.array(mark.corners_mm), sheet)
    for sigma in (1.5, 4.0):
        frame = render(sheet, camera, blur=sigma).astype(np.float32)
        fitted = refined(frame, true, cells_of(3))
        assert fitted is not None
        assert fitted.blur_px == pytest.approx(np.hypot(sigma, np.sqrt(1 / 12)), rel=0.05)
        assert fitted.contrast == pytest.approx(0.77 / 0.83, abs=0.01)


@settings(max_examples=5)
@given(turns=st.integers(0, 3), number=st.integers(0, 119))
def test_marks_are_found_however_the_frame_is_turned(turns: int, number: int) -> None:
    sheet = sheet_of(number)
    camera = camera_at(roll_deg=3.0)
    frame = codes(render(sheet, camera, blur=0.7))
    (upright,) = find_marks(frame).values()
    turned = find_marks(np.ascontiguousarray(np.rot90(frame, turns)))[number]
    width, height = frame.shape[1], frame.shape[0]
    for _ in range(turns):  # a quarter to the left takes (x, y) to (y, width − x)
        upright = np.column_stack([upright[:, 1], width - upright[:, 0]])
        width, height = height, width
    assert turned == pytest.approx(upright, abs=0.02)


def test_a_mirrored_frame_is_read_only_when_asked() -> None:
    sheet = sheet_of(3, 17, 61)
    camera = camera_at()
    frame = codes(render(sheet, camera, blur=0.7))[:, ::-1].copy()
    assert find_marks(frame) == {}
    found = find_marks(frame, mirrored=True)
    assert sorted(found) == [3, 17, 61]


def test_a_picture_without_marks_has_none() -> None:
    rng = np.random.default_rng(1)
    assert find_marks(rng.integers(0, 255, (300, 400)).astype(np.uint8)) == {}
    assert find_marks(np.zeros((10, 10), np.uint8)) == {}
    assert find_marks(np.full((300, 400), 90, np.uint8)) == {}


def test_a_mark_seen_twice_is_left_out() -> None:
    sheet = sheet_of(3, 17, 3)
    frame = codes(render(sheet, camera_at(), blur=0.7))
    assert sorted(find_marks(frame)) == [17]


def test_a_mark_cut_by_the_frame_is_not_refined() -> None:
    frame = np.full((60, 60), 0.8, np.float32)
    ring = np.array([(5.0, 5.0), (80.0, 5.0), (80.0, 80.0), (5.0, 80.0)])
    assert refined(frame, ring, cells_of(1)) is None
    assert refined(frame, ring / 2, cells_of(1)) is None  # inside, and nothing but paper
    assert cells_of(1).shape == (CELLS, CELLS)
