"""Numbers of a plan as its card prints them."""

from types import ModuleType

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.deliver.plan_words import (
    length_words,
    place_words,
    power_words,
    setting_parts,
    share_words,
)
from eyeplane.records import Measured


@pytest.mark.parametrize(
    ("share", "said"),
    [
        ((0.66, 0.523, 0.771), "66\u2009% (52–78)"),
        ((0.0, 0.0, 0.0), "under 1\u2009% (0–1)"),
        ((0.004, 0.0, 0.012), "under 1\u2009% (0–2)"),
        ((1.0, 1.0, 1.0), "over 99\u2009% (99–100)"),
        ((0.5, 0.5, 0.5), "50\u2009% (50–50)"),
    ],
)
def test_a_share_is_never_certain_and_its_interval_is_rounded_outwards(
    share: tuple[float, float, float], said: str
) -> None:
    assert share_words(Measured(value=share[0], low=share[1], high=share[2])) == said


@pytest.mark.parametrize(
    ("power", "said"),
    [
        (1.0, "flash full power"),
        (0.5, "flash 1/2"),
        (1 / 16, "flash 1/16"),
        (2 ** (-4 + 1 / 3), "flash 1/16 + 0.3"),
        (2 ** (-4 + 2 / 3), "flash 1/16 + 0.7"),
        (0.0625 * 0.999, "flash 1/16"),
    ],
)
def test_power_is_said_in_halvings_and_thirds_above_them(power: float, said: str) -> None:
    assert power_words(power) == said


@given(st.integers(1, 21))
def test_power_as_said_is_the_power(thirds: int) -> None:
    """1/16 + 0.3 is a third of a stop more than 1/16."""
    power = 2 ** (-thirds / 3)
    whole, _, more = power_words(power).removeprefix("flash 1/").partition(" + ")
    assert 2 ** float(more or 0) / float(whole) == pytest.approx(power, rel=0.025)


def test_places_and_lengths() -> None:
    assert place_words(0.3) == "on the near iris"
    assert place_words(4.0) == "4\u2009mm behind the near iris"
    assert place_words(-24.0) == "24\u2009mm in front of the near iris"
    assert [length_words(v) for v in (0.3, 23.0, 253.0, 1168.0)] == [
        "0.3\u2009mm",
        "23\u2009mm",
        "25\u2009cm",
        "1.17\u2009m",
    ]


def test_settings_are_said_in_the_order_of_the_dials(plans: ModuleType) -> None:
    assert setting_parts(plans.sitter_plan().settings[0]) == (
        "f/4",
        "1/320\u2009s",
        "ISO 800",
    )
