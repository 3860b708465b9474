"""Two frames of one view: veil, halo and smudges against what was put in."""

from collections.abc import Callable
from functools import cache

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import quad
from tests.kit.glass_frames import (
    GLARES,
    GlassCamera,
    Taken,
    film_like,
    room,
    smudge,
    soft_shoulder,
    straight,
    taken_through,
)

from eyeplane.errors import InputError
from eyeplane.kit.glass_curve import ToneCurve, likely_curve
from eyeplane.kit.glass_judged import VEIL_SHARE, VEIL_SURE, judged_pair, reach_left
from eyeplane.kit.glass_light import FrameLight, lay_over
from eyeplane.kit.glass_pair import PairFound, compare
from eyeplane.kit.glass_spread import beyond, half_radius
from eyeplane.records import Measured
from eyeplane.records.kit_glass import GlassResult

SHAPE = (500, 750)


@cache
def taken(glare: str, cover: float) -> Taken:
    return taken_through(room(np.random.default_rng(3), SHAPE), GLARES[glare], cover)


def seen(
    first: NDArray[np.float64],
    second: NDArray[np.float64],
    *,
    cameras: tuple[GlassCamera, GlassCamera] | None = None,
) -> PairFound:
    rng = np.random.default_rng(8)
    one, other = cameras or (GlassCamera(), GlassCamera(shift=(0.025, -0.02), turn_deg=0.2))
    return compare(
        lay_over(one.light(first, rng), other.light(second, rng), where="B"), rng, linear=False
    )


# Laws of scatter with their sources stand beside them in glass_frames.
@pytest.mark.parametrize("glare", ["even", "lorentz", "exponentials", "scatter 2"])
def test_veil_is_told_to_half_a_percent_or_a_tenth(glare: str) -> None:
    held = taken(glare, 0.08)
    found = seen(held.clean, held.veiled)
    assert found.second_worse
    assert found.veil.value == pytest.approx(held.veil_share, rel=0.1, abs=0.005)
    assert found.veil.low <= held.veil_share <= found.veil.high


def test_halo_is_told_with_its_width() -> None:
    held = taken("exponential", 0.12)
    found = seen(held.clean, held.veiled).halo
    assert found.share is not None
    assert found.share.low <= held.halo_share <= found.share.high
    # Half of the light of (1 + r/w) e^(-r/w) between .01 and .1, w = .03: r = .046, by hand.
    assert found.width_share is not None
    assert found.width_share.low <= 0.046 <= found.width_share.high


@pytest.mark.parametrize("curve", [soft_shoulder, film_like])
def test_a_tone_curve_leaves_the_veil_in_its_interval(
    curve: Callable[[NDArray[np.float64]], NDArray[np.float64]],
) -> None:
    held = taken("even", 0.08)
    cameras = GlassCamera(curve=curve), GlassCamera(curve=curve, shift=(0.01, 0.01))
    found = seen(held.clean, held.veiled, cameras=cameras)
    assert found.second_worse
    assert found.veil.low <= held.veil_share <= found.veil.high


def test_an_exposure_up_to_one_stop_apart_cancels() -> None:
    held = taken("exponentials", 0.08)
    cameras = GlassCamera(), GlassCamera(gain=0.5, shift=(0.01, 0.01))
    found = seen(held.clean, held.veiled, cameras=cameras)
    assert found.exposure_ev == pytest.approx(0.9, abs=0.25)  # the veil itself brightens
    assert found.veil.value == pytest.approx(held.veil_share, rel=0.25, abs=0.005)


@pytest.mark.parametrize("gain", [1.0, 0.6])
def test_unchanged_pairs_show_nothing(gain: float) -> None:
    held = taken("even", 0.0)
    cameras = GlassCamera(noise=0.005), GlassCamera(noise=0.005, gain=gain, shift=(-0.03, 0.02))
    found = seen(held.clean, held.clean, cameras=cameras)
    assert found.veil.value < VEIL_SHARE
    assert found.veil.low < VEIL_SURE
    assert not found.zones.smudges
    assert not found.style_changed


def test_which_frame_is_worse_does_not_depend_on_the_order() -> None:
    held = taken("even", 0.08)
    ahead, back = seen(held.clean, held.veiled), seen(held.veiled, held.clean)
    assert ahead.second_worse
    assert not back.second_worse
    assert back.veil.value == pytest.approx(ahead.veil.value, rel=0.1)


@pytest.mark.parametrize("at", [(0.3, 0.35), (0.68, 0.62)])
def test_a_smudge_is_found_in_its_place(at: tuple[float, float]) -> None:
    scene = room(np.random.default_rng(5), SHAPE)
    held = taken_through(scene, GLARES["lorentz 1.5"], smudge(SHAPE, at, 0.1, 0.2))
    found = seen(held.clean, held.veiled)
    assert found.second_worse
    assert found.zones.smudges
    worst = found.zones.smudges[0]
    framed = tuple((place - 0.1) / 0.8 for place in at)  # the frame leaves a tenth off
    assert np.hypot(*np.subtract(worst.at_share, framed)) < 0.2
    assert worst.loss_share.low < 0.2 < worst.loss_share.high + 0.08


def test_a_lamp_turned_up_in_one_corner_is_no_smudge() -> None:
    held = taken("even", 0.0)
    rows, columns = held.clean.shape
    down, across = np.mgrid[0:rows, 0:columns]
    lit = held.clean * (1 - 0.3 / (1 + np.exp((down / rows + across / columns - 0.7) / 0.08)))
    found = seen(held.clean, lit)
    assert not found.zones.smudges


@pytest.mark.parametrize("reach", [0.3, 0.6])
def test_a_lamp_turned_up_on_one_side_is_no_veil(reach: float) -> None:
    """Brighter dark places alone are no veil: light from the glass takes contrast there too."""
    held = taken("even", 0.0)
    window = np.asarray(cv2.GaussianBlur((held.clean > 0.4).astype(float), (0, 0), 1), float)
    across = np.linspace(0, 1, held.clean.shape[1])[None]
    lit = held.clean * (1 + (1 - window) * 0.5 * np.exp(-across / reach))
    found = seen(lit, held.clean)
    begun = GlassResult(kit="", way="pair", verdict="cannot tell", frame="b.jpg", other="a.jpg")
    judged = judged_pair(begun, found)
    assert judged.verdict in {"clear", "cannot tell"}
    if found.veil.low >= VEIL_SURE:
        assert found.relit
        assert "light in the view changed" in judged.reasons[0]


@pytest.mark.parametrize("glare", ["even", "lorentz", "exponentials", "scatter 2", "eye"])
@pytest.mark.parametrize("curve", [straight, soft_shoulder, film_like])
def test_no_true_veil_is_taken_for_another_light(
    glare: str, curve: Callable[[NDArray[np.float64]], NDArray[np.float64]]
) -> None:
    held = taken(glare, 0.08)
    cameras = GlassCamera(curve=curve), GlassCamera(curve=curve, shift=(0.01, 0.01))
    assert not seen(held.clean, held.veiled, cameras=cameras).relit


def test_missed_focus_is_no_smudge() -> None:
    held = taken("even", 0.0)
    soft = np.asarray(cv2.GaussianBlur(held.clean, (0, 0), 2.2), float)
    found = seen(held.clean, soft)
    assert found.zones.focus_moved
    assert not found.zones.smudges
    assert all(zone.loss_share is None for zone in found.zones.zones)
    assert found.veil.low < VEIL_SURE


def test_another_picture_style_is_called() -> None:
    rng = np.random.default_rng(1)
    first = rng.uniform(0.01, 0.8, 4000)
    assert likely_curve(first, first**1.2)[1]
    assert not likely_curve(first, 0.95 * first + 0.02)[1]
    assert not likely_curve(first, 0.7 * first)[1]


def test_other_views_are_refused() -> None:
    rng = np.random.default_rng(4)
    one = GlassCamera().light(room(rng, SHAPE), rng)
    other = GlassCamera().light(room(rng, SHAPE)[::-1].copy(), rng)
    with pytest.raises(InputError, match="not the view of the other frame"):
        lay_over(one, other, where="B")


def test_frames_of_two_shapes_are_refused() -> None:
    light = np.full((100, 200), 0.2)
    one = FrameLight(luma=light, known=light > 0, clipped_share=0.0)
    turned = FrameLight(luma=light.T.copy(), known=light.T > 0, clipped_share=0.0)
    with pytest.raises(InputError, match="different shapes"):
        lay_over(one, turned, where="B")


@given(toe=st.floats(0.8, 1.6), shoulder=st.floats(0.3, 8.0))
@settings(max_examples=25)
def test_a_curve_rises_and_its_slope_is_its_own(toe: float, shoulder: float) -> None:
    curve = ToneCurve(toe=toe, shoulder=shoulder)
    shown = np.linspace(0.01, 0.99, 60)
    light = curve.light(shown)
    assert np.all(np.diff(light) > 0)
    assert curve.light(np.array(1.0)) == pytest.approx(1.0)
    slope = np.gradient(shown, light)
    assert np.allclose(curve.slope(shown)[2:-2], slope[2:-2], rtol=0.1)


def test_what_lands_farther_off_is_the_kernels_own_integral() -> None:
    for width, share in zip((0.005, 0.01, 0.02, 0.04, 0.08, 0.16), beyond(0.1), strict=True):
        total = quad(lambda r, w=width: r * (1 + (r / w) ** 2) ** -1.5, 0, np.inf)[0]
        far = quad(lambda r, w=width: r * (1 + (r / w) ** 2) ** -1.5, 0.1, np.inf)[0]
        assert share == pytest.approx(far / total, rel=1e-5)


def test_half_the_halo_lies_within_its_radius() -> None:
    kernels = np.array([0.0, 0.01, 0.02, 0.0, 0.01, 0.0])
    radius = half_radius(kernels)
    inside = (beyond(0.01) - beyond(radius)) @ kernels
    assert inside == pytest.approx((beyond(radius) - beyond(0.1)) @ kernels, rel=0.01)
    assert np.isnan(half_radius(np.zeros(6)))


@given(loss=st.floats(0.001, 0.12), more=st.floats(0.001, 0.02))
@settings(max_examples=20)
def test_reach_falls_with_the_loss(loss: float, more: float) -> None:
    def left(share: float) -> float:
        found = reach_left(Measured(value=share, low=share, high=share))
        assert found is not None
        return found.value

    assert 0 < left(loss + more) < left(loss) <= 1


def test_a_loss_that_leaves_no_sharp_print_has_no_reach() -> None:
    assert reach_left(Measured(value=0.3, low=0.25, high=0.35)) is None
    assert reach_left(None) is None
    assert reach_left(Measured(value=0.0, low=0.0, high=0.01)) is None
