"""Channels of one texture with discs of their own: what is read, and what must not matter."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from tests.measure.made import NOISE, frequencies, natural_texture, spread

from eyeplane.imaging import LumaWindow, open_picture
from eyeplane.imaging.tone import linear_to_srgb
from eyeplane.measure.channels import channel_spectra, layout_for
from eyeplane.measure.colour import colour_at, read_colour
from eyeplane.optics import disc_mtf
from eyeplane.records import ColourBlur, Measured, MeasureSettings

SIDE = 128
Windows = tuple[LumaWindow, LumaWindow, LumaWindow]
GAINS = (1.4, 1.0, 0.6)  # skin: more red than blue


def made(
    sizes_px: tuple[float, float, float],
    *,
    seed: int = 0,
    shift_px: float = 0.0,
    noise: float = 0.004,
    side: int = SIDE,
) -> Windows:
    """Return one texture through a disc a channel; red and blue shifted apart."""
    rng = np.random.default_rng(seed)
    texture = natural_texture(2 * side, rng)
    fx, fy = frequencies(2 * side)
    found = []
    for size, gain, way in zip(sizes_px, GAINS, (1, 0, -1), strict=True):
        # The optics layer's disc, which the measuring does not use.
        disc = disc_mtf(np.hypot(fx, fy), disc_px=size)
        drawn = spread(texture, disc * np.exp(-2j * np.pi * fx * way * shift_px))
        drawn = gain * drawn + noise * gain * rng.normal(size=drawn.shape)
        cut = drawn[side // 2 : side // 2 + side, side // 2 : side // 2 + side]
        found.append(
            LumaWindow(
                luma=cut.astype(np.float32),
                clipped=np.zeros(cut.shape, bool),
                x_px=0,
                y_px=0,
                encoding_slope=None,
            )
        )
    return found[0], found[1], found[2]


def read(windows: Windows, disc_px: float = 5.0) -> ColourBlur | None:
    disc = Measured(value=disc_px, low=0.85 * disc_px, high=1.15 * disc_px)
    return read_colour(windows, quantization=None, chroma_step=1, noise=None, disc_px=disc)


def sure(windows: Windows, disc_px: float = 5.0) -> ColourBlur:
    found = read(windows, disc_px)
    assert found is not None
    return found


def test_red_blurred_more_and_blue_less() -> None:
    found = sure(made((7.0, 5.0, 3.0)))
    assert found.red_px2.low > 0
    assert found.blue_px2.high < 0
    assert found.red_px2.low <= 24.0 <= found.red_px2.high
    assert found.blue_px2.low <= -16.0 <= found.blue_px2.high


def test_alike_is_alike() -> None:
    for seed in range(5):
        found = sure(made((4.0, 4.0, 4.0), seed=seed), 4.0)
        assert found.red_px2.low <= 0.0 <= found.red_px2.high
        assert found.red_px2.high - found.red_px2.low < 25.0


@pytest.mark.slow
def test_intervals_hold_what_they_say() -> None:
    # 90 % of 48 would be 43; fewer than 37 has a chance below 1 % (binomial).
    rng = np.random.default_rng(11)
    inside = 0
    for seed in range(24):
        sizes = (float(rng.uniform(0, 8)), 5.0, float(rng.uniform(0, 8)))
        found = sure(made(sizes, seed=seed))
        red, blue = sizes[0] ** 2 - 25.0, sizes[2] ** 2 - 25.0
        inside += found.red_px2.low <= red <= found.red_px2.high
        inside += found.blue_px2.low <= blue <= found.blue_px2.high
    assert inside >= 37


@given(shift=st.floats(-1.5, 1.5))
@settings(max_examples=8, deadline=None)
def test_lateral_colour_does_not_matter(shift: float) -> None:
    plain = sure(made((7.0, 5.0, 3.0)))
    moved = sure(made((7.0, 5.0, 3.0), shift_px=shift))
    width = plain.red_px2.high - plain.red_px2.low
    assert abs(moved.red_px2.value - plain.red_px2.value) < 0.5 * width


@given(red=st.floats(0.2, 3.0), blue=st.floats(0.2, 3.0))
@settings(max_examples=12, deadline=None)
def test_white_balance_does_not_matter(red: float, blue: float) -> None:
    windows = made((7.0, 5.0, 3.0))
    gains = (red, 1.0, blue)
    other = tuple(
        replace(w, luma=(w.luma * g).astype(np.float32))
        for w, g in zip(windows, gains, strict=True)
    )
    # The parting of noise by level shifts the ratio a little.
    before, after = sure(windows), sure((other[0], other[1], other[2]))
    assert after.red_px2.value == pytest.approx(before.red_px2.value, abs=4.0)
    assert after.blue_px2.value == pytest.approx(before.blue_px2.value, abs=4.0)


def test_turning_and_mirroring_do_not_matter() -> None:
    windows = made((7.0, 5.0, 3.0))
    before = sure(windows)
    for turn in (np.flipud, np.fliplr, np.transpose):
        other = [replace(w, luma=np.ascontiguousarray(turn(w.luma))) for w in windows]
        after = sure((other[0], other[1], other[2]))
        assert after.red_px2.value == pytest.approx(before.red_px2.value, abs=3.0)


def test_red_and_blue_change_places() -> None:
    windows = made((7.0, 5.0, 3.0))
    before, after = sure(windows), sure((windows[2], windows[1], windows[0]))
    # But for the luma's disc, in which red weighs three times as much as blue.
    assert after.blue_px2.value == pytest.approx(before.red_px2.value, abs=7.0)
    assert after.red_px2.value == pytest.approx(before.blue_px2.value, abs=7.0)


def test_nothing_is_said_where_nothing_is_shared() -> None:
    rng = np.random.default_rng(2)
    strangers = [made((0.0, 0.0, 0.0), seed=s)[1] for s in (3, 4, 5)]
    assert read((strangers[0], strangers[1], strangers[2])) is None
    window = strangers[0]
    grain = [
        replace(window, luma=(0.2 + 0.02 * rng.normal(size=(SIDE, SIDE))).astype(np.float32))
        for _ in range(3)
    ]
    assert read((grain[0], grain[1], grain[2])) is None


def test_nothing_is_said_of_small_dark_or_clipped_windows() -> None:
    assert read(made((7.0, 5.0, 3.0), side=24)) is None
    windows = made((7.0, 5.0, 3.0))
    dark = [replace(w, luma=w.luma * np.float32(1e-5)) for w in windows]
    assert read((dark[0], dark[1], dark[2])) is None
    white = windows[1].luma > np.quantile(windows[1].luma, 0.6)
    clipped = [replace(w, clipped=white) for w in windows]
    assert read((clipped[0], clipped[1], clipped[2])) is None


def test_noise_that_covers_the_texture_is_left_out() -> None:
    windows = made((7.0, 5.0, 3.0))
    disc = Measured(value=5.0, low=4.0, high=6.0)
    loud = replace(NOISE, read=0.01)
    assert read_colour(windows, quantization=None, chroma_step=1, noise=loud, disc_px=disc) is None


def test_a_coarse_table_opens_the_interval() -> None:
    # A file that rounds small chroma to nothing makes the channels alike: then "alike" says less.
    windows = [
        replace(w, encoding_slope=np.full(w.luma.shape, 0.004, np.float32))
        for w in made((5.0, 5.0, 5.0))
    ]
    widths = []
    for step in (1.0, 30.0):
        table = np.full((8, 8), step)
        found = read_colour(
            (windows[0], windows[1], windows[2]),
            quantization=(np.ones((8, 8)), table),
            chroma_step=1,
            noise=None,
            disc_px=Measured(value=5.0, low=4.5, high=5.5),
        )
        assert found is not None
        widths.append(found.red_px2.high - found.red_px2.low)
    assert widths[1] > 1.3 * widths[0]


def test_a_highlight_changes_little() -> None:
    windows = made((7.0, 5.0, 3.0))
    before = sure(windows)
    y, x = np.mgrid[:SIDE, :SIDE]
    spot = (x - 70) ** 2 + (y - 60) ** 2 < 36
    other = [
        replace(w, luma=np.where(spot, np.float32(1.0), w.luma), clipped=spot) for w in windows
    ]
    after = sure((other[0], other[1], other[2]))
    assert abs(after.red_px2.value - before.red_px2.value) < 8.0


@pytest.mark.parametrize("side", [32, 64, 128])
def test_cells_hold_each_bin_once(side: int) -> None:
    layout = layout_for(side, 0.2)
    assert layout.counts.sum() == layout.bins.size == np.unique(layout.bins).size
    assert layout.counts.min() >= 4
    radius = np.hypot(layout.x, layout.y)
    assert layout.mean(radius).max() <= 0.2
    assert np.allclose(np.exp(layout.mean(np.log(radius))), layout.frequency)


def test_power_of_white_noise_is_its_variance() -> None:
    rng = np.random.default_rng(8)
    window = made((0.0, 0.0, 0.0))[0]
    flat = [
        replace(window, luma=(1.0 + 0.1 * rng.normal(size=(SIDE, SIDE))).astype(np.float32))
        for _ in range(3)
    ]
    seen = channel_spectra((flat[0], flat[1], flat[2]), chroma_step=1, disc_px=0.0)
    assert seen is not None
    mean = (seen.power * seen.layout.counts).sum(axis=1) / seen.layout.counts.sum()
    assert np.allclose(mean, 0.01, rtol=0.15)


def test_a_file_is_read_at_its_place(tmp_path: Path) -> None:
    light = np.stack([w.luma for w in made((7.0, 5.0, 3.0), side=192)], axis=2) / 0.5
    codes = (255 * linear_to_srgb(np.clip(light, 0, 1)) + 0.5).astype(np.uint8)
    whole = np.full((400, 500, 3), 128, np.uint8)
    whole[100:292, 200:392] = codes
    disc = Measured(value=5.0, low=4.3, high=5.8)
    for name, picture in (("png", whole), ("grey", whole[..., 1])):
        path = tmp_path / f"{name}.png"
        Image.fromarray(picture).save(path)
        opened = open_picture(path, settings=MeasureSettings())
        found = colour_at(opened, (296.0, 196.0), 128, noise=None, disc_px=disc)
        if name == "grey":
            assert found is None
            continue
        assert found is not None
        assert found.red_px2.low > 0 > found.blue_px2.high
        assert colour_at(opened, (100.0, 60.0), 128, noise=None, disc_px=disc) is None
