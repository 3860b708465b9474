"""Time left in words: a range where it is one, nothing where it is not known."""

import pytest

from eyeplane.cli.progress import time_left_words
from eyeplane.records import Measured


@pytest.mark.parametrize(
    ("low_s", "value_s", "high_s", "words"),
    [
        (0.1, 0.4, 0.8, ""),
        (1.0, 3.0, 6.0, "about 10 s left"),
        (35.0, 40.0, 44.0, "about 40 s left"),
        (30.0, 42.0, 58.0, "30 to 60 s left"),
        (100.0, 180.0, 250.0, "2 to 4 min left"),
        (5000.0, 7200.0, 11000.0, "1 to 3 h left"),
    ],
)
def test_time_left(low_s: float, value_s: float, high_s: float, words: str) -> None:
    assert time_left_words(Measured(value=value_s, low=low_s, high=high_s)) == words


def test_time_left_before_it_can_be_known() -> None:
    assert time_left_words(None) == "time left: cannot tell yet"
