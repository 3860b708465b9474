"""From learned numbers to distributions."""

import math

from hypothesis import given
from hypothesis import strategies as st

from eyeplane.people.learned import LEAST_LOG_SD, log_spread, unsure_of_learned
from eyeplane.records import Measured


@given(median=st.floats(0.01, 1e3), log_sd=st.floats(LEAST_LOG_SD, 1.7))
def test_the_middle_ninety_in_a_hundred_give_the_spread_back(median: float, log_sd: float) -> None:
    factor = math.exp(1.6449 * log_sd)
    told = Measured(value=median, low=median / factor, high=median * factor)
    assert math.isclose(log_spread(told), log_sd, rel_tol=1e-6)


def test_no_exposure_is_like_another_and_no_low_end_is_nothing() -> None:
    assert log_spread(Measured(value=5.0, low=5.0, high=5.0)) == LEAST_LOG_SD
    assert math.isfinite(log_spread(Measured(value=5.0, low=0.0, high=50.0)))


def test_the_median_is_surer_than_an_exposure() -> None:
    assert 0 < unsure_of_learned(0.9) < 0.9
