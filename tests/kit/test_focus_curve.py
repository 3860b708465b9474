"""The sharpest plane through blurs that a thin lens makes by formula."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from eyeplane.kit.focus_curve import DISC_RATIO, DISC_READ, BlurredEdges, fit_curve
from eyeplane.optics import blur_circle_um


def blurs(
    rng: np.random.Generator,
    *,
    offset_mm: float,
    f_number: float = 1.8,
    least: tuple[float, float] = (0.4, 0.4),
    share: float = 0.02,
    reach_mm: float = 68.0,
) -> BlurredEdges:
    """Return blurs of edges about 1500 mm from an 85 mm lens, pixels of 6 µm."""
    depth = 1500 + np.concatenate([rng.uniform(-reach_mm, reach_mm, 200), rng.uniform(-3, 3, 60)])
    upright = rng.random(len(depth)) < 0.5
    disc = np.array(
        [
            blur_circle_um(
                focal_length_mm=85,
                f_number=f_number,
                focus_distance_mm=1500 + offset_mm,
                subject_distance_mm=float(d),
            )
            for d in depth
        ]
    )
    disc /= 6.0
    own = np.where(upright, *least)
    read = np.hypot(own, np.interp(disc / own, DISC_RATIO, DISC_READ) * disc)
    wing = np.digitize(depth, [1480, 1500, 1520])
    read = read * (1 + share * rng.normal(size=4)[wing] * 0.3 + share * rng.normal(size=len(read)))
    error = np.full_like(read, 0.01)
    return BlurredEdges(depth_mm=depth, spread_px=read, error_px=error, upright=upright)


@settings(max_examples=12, deadline=None)
@given(offset=st.floats(-40, 40), f_number=st.sampled_from([1.4, 1.8, 2.8, 4.0]))
def test_plane_is_found(offset: float, f_number: float) -> None:
    found = fit_curve(blurs(np.random.default_rng(1), offset_mm=offset, f_number=f_number))
    assert found is not None
    assert found.plane_mm is not None
    assert found.plane_mm.value - 1500 == pytest.approx(offset, abs=0.8)
    assert found.beyond == 0


def test_interval_covers_the_truth_nine_times_in_ten_or_more() -> None:
    rng = np.random.default_rng(2)
    held, off = 0, []
    for _ in range(40):
        offset = float(rng.uniform(-35, 35))
        found = fit_curve(blurs(rng, offset_mm=offset, share=0.05))
        assert found is not None
        assert found.plane_mm is not None
        held += found.plane_mm.low - 1500 <= offset <= found.plane_mm.high - 1500
        off.append(found.plane_mm.value - 1500 - offset)
    assert held >= 33
    assert abs(np.mean(off)) < 0.15


def test_plane_past_the_wings_is_told_by_its_side_only() -> None:
    rng = np.random.default_rng(4)
    for offset, side in ((110.0, 1), (-105.0, -1)):
        found = fit_curve(blurs(rng, offset_mm=offset))
        assert found is not None
        assert found.plane_mm is None
        assert found.beyond == side


def test_depth_of_field_larger_than_the_target_tells_nothing() -> None:
    found = fit_curve(blurs(np.random.default_rng(5), offset_mm=5.0, f_number=22, least=(1.2, 1.2)))
    assert found is not None
    assert (found.plane_mm, found.beyond) == (None, 0)


def test_shake_across_does_not_move_the_plane() -> None:
    still = fit_curve(blurs(np.random.default_rng(6), offset_mm=12.0))
    moved = fit_curve(blurs(np.random.default_rng(6), offset_mm=12.0, least=(2.5, 0.4)))
    assert still is not None
    assert moved is not None
    assert still.plane_mm is not None
    assert moved.plane_mm is not None
    assert moved.plane_mm.value == pytest.approx(still.plane_mm.value, abs=1.0)
    assert moved.least_px[0] > 2.0
    assert moved.least_px[1] < 0.8


def test_stained_edges_count_little() -> None:
    edges = blurs(np.random.default_rng(7), offset_mm=-10.0)
    spread = edges.spread_px.copy()
    spread[::12] *= 2.5
    found = fit_curve(
        BlurredEdges(
            depth_mm=edges.depth_mm,
            spread_px=spread,
            error_px=edges.error_px,
            upright=edges.upright,
        )
    )
    assert found is not None
    assert found.plane_mm is not None
    assert found.plane_mm.value - 1490 == pytest.approx(0.0, abs=1.0)


def test_few_edges_say_nothing() -> None:
    edges = blurs(np.random.default_rng(8), offset_mm=0.0)
    few = BlurredEdges(
        depth_mm=edges.depth_mm[:20],
        spread_px=edges.spread_px[:20],
        error_px=edges.error_px[:20],
        upright=edges.upright[:20],
    )
    assert fit_curve(few) is None


def test_curve_is_that_of_the_blurs() -> None:
    edges = blurs(np.random.default_rng(9), offset_mm=8.0, share=0.01)
    found = fit_curve(edges)
    assert found is not None
    for upright in (True, False):
        own = edges.upright == upright
        ratio = found.spread_px(edges.depth_mm[own], upright=upright) / edges.spread_px[own]
        assert math.isclose(float(np.median(ratio)), 1.0, abs_tol=0.02)
