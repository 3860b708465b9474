"""Highlights read from eyes drawn by a ray tracer of our own, and from rendered and real frames."""

import math
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
from tests.measure.eyes import IRIS_MM, RADIUS_MM, DrawnEye, Lamp, draw_eye, save_jpeg

from eyeplane.faces import find_faces
from eyeplane.imaging import open_picture
from eyeplane.measure import unknown_blur
from eyeplane.measure.catchlight import read_catchlights
from eyeplane.records import Blur, Catchlight, Eye, Measured, MeasureSettings

MM_PER_PX = 0.1


def disc_blur(size_px: float, share: float = 0.2) -> Blur:
    size = Measured(value=size_px, low=size_px * (1 - share), high=size_px * (1 + share))
    return Blur(
        kind="disc",
        size_px=size,
        angle_deg=None,
        disc_px=size,
        line_px=None,
        line_angle_deg=None,
        line_gain=0.0,
        sharp_gain=-50.0,
    )


def line_blur(length_px: float, angle_deg: float) -> Blur:
    size = Measured(value=length_px, low=0.8 * length_px, high=1.2 * length_px)
    return Blur(
        kind="line",
        size_px=size,
        angle_deg=angle_deg,
        disc_px=size,
        line_px=size,
        line_angle_deg=angle_deg,
        line_gain=90.0,
        sharp_gain=-50.0,
    )


def read(
    tmp_path: Path,
    drawn: DrawnEye,
    lamps: list[Lamp],
    *,
    blur: Blur | None = None,
    open_: bool | None = True,
    patches: Sequence[tuple[float, float, float, float, float]] = (),
) -> tuple[Catchlight, ...]:
    """Return what is read of a drawn eye, after a JPEG.

    Patches are (x, y, width, height) in mm from the middle of the iris, and their light.
    """
    linear = draw_eye(drawn, lamps, np.random.default_rng(0))
    for x, y, width, height, light in patches:
        left, top = (linear.shape[0] / 2 + c / drawn.mm_per_px for c in (x, y))
        across, down = round(width / drawn.mm_per_px), round(height / drawn.mm_per_px)
        linear[round(top) :, round(left) :][:down, :across] = light
    path = save_jpeg(linear, tmp_path / "eye.jpg")
    picture = open_picture(path, settings=MeasureSettings())
    diameter = IRIS_MM / drawn.mm_per_px
    eye = Eye(
        side="left",
        iris_px=(linear.shape[1] / 2, linear.shape[0] / 2),
        iris_diameter_px=Measured(value=diameter, low=0.95 * diameter, high=1.05 * diameter),
        open=open_,
    )
    blur = blur or disc_blur(max(drawn.blur_px, 0.5))
    return read_catchlights(picture, eye, blur, mm_per_px=drawn.mm_per_px)


def place_mm(lamp: Lamp) -> tuple[float, float]:
    """Return where the mirror law puts a far light: R sin(θ/2), on its side of the clock."""
    out = RADIUS_MM * math.sin(math.radians(lamp.off_deg) / 2)
    turn = math.radians(30 * lamp.clock)
    return out * math.sin(turn), -out * math.cos(turn)


def offset_mm(light: Catchlight, drawn: DrawnEye) -> tuple[float, float]:
    middle = 2 * round(1.4 * IRIS_MM / drawn.mm_per_px / 2) / 2
    return (
        (light.at_px[0] - middle) * drawn.mm_per_px,
        (light.at_px[1] - middle) * drawn.mm_per_px,
    )


@pytest.mark.parametrize("blur_px", [0.0, 4.0, 9.0])
@pytest.mark.parametrize("round_", [False, True])
@pytest.mark.parametrize("clock", [2.0, 10.0])
def test_place_and_size_of_a_soft_light(
    tmp_path: Path, clock: float, blur_px: float, *, round_: bool
) -> None:
    lamp = Lamp(clock=clock, off_deg=35.0, width_deg=24.0, height_deg=24.0, round=round_)
    drawn = DrawnEye(mm_per_px=MM_PER_PX, blur_px=blur_px)
    (light,) = read(tmp_path, drawn, [lamp])
    assert offset_mm(light, drawn) == pytest.approx(place_mm(lamp), abs=0.12)
    # 24° of 3.9 mm per radian, foreshortened along the radius and stretched across it.
    size_mm = math.radians(24.0) * RADIUS_MM / 2
    for size in (light.width_px, light.height_px):
        assert size.value * MM_PER_PX == pytest.approx(size_mm, rel=0.13)
        assert size.low * MM_PER_PX < 1.04 * size_mm
        assert size.high * MM_PER_PX > 0.96 * size_mm
    assert light.share == 1.0


def test_a_blurred_point_may_be_a_point(tmp_path: Path) -> None:
    lamp = Lamp(clock=11.0, off_deg=25.0, width_deg=2.0, height_deg=2.0, light=18.0, round=True)
    (light,) = read(tmp_path, DrawnEye(blur_px=9.0), [lamp])
    for size in (light.width_px, light.height_px):
        assert size.low == 0.0
        assert size.value < 4.5  # half the disc and less
        assert size.high > math.radians(2.0) * RADIUS_MM / 2 / MM_PER_PX


def test_a_light_beyond_white_keeps_the_truth_in_its_interval(tmp_path: Path) -> None:
    for light in (2.0, 20.0, 200.0):
        lamp = Lamp(clock=10.0, off_deg=30.0, width_deg=14.0, height_deg=14.0, light=light)
        (seen,) = read(tmp_path, DrawnEye(blur_px=3.0), [lamp])
        truth_px = math.radians(14.0) * RADIUS_MM / 2 / MM_PER_PX
        assert seen.width_px.low < truth_px < seen.width_px.high
        assert seen.height_px.low < truth_px < seen.height_px.high


def test_two_lights_with_their_shares(tmp_path: Path) -> None:
    key = Lamp(clock=10.0, off_deg=35.0, width_deg=22.0, height_deg=22.0, light=0.8)
    fill = Lamp(clock=3.0, off_deg=40.0, width_deg=16.0, height_deg=16.0, light=0.5)
    drawn = DrawnEye()
    first, second = read(tmp_path, drawn, [key, fill])
    assert offset_mm(first, drawn) == pytest.approx(place_mm(key), abs=0.12)
    assert offset_mm(second, drawn) == pytest.approx(place_mm(fill), abs=0.12)
    # Light times solid angle: the mirror keeps the product of the two sizes (R²/4).
    share = 0.5 * 16**2 / (0.5 * 16**2 + 0.8 * 22**2)
    assert second.share == pytest.approx(share, abs=0.05)
    assert first.share + second.share == pytest.approx(1.0)


def test_panes_of_a_window_are_one_light(tmp_path: Path) -> None:
    panes = [
        Lamp(clock=12.0, off_deg=20.0, width_deg=14.0, height_deg=26.0),
        Lamp(clock=12.0, off_deg=20.0, width_deg=2.2, height_deg=26.0, light=-0.8),
    ]
    (window,) = read(tmp_path, DrawnEye(), panes)
    assert window.width_px.value * MM_PER_PX == pytest.approx(0.95, rel=0.2)
    apart = [
        Lamp(clock=9.0, off_deg=25.0, width_deg=8.0, height_deg=20.0),
        Lamp(clock=3.0, off_deg=25.0, width_deg=8.0, height_deg=20.0),
    ]
    assert len(read(tmp_path, DrawnEye(), apart)) == 2


def test_a_light_on_the_edge_of_the_iris(tmp_path: Path) -> None:
    lamp = Lamp(clock=9.0, off_deg=84.0, width_deg=20.0, height_deg=20.0, light=3.0)
    drawn = DrawnEye()
    (light,) = read(tmp_path, drawn, [lamp])
    assert offset_mm(light, drawn) == pytest.approx(place_mm(lamp), abs=0.35)


def test_motion_is_taken_out_along_its_own_direction_only(tmp_path: Path) -> None:
    lamp = Lamp(clock=12.0, off_deg=20.0, width_deg=22.0, height_deg=22.0)
    truth_px = math.radians(22.0) * RADIUS_MM / 2 / MM_PER_PX
    for length_px in (9.0, 21.0):
        drawn = DrawnEye(sideways_px=length_px)
        (light,) = read(tmp_path, drawn, [lamp], blur=line_blur(length_px, 0.0))
        assert light.width_px.low < truth_px < light.width_px.high
        assert light.height_px.value == pytest.approx(truth_px, rel=0.13)
        (wrong,) = read(tmp_path, drawn, [lamp], blur=line_blur(length_px, 90.0))
        assert wrong.height_px.value < light.height_px.value


def test_nothing_is_read_where_nothing_can_be(tmp_path: Path) -> None:
    lamp = Lamp(clock=10.0, off_deg=35.0, width_deg=20.0, height_deg=20.0)
    assert read(tmp_path, DrawnEye(), []) == ()
    assert read(tmp_path, DrawnEye(), [lamp], open_=False) == ()
    assert read(tmp_path, DrawnEye(mm_per_px=0.6), [lamp]) == ()  # 19 px across
    assert len(read(tmp_path, DrawnEye(), [lamp], open_=None)) == 1
    assert len(read(tmp_path, DrawnEye(mm_per_px=0.4), [lamp])) == 1  # 29 px


@pytest.mark.parametrize("at", [(-60.0, 30.0), (5.0, 5.0), (163.0, 80.0), (900.0, 900.0)])
@pytest.mark.parametrize("diameter_px", [24.0, 117.0, 400.0])
def test_an_eye_on_the_border_or_outside_is_no_trouble(
    tmp_path: Path, at: tuple[float, float], diameter_px: float
) -> None:
    lamp = Lamp(clock=10.0, off_deg=35.0, width_deg=20.0, height_deg=20.0)
    linear = draw_eye(DrawnEye(), [lamp], np.random.default_rng(0))
    picture = open_picture(save_jpeg(linear, tmp_path / "eye.jpg"), settings=MeasureSettings())
    size = Measured(value=diameter_px, low=0.9 * diameter_px, high=1.1 * diameter_px)
    eye = Eye(side="left", iris_px=at, iris_diameter_px=size, open=True)
    lights = read_catchlights(picture, eye, unknown_blur(), mm_per_px=11.71 / diameter_px)
    if max(at) > 500.0 or at[0] < 0.0 < diameter_px < 100.0:
        assert lights == ()
    for light in lights:
        assert 0.0 <= light.at_px[0] <= picture.width_px
        assert 0.0 <= light.at_px[1] <= picture.height_px


@pytest.mark.parametrize("iris", [0.02, 0.06, 0.2])
@pytest.mark.parametrize("white", [0.35, 0.7])
def test_neither_white_nor_lid_is_a_light(tmp_path: Path, iris: float, white: float) -> None:
    for gaze in ((0.0, 0.0), (0.4, 0.0), (-0.3, 0.2)):
        drawn = DrawnEye(iris=iris, white=white, skin=0.5, gaze=gaze, upper_lid_mm=-3.2)
        assert read(tmp_path, drawn, []) == (), gaze


@pytest.mark.parametrize(
    "patch",
    [
        (-2.0, -5.2, 4.0, 0.8, 0.42),  # a moist fold of the upper lid
        (-1.5, -4.6, 3.0, 0.6, 0.33),
        (-0.4, 4.9, 0.9, 0.3, 0.9),  # the tear film along the lower lid
        (2.0, 4.4, 0.5, 0.3, 0.9),
        (1.2, -2.0, 3.8, 4.0, 0.28),  # a patch of a coloured lens, as bright as skin
        (-4.6, 0.2, 3.4, 3.4, 0.30),
        (0.5, -0.5, 0.1, 0.1, 0.9),  # a hot pixel
    ],
)
def test_glints_that_are_no_lights(
    tmp_path: Path, patch: tuple[float, float, float, float, float]
) -> None:
    key = Lamp(clock=10.0, off_deg=35.0, width_deg=20.0, height_deg=20.0, light=1.2)
    assert len(read(tmp_path, DrawnEye(), [key])) == 1
    assert read(tmp_path, DrawnEye(), [], patches=[patch]) == ()


def test_a_lid_may_hide_part_of_a_light(tmp_path: Path) -> None:
    lamp = Lamp(clock=12.0, off_deg=50.0, width_deg=24.0, height_deg=24.0)
    free = read(tmp_path, DrawnEye(upper_lid_mm=-5.4, iris=0.12), [lamp])[0]
    cut = read(tmp_path, DrawnEye(upper_lid_mm=-3.2, iris=0.12), [lamp])[0]
    truth_px = math.radians(24.0) * RADIUS_MM / 2 * math.cos(math.radians(25.0)) / MM_PER_PX
    assert free.height_px.high < 1.4 * truth_px
    assert cut.height_px.value < 0.8 * truth_px
    assert cut.height_px.high > truth_px


def test_a_large_picture_reads_the_same(tmp_path: Path) -> None:
    lamp = Lamp(clock=10.0, off_deg=35.0, width_deg=24.0, height_deg=24.0)
    small, large = DrawnEye(mm_per_px=0.1), DrawnEye(mm_per_px=0.045)
    (a,), (b,) = read(tmp_path, small, [lamp]), read(tmp_path, large, [lamp])
    assert offset_mm(b, large) == pytest.approx(offset_mm(a, small), abs=0.05)
    assert b.width_px.value * 0.045 == pytest.approx(a.width_px.value * 0.1, rel=0.08)


def test_mirrored_eyes_read_mirrored(tmp_path: Path) -> None:
    # Symmetry, own: a light at 10 o'clock and its mirror image at 2 o'clock.
    lights = []
    for clock in (10.0, 2.0):
        lamp = Lamp(clock=clock, off_deg=35.0, width_deg=12.0, height_deg=26.0)
        drawn = DrawnEye(noise=0.0)
        (light,) = read(tmp_path, drawn, [lamp])
        lights.append((offset_mm(light, drawn), light))
    assert lights[0][0][0] == pytest.approx(-lights[1][0][0], abs=0.05)
    assert lights[0][1].width_px.value == pytest.approx(lights[1][1].width_px.value, rel=0.05)


def test_rendered_frames_show_the_same_lights(data: Path) -> None:
    # The lights of the rendered heads stand still and the eyes look into the lens, whatever the
    # yaw and the focus: so the highlights lie at the same place on the cornea in every frame.
    places = []
    for name in ("dev_0005", "dev_0013", "dev_0029", "dev_0053"):
        path = next((data / "rendered" / "single").glob(f"{name}.jpg"))
        picture = open_picture(path, settings=MeasureSettings())
        (face,) = find_faces(picture)
        scale = face.mm_per_px.value
        near = face.eyes[0]
        lights = read_catchlights(picture, near, unknown_blur(), mm_per_px=scale)
        assert len(lights) == 1
        places.append([(a - b) * scale for a, b in zip(lights[0].at_px, near.iris_px, strict=True)])
    spread = np.ptp(np.array(places), axis=0)
    assert spread.max() < 0.45, places


@pytest.mark.slow
def test_real_frames_give_plausible_counts(data: Path) -> None:
    counts = []
    for number in ("01", "04", "06", "07", "12"):  # those with irises of 23 px and more
        path = data / "people" / f"people-{number}.jpg"
        picture = open_picture(path, settings=MeasureSettings())
        for face in find_faces(picture):
            for eye in face.eyes:
                lights = read_catchlights(
                    picture,
                    eye,
                    unknown_blur(),
                    mm_per_px=face.mm_per_px.value,
                    roll_deg=face.roll_deg.value,
                )
                counts.append(len(lights))
                assert sum(light.share for light in lights) <= 1.0 + 1e-9
                for light in lights:
                    away = math.dist(light.at_px, eye.iris_px)
                    assert away <= 0.55 * eye.iris_diameter_px.value
                    assert light.width_px.low == 0.0  # the blur is not known: it may be all
    # By eye: clear highlights in eight of the eyes that are large enough, two each in one pair,
    # a coloured lens without any; several more too dim to be called.
    assert max(counts) <= 2
    assert 5 <= sum(count > 0 for count in counts) <= 9
