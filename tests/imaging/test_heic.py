import sys
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from eyeplane.errors import FrameError
from eyeplane.imaging import Picture, open_picture
from eyeplane.records import MeasureSettings


@pytest.fixture(scope="module")
def heic() -> bytes:
    pillow_heif = pytest.importorskip("pillow_heif", reason="the HEIC part is not installed")
    y, x = np.mgrid[0:96, 0:128]
    pixels = np.stack([x * 2, y * 2, 255 - x], axis=2).astype(np.uint8)
    exif = Image.Exif()
    exif[272] = "phone"
    exif.get_ifd(0x8769)[33437] = 1.8
    buffer = BytesIO()
    pillow_heif.from_pillow(Image.fromarray(pixels)).save(buffer, quality=95, exif=exif.tobytes())
    return buffer.getvalue()


def test_round_trip(heic: bytes, opened: Callable[..., Picture]) -> None:
    picture = opened(heic, "a.heic")
    assert (picture.width_px, picture.height_px) == (128, 96)
    shown = picture.rgb_window(60, 40, 8, 8).mean(axis=(0, 1))
    assert np.abs(shown - [127, 87, 191.5]).max() < 6
    assert picture.exposure.body == "phone"
    assert picture.exposure.f_number == pytest.approx(1.8)
    assert picture.quantization is None


@pytest.mark.parametrize("share", [0.02, 0.3, 0.7, 0.99])
def test_cut_short_is_refused(share: float, heic: bytes, opened: Callable[..., Picture]) -> None:
    with pytest.raises(FrameError, match="damaged or cut short"):
        opened(heic[: max(16, int(len(heic) * share))], "a.heic")


def test_pixel_limit(heic: bytes, opened: Callable[..., Picture]) -> None:
    with pytest.raises(FrameError, match="128 × 96 pixels"):
        opened(heic, "a.heic", pixel_limit=128 * 96 - 1)


def test_absent_reader_is_named(
    heic: bytes, opened: Callable[..., Picture], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "pillow_heif", None)
    with pytest.raises(FrameError) as caught:
        opened(heic, "a.heic")
    assert "not installed" in caught.value.what
    assert "eyeplane[heic]" in caught.value.hint


def test_phone_frame(data: Path) -> None:
    pytest.importorskip("pillow_heif", reason="the HEIC part is not installed")
    picture = open_picture(data / "formats" / "phone-1.heic", settings=MeasureSettings())
    assert picture.width_px * picture.height_px == 4032 * 3024
    assert picture.exposure.focal_length_mm is not None
    assert picture.pitch_source == "35 mm equivalent"
