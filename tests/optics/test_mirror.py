"""The cornea as a mirror, against reflection worked out with vectors and against textbooks."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from eyeplane.errors import InputError
from eyeplane.optics import (
    CORNEA_RADIUS_MM,
    highlight_place_mm,
    highlight_scale_mm_per_rad,
    source_off_axis_deg,
    source_size_deg,
)

angles = st.floats(0.0, 150.0)
radii = st.floats(6.0, 16.0)
distances = st.one_of(st.just(math.inf), st.floats(200.0, 20_000.0))


def leaves_towards(normal: float, camera: np.ndarray, radius_mm: float) -> tuple[np.ndarray, ...]:
    """Return the point of a sphere about the origin and where the camera's ray goes from it."""
    outwards = np.array([math.sin(normal), math.cos(normal)])
    point = radius_mm * outwards
    coming = point - camera
    coming = coming / np.hypot(*coming)
    return point, coming - 2 * (coming @ outwards) * outwards


def traced_place_mm(off_deg: float, radius_mm: float, camera_mm: float, source_mm: float) -> float:
    """Return the place by a search for the ray that meets the light: vectors, own source."""
    camera = np.array([0.0, camera_mm])
    source = source_mm * np.array(
        [math.sin(math.radians(off_deg)), math.cos(math.radians(off_deg))]
    )

    def miss(normal: float) -> float:
        point, going = leaves_towards(normal, camera, radius_mm)
        wanted = source - point
        return float(going[0] * wanted[1] - going[1] * wanted[0])

    found = brentq(miss, 0.0, math.radians(off_deg) / 2 + 0.05, xtol=1e-13)
    point, _ = leaves_towards(found, camera, radius_mm)
    # Seen by the camera in the plane of the sphere's centre.
    return float(point[0] * camera_mm / (camera_mm - point[1]))


@pytest.mark.parametrize("off_deg", [1.0, 20.0, 45.0, 70.0, 95.0])
@pytest.mark.parametrize(("camera_mm", "source_mm"), [(1500.0, 900.0), (600.0, 4000.0), (1e7, 1e7)])
def test_place_agrees_with_a_traced_ray(off_deg: float, camera_mm: float, source_mm: float) -> None:
    ours = highlight_place_mm(
        off_axis_deg=off_deg,
        radius_mm=7.8,
        camera_distance_mm=camera_mm,
        source_distance_mm=source_mm,
    )
    assert ours == pytest.approx(traced_place_mm(off_deg, 7.8, camera_mm, source_mm), abs=1e-8)


def test_far_is_the_limit_of_distant() -> None:
    far = highlight_place_mm(off_axis_deg=50.0)
    assert far == pytest.approx(traced_place_mm(50.0, CORNEA_RADIUS_MM, 1e8, 1e8), abs=1e-6)
    near = highlight_place_mm(off_axis_deg=50.0, camera_distance_mm=1500, source_distance_mm=1200)
    assert near == pytest.approx(far, abs=0.05)  # so that photographers' distances hardly matter


@given(off_deg=angles, radius_mm=radii, camera_mm=distances, source_mm=distances)
def test_inverse(off_deg: float, radius_mm: float, camera_mm: float, source_mm: float) -> None:
    place = highlight_place_mm(
        off_axis_deg=off_deg,
        radius_mm=radius_mm,
        camera_distance_mm=camera_mm,
        source_distance_mm=source_mm,
    )
    back = source_off_axis_deg(
        place_mm=place,
        radius_mm=radius_mm,
        camera_distance_mm=camera_mm,
        source_distance_mm=source_mm,
    )
    assert back == pytest.approx(off_deg, abs=1e-6)


@given(low=angles, more=st.floats(0.01, 29.0), radius_mm=radii, source_mm=distances)
def test_farther_off_the_lens_lies_farther_out(
    low: float, more: float, radius_mm: float, source_mm: float
) -> None:
    places = [
        highlight_place_mm(off_axis_deg=a, radius_mm=radius_mm, source_distance_mm=source_mm)
        for a in (low, low + more)
    ]
    assert places[0] < places[1]


@given(off_deg=st.floats(0.5, 150.0), radius_mm=radii)
def test_radial_scale_is_the_slope_of_the_place(off_deg: float, radius_mm: float) -> None:
    step = 1e-3
    ends = [
        highlight_place_mm(off_axis_deg=off_deg + s, radius_mm=radius_mm) for s in (-step, step)
    ]
    radial, tangential = highlight_scale_mm_per_rad(off_axis_deg=off_deg, radius_mm=radius_mm)
    assert radial == pytest.approx((ends[1] - ends[0]) / math.radians(2 * step), rel=1e-5)
    # Turning the light about the lens by φ moves it by sin(θ) φ and its highlight by place × φ.
    place = highlight_place_mm(off_axis_deg=off_deg, radius_mm=radius_mm)
    assert tangential == pytest.approx(place / math.sin(math.radians(off_deg)), rel=1e-9)


@given(
    radial_mm=st.floats(0.0, 3.0),
    tangential_mm=st.floats(0.0, 3.0),
    off_deg=angles,
    radius_mm=radii,
)
def test_size_goes_through_the_scale(
    radial_mm: float, tangential_mm: float, off_deg: float, radius_mm: float
) -> None:
    sizes = source_size_deg(
        radial_mm=radial_mm, tangential_mm=tangential_mm, off_axis_deg=off_deg, radius_mm=radius_mm
    )
    scale = highlight_scale_mm_per_rad(off_axis_deg=off_deg, radius_mm=radius_mm)
    assert math.radians(sizes[0]) * scale[0] == pytest.approx(radial_mm, abs=1e-12)
    assert math.radians(sizes[1]) * scale[1] == pytest.approx(tangential_mm, abs=1e-12)


def test_size_by_the_mirror_equation() -> None:
    # 1/s + 1/s' = 2/R and m = −s'/s (Hecht, Optics, chapter on mirrors): a softbox of 60 cm at 2 m
    # from the cornea's tip makes an image of 1.168 mm with R = 7.8 mm.
    image_distance = 1 / (2 / -7.8 - 1 / 2000)
    image_mm = 600 * -image_distance / 2000
    assert image_mm == pytest.approx(1.168, abs=0.001)
    # The angle is meant at the centre of the sphere, where the two agree to a few thousandths.
    size, _ = source_size_deg(radial_mm=image_mm, tangential_mm=0.0)
    assert size == pytest.approx(math.degrees(600 / 2007.8), rel=0.005)


def test_focal_length_of_the_schematic_eye() -> None:
    # Gullstrand's exact eye has R = 7.7 mm, and its first Purkinje image of a far light lies
    # 3.85 mm behind the cornea, half the radius (Le Grand and El Hage, Physiological Optics, 1980;
    # from memory).
    assert highlight_scale_mm_per_rad(off_axis_deg=0.0, radius_mm=7.7) == (3.85, 3.85)


@pytest.mark.parametrize(
    "wrong",
    [
        {"off_axis_deg": 180.0},
        {"off_axis_deg": -1.0},
        {"off_axis_deg": 10.0, "radius_mm": 0.0},
        {"off_axis_deg": 10.0, "source_distance_mm": 7.0},
        {"off_axis_deg": 10.0, "camera_distance_mm": math.nan},
    ],
)
def test_refuses_what_is_no_place_for_a_light(wrong: dict[str, float]) -> None:
    with pytest.raises(InputError):
        highlight_place_mm(**wrong)


def test_refuses_a_place_off_the_mirror() -> None:
    with pytest.raises(InputError, match="beyond"):
        source_off_axis_deg(place_mm=8.0, radius_mm=7.8)
