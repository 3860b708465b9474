"""Hardness: angles, penumbras against rays, names in order, advice that takes no side."""

import math
import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.light import (
    HARDNESS,
    hardness_name,
    light_quality,
    penumbra_mm,
    source_deg,
)

NAMES = [name for _, name in HARDNESS]


@given(size=st.floats(1, 5000), distance=st.floats(100, 20_000))
def test_angle_is_that_of_the_triangle(size: float, distance: float) -> None:
    angle = source_deg(size_mm=size, distance_mm=distance)
    assert 2 * distance * math.tan(math.radians(angle) / 2) == pytest.approx(size)
    assert source_deg(size_mm=3 * size, distance_mm=3 * distance) == pytest.approx(angle)


@given(size=st.floats(20, 2000), distance=st.floats(300, 5000), edge=st.floats(1, 100))
def test_penumbra_against_rays(size: float, distance: float, edge: float) -> None:
    # Rays from both rims of the source over the edge: where they meet the skin behind it.
    rims = (-size / 2, size / 2)
    landings = [0.0 + (0.0 - rim) * edge / distance for rim in rims]
    width = penumbra_mm(source_size_mm=size, source_distance_mm=distance, edge_distance_mm=edge)
    assert width == pytest.approx(abs(landings[1] - landings[0]))


@given(st.floats(0, 170), st.floats(0, 170))
def test_names_follow_the_angle(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert NAMES.index(hardness_name(low)) <= NAMES.index(hardness_name(high))


def test_every_name_is_said() -> None:
    # Sun, 18 cm reflector at 2 m and farther, softbox of 60 cm at 2 m, window.
    assert [hardness_name(angle) for angle in (0.5, 6.0, 17.0, 44.0)] == NAMES


@pytest.mark.parametrize("size_mm", [60, 180, 600, 1500])
def test_advice_takes_no_side(size_mm: float) -> None:
    found = light_quality(source_size_mm=size_mm, source_distance_mm=1800)
    assert found.name in NAMES
    assert found.text.lower().startswith(found.name)
    assert "texture" in found.text or "crisply" in found.text
    assert "kind" in found.text
    assert not re.search(r"\b(better|best|should|must|bad|wrong)\b", found.text)
    assert f"{found.falloff_ev:.1f} stops" in found.text
    said = float(re.search(r"spans ([\d.]+)°", found.text)[1])  # type: ignore[index]
    assert said == pytest.approx(found.source_deg, abs=0.51)


def test_a_group_is_told_of_its_rows() -> None:
    found = light_quality(source_size_mm=1000, source_distance_mm=3000, falloff_ev=0.46)
    assert found.falloff_ev == 0.46
    assert "front row to the back row" in found.text
    face = light_quality(source_size_mm=1000, source_distance_mm=3000)
    assert "across the face" in face.text


def test_arrays() -> None:
    distances = np.array([500.0, 1000.0, 2000.0])
    assert np.all(np.diff(source_deg(size_mm=900, distance_mm=distances)) < 0)
    assert penumbra_mm(source_size_mm=900, source_distance_mm=distances).shape == (3,)


def test_nonsense_is_refused() -> None:
    with pytest.raises(InputError, match="distance_mm"):
        source_deg(size_mm=100, distance_mm=0)
    with pytest.raises(InputError, match="source_deg"):
        hardness_name(-1)
    with pytest.raises(InputError, match="source_size_mm"):
        light_quality(source_size_mm=-5, source_distance_mm=1000)
