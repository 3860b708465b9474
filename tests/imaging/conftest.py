"""Small pictures with known content, and EXIF to put into them."""

from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from eyeplane.imaging import Picture, open_picture
from eyeplane.records import MeasureSettings

Pixels = NDArray[np.uint8]


@pytest.fixture(scope="session")
def scene() -> Pixels:
    """Return a smooth asymmetric picture, 120 × 80: each corner has its own colour."""
    y, x = np.mgrid[0:80, 0:120]
    red, green = 40 + x * 1.5, 30 + y * 2.0
    blue = 200 - x * 0.7 - y * 0.9
    return np.stack([red, green, blue], axis=2).round().astype(np.uint8)


@pytest.fixture
def opened(tmp_path: Path) -> Callable[..., Picture]:
    """Return a function that writes bytes under a name and opens them."""

    def write_and_open(data: bytes, name: str = "frame.jpg", **settings: Any) -> Picture:  # noqa: ANN401
        path = tmp_path / name
        path.write_bytes(data)
        return open_picture(path, settings=MeasureSettings(**settings))

    return write_and_open


@pytest.fixture
def encoded() -> Callable[..., bytes]:
    """Return a function that encodes pixels with Pillow, with the EXIF tags given."""

    def encode(pixels: NDArray[Any] | Image.Image, kind: str = "JPEG", **options: Any) -> bytes:  # noqa: ANN401
        tags: dict[int, Any] = options.pop("tags", {})
        picture = pixels if isinstance(pixels, Image.Image) else Image.fromarray(pixels)
        exif = Image.Exif()
        sub = exif.get_ifd(0x8769)
        for tag, value in tags.items():
            # Below 32768 stand the tags of the main directory.
            (exif if tag < 0x8000 else sub)[tag] = value
        if tags:
            options["exif"] = exif
        if kind == "JPEG":
            options.setdefault("quality", 97)
            options.setdefault("subsampling", 0)
        buffer = BytesIO()
        picture.save(buffer, kind, **options)
        return buffer.getvalue()

    return encode
