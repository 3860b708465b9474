"""The simulated camera against closed forms: areas, edges of known blur, places, EXIF."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import erf
from tests.kit.camera import Camera, Pose, photographed, render, render_sheet
from tests.kit.coverage import coverage
from tests.kit.spreads import Kernel, Spread, airy, disc, gaussian, line

from eyeplane.records.printed import PrintedPatch, PrintedSheet

SHAPES = [(0, 0), (100, 0), (100, 80), (0, 80)]


def sheet_of(*corners: tuple[float, float]) -> PrintedSheet:
    """Return a sheet of 100 × 80 mm with one dark area."""
    return PrintedSheet(
        kind="chart",
        paper="A4",
        width_mm=100.0,
        height_mm=80.0,
        patches=(PrintedPatch(corners_mm=tuple(corners)),),
        words=(),
        marks=(),
        edges=(),
        ruler_mm=((10.0, 70.0), (60.0, 70.0)),
    )


SQUARE_ON = Camera(  # 2 px a mm: a frame that the sheet more than fills
    pose=Pose(distance_mm=1050.0), focal_length_mm=50.0, pitch_um=25.0, width_px=160, height_px=120
)


@given(
    x=st.lists(st.floats(-5, 25), min_size=3, max_size=3),
    y=st.lists(st.floats(-5, 25), min_size=3, max_size=3),
)
def test_what_a_triangle_covers_adds_up_to_its_area(x: list[float], y: list[float]) -> None:
    covered = coverage(np.column_stack([x, y]) + 10, 50, 50)
    area = abs((x[1] - x[0]) * (y[2] - y[0]) - (x[2] - x[0]) * (y[1] - y[0])) / 2
    assert covered.sum() == pytest.approx(area, abs=1e-9)
    assert covered.min() > -1e-12
    assert covered.max() < 1 + 1e-12


def test_a_polygon_beyond_the_picture_is_cut_at_its_border() -> None:
    big = np.array([(-50.0, -40.0), (90.0, -40.0), (90.0, 70.0), (-50.0, 70.0)])
    assert np.allclose(coverage(big, 8, 6), 1.0)
    half = np.array([(-50.0, -40.0), (3.25, -40.0), (3.25, 70.0), (-50.0, 70.0)])
    assert np.allclose(coverage(half, 8, 6)[0], [1, 1, 1, 0.25, 0, 0, 0, 0])


def test_a_slanted_edge_without_blur_is_the_mean_over_each_pixel() -> None:
    """One pixel of a 5° edge, its share by hand: the trapezium below a line."""
    slope = np.tan(np.deg2rad(5.0))
    polygon = np.array([(0.0, 3.2), (10.0, 3.2 + 10 * slope), (10.0, 20.0), (0.0, 20.0)])
    covered = coverage(polygon, 10, 10)
    assert covered[3, 0] == pytest.approx(1 - (0.2 + slope / 2), abs=1e-12)
    assert covered[3, 4] == pytest.approx(1 - (0.2 + 4.5 * slope), abs=1e-12)


@pytest.mark.parametrize(("steps", "tolerance"), [(4, 5e-4), (16, 3e-5)])
def test_a_blurred_edge_is_an_error_function_seen_through_the_pixel(
    steps: int, tolerance: float
) -> None:
    """Upright edge: Gaussian ⊗ pixel, integrated twice in closed form."""
    sigma, at = 0.9, 80.3
    sheet = sheet_of((-200, -200), (30.15 + 20 - 10, -200), (40.15, 300), (-200, 300))
    assert SQUARE_ON.to_px(np.array([(40.15, 40.0)]), sheet)[0, 0] == pytest.approx(60.3)
    frame = render(sheet, SQUARE_ON, blur=sigma, black=0.0, white=1.0, steps=steps)
    x = np.arange(161) - (at - 20)
    ramp = x * (1 + erf(x / (sigma * np.sqrt(2)))) / 2 + sigma / np.sqrt(2 * np.pi) * np.exp(
        -(x**2) / (2 * sigma**2)
    )
    assert np.abs(frame[60] - np.diff(ramp)).max() < tolerance


def edge_mtf(frame: np.ndarray, frequency_per_px: np.ndarray) -> np.ndarray:
    """Return the MTF across an edge that moves left by 1/16 px from row to row.

    Sixteen rows then sample its profile at steps of exactly 1/16 px along x: nothing is binned.
    """
    profile = frame[:16].T.ravel()
    spread = np.diff(profile)
    f = frequency_per_px * np.cos(np.arctan(1 / 16))  # along x the profile is longer
    places = np.arange(len(spread)) / 16
    told = np.abs(np.exp(-2j * np.pi * np.outer(f, places)) @ spread) / spread.sum()
    return np.asarray(told / np.sinc(f / 16))  # of the difference


BLURS: dict[str, Spread] = {
    "gaussian": gaussian(0.7),
    "disc": disc(2.5),
    "line": line(3.0, 0.0),
    "airy": airy(8.0, 4.0),
    "both": gaussian(0.4) * disc(1.5),
    "sampled": Kernel(values=np.array([[1.0, 2.0, 1.0]] * 3), step_px=0.5).spread(),
}


@pytest.mark.parametrize("blur", BLURS.values(), ids=BLURS)
def test_an_edge_has_the_transfer_of_its_blur_and_of_the_pixel(blur: Spread) -> None:
    camera = replace(SQUARE_ON, width_px=600, height_px=16)  # the sheet: 1000 × 600 px
    sheet = sheet_of((-99, -160), (250 + 20, -160), (250 - 20, 480), (-99, 480))
    sheet = replace(sheet, width_mm=500.0, height_mm=320.0)
    frame = render(sheet, camera, blur=blur, black=0.0, white=1.0, tile_px=600)
    f = np.array([1 / 16, 1 / 8, 1 / 4, 3 / 8, 1 / 2, 3 / 4])
    angle = np.arctan(1 / 16)
    pixel = np.sinc(f * np.cos(angle)) * np.sinc(f * np.sin(angle))
    expected = blur.along(f, np.rad2deg(angle)) * np.abs(pixel)
    # Diffraction's tails reach beyond the frame, which the sum of the spread then lacks.
    slack = 0.0025 if blur.reach_px > 60 else 0.001
    assert edge_mtf(frame, f) == pytest.approx(expected, abs=slack)


def test_finer_steps_change_nothing() -> None:
    sheet = sheet_of((20, 10), (70, 16), (60, 60), (25, 50))
    coarse, fine = (render(sheet, SQUARE_ON, blur=0.5, steps=n) for n in (4, 10))
    assert np.abs(coarse - fine).max() < 5e-4


def test_tiles_do_not_show() -> None:
    sheet = sheet_of((20, 10), (70, 16), (60, 60), (25, 50))
    one, many = (render(sheet, SQUARE_ON, blur=1.1, tile_px=n) for n in (160, 32))
    assert np.abs(one - many).max() < 1e-5


def test_a_sheet_stands_where_thin_lens_and_perspective_put_it() -> None:
    """Magnification f / (d − f); the far edge of a tilted sheet by similar triangles."""
    sheet = sheet_of(*SHAPES)
    assert SQUARE_ON.scale_px_per_mm == pytest.approx(50 / 1000 / 0.025)
    tilted = Camera(
        pose=Pose(distance_mm=1050.0, tilt_deg=30.0),
        focal_length_mm=50.0,
        pitch_um=25.0,
        width_px=160,
        height_px=120,
    )
    upper, lower = tilted.to_px(np.array([(50.0, 0.0), (50.0, 80.0)]), sheet)
    v_px = 50 * 1050 / 1000 / 0.025
    assert upper[1] == pytest.approx(60 - v_px * 40 * np.cos(np.pi / 6) / (1050 + 20))
    assert lower[1] == pytest.approx(60 + v_px * 40 * np.cos(np.pi / 6) / (1050 - 20))


def test_roll_and_shift_go_the_way_they_say() -> None:
    sheet = sheet_of(*SHAPES)
    middle = np.array([(50.0, 40.0), (60.0, 40.0)])
    pose = Pose(distance_mm=1050.0, roll_deg=90.0, shift_mm=(5.0, -3.0))
    camera = Camera(pose=pose, focal_length_mm=50.0, pitch_um=25.0, width_px=160, height_px=120)
    assert camera.to_px(middle, sheet) == pytest.approx(np.array([(90, 54), (90, 74)]))


def test_distortion_is_radial_and_of_the_size_it_says() -> None:
    sheet = sheet_of(*SHAPES)
    camera = Camera(
        pose=Pose(distance_mm=1050.0),
        focal_length_mm=50.0,
        pitch_um=25.0,
        width_px=160,
        height_px=120,
        k1=-0.04,
    )
    assert camera.to_px(np.array([(90.0, 70.0)]), sheet)[0] == pytest.approx(
        (80 + 80 * 0.96, 60 + 60 * 0.96)
    )


def test_a_bowed_sheet_keeps_its_length_and_has_the_sag_it_says() -> None:
    sheet = sheet_of(*SHAPES)
    camera = Camera(
        pose=Pose(distance_mm=1050.0),
        focal_length_mm=50.0,
        pitch_um=25.0,
        width_px=160,
        height_px=120,
        bow_mm=6.0,
    )
    x, z = camera._bent(np.linspace(-50, 50, 2001), 100.0)
    assert z[0] - z[1000] == pytest.approx(6.0)
    assert np.hypot(np.diff(x), np.diff(z)).sum() == pytest.approx(100.0, rel=1e-5)
    ends = camera.to_px(np.array([(0.0, 40.0), (100.0, 40.0)]), sheet)
    assert ends[1, 0] - ends[0, 0] < 200.0 - 2 * 0.5  # nearer together, and farther away


def test_light_falls_off_and_noise_has_the_spread_it_says() -> None:
    sheet = sheet_of((-900, -900), (-800, -900), (-800, -800))
    frame = render(sheet, SQUARE_ON, white=0.5, vignetting=0.4)
    assert frame[0, 0] / frame[60, 80] == pytest.approx(0.6, abs=0.01)
    rng = np.random.default_rng(3)
    noisy = render(sheet, SQUARE_ON, white=0.5, rng=rng, full_well_e=4000, read_noise_e=10)
    assert noisy.std() == pytest.approx(np.sqrt(2000 + 100) / 4000, rel=0.03)


def test_a_spread_may_change_over_the_field() -> None:
    sheet = sheet_of((20, -20), (80, -20), (80, 100), (20, 100))
    frame = render_sheet(
        sheet,
        pose=Pose(distance_mm=1050.0),
        focal_length_mm=50.0,
        pitch_um=25.0,
        width_px=160,
        height_px=64,
        tile_px=80,
        blur=lambda x, _y: gaussian(0.6 if x < 80 else 3.0),
    )
    left, right = np.abs(np.diff(frame[32, :80])).max(), np.abs(np.diff(frame[32, 80:])).max()
    assert left > 2.5 * right


def test_a_written_frame_tells_its_exposure_and_pitch(tmp_path: Path) -> None:
    frame = render(sheet_of(*SHAPES[:3]), SQUARE_ON)
    picture = photographed(
        tmp_path / "a.jpg", frame, pitch_um=25.0, focal_length_mm=50.0, f_number=5.6
    )
    assert picture.exposure.focal_length_mm == 50
    assert picture.exposure.f_number == pytest.approx(5.6)
    assert picture.exposure.exposure_time_s == pytest.approx(1 / 200)
    assert picture.exposure.body == "A body"
    luma = picture.luma_window(0, 0, 160, 120).luma
    assert np.median(np.abs(luma - frame)) < 0.005  # half a code of 255; the JPEG rings at edges
