"""Small real pictures with all that cameras put around the pixels."""

import io
import struct

import numpy as np
from PIL import Image


def pixels(seed: int = 1, width_px: int = 160, height_px: int = 120) -> Image.Image:
    """Return noise, so that the coded pixels fill many blocks of the disk."""
    rng = np.random.default_rng(seed)
    return Image.fromarray(rng.integers(0, 256, (height_px, width_px, 3), dtype=np.uint8))


def jpeg(seed: int = 1, *, progressive: bool = False, **size: int) -> bytes:
    """Return a JPEG whose EXIF holds a small JPEG, as cameras write it."""
    small = io.BytesIO()
    pixels(seed + 1, 40, 30).save(small, "JPEG", quality=80)
    thumbnail = small.getvalue()
    # TIFF 6.0 (1992), section 2: an empty first directory, a second with tags 513 and 514.
    first = struct.pack("<2sHIHI", b"II", 42, 8, 0, 14)
    second = struct.pack("<HHHIIHHIII", 2, 513, 4, 1, 44, 514, 4, 1, len(thumbnail), 0)
    exif = b"Exif\0\0" + first + second + thumbnail
    whole = io.BytesIO()
    pixels(seed, **size).save(whole, "JPEG", quality=95, progressive=progressive)
    data = whole.getvalue()
    return data[:2] + b"\xff\xe1" + struct.pack(">H", len(exif) + 2) + exif + data[2:]


def two_pictures(seed: int = 1) -> tuple[bytes, int]:
    """Return a JPEG with a second picture behind it, announced as by CIPA DC-007; its first end."""
    stream = io.BytesIO()
    second = pixels(seed + 7, 80, 60)
    pixels(seed).save(stream, "MPO", quality=95, save_all=True, append_images=[second])
    data = stream.getvalue()
    return data, data.rindex(b"\xff\xd8\xff")


def saved(kind: str, seed: int = 1, **how: object) -> bytes:
    """Return a picture as Pillow saves it."""
    stream = io.BytesIO()
    pixels(seed).save(stream, kind, **how)
    return stream.getvalue()
