"""Blur read at edges whose blur is known by formula."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import special

from eyeplane.imaging import LumaWindow
from eyeplane.kit.focus_curve import EDGE_PER_DISC
from eyeplane.kit.focus_edges import EdgeLines, edge_blurs

SIDE = 90


def window(
    sigma: float, turn_deg: float, *, disc: float = 0.0, low: float = 0.03, high: float = 0.6
) -> tuple[LumaWindow, EdgeLines]:
    """Return one straight edge through the middle, dark on the right before it is turned."""
    angle = math.radians(turn_deg)
    normal, along = (
        np.array([math.cos(angle), math.sin(angle)]),
        np.array([-math.sin(angle), math.cos(angle)]),
    )
    y, x = np.mgrid[0:SIDE, 0:SIDE] + 0.5 - SIDE / 2
    s = x * normal[0] + y * normal[1]
    if disc:
        u = np.linspace(-1, 1, 401)[1:-1]
        weight = np.sqrt(1 - u**2)
        weight /= weight.sum()
        bright = sum(
            w * special.ndtr(-(s - k * disc / 2) / sigma) for w, k in zip(weight, u, strict=True)
        )
    else:
        bright = special.ndtr(-s / sigma)
    luma = (low + (high - low) * bright).astype(np.float32)
    middle = np.full(2, SIDE / 2)
    lines = EdgeLines(
        from_px=(middle - 20 * along)[None],
        to_px=(middle + 20 * along)[None],
        dark_px=(middle + normal)[None],
        clear_px=np.array([30.0]),
    )
    clipped = luma > 0.98
    seen = LumaWindow(luma=luma, clipped=clipped, x_px=0, y_px=0, encoding_slope=None)
    return seen, lines


@settings(max_examples=25, deadline=None)
@given(
    sigma=st.floats(0.5, 7.0),
    turn=st.floats(0, 360),
    low=st.floats(0.0, 0.2),
    high=st.floats(0.3, 0.9),
)
def test_gaussian_blur_is_read_at_any_angle_and_contrast(
    sigma: float, turn: float, low: float, high: float
) -> None:
    found = edge_blurs(*window(sigma, turn, low=low, high=high))
    assert list(found.index) == [0]
    assert found.spread_px[0] == pytest.approx(sigma, rel=0.01)
    assert found.shift_px[0] == pytest.approx(0.0, abs=0.02)


def test_large_disc_is_read_as_the_stated_share_of_its_diameter() -> None:
    found = edge_blurs(*window(0.4, 17.0, disc=20.0))
    assert found.spread_px[0] == pytest.approx(EDGE_PER_DISC * 20.0, rel=0.02)


def test_edge_that_lies_beside_its_place_and_is_turned_a_little_is_read_alike() -> None:
    seen, lines = window(2.0, 17.0)
    moved = EdgeLines(
        from_px=lines.from_px + np.array([1.2, 0.3]),
        to_px=lines.to_px + np.array([0.4, -0.5]),
        dark_px=lines.dark_px,
        clear_px=lines.clear_px,
    )
    assert edge_blurs(seen, moved).spread_px[0] == pytest.approx(2.0, rel=0.01)


def test_noise_moves_it_by_its_stated_error() -> None:
    rng = np.random.default_rng(3)
    seen, lines = window(2.0, 12.0)
    off = []
    for _ in range(60):
        noisy = LumaWindow(
            luma=(seen.luma + rng.normal(0, 0.03, seen.luma.shape)).astype(np.float32),
            clipped=seen.clipped,
            x_px=0,
            y_px=0,
            encoding_slope=None,
        )
        found = edge_blurs(noisy, lines)
        off.append((found.spread_px[0] - 2.0) / found.error_px[0])
    assert abs(np.mean(off)) < 0.6
    assert 0.7 < np.std(off) < 1.4


def test_what_cannot_be_read_is_left_out() -> None:
    seen, lines = window(9.0, 12.0)
    soft = edge_blurs(seen, lines)
    assert list(soft.too_soft) == [0]
    assert not len(soft.index)
    seen, lines = window(1.0, 12.0, low=0.03, high=1.0)
    burnt = edge_blurs(seen, lines)
    assert not len(burnt.index)
    assert burnt.clipped_share == 1.0
    seen, lines = window(1.0, 12.0, low=0.5, high=0.55)
    assert not len(edge_blurs(seen, lines).index)  # no contrast
    outside = EdgeLines(
        from_px=lines.from_px + 200,
        to_px=lines.to_px + 200,
        dark_px=lines.dark_px + 200,
        clear_px=lines.clear_px,
    )
    assert not len(edge_blurs(seen, outside).index)
