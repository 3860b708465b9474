"""A veil that one frame alone can tell, and the scenes that only look like one."""

from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from eyeplane.diagnose.veil import veil_now
from eyeplane.imaging import open_picture
from eyeplane.imaging.tone import linear_to_srgb, srgb_to_linear
from eyeplane.measure.veil import read_veil, read_zones
from eyeplane.records import MeasureSettings, Veil

Picture8 = NDArray[np.uint8]
REAL = ["people/*.jpg", "nobody/*.jpg", "rendered/group/*.jpg", "rendered/single/dev_00?1.jpg"]


TO_LIGHT = srgb_to_linear(np.arange(256) / 255.0)


def veil_of(small: Picture8) -> Veil:
    darkest, level, coarse, fine = (
        tuple(float(v) for v in part.ravel()) for part in read_zones(small)
    )
    rows, columns = (4, 6) if small.shape[1] >= small.shape[0] else (6, 4)
    return Veil(columns=columns, rows=rows, darkest=darkest, coarse=coarse, fine=fine, level=level)


@pytest.fixture(scope="module")
def frames(data: Path) -> list[Picture8]:
    """Return real and rendered frames, small."""
    paths = [path for pattern in REAL for path in sorted(data.glob(pattern))]
    settings = MeasureSettings()
    return [open_picture(path, settings=settings).rgb_small(600)[0] for path in paths]


def veiled(small: Picture8, light: float) -> Picture8:
    """Return a frame with light added to all of it, in linear light; CIE sum of lights."""
    table = linear_to_srgb(TO_LIGHT * (1 - light) + light)
    return np.asarray(np.rint(255 * table).astype(np.uint8)[small])


def test_no_frame_as_taken_is_called_and_many_veiled_ones_are(
    frames: list[Picture8],
) -> None:
    shown = frames
    assert len(shown) >= 20
    assert [veil_now(veil_of(small)) for small in shown] == [None] * len(shown)
    called = [veil_now(veil_of(veiled(small, 0.05))) is not None for small in shown]
    # Where few zones have a black of their own a veil cannot be told from one frame.
    assert sum(called) >= 6


def test_fog_has_no_fine_detail_and_is_not_called(frames: list[Picture8]) -> None:
    for small in frames:
        fog = cv2.GaussianBlur(veiled(small, 0.05), (0, 0), 3)
        assert veil_now(veil_of(np.asarray(fog))) is None


def test_the_floor_is_told_in_percent_with_the_order_of_cleaning(data: Path) -> None:
    picture = open_picture(data / "people/people-09.jpg", settings=MeasureSettings())
    finding = veil_now(veil_of(veiled(picture.rgb_small(1000)[0], 0.05)))
    assert finding is not None
    assert finding.kind == "veil"
    assert "darker than 5\u2009% of white" in finding.text
    assert "blower first" in finding.advice
    assert "never the sensor" in finding.advice
    assert veil_now(read_veil(picture)) is None


@pytest.mark.parametrize("light", [0.3, 0.03])
def test_one_even_wall_is_no_veil(light: float) -> None:
    rng = np.random.default_rng(2)
    wall = light * np.exp(rng.normal(0, 0.1, (600, 900, 1))) * np.ones(3)
    codes = np.rint(255 * linear_to_srgb(np.clip(wall, 0, 1))).astype(np.uint8)
    assert veil_now(veil_of(codes)) is None


def test_nothing_read_says_nothing() -> None:
    assert veil_now(None) is None
    zones = tuple([0.05] * 24)
    old = Veil(columns=6, rows=4, darkest=zones, coarse=zones, fine=zones)
    assert veil_now(old) is None
