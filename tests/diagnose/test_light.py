"""Lights from catchlights: by table, and from eyes drawn by a ray tracer of our own."""

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.diagnose.builders import blur, face, measured
from tests.measure.eyes import IRIS_MM, RADIUS_MM, DrawnEye, Lamp, draw_eye, save_jpeg

from eyeplane.diagnose.light import HUMAN_EYE, EyeShape, hardness_of, lights_of
from eyeplane.imaging import open_picture
from eyeplane.measure.catchlight import read_catchlights
from eyeplane.records import (
    Catchlight,
    Eye,
    EyeReading,
    FaceReading,
    Landmark,
    Measured,
    MeasureSettings,
)

SCALE = 0.1  # mm per px of the hand-made face
STRAIGHT = EyeShape(  # an eye whose axis is its line of sight, as drawn ones are
    radius_mm=RADIUS_MM, radius_sd_mm=0.2, limbus_mm=IRIS_MM, outward_deg=0.0, outward_sd_deg=0.5
)


def plain_face(*, yaw_deg: float = 0.0, roll_deg: float = 0.0) -> FaceReading:
    """Return a face that looks into the lens, its eyes 63 mm apart, without its corners."""
    reading = face(near_blur=blur("none", 0.5), near="left")
    middle = (2000.0, 1500.0)
    half = 31.5 / SCALE
    turn = math.radians(roll_deg)
    shift = (half * math.cos(turn), half * math.sin(turn))
    irises = [
        (middle[0] - shift[0], middle[1] - shift[1]),
        (middle[0] + shift[0], middle[1] + shift[1]),
    ]
    eyes = tuple(
        replace(eye, iris_px=at, iris_diameter_px=measured(IRIS_MM / SCALE, 0.05))
        for eye, at in zip(reading.face.eyes, irises, strict=True)
    )
    located = replace(
        reading.face,
        eyes=(eyes[0], eyes[1]),
        yaw_deg=Measured(value=yaw_deg, low=yaw_deg - 3, high=yaw_deg + 3),
        pitch_deg=Measured(value=0.0, low=-5.0, high=5.0),
        roll_deg=Measured(value=roll_deg, low=roll_deg - 2, high=roll_deg + 2),
        landmarks=(),
        mm_per_px=measured(SCALE, 0.05),
    )
    return replace(reading, face=located)


def with_lights(
    reading: FaceReading,
    left: Sequence[tuple[float, float]],
    right: Sequence[tuple[float, float]] = (),
    *,
    size_mm: float = 1.0,
) -> FaceReading:
    """Return the face with highlights at places in mm from the middles of its irises."""
    eyes = []
    for eye, located, places in zip(reading.eyes, reading.face.eyes, (left, right), strict=True):
        lights = tuple(
            Catchlight(
                at_px=(located.iris_px[0] + x / SCALE, located.iris_px[1] + y / SCALE),
                width_px=measured(size_mm / SCALE),
                height_px=measured(size_mm / SCALE),
                share=1.0 / len(places),
            )
            for x, y in places
        )
        eyes.append(replace(eye, catchlights=lights))
    return replace(reading, eyes=(eyes[0], eyes[1]))


def by_law_mm(clock: float, off_deg: float) -> tuple[float, float]:
    """Return a highlight's place by the mirror law R sin(θ/2), normal halves the angle."""
    out = 7.8 * math.sin(math.radians(off_deg) / 2)
    return out * math.sin(math.radians(30 * clock)), -out * math.cos(math.radians(30 * clock))


@given(clock=st.floats(0.01, 12.0), off_deg=st.floats(10.0, 80.0))
def test_the_mirror_law_comes_back(clock: float, off_deg: float) -> None:
    place = by_law_mm(clock, off_deg)
    (light,) = lights_of(with_lights(plain_face(), [place], [place]), shape=STRAIGHT)
    assert light.off_axis_deg.value == pytest.approx(off_deg, abs=1e-6)
    assert math.dist((light.clock_hours,), (clock,)) % 12 == pytest.approx(0.0, abs=1e-6)
    assert 0.0 < light.clock_hours <= 12.0
    assert light.off_axis_deg.low < off_deg < light.off_axis_deg.high


def looking(sines: tuple[float, float]) -> FaceReading:
    """Return the face with corners that tell where its eyes look: 13 mm beside the eyes' middle."""
    reading = plain_face()
    marks = []
    for name, eye, side in zip(
        ("near corner", "far corner"), reading.face.eyes, (-1, 1), strict=True
    ):
        x, y = (c - 10.5 * s / SCALE for c, s in zip(eye.iris_px, sines, strict=True))
        marks.append(
            Landmark(name=name, at_px=(x + side * 13.0 / SCALE, y), depth_mm=6.0, depth_sd_mm=2.5)
        )
    return replace(reading, face=replace(reading.face, landmarks=tuple(marks)))


@pytest.mark.parametrize("sines", [(0.42, 0.0), (-0.45, 0.1)])
def test_eyes_that_look_past_the_camera_show_the_same_light(sines: tuple[float, float]) -> None:
    # The iris of a turned eye lies 5.2 mm × the sine aside of where the cornea faces the camera.
    place = by_law_mm(11.0, 40.0)
    ahead = math.sqrt(7.8**2 - (11.71 / 2) ** 2)
    seen = (place[0] - ahead * sines[0], place[1] - ahead * sines[1])
    (light,) = lights_of(with_lights(looking(sines), [seen], [seen]), shape=STRAIGHT)
    assert light.off_axis_deg.value == pytest.approx(40.0, abs=4.0)
    assert light.clock_hours == pytest.approx(11.0, abs=0.3)


def test_a_flash_on_the_camera_shows_on_the_nose_side_of_both_pupils() -> None:
    # Eyes' own axes point 5° outwards of their lines of sight, so that a light at the lens is seen
    # about 0.5 mm to the nose's side of the pupil's middle: the corneal reflex of a straight eye
    # (orthoptic textbooks on the Hirschberg test; from memory).
    aside = HUMAN_EYE.centre_mm * math.sin(math.radians(5.0))
    assert aside == pytest.approx(0.45, abs=0.05)
    (light,) = lights_of(with_lights(plain_face(), [(aside, 0.0)], [(-aside, 0.0)]))
    assert light.off_axis_deg.value < 0.5
    assert light.off_axis_deg.low == 0.0
    (one,) = lights_of(with_lights(plain_face(), [(aside, 0.0)]))
    assert one.off_axis_deg.value < 0.5


def test_centre_of_the_cornea_by_the_hirschberg_ratio() -> None:
    # Turning an eye by 12.3° moves the reflex by 1 mm against the pupil (Eskridge, Wick and
    # Perrigin, Am. J. Optom. Physiol. Opt. 65, 1988; from memory). The entrance pupil lies 3.05 mm
    # behind the cornea's tip (Gullstrand), the limbus nearer to it by what the sphere is high
    # there, so the pupil's ratio and ours for the limbus differ by just that.
    by_pupil_mm = 1.0 / math.sin(math.radians(12.3))
    assert by_pupil_mm == pytest.approx(7.8 - 3.05, rel=0.05)
    height_mm = 7.8 - HUMAN_EYE.centre_mm
    assert height_mm == pytest.approx(2.6, abs=0.15)  # height of a cornea over its rim, from memory


def test_both_eyes_narrow_the_place() -> None:
    place = by_law_mm(10.0, 40.0)
    (both,) = lights_of(with_lights(plain_face(), [place], [place]))
    (one,) = lights_of(with_lights(plain_face(), [place]))
    wide = one.off_axis_deg.high - one.off_axis_deg.low
    assert both.off_axis_deg.high - both.off_axis_deg.low < 0.95 * wide


def test_a_weak_highlight_in_one_eye_only_is_no_light() -> None:
    key, stray = by_law_mm(10.0, 40.0), by_law_mm(4.0, 30.0)
    reading = with_lights(plain_face(), [key, stray], [key])
    strong, weak = reading.eyes[0].catchlights
    shares = (replace(strong, share=0.95), replace(weak, share=0.05))
    left = replace(reading.eyes[0], catchlights=shares)
    (light,) = lights_of(replace(reading, eyes=(left, reading.eyes[1])))
    assert light.share == pytest.approx(1.0)
    assert len(lights_of(reading)) == 2  # at half of the light it is kept
    alone = replace(reading.eyes[1], catchlights=())
    assert len(lights_of(replace(reading, eyes=(left, alone)))) == 2


def test_the_other_eye_tells_where_the_near_one_shows_nothing() -> None:
    place = by_law_mm(2.0, 40.0)
    (light,) = lights_of(with_lights(plain_face(), [], [place]), shape=STRAIGHT)
    assert light.clock_hours == pytest.approx(2.0, abs=0.01)
    assert lights_of(plain_face()) == ()


def test_a_blurred_eye_tells_no_light() -> None:
    lit = with_lights(plain_face(), [by_law_mm(10.0, 40.0)])
    left, right = lit.eyes
    (light,) = lights_of(replace(lit, eyes=(replace(left, blur=blur("disc", 7.0)), right)))
    assert light.clock_hours == pytest.approx(10.0, abs=0.3)
    for soft in (blur("disc", 8.0), blur("line", 16.0)):  # 0.8 and 1.6 mm, as wide as the light
        assert lights_of(replace(lit, eyes=(replace(left, blur=soft), right))) == ()


def test_sizes_follow_the_scale_at_their_place() -> None:
    # 3.9 mm per radian on the axis (R/2); at 60° cos 30° of it along the radius, 1/cos 30° across.
    (middle,) = lights_of(with_lights(plain_face(), [(0.0, 0.0)], size_mm=1.36), shape=STRAIGHT)
    assert middle.width_deg.value == pytest.approx(math.degrees(1.36 / 3.9), rel=1e-6)
    place = by_law_mm(12.0, 60.0)
    (above,) = lights_of(with_lights(plain_face(), [place]), shape=STRAIGHT)
    cosine = math.cos(math.radians(30.0))
    assert above.height_deg.value == pytest.approx(math.degrees(1 / (3.9 * cosine)), rel=1e-6)
    assert above.width_deg.value == pytest.approx(math.degrees(cosine / 3.9), rel=1e-6)


@given(roll_deg=st.floats(-80.0, 80.0), clock=st.floats(0.1, 11.9))
def test_a_leaning_head_does_not_move_the_light(roll_deg: float, clock: float) -> None:
    place = by_law_mm(clock, 40.0)
    leaning = with_lights(plain_face(roll_deg=roll_deg), [place], [place])
    (light,) = lights_of(leaning)
    assert light.off_axis_deg.value == pytest.approx(40.0, abs=1e-6)
    assert light.clock_hours == pytest.approx(clock, abs=1e-6)


@pytest.mark.parametrize(
    ("size_deg", "word"),
    [
        (0.5, "hard"),  # the sun, 0.53°: handbooks of astronomy
        (2.0, "hard"),  # a bare flash of 6 cm at 2 m; these words: common practice, no source
        (11.0, "fairly hard"),  # a beauty dish of 40 cm at 2 m
        (28.0, "fairly soft"),  # an umbrella of 1 m at 2 m
        (44.0, "soft"),  # a window of 1.2 m at 1.5 m
    ],
)
def test_hardness(size_deg: float, word: str) -> None:
    size = measured(size_deg, 0.05)
    assert hardness_of(size, size) == word


def test_hardness_is_not_told_across_the_board() -> None:
    size = Measured(value=10.0, low=0.0, high=40.0)
    assert hardness_of(size, size) == ""


@pytest.mark.parametrize(
    "lamp",
    [
        Lamp(clock=10.0, off_deg=35.0, width_deg=22.0, height_deg=22.0),
        Lamp(clock=1.5, off_deg=25.0, width_deg=12.0, height_deg=28.0),
        Lamp(clock=9.0, off_deg=55.0, width_deg=30.0, height_deg=30.0, round=True),
        Lamp(clock=5.0, off_deg=30.0, width_deg=16.0, height_deg=16.0, light=3.0),
    ],
    ids=["softbox", "strip", "umbrella", "from below, beyond white"],
)
@pytest.mark.parametrize("gaze", [(0.0, 0.0), (0.08, 0.03)])
def test_drawn_eyes_give_back_their_lights(
    tmp_path: Path, lamp: Lamp, gaze: tuple[float, float]
) -> None:
    drawn = DrawnEye(mm_per_px=SCALE, gaze=gaze, blur_px=3.0)
    reading = plain_face()
    eyes = []
    for seed, (eye, located) in enumerate(zip(reading.eyes, reading.face.eyes, strict=True)):
        eyes.append(read_drawn(tmp_path, drawn, lamp, eye, located, seed))
    (light,) = lights_of(replace(reading, eyes=(eyes[0], eyes[1])), shape=STRAIGHT)
    assert light.off_axis_deg.low < lamp.off_deg < light.off_axis_deg.high
    looks_at_lens = gaze == (0.0, 0.0)
    assert light.off_axis_deg.value == pytest.approx(lamp.off_deg, abs=2.5 if looks_at_lens else 12)
    assert light.clock_hours == pytest.approx(lamp.clock, abs=0.15 if looks_at_lens else 0.9)
    for size, truth in (
        (light.width_deg, lamp.width_deg),
        (light.height_deg, lamp.height_deg),
    ):
        assert size.low < truth < size.high
        assert size.value == pytest.approx(truth, rel=0.2)


def read_drawn(
    tmp_path: Path, drawn: DrawnEye, lamp: Lamp, eye: EyeReading, located: Eye, seed: int
) -> EyeReading:
    """Return an eye of the face with the highlights of a drawn one, moved to its place."""
    linear = draw_eye(drawn, [lamp], np.random.default_rng(seed))
    path = save_jpeg(linear, tmp_path / f"{seed}.jpg")
    middle = (linear.shape[1] / 2, linear.shape[0] / 2)
    seen = read_catchlights(
        open_picture(path, settings=MeasureSettings()),
        replace(located, iris_px=middle),
        blur("disc", drawn.blur_px),
        mm_per_px=SCALE,
    )
    shift = (located.iris_px[0] - middle[0], located.iris_px[1] - middle[1])
    return replace(
        eye,
        catchlights=tuple(
            replace(c, at_px=(c.at_px[0] + shift[0], c.at_px[1] + shift[1])) for c in seen
        ),
    )
