"""Tiles of a frame, against a full decode by Pillow."""

import hashlib
import io
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image, ImageCms, ImageOps
from tests.imaging.test_profile import GAMMA, WIDE, profile

from eyeplane.deliver import tiles_cache
from eyeplane.deliver.tiles import TileGrid
from eyeplane.deliver.tiles_cache import FrameCache
from eyeplane.deliver.tiles_frame import (
    ChangedError,
    GoneError,
    OpenFrame,
    halved,
    open_frame,
    tile_jpeg,
)
from eyeplane.errors import InputError

SIZE = (1303, 901)  # odd on both sides, three tiles by two


def scene(*, seed: int = 3) -> Image.Image:
    """Return a frame with edges at all scales and grain."""
    rng = np.random.default_rng(seed)
    pixels = np.full((SIZE[1], SIZE[0], 3), 120.0)
    for cells in (5, 40, 300):
        coarse = rng.integers(0, 255, (cells, cells, 3), dtype=np.uint8)
        pixels += (np.asarray(Image.fromarray(coarse).resize(SIZE)) - 127.0) * 0.4
    return Image.fromarray(np.clip(pixels, 0, 255).astype(np.uint8))


def saved(folder: Path, **options: Any) -> Path:  # noqa: ANN401  as Pillow takes them
    """Return where the frame was saved as a JPEG."""
    path = folder / "frame.jpg"
    scene().save(path, quality=90, **options)
    return path


def opened(path: Path) -> OpenFrame:
    """Return it opened."""
    return open_frame(path, sha256=hashlib.sha256(path.read_bytes()).hexdigest())


def put_together(frame: OpenFrame, level: int) -> NDArray[np.uint8]:
    """Return a whole level out of its tiles, the overlap cut off."""
    grid = frame.grid
    width, height = grid.size(level)
    whole = np.zeros((height, width, 3), np.uint8)
    for row in range(-(-height // grid.tile_px)):
        for column in range(-(-width // grid.tile_px)):
            left, top, wide, high = grid.box(level, column, row)
            tile = frame.tile(level, column, row)
            assert tile.shape == (high, wide, 3)
            whole[top : top + high, left : left + wide] = tile
    return whole


@given(st.integers(1, 20_000), st.integers(1, 20_000))
def test_tiles_cover_every_level_and_each_is_half_of_the_next(width: int, height: int) -> None:
    grid = TileGrid(width_px=width, height_px=height)
    assert grid.size(grid.full_level) == (width, height)
    assert max(grid.size(0)) <= grid.tile_px
    assert grid.full_level == 0 or max(grid.size(1)) > grid.tile_px
    for level in range(grid.full_level + 1):
        size = grid.size(level)
        # As OpenSeadragon counts tiles: ceil(side * scale / tile), its documentation of TileSource.
        scale = 0.5 ** (grid.full_level - level)
        counts = [int(np.ceil(scale * side / grid.tile_px)) for side in (width, height)]
        assert counts == [-(-side // grid.tile_px) for side in size]
        left, top, wide, high = grid.box(level, counts[0] - 1, counts[1] - 1)
        assert (left + wide, top + high) == size
        for column, row in ((counts[0], 0), (0, counts[1]), (-1, 0)):
            with pytest.raises(InputError):
                grid.box(level, column, row)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_the_full_level_is_the_upright_frame_of_pillow_bit_for_bit(
    tmp_path: Path, orientation: int
) -> None:
    exif = Image.Exif()
    exif[274] = orientation
    path = saved(tmp_path, exif=exif, subsampling=0 if orientation % 2 else 2)
    with Image.open(path) as picture:
        upright = np.asarray(ImageOps.exif_transpose(picture))
    frame = opened(path)
    np.testing.assert_array_equal(put_together(frame, frame.grid.full_level), upright)
    # Pillow's `reduce` means areas of whole pixels too; each halving here rounds once more.
    reduced = Image.fromarray(upright)
    for level in range(frame.grid.full_level - 1, -1, -1):
        reduced = reduced.reduce(2)
        found = put_together(frame, level).astype(int)
        assert np.abs(found - np.asarray(reduced)).max() <= frame.grid.full_level - level


def test_colours_are_converted_as_pillow_converts_the_whole_frame(tmp_path: Path) -> None:
    wide = profile(GAMMA, WIDE, b"RGB ")
    path = saved(tmp_path, icc_profile=wide, subsampling=0)
    with Image.open(path) as picture:
        source = ImageCms.ImageCmsProfile(io.BytesIO(wide))
        screen = ImageCms.profileToProfile(picture, source, ImageCms.createProfile("sRGB"))
        stored = np.asarray(picture)
    frame = opened(path)
    found = put_together(frame, frame.grid.full_level)
    np.testing.assert_array_equal(found, np.asarray(screen))
    assert np.abs(found.astype(int) - stored).max() > 10


def test_grey_frames_have_three_equal_colours(tmp_path: Path) -> None:
    path = tmp_path / "grey.jpg"
    scene().convert("L").save(path, quality=90)
    frame = opened(path)
    with Image.open(path) as picture:
        expected = np.asarray(picture.convert("RGB"))
    np.testing.assert_array_equal(put_together(frame, frame.grid.full_level), expected)


def test_a_served_tile_is_close_and_tells_no_place(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[271] = "Körper"
    exif.get_ifd(0x8825)[2] = (59.0, 26.0, 13.0)
    path = saved(tmp_path, exif=exif, comment=b"where it was")
    assert b"Exif" in path.read_bytes()
    frame = opened(path)
    tile = frame.tile(frame.grid.full_level, 1, 0)
    served = tile_jpeg(tile)
    with Image.open(io.BytesIO(served)) as picture:
        assert len(picture.getexif()) == 0
        assert not {"exif", "icc_profile", "comment", "xmp"} & set(picture.info)
        difference = np.abs(np.asarray(picture).astype(int) - tile)
    assert b"Exif" not in served
    assert np.quantile(difference, 0.99) <= 8  # 2 on faces; this scene is grain in all colours
    assert difference.max() <= 30


@given(st.integers(1, 9), st.integers(1, 9), st.integers(0, 255))
def test_halving_keeps_an_even_field(width: int, height: int, level: int) -> None:
    half = halved(np.full((height, width, 3), level, np.uint8))
    assert half.shape == (-(-height // 2), -(-width // 2), 3)
    assert (half == level).all()


def test_a_frame_that_is_gone_or_changed_is_told(tmp_path: Path) -> None:
    path = saved(tmp_path)
    sha256 = hashlib.sha256(path.read_bytes()).hexdigest()
    whole = path.read_bytes()
    scene(seed=4).save(path, quality=90)
    with pytest.raises(ChangedError, match=r"frame\.jpg: its file has changed"):
        open_frame(path, sha256=sha256)
    path.write_bytes(whole[: len(whole) // 2])
    with pytest.raises(ChangedError, match="cannot be read any more"):
        open_frame(path, sha256=sha256)
    path.unlink()
    with pytest.raises(GoneError, match="not where it was measured"):
        open_frame(path, sha256=sha256)


def test_many_who_ask_at_once_share_one_decode(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = saved(tmp_path)
    sha256 = hashlib.sha256(path.read_bytes()).hexdigest()
    decodes, started = [], threading.Event()

    def slow(path: Path, *, sha256: str) -> OpenFrame:
        decodes.append(path)
        started.wait(0.2)
        return open_frame(path, sha256=sha256)

    monkeypatch.setattr(tiles_cache, "open_frame", slow)
    cache = FrameCache()
    with ThreadPoolExecutor(8) as threads:
        found = list(threads.map(lambda _: cache.frame(path, sha256=sha256), range(8)))
        tiles = list(threads.map(lambda k: found[k].tile(0, 0, 0), range(8)))
    assert len(decodes) == 1
    assert len({id(one) for one in found}) == 1
    assert all((one == tiles[0]).all() for one in tiles)


def test_memory_is_bounded_and_the_one_asked_for_last_stays(tmp_path: Path) -> None:
    paths = []
    for n in range(4):
        path = tmp_path / f"{n}.jpg"
        scene(seed=n).save(path)
        paths.append((path, hashlib.sha256(path.read_bytes()).hexdigest()))
    one_bytes = opened(paths[0][0]).size_bytes
    cache = FrameCache(byte_limit=int(2.5 * one_bytes))
    kept = [cache.frame(path, sha256=sha256) for path, sha256 in paths]
    assert cache.held_bytes == 2 * one_bytes
    assert cache.frame(paths[3][0], sha256=paths[3][1]) is kept[3]
    assert cache.frame(paths[0][0], sha256=paths[0][1]) is not kept[0]
    small = FrameCache(byte_limit=1)
    assert small.frame(paths[0][0], sha256=paths[0][1]) is small.frame(
        paths[0][0], sha256=paths[0][1]
    )
    cache.clear()
    assert cache.held_bytes == 0


def test_a_failed_decode_is_told_to_all_and_tried_anew(tmp_path: Path) -> None:
    path = saved(tmp_path)
    content = path.read_bytes()
    sha256 = hashlib.sha256(content).hexdigest()
    path.unlink()
    cache = FrameCache()
    with pytest.raises(GoneError):
        cache.frame(path, sha256=sha256)
    path.write_bytes(content)
    assert cache.frame(path, sha256=sha256).grid.width_px == SIZE[0]


def test_a_frame_nobody_asks_for_is_let_go(tmp_path: Path) -> None:
    path = saved(tmp_path)
    cache = FrameCache(idle_s=0.05)
    cache.frame(path, sha256=hashlib.sha256(path.read_bytes()).hexdigest())
    waiting = threading.Event()
    for _ in range(40):
        if not cache.held_bytes:
            break
        waiting.wait(0.05)
    assert cache.held_bytes == 0
