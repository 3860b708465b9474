"""How a plan says its numbers."""

import pytest

from eyeplane.plan import words
from eyeplane.records import Measured


@pytest.mark.parametrize(
    ("time_s", "said"),
    [(1 / 250, "1/250 s"), (1 / 256, "1/250 s"), (0.5, "0.5 s"), (2.0, "2 s"), (1 / 90, "1/90 s")],
)
def test_shutter_times_as_cameras_write_them(time_s: float, said: str) -> None:
    assert words.shutter(time_s).replace("\u2009", " ") == said


@pytest.mark.parametrize(
    ("size_mm", "said"),
    [(2.4, "2.4 mm"), (-14, "14 mm"), (104, "10 cm"), (600, "60 cm"), (2140, "2.1 m")],
)
def test_lengths_in_the_unit_of_their_size(size_mm: float, said: str) -> None:
    assert words.length(size_mm).replace("\u2009", " ") == said


def test_a_share_opens_its_interval_outwards() -> None:
    said = words.share(Measured(value=0.784, low=0.655, high=0.861))
    assert said.replace("\u2009", " ") == "78 % of frames (65–87)"


def test_a_share_is_never_said_as_all_or_nothing() -> None:
    assert words.percent(0.9999).replace("\u2009", " ") == "over 99 %"
    assert words.percent(0.0001).replace("\u2009", " ") == "under 1 %"


@pytest.mark.parametrize(
    ("count_ev", "said"),
    [(1.0, "a stop"), (2.0, "two stops"), (-1.34, "1⅓ stops"), (0.66, "⅔ of a stop")],
)
def test_stops_in_thirds(count_ev: float, said: str) -> None:
    assert words.stops(count_ev) == said


def test_reach_is_rounded_down() -> None:
    assert words.whole_cm(64.9).replace("\u2009", " ") == "60 cm"
    assert words.whole_cm(0.4).replace("\u2009", " ") == "under 1 cm"
