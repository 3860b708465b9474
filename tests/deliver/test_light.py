"""The light in words, and catchlights where a mirror ball shows them."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.deliver.told import BULB, WINDOW, measured

from eyeplane.deliver.light import (
    IRIS,
    IRIS_RADIUS_MM,
    clock_words,
    dial,
    iris_clock,
    light_facts,
    light_words,
)
from eyeplane.optics import CORNEA_RADIUS_MM
from eyeplane.records import LightSource


def light(off_deg: float, clock_hours: float, width_deg: float = 10.0) -> LightSource:
    return LightSource(
        clock_hours=clock_hours,
        off_axis_deg=measured(off_deg, off_deg, off_deg),
        width_deg=measured(width_deg, width_deg, width_deg),
        height_deg=measured(width_deg, width_deg, width_deg),
        share=1.0,
        hardness="soft",
    )


def mirrored(off_deg: float, clock_hours: float) -> tuple[float, float]:
    """Return where a far light shows in a mirror ball of the cornea's radius: x right, y down, mm.

    The point whose normal halves the angle between light and camera (law of reflection; both far).
    """
    turn, off = math.radians(30 * clock_hours), math.radians(off_deg)
    towards = np.array(
        [math.sin(off) * math.sin(turn), -math.sin(off) * math.cos(turn), math.cos(off)]
    )
    normal = towards + np.array([0.0, 0.0, 1.0])
    normal /= np.linalg.norm(normal)
    return CORNEA_RADIUS_MM * normal[0], CORNEA_RADIUS_MM * normal[1]


@given(off_deg=st.floats(1.0, 95.0), clock_hours=st.floats(0.1, 12.0))
def test_a_catchlight_lies_where_a_mirror_ball_shows_it(off_deg: float, clock_hours: float) -> None:
    clock = iris_clock([light(off_deg, clock_hours)])
    assert clock is not None
    x_mm, y_mm = mirrored(off_deg, clock_hours)
    scale = IRIS / IRIS_RADIUS_MM
    assert clock.spots[0].x == pytest.approx(x_mm * scale, abs=1e-6)
    assert clock.spots[0].y == pytest.approx(y_mm * scale, abs=1e-6)


@pytest.mark.parametrize(("off_deg", "width_deg"), [(0.0, 30.0), (40.0, 30.0), (70.0, 20.0)])
def test_a_catchlight_is_as_wide_as_a_mirror_ball_shows_it(
    off_deg: float, width_deg: float
) -> None:
    """Both edges of a light at 3 o'clock, mirrored one by one."""
    clock = iris_clock([light(off_deg, 3.0, width_deg)])
    assert clock is not None
    ends = [mirrored(off_deg + side * width_deg / 2, 3.0)[0] for side in (-1, 1)]
    drawn_mm = 2 * clock.spots[0].wide * IRIS_RADIUS_MM / IRIS
    assert drawn_mm == pytest.approx(ends[1] - ends[0], rel=0.02)


def test_the_clock_reads_like_a_clock() -> None:
    spots = {h: iris_clock([light(60.0, h)]) for h in (12.0, 3.0, 6.0, 9.0)}
    places = {h: (c.spots[0].x, c.spots[0].y) for h, c in spots.items() if c is not None}
    assert places[12.0][1] < -10 < abs(places[12.0][0]) + 1
    assert places[3.0][0] > 10
    assert places[6.0][1] > 10
    assert places[9.0][0] < -10
    for hour, mark in enumerate(dial().hours):
        assert math.atan2(mark[2], -mark[3]) % (2 * math.pi) == pytest.approx(
            math.radians(30 * hour), abs=1e-9
        )


def test_what_stands_far_behind_stays_on_the_rim() -> None:
    clock = iris_clock([light(170.0, 2.0)])
    assert clock is not None
    assert math.hypot(clock.spots[0].x, clock.spots[0].y) == pytest.approx(IRIS)


@pytest.mark.parametrize(
    ("hours", "words"),
    [
        (12.0, "12 o'clock"),
        (0.2, "12 o'clock"),
        (11.8, "12 o'clock"),
        (11.4, "11 o'clock"),
        (10.4, "10 o'clock"),
        (3.1, "3 o'clock"),
    ],
)
def test_clock_words(hours: float, words: str) -> None:
    assert clock_words(hours) == words


def test_light_in_words() -> None:
    assert light_words([]) == ""
    assert light_words([WINDOW]) == (
        "Light at 10 o'clock, about 40° off the lens, 22° wide and 30° high: fairly soft."
    )
    assert light_words([WINDOW, BULB]).endswith("fairly soft. A second one at 2 o'clock.")
    assert light_words([WINDOW, BULB, light(50.0, 6.0)]).endswith(
        "Further ones at 2 o'clock and at 6 o'clock."
    )
    assert light_words([BULB]) == (
        "Light at 2 o'clock, about 60° off the lens; how large and how hard it is cannot be told."
    )
    hard = replace(BULB, hardness="hard")
    assert light_words([hard]).endswith("off the lens, 6° wide at most: hard.")
    vague = replace(WINDOW, hardness="")
    assert light_words([vague]).endswith("22° wide and 30° high: how hard it is cannot be told.")


def test_where_an_hour_cannot_be_told_none_is_named() -> None:
    near = replace(WINDOW, off_axis_deg=measured(9.0, 0.0, 21.0))
    wide = replace(WINDOW, off_axis_deg=measured(20.0, 3.0, 38.0))
    loose = replace(WINDOW, off_axis_deg=measured(30.0, 15.0, 46.0))
    assert light_words([near]).startswith("Light close to the lens, 22° wide")
    assert light_words([wide]).startswith("Light within 40° of the lens, 22° wide")
    assert light_words([loose]).startswith("Light at 10 o'clock, 15 to 45° off the lens, 22°")
    anywhere = replace(WINDOW, off_axis_deg=measured(50.0, 3.0, 95.0))
    assert light_words([anywhere]) == (
        "Light: from where cannot be told, 22° wide and 30° high: fairly soft."
    )
    assert light_words([WINDOW, anywhere]).endswith("A second one somewhere.")
    clock = iris_clock([near])
    assert clock is not None
    assert "o'clock" not in clock.spoken


def test_every_number_of_a_light_has_its_spread() -> None:
    ((name, words),) = light_facts([WINDOW])
    assert name == "Light at 10 o'clock"
    assert words == (
        "38° (31–45) off the lens; seen from the sitter 22° (18–27) wide, 30° (25–36) high; "
        "72\u2009% of the light"
    )


def test_the_drawing_is_told_in_words_and_not_by_colour() -> None:
    clock = iris_clock([WINDOW, BULB])
    assert clock is not None
    assert clock.spoken == (
        "Catchlights on the iris, the strongest first: at 10 o'clock, at 2 o'clock"
    )
    assert [spot.strongest for spot in clock.spots] == [True, False]
    assert iris_clock([]) is None
