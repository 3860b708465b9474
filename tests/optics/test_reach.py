"""The reach: monotone in everything, scale-free, its own inverse, and refusing nonsense."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, special

from eyeplane.errors import InputError
from eyeplane.optics import (
    ACCEPTABLE,
    CRITICAL,
    SHARP,
    PointSpread,
    blur_for_print_px,
    critical_px_per_deg,
    defocus_otf,
    grain_share,
    holds_diagonal,
    looks_sharp,
    perceived_sharpness,
    reach_cm,
    true_contrast,
    visual_weight,
)

PARTS = ("disc_px", "line_px", "gaussian_px", "airy_px")
sizes = st.one_of(st.just(0.0), st.floats(0, 1), st.floats(0, 100))
spreads = st.builds(
    PointSpread, disc_px=sizes, line_px=sizes, gaussian_px=st.floats(0, 20), airy_px=st.floats(0, 8)
)
noises = st.one_of(st.just(0.0), st.floats(0, 1))
thresholds = st.sampled_from([CRITICAL, SHARP, ACCEPTABLE])
edges = st.integers(500, 20_000)
viewings = st.floats(20, 500)
ROUNDING = 1 + 1e-7  # the search ends within 1e-10 of the threshold


def reach(
    spread: PointSpread, noise: float = 0.0, viewing: float = 50, edge: float = 6000
) -> float:
    return reach_cm(spread=spread, long_edge_px=edge, noise_contrast=noise, viewing_cm=viewing)


@given(spread=spreads, noise=noises, part=st.sampled_from(PARTS), more=st.floats(0, 50))
def test_no_blur_ever_lengthens_it(
    spread: PointSpread, noise: float, part: str, more: float
) -> None:
    worse = replace(spread, **{part: getattr(spread, part) + more})
    assert reach(worse, noise) <= reach(spread, noise) * ROUNDING


@given(spread=spreads, noise=noises, more=st.floats(0, 1))
def test_noise_never_lengthens_it(spread: PointSpread, noise: float, more: float) -> None:
    assert reach(spread, noise + more) <= reach(spread, noise) * ROUNDING


@given(spread=spreads, noise=noises, near=viewings, far=viewings)
def test_distance_never_shortens_it(
    spread: PointSpread, noise: float, near: float, far: float
) -> None:
    near, far = sorted((near, far))
    assert reach(spread, noise, near) <= reach(spread, noise, far) * ROUNDING


@given(spread=spreads, noise=noises, edge=edges, viewing=viewings, threshold=thresholds)
def test_it_is_finite_and_divides_sharp_from_soft(
    spread: PointSpread, noise: float, edge: int, viewing: float, threshold: float
) -> None:
    longest_cm = reach_cm(
        spread=spread,
        long_edge_px=edge,
        noise_contrast=noise,
        viewing_cm=viewing,
        threshold=threshold,
    )
    assert 0 < longest_cm < math.inf

    def sharp(print_cm: float) -> bool:
        return looks_sharp(
            spread=spread,
            long_edge_px=edge,
            noise_contrast=noise,
            print_cm=print_cm,
            viewing_cm=viewing,
            threshold=threshold,
        )

    assert all(sharp(longest_cm * share) for share in (0.01, 0.3, 0.8, 0.999))
    assert not any(sharp(longest_cm * share) for share in (1.001, 1.3, 4, 50))


@given(spread=spreads, noise=noises, factor=st.floats(0.1, 10))
def test_only_pixels_per_degree_count(spread: PointSpread, noise: float, factor: float) -> None:
    base = reach(spread, noise)
    assert reach(spread, noise, viewing=50 * factor) == pytest.approx(base * factor)
    assert reach(spread, noise, edge=6000 * factor) == pytest.approx(base * factor)


@given(spread=spreads, noise=noises, threshold=thresholds)
def test_stricter_is_shorter(spread: PointSpread, noise: float, threshold: float) -> None:
    critical, sharp, acceptable = (
        critical_px_per_deg(spread=spread, noise_contrast=noise, threshold=t)
        for t in (CRITICAL, SHARP, ACCEPTABLE)
    )
    assert critical > sharp > acceptable
    assert threshold in {CRITICAL, SHARP, ACCEPTABLE}


@given(print_cm=st.floats(5, 200), viewing=viewings, noise=st.floats(0, 0.3), line=st.floats(0, 5))
def test_blur_for_a_print_is_the_inverse(
    print_cm: float, viewing: float, noise: float, line: float
) -> None:
    rest = PointSpread(line_px=line, airy_px=0.5)
    disc_px = blur_for_print_px(
        long_edge_px=6000,
        print_cm=print_cm,
        viewing_cm=viewing,
        spread=rest,
        noise_contrast=noise,
    )
    if disc_px == 0:
        assert reach(rest, noise, viewing) <= print_cm * (1 + 1e-4)
    else:
        got_cm = reach(replace(rest, disc_px=disc_px), noise, viewing)
        assert got_cm == pytest.approx(print_cm, rel=1e-5)


@given(spread=spreads, noise=noises, width=edges, height=edges, print_cm=st.floats(5, 300))
def test_at_the_diagonal_the_size_cancels(
    spread: PointSpread, noise: float, width: int, height: int, print_cm: float
) -> None:
    long_px, short_px = max(width, height), min(width, height)
    distance_cm = 1.5 * math.hypot(print_cm, print_cm * short_px / long_px)
    longest_cm = reach(spread, noise, distance_cm, long_px)
    if abs(longest_cm / print_cm - 1) > 1e-6:
        assert holds_diagonal(
            spread=spread, width_px=width, height_px=height, noise_contrast=noise
        ) == (longest_cm > print_cm)


def test_the_diagonal_is_taken_one_and_a_half_times() -> None:
    # 75 x 50 cm from 1.5 diagonals: the largest disc that looks sharp there, and 2 % around it.
    viewing_cm = 1.5 * math.hypot(75, 50)
    disc_px = blur_for_print_px(long_edge_px=6000, print_cm=75, viewing_cm=viewing_cm)
    smaller, larger = (
        holds_diagonal(
            spread=PointSpread(disc_px=disc_px * share),
            width_px=4000,
            height_px=6000,
            noise_contrast=0,
        )
        for share in (0.98, 1.02)
    )
    assert smaller
    assert not larger


def test_big_discs_scale_like_their_size() -> None:
    hundred, two_hundred = (reach(PointSpread(disc_px=d)) for d in (100, 200))
    assert hundred == pytest.approx(2 * two_hundred, rel=0.01)
    assert 1 < hundred < 3


def test_pixels_alone_limit_a_perfect_frame() -> None:
    assert reach(PointSpread()) == pytest.approx(2 * reach(PointSpread(), edge=3000))


def test_a_smear_decides_even_if_the_other_direction_is_clean() -> None:
    smeared = reach(PointSpread(line_px=8))
    assert smeared < 0.25 * reach(PointSpread())


@pytest.mark.parametrize(
    ("spread", "noise", "scale"),
    [
        (PointSpread(), 0.0, 50.0),
        (PointSpread(disc_px=6), 0.0, 173.0),
        (PointSpread(disc_px=3, line_px=4, gaussian_px=0.5, airy_px=1), 0.05, 120.0),
        (PointSpread(disc_px=40), 0.3, 900.0),
        (PointSpread(line_px=2), 0.1, 8.0),
    ],
)
def test_sum_agrees_with_adaptive_integration(
    spread: PointSpread, noise: float, scale: float
) -> None:
    def seen(nu: float) -> float:
        f = np.array([nu / scale])
        arrives = true_contrast(spread, f)
        share = grain_share(arrives, f, noise_contrast=noise)
        return float((arrives * share * np.sinc(f) * visual_weight(nu))[0])

    top = min(60.0, scale / 2)
    value, _ = integrate.quad(seen, 1e-9, top, limit=400)
    whole = special.gamma(1.8) * special.gammainc(1.8, 12) / 0.2**1.8
    got = perceived_sharpness(spread=spread, noise_contrast=noise, px_per_deg=scale)
    assert got == pytest.approx(value / whole, abs=1e-3)


@pytest.mark.parametrize("airy_px", [0.5, 1.0, 2.0])
@pytest.mark.parametrize("disc_px", [1.0, 3.0, 6.0])
def test_reach_is_short_by_a_tenth_at_worst_against_exact_defocus(
    disc_px: float, airy_px: float
) -> None:
    # Perceived sharpness with the exact transfer: sharp at the reach, soft a ninth beyond it.
    nu = np.linspace(0.01, 60, 6000)

    def exact_sharpness(scale: float) -> float:
        f = nu / scale
        transfer = defocus_otf(f * airy_px, waves=disc_px / airy_px / 8)
        past = np.maximum.accumulate((transfer <= 0) | (f > 0.5))
        seen = np.where(past, 0.0, transfer * np.sinc(f) ** 2) * visual_weight(nu)
        return float(seen.sum() / visual_weight(nu).sum())

    ours = critical_px_per_deg(
        spread=PointSpread(disc_px=disc_px, airy_px=airy_px), noise_contrast=0
    )
    assert exact_sharpness(ours) > SHARP
    assert exact_sharpness(ours / 1.11) < SHARP


@given(spread=spreads, noise=noises)
def test_sharpness_is_a_share(spread: PointSpread, noise: float) -> None:
    for scale in (0.5, 20.0, 1000.0, 1e6):
        seen = perceived_sharpness(spread=spread, noise_contrast=noise, px_per_deg=scale)
        assert 0 <= seen <= 1 + 1e-12


def test_grain_share_bounds() -> None:
    assert np.all(grain_share([0.0, 0.5, 1.0], [0.1, 0.1, 0.1], noise_contrast=0) == 1)
    shares = grain_share([0.0, 0.5, 1.0], [0.1, 0.1, 0.1], noise_contrast=0.1)
    assert shares[0] == 0
    assert 0 < shares[1] < shares[2] < 1


def test_refusals() -> None:
    with pytest.raises(InputError, match="long_edge_px"):
        reach(PointSpread(), edge=0)
    with pytest.raises(InputError, match="viewing_cm"):
        reach(PointSpread(), viewing=-1)
    with pytest.raises(InputError, match="noise_contrast"):
        reach(PointSpread(), noise=-0.1)
    with pytest.raises(InputError, match="threshold"):
        critical_px_per_deg(spread=PointSpread(), noise_contrast=0, threshold=1.0)
    with pytest.raises(InputError, match="threshold"):
        blur_for_print_px(long_edge_px=6000, print_cm=30, viewing_cm=50, threshold=0)
    with pytest.raises(InputError, match="print_cm"):
        looks_sharp(
            spread=PointSpread(), long_edge_px=6000, noise_contrast=0, print_cm=0, viewing_cm=50
        )
