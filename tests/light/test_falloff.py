"""Fall-off: against the light of a disc added up piece by piece, and true distances."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.light import (
    face_falloff_ev,
    falloff_ev,
    light_distances_mm,
    row_falloff_ev,
)

distances = st.floats(200, 10_000)


def disc_light(*, radius_mm: float, distance_mm: float) -> float:
    """Return what an even diffuse disc gives to a place before its middle, ring by ring."""
    edges = np.linspace(0, radius_mm, 2001)
    middle, width = (edges[1:] + edges[:-1]) / 2, np.diff(edges)
    away2 = middle**2 + distance_mm**2
    # Twice the cosine of one and the same angle: leaving the disc, and arriving.
    return float((2 * math.pi * middle * width * distance_mm**2 / away2**2).sum())


@given(near=distances, far=distances, size=st.floats(10, 3000))
def test_a_large_source_against_its_rings(near: float, far: float, size: float) -> None:
    lit = [disc_light(radius_mm=size / 2, distance_mm=d) for d in (near, far)]
    expected = math.log2(lit[0] / lit[1])
    found = falloff_ev(near_mm=near, far_mm=far, source_size_mm=size)
    assert found == pytest.approx(expected, abs=2e-3)


@given(near=distances, step=st.floats(1.01, 5), size=st.floats(0, 3000))
def test_size_softens_the_inverse_square(near: float, step: float, size: float) -> None:
    small = falloff_ev(near_mm=near, far_mm=step * near)
    large = falloff_ev(near_mm=near, far_mm=step * near, source_size_mm=size)
    assert 0 < large <= small + 1e-12
    assert small == pytest.approx(2 * math.log2(step))
    back = falloff_ev(near_mm=step * near, far_mm=near, source_size_mm=size)
    assert back == pytest.approx(-large)


@given(d=distances, across=st.floats(0, 400))
def test_farther_light_is_more_even(d: float, across: float) -> None:
    here = face_falloff_ev(source_distance_mm=d, across_mm=across)
    assert here >= face_falloff_ev(source_distance_mm=2 * d, across_mm=across) >= 0


@given(
    st.tuples(st.floats(-4000, 4000), st.floats(-1000, 3000), st.floats(-2000, 2000)),
    st.tuples(st.floats(-3000, 3000), st.floats(-500, 500), st.floats(2500, 8000)),
)
def test_distances_are_straight(
    source: tuple[float, float, float], place: tuple[float, float, float]
) -> None:
    found = light_distances_mm(source_mm=source, places_mm=[place, source])
    assert found[0] == pytest.approx(math.dist(source, place))
    assert found[1] == 0


def test_rows_against_distances_by_hand() -> None:
    # 3, 4, 5: a light 3 m aside of the first row's depth less 4 m.
    rows = row_falloff_ev(row_distances_mm=[4000, 5000], source_mm=(3000, 0, 0))
    assert rows[0] == 0
    assert rows[1] == pytest.approx(math.log2((9 + 25) / 25))


@given(aside=st.floats(0, 6000), above=st.floats(0, 3000))
def test_light_from_aside_is_more_even_over_rows(aside: float, above: float) -> None:
    rows = [3500.0, 4100.0, 4700.0]
    ahead = row_falloff_ev(row_distances_mm=rows, source_mm=(0, 0, 1500))
    beside = row_falloff_ev(row_distances_mm=rows, source_mm=(aside, above, 1500))
    assert np.all(beside <= ahead + 1e-12)
    assert np.all(np.diff(beside) > 0)


def test_a_row_nearer_to_the_light_is_brighter() -> None:
    rows = row_falloff_ev(row_distances_mm=[3500, 4100], source_mm=(500, 1500, 4100))
    assert rows[1] < 0


def test_nonsense_is_refused() -> None:
    with pytest.raises(InputError, match="three numbers"):
        light_distances_mm(source_mm=(1, 2), places_mm=(1, 2, 3))
    with pytest.raises(InputError, match="finite"):
        light_distances_mm(source_mm=(1, 2, math.nan), places_mm=(1, 2, 3))
    with pytest.raises(InputError, match="near_mm"):
        row_falloff_ev(row_distances_mm=[3000], source_mm=(0, 0, 3000))
    with pytest.raises(InputError, match="source_size_mm"):
        falloff_ev(near_mm=1, far_mm=2, source_size_mm=-1)
