"""New, gone, still there: against an earlier check with another lens and aperture."""

from pathlib import Path

import numpy as np
import pytest
from tests.kit.dust_frames import DustCamera, Particle, scatter, shoot

from eyeplane.kit.dust import DustRequest, check_dust
from eyeplane.kit.dust_since import compared
from eyeplane.records.kit_dust import DustResult

# A sensor of 24 mm with coarse pixels, so that the pupil's shift is as large as it gets.
COARSE = DustCamera(width_px=1000, height_px=667, pitch_um=24.0, electrons=200_000.0)
FRESH = Particle(at_share=(0.53, 0.9), diameter_um=55.0)


def check(camera: DustCamera, folder: Path, seed: int) -> DustResult:
    """Return a check of one frame."""
    return check_dust([shoot(camera, folder / f"{seed}.jpg", seed=seed)], DustRequest()).result


def test_shadows_are_known_again_through_another_lens(tmp_path: Path) -> None:
    rng = np.random.default_rng(4)
    camera = COARSE.seen(f_number=16.0)
    old = scatter(8, rng, depth=(0.15, 0.6), camera=camera)
    before = check(camera.seen(particles=old, pupil_mm=45.0), tmp_path, 1)
    now = camera.seen(particles=(*old[1:], FRESH), pupil_mm=110.0, f_number=11.0)
    result = compared(check(now, tmp_path, 2), before)
    assert [one.since for one in result.shadows].count("still there") == 7
    assert [one.since for one in result.shadows].count("new") == 1
    new = next(one for one in result.shadows if one.since == "new")
    assert new.at_share == pytest.approx((0.53, 0.9), abs=0.02)
    assert [one.sure for one in result.gone] == [True]
    air_mm = 2 / 1.52  # shadows lie 1 + t/n/P farther out than their dust
    moved = (1 - air_mm / 45) / (1 - air_mm / 110)
    assert result.pupil_scale == pytest.approx(moved, abs=0.002)


def test_what_would_have_been_too_faint_is_not_called_new(tmp_path: Path) -> None:
    faint = Particle(at_share=(0.6, 0.4), diameter_um=20.0)
    rough = check(COARSE.seen(f_number=8.0, texture=0.02), tmp_path, 1)
    result = compared(check(COARSE.seen(particles=(faint,), f_number=22.0), tmp_path, 2), rough)
    assert [one.since for one in result.shadows] == ["cannot tell"]


def test_nothing_against_nothing(tmp_path: Path) -> None:
    one = check(COARSE, tmp_path, 1)
    result = compared(one, one)
    assert (result.shadows, result.gone, result.pupil_scale) == ((), (), None)
    assert result.compared_with == one.done_at
