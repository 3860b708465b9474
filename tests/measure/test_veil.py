"""Zones of a frame: the darkest light, coarse and fine contrast, and how the frame lies."""

from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from eyeplane.imaging import open_picture
from eyeplane.imaging.tone import linear_to_srgb, srgb_to_linear
from eyeplane.measure.veil import read_veil, read_zones
from eyeplane.records import MeasureSettings, Veil


def write(path: Path, linear: NDArray[Any], *, orientation: int = 1) -> Path:
    """Return a JPEG of linear light [y, x] or [y, x, 3]."""
    codes = np.rint(255 * linear_to_srgb(np.clip(linear, 0, 1))).astype(np.uint8)
    if codes.ndim == 2:
        codes = np.repeat(codes[..., None], 3, axis=2)
    exif = Image.Exif()
    exif[274] = orientation
    Image.fromarray(codes).save(path, exif=exif, quality=97, subsampling=0)
    return path


def veil_of(path: Path) -> Veil:
    return read_veil(open_picture(path, settings=MeasureSettings()))


def scene(seed: int, shape: tuple[int, int] = (800, 1200)) -> NDArray[np.float64]:
    """Return lumps and texture with deep shadows everywhere, linear light."""
    rng = np.random.default_rng(seed)
    lumps = cv2.resize(
        rng.uniform(-2.5, 0.0, (24, 36)), shape[::-1], interpolation=cv2.INTER_LINEAR
    )
    return np.asarray(0.5 * np.exp(lumps + rng.normal(0, 0.3, shape)))


def grid(values: tuple[float, ...], veil: Veil) -> NDArray[np.float64]:
    return np.reshape(values, (veil.rows, veil.columns))


def test_added_light_lifts_the_darkest_and_the_mean_alike_and_leaves_detail(tmp_path: Path) -> None:
    # Veiling glare adds light: ISO 9358:1994 defines its index by the light in a black object.
    plain = scene(3)
    lit = plain.copy()
    lit[400:, :600] += 0.05  # two rows, three columns of zones
    before, after = (
        veil_of(write(tmp_path / "a.jpg", plain)),
        veil_of(write(tmp_path / "b.jpg", lit)),
    )
    inside = np.zeros((4, 6), bool)
    inside[2:, :3] = True
    for name in ("darkest", "level"):
        risen = grid(getattr(after, name), after) - grid(getattr(before, name), before)
        assert risen[inside] == pytest.approx(0.05, abs=0.006)
        assert np.abs(risen[~inside]).max() < 0.002
    for name in ("coarse", "fine"):
        # Of all zones but those at the step, the spread itself is what it was.
        was, now = (grid(getattr(v, name), v) * grid(v.level, v) for v in (before, after))
        assert now[:, :][inside] == pytest.approx(was[inside], rel=0.08)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_zones_lie_as_the_frame_is_stored(tmp_path: Path, orientation: int) -> None:
    stored = scene(5)
    stored[600:, :200] = 0.9  # lower left zone of the sensor
    veil = veil_of(write(tmp_path / "a.jpg", stored, orientation=orientation))
    assert (veil.columns, veil.rows, veil.orientation) == (6, 4, orientation)
    assert int(np.argmax(veil.darkest)) == 18
    assert int(np.argmax(veil.level)) == 18


def test_stored_upright_has_upright_zones(tmp_path: Path) -> None:
    veil = veil_of(write(tmp_path / "a.jpg", scene(6, (1200, 800))))
    assert (veil.columns, veil.rows) == (4, 6)


def test_a_black_border_and_grain_do_not_make_a_zone_dark(tmp_path: Path) -> None:
    bright = np.full((800, 1200), 0.4)
    framed = np.zeros_like(bright)
    framed[30:-30, 45:-45] = 0.4
    noisy = bright + np.random.default_rng(1).normal(0, 0.02, bright.shape)
    for name, light in (("border", framed), ("noisy", noisy)):
        veil = veil_of(write(tmp_path / f"{name}.jpg", light))
        assert min(veil.darkest) > 0.3, name


def test_defocus_takes_fine_detail_and_leaves_coarse(tmp_path: Path) -> None:
    sharp = scene(7)
    soft = cv2.GaussianBlur(sharp, (0, 0), 4)
    before, after = (
        veil_of(write(tmp_path / f"{n}.jpg", light)) for n, light in (("a", sharp), ("b", soft))
    )
    assert np.median(np.divide(after.fine, before.fine)) < 0.5
    assert np.median(np.divide(after.coarse, before.coarse)) == pytest.approx(1, abs=0.1)


@pytest.mark.parametrize("shape", [(1, 1), (3, 40), (40, 3), (501, 753)])
def test_any_size_gives_finite_numbers(shape: tuple[int, int]) -> None:
    small = np.random.default_rng(0).integers(0, 255, (*shape, 3), dtype=np.uint8)
    for part in read_zones(small):
        assert part.size == 24
        assert np.isfinite(part).all()
        assert (part >= 0).all()


@given(st.integers(0, 999))
@settings(max_examples=10, deadline=None)
def test_a_mirrored_frame_has_mirrored_zones(seed: int) -> None:
    codes = np.rint(255 * linear_to_srgb(np.clip(scene(seed, (160, 240)), 0, 1))).astype(np.uint8)
    small = np.repeat(codes[..., None], 3, axis=2)
    for part, mirrored in zip(read_zones(small), read_zones(small[:, ::-1].copy()), strict=True):
        assert mirrored[:, ::-1] == pytest.approx(part, rel=1e-4)


def test_read_from_a_real_frame_is_the_light_itself(data: Path) -> None:
    picture = open_picture(data / "people/people-04.jpg", settings=MeasureSettings())
    veil = read_veil(picture)
    whole = picture.luma_window(0, 0, picture.width_px, picture.height_px).luma
    zones = whole[: whole.shape[0] // 4 * 4, : whole.shape[1] // 6 * 6]
    height, width = zones.shape[0] // 4, zones.shape[1] // 6
    means = zones.reshape(4, height, 6, width).mean(axis=(1, 3))
    # Codes are averaged before they are turned into light, which loses a little of the mean.
    assert grid(veil.level, veil) == pytest.approx(means, rel=0.06, abs=0.002)
    assert srgb_to_linear(np.array(1.0)) == 1.0
