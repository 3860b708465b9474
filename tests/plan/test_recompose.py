"""Focusing in the middle and turning the camera."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.plan.recompose import behind_mm, recompose, turn_deg
from eyeplane.records import Measured


def _share(value: float) -> Measured:
    return Measured(value=value, low=max(value - 0.1, 0.0), high=min(value + 0.1, 1.0))


@given(st.floats(200, 20_000), st.floats(0, 59))
def test_a_wider_turn_puts_the_plane_farther_behind(distance: float, turn: float) -> None:
    less = behind_mm(distance_mm=distance, turn_deg=turn)
    more = behind_mm(distance_mm=distance, turn_deg=turn + 1)
    assert 0 <= less < more < distance


@given(st.floats(500, 20_000), st.floats(0, 500))
def test_the_plane_lies_as_far_behind_as_the_slant_is_longer(axial: float, aside: float) -> None:
    slant = (axial**2 + aside**2) ** 0.5
    turn = turn_deg(distance_mm=axial, aside_mm=aside)
    assert behind_mm(distance_mm=slant, turn_deg=turn) == pytest.approx(slant - axial, abs=1e-6)


def test_the_remedy_is_the_focus_point_where_turning_costs_frames() -> None:
    asked: list[float] = []

    def share_at(behind: float) -> Measured:
        asked.append(behind)
        return _share(0.2)

    told = recompose(
        distance_mm=2000,
        turn_deg=10,
        share_at=share_at,
        share_now=_share(0.8),
        what="the near eye",
    )
    assert asked == [told.behind_mm]
    assert told.share.value == 0.2
    assert "Move the focus point onto the near eye" in told.text
    assert "20\u2009% of frames hold instead of 80\u2009%" in told.text


def test_no_remedy_where_turning_does_no_harm() -> None:
    told = recompose(
        distance_mm=2000,
        turn_deg=3,
        share_at=lambda _: _share(0.79),
        share_now=_share(0.8),
        what="the near eye",
    )
    assert "no harm" in told.text
    assert "Move" not in told.text


def test_where_next_to_nothing_holds_it_is_not_called_harmless() -> None:
    told = recompose(
        distance_mm=2000,
        turn_deg=10,
        share_at=lambda _: _share(0.0),
        share_now=_share(0.01),
        what="the near eye",
    )
    assert "no harm" not in told.text
    assert "Put the focus point onto the near eye" in told.text


@pytest.mark.parametrize(("distance", "turn"), [(0.0, 5.0), (float("nan"), 5.0), (2000.0, 75.0)])
def test_impossible_numbers_are_refused(distance: float, turn: float) -> None:
    with pytest.raises(InputError):
        behind_mm(distance_mm=distance, turn_deg=turn)
