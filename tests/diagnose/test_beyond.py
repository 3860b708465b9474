"""Hair and background as witnesses of the side: by the thin lens, and never louder than said."""

from dataclasses import replace

import numpy as np
import pytest
from tests.diagnose.builders import blur, disc_px, face, measured, sharp_or_disc

from eyeplane.diagnose.beyond import LEAST_LOG, beyond_evidence
from eyeplane.diagnose.lens import Lens
from eyeplane.records import Blur, FaceReading, Measured, ProbeReading

OFFSETS = np.linspace(-120.0, 120.0, 241)
LENS = Lens(
    focal_length_mm=85.0,
    f_number=1.8,
    distance_mm=measured(1500.0, 0.03),
    pitch_um=Measured(value=4.4, low=4.4, high=4.4),
)


def disc_at(depth_mm: float, offset_mm: float) -> float:
    return disc_px(depth_mm, offset_mm, distance_mm=1500.0, f_number=1.8, pitch_um=4.4)


def with_hair(*blurs: Blur) -> FaceReading:
    probes = tuple(
        ProbeReading(name="hair", at_px=(9.5, 9.5), depth_mm=None, depth_sd_mm=None, blur=b)
        for b in blurs
    )
    return replace(face(near_blur=blur("disc", 8.0)), probes=probes)


def odds_behind(log: np.ndarray, offset_mm: float) -> float:
    """Return the evidence for an offset against its mirror image."""
    behind, front = np.interp([offset_mm, -offset_mm], OFFSETS, log)
    return float(behind - front)


@pytest.mark.parametrize("offset_mm", [25.0, 40.0, 60.0])
def test_sharp_hair_puts_the_plane_behind_the_eye(offset_mm: float) -> None:
    # Thin lens: hair 50 mm behind the eye, the eye equally blurred by either sign of the offset.
    seen = sharp_or_disc(disc_at(50.0, offset_mm))
    log = beyond_evidence(with_hair(seen), (), LENS, OFFSETS)
    assert odds_behind(log, offset_mm) > 1.0


@pytest.mark.parametrize("offset_mm", [-25.0, -40.0, -60.0])
def test_softer_hair_says_little(offset_mm: float) -> None:
    # Hair may be smooth, and cloth plain: a fact of the trade.
    log = beyond_evidence(with_hair(blur("disc", disc_at(50.0, offset_mm))), (), LENS, OFFSETS)
    assert -1.5 < odds_behind(log, -offset_mm) < 0.0


def test_a_sharp_background_puts_the_plane_far_behind() -> None:
    wall = ProbeReading(
        name="background", at_px=(9.5, 9.5), depth_mm=None, depth_sd_mm=None, blur=blur("none", 0.5)
    )
    log = beyond_evidence(with_hair(), (wall,), LENS, OFFSETS)
    assert np.argmax(log) == len(OFFSETS) - 1
    assert odds_behind(log, 100.0) > 0.5


def test_without_places_beyond_nothing_is_said() -> None:
    assert not beyond_evidence(with_hair(), (), LENS, OFFSETS).any()
    moved = with_hair(blur("line", 9.0, angle_deg=0.0), blur("cannot tell", None))
    assert not beyond_evidence(moved, (), LENS, OFFSETS).any()


def test_no_kind_of_place_speaks_louder_than_it_may() -> None:
    log = beyond_evidence(with_hair(blur("disc", 60.0), blur("disc", 60.0)), (), LENS, OFFSETS)
    assert log.max() == 0.0
    assert log.min() >= LEAST_LOG
