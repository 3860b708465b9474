"""Apertures and times in words."""

import pytest

from eyeplane.light import F_NUMBERS, SHUTTER_TIMES_S, f_stop, shutter


@pytest.mark.parametrize(
    ("parts", "said"),
    [
        (8000.0, "1/8000\u2009s"),
        (323.0, "1/320\u2009s"),
        (126.0, "1/125\u2009s"),
        (13.0, "1/13\u2009s"),
        (2.0, "0.5\u2009s"),
    ],
)
def test_times_are_said_as_they_are_engraved(parts: float, said: str) -> None:
    """Engraved times in thirds of a stop: common practice, no source."""
    assert shutter(1 / parts) == said


def test_a_time_between_the_marks_is_said_as_it_is() -> None:
    assert shutter(1 / 273) == "1/273\u2009s"


def test_no_two_marks_are_said_alike() -> None:
    assert len({shutter(t) for t in SHUTTER_TIMES_S}) == len(SHUTTER_TIMES_S)
    assert len({f_stop(n) for n in F_NUMBERS}) == len(F_NUMBERS)
