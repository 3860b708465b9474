"""Sheets found again in frames of the simulated camera, whose geometry is the truth."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.kit.camera import Camera, Pose, photographed, render

from eyeplane.errors import InputError
from eyeplane.imaging import Picture
from eyeplane.kit.chart_design import chart_sheet
from eyeplane.kit.sheet_search import find_sheet
from eyeplane.kit.sheet_trouble import Limits
from eyeplane.records.printed import PAPERS_MM, PrintedSheet

SHEETS = [chart_sheet(paper) for paper in PAPERS_MM]
A4 = SHEETS[0]
PLACES = np.array([(x, y) for x in np.linspace(12, 285, 7) for y in np.linspace(12, 198, 5)])
Seen = Callable[..., tuple[Picture, Camera]]


def camera_of(pose: Pose, **other: Any) -> Camera:  # noqa: ANN401  fields by name
    """Return a small full-frame camera with an 85 mm lens: 4 px a mm of A4 from 0.8 m."""
    values = {"focal_length_mm": 85.0, "pitch_um": 30.0, "width_px": 1200, "height_px": 800}
    return Camera(pose=pose, **{**values, **other})


@pytest.fixture
def seen(tmp_path: Path) -> Seen:
    """Return a function that photographs the A4 chart, or another sheet."""

    def photograph(
        pose: Pose,
        *,
        sheet: PrintedSheet = A4,
        light: dict[str, Any] | None = None,
        notes: dict[str, Any] | None = None,
        changed: Callable[[NDArray[np.float64]], NDArray[np.float64]] = np.asarray,
        **other: Any,  # noqa: ANN401  fields by name
    ) -> tuple[Picture, Camera]:
        camera = camera_of(pose, **other)
        frame = changed(render(sheet, camera, **(light or {})))
        told = {"pitch_um": camera.pitch_um, "focal_length_mm": camera.focal_length_mm}
        picture = photographed(tmp_path / "frame.jpg", frame, **{**told, **(notes or {})})
        return picture, camera

    return photograph


SMALL = {"pitch_um": 40.0, "width_px": 900, "height_px": 600}
NOISY = {"rng": np.random.default_rng(5), "full_well_e": 6000.0, "read_noise_e": 8.0}


@pytest.mark.parametrize(
    ("pose", "other", "light", "tolerance"),
    [
        (Pose(distance_mm=830.0), {}, {"blur": 0.7}, 0.05),
        (
            Pose(distance_mm=900.0, tilt_deg=6.0, turn_deg=-5.0, roll_deg=3.0),
            {"k1": -0.03, "k2": 0.01},
            {"blur": 0.8, "vignetting": 0.5, **NOISY},
            0.1,
        ),
        (Pose(distance_mm=900.0, roll_deg=178.0), {"k1": 0.02}, {"blur": 2.0, **NOISY}, 0.2),
        (
            Pose(distance_mm=900.0, turn_deg=4.0),
            {},
            {"blur": 1.0, "white": 0.2, "black": 0.06, "around": 0.4, **NOISY},
            0.25,
        ),
    ],
    ids=["plain", "tilted and distorted", "soft, upside down", "faint"],
)
def test_every_place_of_the_sheet_is_known_to_a_fraction_of_a_pixel(
    seen: Seen, pose: Pose, other: dict[str, float], light: dict[str, Any], tolerance: float
) -> None:
    picture, camera = seen(pose, light=light, **other)
    found = find_sheet(picture, SHEETS)
    assert found.sheet is A4
    assert len(found.marks) == 20
    assert found.hidden == ()
    off = found.to_px(PLACES) - camera.to_px(PLACES, A4)
    assert np.abs(off).max() < tolerance
    assert np.sqrt(np.mean(off**2)) < tolerance / 3
    assert found.residual_px < tolerance
    assert found.to_mm(found.to_px(PLACES)) == pytest.approx(PLACES, abs=1e-6)


def test_the_pose_is_told_with_intervals(seen: Seen) -> None:
    """By a thin lens: distance f (1 + 1/m), angles of the rotation that drew the frame."""
    pose = Pose(
        distance_mm=980.0, tilt_deg=5.0, turn_deg=-7.0, roll_deg=-4.0, shift_mm=(12.0, -8.0)
    )
    picture, _ = seen(pose)
    found = find_sheet(picture, SHEETS)
    assert found.tilt_deg is not None
    assert found.turn_deg is not None
    assert found.distance_mm is not None
    for told, true in (
        (found.roll_deg, -4.0),
        (found.tilt_deg, 5.0),
        (found.turn_deg, -7.0),
    ):
        assert told.value == pytest.approx(true, abs=0.03)
        assert told.low <= true <= told.high
        assert told.high - told.low < 2
    assert found.distance_mm.value == pytest.approx(980.0, rel=0.001)
    assert found.distance_mm.low < 0.9 * 980 < 1.02 * 980 < found.distance_mm.high
    assert found.magnification == pytest.approx(85 / (980 - 85), rel=0.02)
    assert found.contrast == pytest.approx(0.77 / 0.83, abs=0.03)


def test_a_print_in_another_scale_is_put_right_by_its_ruler(seen: Seen) -> None:
    """'Fit to page' made the sheet 3 % smaller: it is as much nearer than it looks."""
    picture, _ = seen(Pose(distance_mm=900.0))
    asked = find_sheet(picture, SHEETS)
    smaller = find_sheet(picture, SHEETS, ruler_scale=0.97)
    assert smaller.distance_mm is not None
    assert asked.distance_mm is not None
    # d = f (1 + 1/m), and m grows as the sheet is smaller than drawn.
    m = 85 / (900 - 85) / 0.97
    assert smaller.distance_mm.value == pytest.approx(85 * (1 + 1 / m), rel=0.001)
    assert smaller.scale_px_per_mm == pytest.approx(asked.scale_px_per_mm / 0.97)
    assert smaller.to_px(PLACES) == pytest.approx(asked.to_px(PLACES), abs=0.01)


def test_without_exif_place_and_roll_are_told_and_nothing_else(seen: Seen) -> None:
    picture, camera = seen(
        Pose(distance_mm=900.0, turn_deg=3.0, roll_deg=2.0),
        notes={"pitch_um": None, "focal_length_mm": None},
    )
    found = find_sheet(picture, SHEETS)
    assert np.abs(found.to_px(PLACES) - camera.to_px(PLACES, A4)).max() < 0.1
    assert found.roll_deg.value == pytest.approx(2.0, abs=0.3)
    assert (found.tilt_deg, found.turn_deg, found.distance_mm) == (None, None, None)
    assert (found.magnification, found.bow_mm) == (None, None)


def test_a_frame_held_upright_is_read_as_it_stands(seen: Seen) -> None:
    picture, camera = seen(
        Pose(distance_mm=900.0, roll_deg=90.0, tilt_deg=3.0), width_px=800, height_px=1200
    )
    found = find_sheet(picture, SHEETS)
    assert found.roll_deg.value == pytest.approx(90.0, abs=0.05)
    assert found.tilt_deg is not None
    assert found.tilt_deg.value == pytest.approx(3.0, abs=0.05)
    assert np.abs(found.to_px(PLACES) - camera.to_px(PLACES, A4)).max() < 0.1


def test_another_paper_is_told_from_its_marks(seen: Seen) -> None:
    sheet = SHEETS[2]
    picture, camera = seen(Pose(distance_mm=1200.0), sheet=sheet)
    found = find_sheet(picture, SHEETS)
    assert found.sheet is sheet
    assert np.abs(found.to_px(PLACES) - camera.to_px(PLACES, sheet)).max() < 0.1


def test_a_bowed_print_is_told_from_distortion(seen: Seen) -> None:
    """Sag of 1.5 mm seen through 2 % of barrel distortion; and none where there is none."""
    for bow_mm in (-1.5, 0.0):
        picture, camera = seen(Pose(distance_mm=900.0), k1=-0.02, bow_mm=bow_mm)
        found = find_sheet(picture, SHEETS)
        assert found.bow_mm is not None
        assert found.bow_mm.low <= abs(bow_mm) <= found.bow_mm.high
        assert found.bow_mm.high - found.bow_mm.low < 0.7
        assert np.abs(found.to_px(PLACES) - camera.to_px(PLACES, A4)).max() < 0.15


def test_a_hand_before_the_sheet_hides_some_marks_only(seen: Seen) -> None:
    def hand(frame: NDArray[np.float64]) -> NDArray[np.float64]:
        frame[300:, 760:1030] = 0.35
        return frame

    picture, camera = seen(Pose(distance_mm=900.0), changed=hand)
    found = find_sheet(picture, SHEETS)
    assert 2 <= len(found.hidden) <= 9
    assert set(found.hidden) | set(found.marks) == set(range(20))
    assert np.abs(found.to_px(PLACES) - camera.to_px(PLACES, A4)).max() < 0.2


def test_a_part_of_the_sheet_will_do_where_no_more_is_asked(seen: Seen) -> None:
    pose = Pose(distance_mm=900.0, shift_mm=(-130.0, 40.0))
    picture, camera = seen(pose)
    with pytest.raises(InputError, match="leaves the frame on the left"):
        find_sheet(picture, SHEETS)
    found = find_sheet(picture, SHEETS, limits=Limits(whole=False))
    there = PLACES[PLACES[:, 0] > 150]
    assert np.abs(found.to_px(there) - camera.to_px(there, A4)).max() < 0.6


@pytest.mark.parametrize(
    ("shift_mm", "side"),
    [
        ((0.0, -40.0), "at the top"),
        ((-40.0, 40.0), "on the left and at the bottom"),
    ],
)
def test_the_side_on_which_it_leaves_the_frame_is_named(
    seen: Seen, shift_mm: tuple[float, float], side: str
) -> None:
    picture, _ = seen(Pose(distance_mm=850.0, shift_mm=shift_mm), **SMALL)
    with pytest.raises(InputError, match=f"leaves the frame {side}"):
        find_sheet(picture, SHEETS)


@pytest.mark.parametrize(
    ("distance_mm", "words"), [(1600.0, "for each mm"), (3900.0, "too small in the frame: its")]
)
def test_a_sheet_too_far_away_is_too_small(seen: Seen, distance_mm: float, words: str) -> None:
    picture, _ = seen(Pose(distance_mm=distance_mm))
    with pytest.raises(InputError, match=words) as told:
        find_sheet(picture, SHEETS)
    assert "Come closer" in str(told.value)


@pytest.mark.parametrize(
    ("pose", "side", "advice"),
    [
        (Pose(distance_mm=950.0, turn_deg=22.0), "right", "move the camera to the right"),
        (Pose(distance_mm=950.0, tilt_deg=22.0, roll_deg=180.0), "lower", "lower the camera"),
    ],
)
def test_a_tilted_sheet_is_refused_with_the_way_to_turn(
    seen: Seen, pose: Pose, side: str, advice: str
) -> None:
    picture, _ = seen(pose, **SMALL)
    with pytest.raises(InputError, match=f"tilted by 22° .* its {side} side") as told:
        find_sheet(picture, SHEETS)
    assert advice in str(told.value)


def test_a_print_that_is_not_flat_is_refused_with_its_bow(seen: Seen) -> None:
    picture, _ = seen(Pose(distance_mm=950.0), bow_mm=6.0, **SMALL)
    with pytest.raises(InputError, match=r"not flat: it bows by about [567]\.\d mm \(") as told:
        find_sheet(picture, SHEETS)
    assert "stiff board" in str(told.value)
    unknown, _ = seen(
        Pose(distance_mm=950.0),
        bow_mm=6.0,
        notes={"pitch_um": None, "focal_length_mm": None},
        **SMALL,
    )
    with pytest.raises(InputError, match=r"the sheet is not flat\."):
        find_sheet(unknown, SHEETS)


def test_a_sheet_too_soft_to_read_is_called_soft(seen: Seen) -> None:
    picture, _ = seen(Pose(distance_mm=900.0), light={"blur": 5.0, "steps": 1}, **SMALL)
    with pytest.raises(InputError, match="too soft") as told:
        find_sheet(picture, SHEETS)
    assert "Focus on the sheet" in str(told.value)


def test_a_mirrored_sheet_is_called_mirrored(seen: Seen) -> None:
    picture, _ = seen(Pose(distance_mm=900.0), changed=lambda frame: frame[:, ::-1], **SMALL)
    with pytest.raises(InputError, match="the sheet is mirrored"):
        find_sheet(picture, SHEETS)


def test_another_sheet_is_named(seen: Seen) -> None:
    picture, _ = seen(Pose(distance_mm=900.0))
    with pytest.raises(InputError, match="this is the chart for A4, and the chart was asked for"):
        find_sheet(picture, SHEETS[1:])


def test_two_sheets_in_a_frame_are_told(seen: Seen) -> None:
    letter = SHEETS[2]

    def beside(frame: NDArray[np.float64]) -> NDArray[np.float64]:
        other = render(letter, camera_of(Pose(distance_mm=1300.0, shift_mm=(160.0, 0.0))))
        frame[:, 600:] = other[:, 600:]
        return frame

    picture, _ = seen(Pose(distance_mm=1300.0, shift_mm=(-160.0, 0.0)), changed=beside)
    with pytest.raises(InputError, match="several sheets are in the frame: the chart for A4 and"):
        find_sheet(picture, SHEETS)
    twice, _ = seen(
        Pose(distance_mm=1300.0, shift_mm=(-160.0, 0.0)),
        changed=lambda frame: np.hstack([frame[:, :600], frame[:, :600]]),
    )
    with pytest.raises(InputError, match="the chart for A4 is in the frame twice"):
        find_sheet(twice, SHEETS)


def test_a_frame_without_a_sheet_says_how_to_get_one(seen: Seen) -> None:
    def wall(frame: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(0.4 + 0.0 * frame)

    picture, _ = seen(Pose(distance_mm=900.0), changed=wall, **SMALL)
    with pytest.raises(InputError, match="none of our printed sheets") as told:
        find_sheet(picture, SHEETS)
    assert "eyeplane kit print chart" in str(told.value)


def test_few_marks_are_not_enough(seen: Seen) -> None:
    def covered(frame: NDArray[np.float64]) -> NDArray[np.float64]:
        frame[:, 230:] = 0.35
        return frame

    picture, _ = seen(Pose(distance_mm=900.0), changed=covered)
    with pytest.raises(InputError, match=r"(only \d marks? of|too soft or too distorted)"):
        find_sheet(picture, SHEETS)
