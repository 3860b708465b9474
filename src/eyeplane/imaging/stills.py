"""PNG and TIFF: read whole or refused, never filled up; 16 bits are kept."""

import struct
import warnings
import zlib
from io import BytesIO
from pathlib import PurePath
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, PngImagePlugin, TiffImagePlugin

from eyeplane.errors import FrameError
from eyeplane.imaging.decoded import Decoded, check_pixels, damaged
from eyeplane.imaging.exif import orientation_of
from eyeplane.imaging.profile import convert_to_srgb, tone_of
from eyeplane.imaging.whole import check_png, check_tiff

_ERRORS = (
    ArithmeticError, AttributeError, EOFError, IndexError, KeyError, MemoryError, OSError,
    RuntimeError, SyntaxError, TypeError, ValueError, struct.error, zlib.error,
)  # fmt: skip
_GREY_16 = ("I;16", "I;16B", "I;16L")
_UNSUITED = {
    "F": "its pixels are floating-point numbers, of which nobody says where white is",
    "I": "its pixels are 32-bit integers, of which nobody says where white is",
    "LAB": "its colours are stored as CIELAB",
}


def decode_still(data: bytes, kind: str, *, path: PurePath, pixel_limit: int) -> Decoded:
    """Return the decoded PNG or TIFF; of several pages or pictures the first.

    Parameters
    ----------
    data : bytes
        The whole file.
    kind : str
        "png" or "tiff".
    path : PurePath
        For messages.
    pixel_limit : int
        Most pixels allowed.

    Returns
    -------
    Decoded
        8 or 16 bit, RGB or grey; transparency is laid over white.

    Raises
    ------
    FrameError
        If it is too large, damaged, cut short, or of a kind without a defined white.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # Pillow's notes on odd metadata
        try:
            # The readers themselves, since Image.open has a limit of its own that is global.
            reader = PngImagePlugin.PngImageFile if kind == "png" else TiffImagePlugin.TiffImageFile
            picture = reader(BytesIO(data))
            check_pixels(*picture.size, pixel_limit=pixel_limit, path=path)
            if kind == "png":
                check_png(data, path)
            else:
                check_tiff(getattr(picture, "tag_v2", {}), len(data), path)
            deep = _is_deep_colour(picture, data, kind)
            picture.load()
            exif = picture.getexif()
        except _ERRORS as error:
            raise damaged(path, str(error)) from error
        return _decoded(picture, exif, data if deep else b"", path)


def _decoded(picture: Image.Image, exif: Image.Exif, deep: bytes, path: PurePath) -> Decoded:
    if picture.mode in _UNSUITED:
        raise FrameError(
            _UNSUITED[picture.mode], where=str(path), hint="Save the frame with 8 or 16 bits RGB"
        )
    grey = picture.mode in (*_GREY_16, "1", "L", "LA")
    channels = 1 if grey else 4 if picture.mode == "CMYK" else 3
    profile = picture.info.get("icc_profile")
    profile = profile if isinstance(profile, bytes) else b""
    tone, colours = tone_of(profile, exif, channels=channels)
    try:
        pixels = _read_deep(deep, picture.size) if deep else None
        if pixels is None:
            pixels = _pixels(picture, colours)
    except _ERRORS as error:
        raise damaged(path, str(error)) from error
    return Decoded(
        pixels=pixels,
        orientation=orientation_of(exif, picture.size),
        exif=exif,
        tone=tone,
        profile=None if channels == 4 else colours,
    )


def _is_deep_colour(picture: Image.Image, data: bytes, kind: str) -> bool:
    # Pillow brings 16-bit colour down to 8.
    if kind == "png":
        return data[24] == 16 and data[25] in (2, 4, 6)
    bits = getattr(picture, "tag_v2", {}).get(258, ())
    return len(bits) >= 3 and all(b == 16 for b in bits) and picture.mode in ("RGB", "RGBA", "RGBX")


def _read_deep(data: bytes, size: tuple[int, int]) -> NDArray[np.uint16] | None:
    import cv2  # noqa: PLC0415  slow to load for --help

    flags = cv2.IMREAD_UNCHANGED | cv2.IMREAD_IGNORE_ORIENTATION
    pixels = cv2.imdecode(np.frombuffer(data, dtype=np.uint8), flags)
    if pixels is None or pixels.dtype != np.uint16 or pixels.shape[:2] != size[::-1]:
        return None
    if pixels.ndim == 2:
        return np.asarray(pixels)
    colours = pixels[..., 2::-1]  # OpenCV's order is blue, green, red
    if pixels.shape[2] == 4:
        share = pixels[..., 3:].astype(np.float32) / 65535
        colours = (colours * share + 65535 * (1 - share) + 0.5).astype(np.uint16)
    return np.ascontiguousarray(colours)


def _pixels(picture: Image.Image, profile: bytes | None) -> NDArray[Any]:
    if picture.mode in _GREY_16:
        return np.asarray(picture).astype(np.uint16)
    if "transparency" in picture.info or picture.mode in ("LA", "PA", "RGBA", "La", "RGBa"):
        clear = picture.convert("RGBA")
        paper = Image.new("RGBA", clear.size, "white")
        flat = Image.alpha_composite(paper, clear).convert("RGB")
        grey = picture.mode in ("L", "LA", "La", "1")
        return np.asarray(flat.getchannel(0) if grey else flat)
    if picture.mode in ("1", "L"):
        return np.asarray(picture.convert("L"))
    if picture.mode == "CMYK":
        return np.asarray(convert_to_srgb(picture, profile))
    return np.asarray(picture.convert("RGB"))
