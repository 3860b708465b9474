"""One frame alone: the glow of a lamp, the darkest place, the printed chart."""

import cv2
import numpy as np
import pytest
from tests.kit.glass_frames import (
    GLARES,
    Glare,
    GlassCamera,
    cut,
    lamp_on_dark,
    room,
    taken_through,
)

from eyeplane.kit.glass_lamp import LampFound, most_veil, read_lamp
from eyeplane.kit.glass_light import FrameLight


def lamp_seen(glare: Glare, share: float, *, peak: float = 0.8) -> tuple[float, LampFound]:
    rng = np.random.default_rng(6)
    held = taken_through(lamp_on_dark(rng, peak=peak), glare, share)
    found = read_lamp(GlassCamera(noise=0.002).light(held.veiled, rng), rng)
    assert found is not None
    return held.halo_share, found


@pytest.mark.parametrize("glare", ["lorentz 1.5", "exponential", "scatter 2"])
def test_the_halo_of_a_lamp_is_told(glare: str) -> None:
    truth, found = lamp_seen(GLARES[glare], 0.08)
    assert found.halo.share is not None
    assert found.halo.share.low <= truth <= found.halo.share.high
    assert found.halo.share.value == pytest.approx(truth, rel=0.3)
    assert found.streak is None
    assert not found.clipped


def test_a_clipped_lamp_has_no_share() -> None:
    _, found = lamp_seen(GLARES["lorentz 1.5"], 0.05, peak=6.0)
    assert found.clipped
    assert found.halo.share is None


@pytest.mark.parametrize("wiped_deg", [0.0, 40.0, 90.0, 135.0])
def test_a_wipe_streak_has_its_direction(wiped_deg: float) -> None:
    # Grooves scatter light across themselves (diffraction by a grating; any textbook of optics).
    rng = np.random.default_rng(2)
    scene = lamp_on_dark(rng)
    turn = np.deg2rad(wiped_deg + 90)
    down, across = np.mgrid[-150:151, -150:151].astype(float)
    along = across * np.cos(turn) - down * np.sin(turn)
    beside = across * np.sin(turn) + down * np.cos(turn)
    kernel = np.exp(-np.abs(along) / 60) * np.exp(-((beside / 7) ** 2))
    kernel /= kernel.sum()
    smeared = 0.93 * scene + 0.07 * cv2.filter2D(scene, -1, kernel, borderType=cv2.BORDER_REFLECT)
    found = read_lamp(GlassCamera(noise=0.002).light(cut(smeared), rng), rng)
    assert found is not None
    assert found.streak is not None
    away = (found.streak.wiped_deg - wiped_deg + 90) % 180 - 90
    assert abs(away) < 10


def test_the_darkest_place_bounds_a_veil() -> None:
    rng = np.random.default_rng(7)
    for cover in (0.0, 0.03):
        held = taken_through(lamp_on_dark(rng), GLARES["even"], cover)
        most = most_veil(GlassCamera(noise=0.002).light(held.veiled, rng), linear=False)
        assert most is None or most >= held.veil_share
    held = taken_through(room(rng), GLARES["even"], 0.05)
    most = most_veil(GlassCamera().light(held.veiled, rng), linear=True)
    assert most is None or most > held.veil_share


def test_without_dark_or_without_light_nothing_is_told() -> None:
    even = np.full((300, 450), 0.4)
    known = np.ones_like(even, dtype=bool)
    bright = FrameLight(luma=even, known=known, clipped_share=0.0)
    assert most_veil(bright, linear=False) is None
    assert read_lamp(bright, np.random.default_rng(0)) is None
    dark = FrameLight(luma=even * 0.01, known=known, clipped_share=0.0)
    assert read_lamp(dark, np.random.default_rng(0)) is None
