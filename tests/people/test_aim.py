"""Where the focus plane goes: usual spread, learned kits, what is caught instead of the iris."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.people import (
    FOCUS_IMAGE_UM,
    HEAD_DEPTHS,
    SWAY_MM,
    focus_error,
    glasses_frame_depth,
    usual_spread_mm,
)
from eyeplane.records import Measured

PORTRAIT = 85 / (2000 - 85)  # magnification of 85 mm at 2 m
BIAS = Measured(value=6.0, low=4.0, high=8.0)
SPREAD = Measured(value=5.0, low=3.5, high=7.0)


@given(m=st.floats(0.005, 1.0), factor=st.floats(1.0, 10.0))
def test_the_nearer_the_less_autofocus_scatters_but_never_less_than_sway(
    m: float, factor: float
) -> None:
    far, near = usual_spread_mm(magnification=m), usual_spread_mm(magnification=m * factor)
    assert SWAY_MM <= near <= far


def test_usual_spread_by_hand() -> None:
    # 12 um behind the lens, over the magnification squared: 6.1 mm at the sitter; sway 4 mm.
    behind = FOCUS_IMAGE_UM / 1000 / PORTRAIT**2
    assert behind == pytest.approx(6.09, abs=0.01)
    assert usual_spread_mm(magnification=PORTRAIT) == pytest.approx(math.hypot(4.0, behind))


def test_a_usual_focus_aims_at_the_iris() -> None:
    told = focus_error(magnification=PORTRAIT)
    assert told.bias_mm == 0.0
    assert told.spread_mm == usual_spread_mm(magnification=PORTRAIT)
    assert 0 < told.miss_share < 0.3
    assert told.source == "usual"


def test_what_was_learned_replaces_it_part_by_part() -> None:
    both = focus_error(magnification=PORTRAIT, learned_bias_mm=BIAS, learned_spread_mm=SPREAD)
    unsure = 4.0 / (2 * 1.6449)
    assert both.bias_mm == 6.0
    assert both.spread_mm == pytest.approx(math.hypot(5.0, unsure))
    assert both.unsure_log_sd == pytest.approx(math.log(2.0) / (2 * 1.6449))
    only = focus_error(magnification=PORTRAIT, learned_bias_mm=BIAS)
    assert only.bias_mm == 6.0
    assert only.spread_mm == pytest.approx(
        math.hypot(usual_spread_mm(magnification=PORTRAIT), unsure)
    )
    assert only.unsure_log_sd == focus_error(magnification=PORTRAIT).unsure_log_sd


def test_a_kit_that_claims_no_spread_still_has_some() -> None:
    none = Measured(value=0.0, low=0.0, high=0.0)
    told = focus_error(magnification=PORTRAIT, learned_bias_mm=none, learned_spread_mm=none)
    assert told.spread_mm == 1.0
    assert told.unsure_log_sd > 0


def test_what_is_caught_lies_before_the_iris_in_order() -> None:
    bias = {
        c: focus_error(magnification=PORTRAIT, caught=c).bias_mm
        for c in ("iris", "lashes", "brow", "glasses")
    }
    assert bias["glasses"] == glasses_frame_depth().mean_mm
    assert bias["brow"] == HEAD_DEPTHS["brow"].mean_mm
    assert bias["glasses"] < bias["brow"] < bias["lashes"] < bias["iris"] == 0.0
    roots, tips = HEAD_DEPTHS["lash roots"].mean_mm, HEAD_DEPTHS["lash tips"].mean_mm
    assert tips < bias["lashes"] < roots


@pytest.mark.parametrize("caught", ["lashes", "brow", "glasses"])
def test_what_is_caught_adds_to_bias_and_spread(caught: str) -> None:
    plain = focus_error(magnification=PORTRAIT, learned_bias_mm=BIAS, learned_spread_mm=SPREAD)
    other = focus_error(
        magnification=PORTRAIT,
        learned_bias_mm=BIAS,
        learned_spread_mm=SPREAD,
        caught=caught,  # type: ignore[arg-type]  # one of them
    )
    assert other.bias_mm < plain.bias_mm
    assert other.spread_mm > plain.spread_mm
    assert caught in other.source


def test_refusals() -> None:
    with pytest.raises(InputError, match="collar"):
        focus_error(magnification=PORTRAIT, caught="collar")  # type: ignore[arg-type]  # user's
    for m in (0.0, -1.0, float("nan")):
        with pytest.raises(InputError, match="magnification"):
            focus_error(magnification=m)


def test_small_sensors_err_by_less_behind_the_lens() -> None:
    """A phone's main camera: 9.8 mm, at a framing of 0.6 m over its short side."""
    magnification = 7.3 / 600
    phone = usual_spread_mm(magnification=magnification, sensor_long_mm=9.8)
    assert 15 < phone < 30
    assert phone < usual_spread_mm(magnification=magnification)
    assert usual_spread_mm(magnification=0.04, sensor_long_mm=54.0) == usual_spread_mm(
        magnification=0.04
    )
    assert focus_error(magnification=magnification, sensor_long_mm=9.8).spread_mm == phone
