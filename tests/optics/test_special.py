"""Special functions against SciPy's, and against values printed in tables."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special as reference

from eyeplane.optics import special


@pytest.mark.parametrize("most", [8.0, 8.1, 30.0, 1e3, 1e5])
def test_bessel_functions_are_those_of_scipy(most: float) -> None:
    x = np.linspace(-most, most, 20_001)
    assert np.abs(special.j0(x) - reference.j0(x)).max() < 3e-15
    assert np.abs(special.j1(x) - reference.j1(x)).max() < 3e-15


def test_their_zeros_are_those_of_the_tables() -> None:
    # Abramowitz & Stegun, 1964, table 9.5.
    assert special.j0([2.4048255577, 5.5200781103, 8.6537279129]) == pytest.approx(0, abs=2e-10)
    assert special.j1([3.8317059702, 7.0155866698, 10.1734681351]) == pytest.approx(0, abs=2e-10)


def test_a_single_number_and_every_shape_will_do() -> None:
    assert float(special.j1(1.0)) == pytest.approx(0.4400505857449335)
    assert special.j0(np.ones((2, 3))).shape == (2, 3)
    assert special.j0(np.zeros(0)).shape == (0,)
    assert np.shape(special.ndtri(0.5)) == ()


@pytest.mark.parametrize("a", [0.5, 1.0, 1.8, 2.8, 7.0])
def test_the_incomplete_gamma_function_is_that_of_scipy(a: float) -> None:
    x = np.linspace(0, 60, 3001)
    assert np.abs(special.gammainc(a, x) - reference.gammainc(a, x)).max() < 1e-12


def test_shares_of_the_normal_distribution_are_those_of_scipy() -> None:
    z = np.linspace(-37, 40, 40_001)
    assert special.ndtr(z) == pytest.approx(reference.ndtr(z), rel=1e-12, abs=1e-300)
    assert special.ndtr([-np.inf, np.inf]).tolist() == [0.0, 1.0]


def test_quantiles_of_the_normal_distribution_are_those_of_scipy() -> None:
    share = np.concatenate([np.linspace(1e-6, 1 - 1e-6, 20_001), np.geomspace(1e-300, 0.1, 300)])
    assert special.ndtri(share) == pytest.approx(reference.ndtri(share), rel=1e-10, abs=1e-12)
    assert special.ndtri([0.0, 1.0]).tolist() == [-np.inf, np.inf]


@given(st.floats(-8, 5))
def test_a_quantile_undoes_its_share(z: float) -> None:
    assert float(special.ndtri(special.ndtr(z))) == pytest.approx(z, rel=1e-9, abs=1e-9)
