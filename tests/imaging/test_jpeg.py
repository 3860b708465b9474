import pickle
from collections.abc import Callable
from io import BytesIO
from pathlib import Path, PurePath

import numpy as np
import pytest
from PIL import Image, ImageCms

from eyeplane.errors import FrameError
from eyeplane.imaging import Picture
from eyeplane.imaging.jpeg import ZIGZAG, decode_jpeg, read_header

HERE = PurePath("frame.jpg")


@pytest.mark.parametrize("subsampling", [0, 1, 2])
@pytest.mark.parametrize("progressive", [False, True])
def test_pixels_agree_with_pillow(
    subsampling: int,
    progressive: bool,  # noqa: FBT001  a parameter of the test
    scene: np.ndarray,
    encoded: Callable[..., bytes],
    opened: Callable[..., Picture],
) -> None:
    data = encoded(scene, subsampling=subsampling, progressive=progressive)
    found = opened(data).rgb_window(0, 0, 120, 80)
    expected = np.asarray(Image.open(BytesIO(data)))
    assert np.abs(found.astype(int) - expected).max() <= 3  # two decoders' chroma upsampling
    assert np.abs(found.astype(int) - scene).mean() < 2


def test_grey(encoded: Callable[..., bytes], opened: Callable[..., Picture]) -> None:
    grey = np.tile(np.arange(0, 256, 4, dtype=np.uint8), (64, 1))
    picture = opened(encoded(grey))
    shown = picture.rgb_window(0, 0, 64, 64)
    assert shown.shape == (64, 64, 3)
    assert np.abs(shown[..., 1].astype(int) - grey).max() <= 3
    assert picture.luma_window(0, 0, 64, 64).luma.shape == (64, 64)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_quantization_is_turned_with_the_frame(
    orientation: int, scene: np.ndarray, opened: Callable[..., Picture]
) -> None:
    table = np.arange(1, 65)  # natural order, [v, u]; all different
    data = _with_table(scene, table, orientation)
    found = opened(data).quantization
    assert found is not None
    square = table.reshape(8, 8)
    assert np.array_equal(found, square.T if orientation >= 5 else square)


def _with_table(scene: np.ndarray, table: np.ndarray, orientation: int) -> bytes:
    exif = Image.Exif()
    exif[274] = orientation
    buffer = BytesIO()
    Image.fromarray(scene).save(buffer, "JPEG", qtables=[table.tolist()] * 2, exif=exif)
    return buffer.getvalue()


def test_no_quantization_without_jpeg(
    scene: np.ndarray, encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> None:
    assert opened(encoded(scene, "PNG"), "a.png").quantization is None


def test_zigzag_walks_neighbouring_diagonals() -> None:
    rows, columns = np.divmod(ZIGZAG, 8)
    assert sorted(ZIGZAG) == list(range(64))
    assert (np.abs(np.diff(rows + columns)) <= 1).all()


@pytest.mark.parametrize("share", [0.0005, 0.05, 0.2, 0.5, 0.8, 0.95, 0.999])
@pytest.mark.parametrize("progressive", [False, True])
def test_cut_short_is_refused(
    share: float,
    progressive: bool,  # noqa: FBT001  a parameter of the test
    scene: np.ndarray,
    encoded: Callable[..., bytes],
    opened: Callable[..., Picture],
) -> None:
    data = encoded(scene, progressive=progressive)
    with pytest.raises(FrameError) as caught:
        opened(data[: max(3, int(len(data) * share))])
    assert "damaged or cut short" in caught.value.what
    assert pickle.loads(pickle.dumps(caught.value)).what == caught.value.what


def test_a_missing_end_alone_is_refused(
    scene: np.ndarray, encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> None:
    data = encoded(scene)
    assert data.endswith(b"\xff\xd9")
    with pytest.raises(FrameError, match="damaged or cut short"):
        opened(data[:-2])


def test_bytes_after_the_end_do_no_harm(
    scene: np.ndarray, encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> None:
    # Cameras append previews and short films there.
    assert opened(encoded(scene) + b"\0" * 500 + encoded(scene)).width_px == 120


def test_damage_in_the_middle_is_refused(
    scene: np.ndarray, encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> None:
    data = bytearray(encoded(scene))
    start = len(data) // 2
    data[start : start + 40] = b"\xff\xd9" * 20
    with pytest.raises(FrameError, match="damaged or cut short"):
        opened(bytes(data))


def test_pixel_limit_holds_before_decoding(
    scene: np.ndarray, encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> None:
    data = bytearray(encoded(scene))
    with pytest.raises(FrameError, match="120 × 80 pixels, more than the 9,599 allowed"):
        opened(bytes(data), pixel_limit=9_599)
    assert opened(bytes(data), pixel_limit=9_600).width_px == 120
    at = data.index(b"\xff\xc0") + 5
    data[at : at + 4] = b"\xff\xff\xff\xff"
    with pytest.raises(FrameError, match="65535 × 65535 pixels"):
        opened(bytes(data))


def test_too_many_scans_are_refused(scene: np.ndarray, encoded: Callable[..., bytes]) -> None:
    data = encoded(scene, progressive=True)
    scan = data[data.rindex(b"\xff\xda") : -2]
    with pytest.raises(FrameError, match="scans"):
        decode_jpeg(data[:-2] + scan * 300 + b"\xff\xd9", path=HERE, pixel_limit=10**6)


def test_four_inks_become_colours(
    encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> None:
    inks = Image.new("CMYK", (32, 32), (0, 255, 255, 0))  # magenta and yellow make red
    shown = opened(encoded(inks)).rgb_window(0, 0, 32, 32)[16, 16]
    assert shown[0] > 200
    assert shown[1] < 60
    assert shown[2] < 60


def test_wide_gamut_profile_is_used(
    scene: np.ndarray, encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> None:
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    plain = opened(encoded(scene)).luma_window(0, 0, 120, 80).luma
    tagged = opened(encoded(scene, icc_profile=profile)).luma_window(0, 0, 120, 80).luma
    assert np.abs(plain - tagged).max() < 1e-6  # recognised as sRGB in spite of its rounding
    broken = opened(encoded(scene, icc_profile=b"no profile" * 40))
    assert np.array_equal(broken.luma_window(0, 0, 120, 80).luma, plain)


def test_a_long_profile_is_put_together(scene: np.ndarray, encoded: Callable[..., bytes]) -> None:
    profile = bytes(np.random.default_rng(1).integers(0, 256, 150_000).astype(np.uint8))
    assert read_header(encoded(scene, icc_profile=profile)).profile == profile


@pytest.mark.parametrize("head", [b"\xff\xd8\xff", b"\xff\xd8\xff\xda\0\x02", b"\xff\xd8\xff" * 90])
def test_odd_headers(head: bytes, tmp_path: Path) -> None:
    assert read_header(head).width_px == 0
    with pytest.raises(FrameError):
        decode_jpeg(head, path=tmp_path / "a.jpg", pixel_limit=10**6)
