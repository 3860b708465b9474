import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.imaging.pixels import brightest, look_up, shrink
from eyeplane.imaging.tone import SRGB


@pytest.mark.parametrize("shape", [(96, 144, 3), (95, 144, 3), (96, 144), (97, 61, 3), (1, 90)])
@pytest.mark.parametrize("factor", [1.3, 2, 3, 4, 7.7, 24])
def test_shrinking_averages_areas(shape: tuple[int, ...], factor: float) -> None:
    rng = np.random.default_rng(1)
    pixels = rng.integers(0, 256, shape).astype(np.uint8)
    small = shrink(pixels, 1 / factor)
    sides = [max(1, round(n / factor)) for n in shape[:2]]
    assert list(small.shape[:2]) == sides
    assert abs(small.mean() - pixels.mean()) < 4
    if factor in (2, 4) and all(n % factor == 0 for n in shape[:2]):
        f = round(factor)
        blocks = pixels.reshape(shape[0] // f, f, shape[1] // f, f, *shape[2:]).mean(axis=(1, 3))
        assert np.abs(small - blocks).max() < 1.6  # each halving rounds once


@given(seed=st.integers(0, 99), height=st.integers(0, 5), width=st.integers(1, 5))
def test_both_ways_of_looking_up_agree(seed: int, height: int, width: int) -> None:
    piece = np.random.default_rng(seed).integers(0, 256, (height, width, 3)).astype(np.uint8)
    tables = SRGB.tables(256)
    assert np.abs(look_up(piece, tables) - look_up(piece.astype(np.uint16), tables)).sum() < 1e-5


def test_brightest_of_the_channels() -> None:
    piece = np.random.default_rng(0).integers(0, 256, (7, 9, 3)).astype(np.uint8)
    assert np.array_equal(brightest(piece), piece.max(axis=2))
    assert np.array_equal(brightest(piece[..., 0]), piece[..., 0])
