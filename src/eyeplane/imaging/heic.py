"""HEIC, through an optional part of the installation."""

import struct
from io import BytesIO
from pathlib import PurePath

import numpy as np
from PIL import Image

from eyeplane.errors import FrameError
from eyeplane.imaging.decoded import Decoded, check_pixels, damaged
from eyeplane.imaging.exif import load_exif
from eyeplane.imaging.profile import tone_of

_ERRORS = (
    EOFError, IndexError, KeyError, MemoryError, OSError, RuntimeError, SyntaxError, TypeError,
    ValueError, struct.error,
)  # fmt: skip


def decode_heic(data: bytes, *, path: PurePath, pixel_limit: int) -> Decoded:
    """Return the decoded primary picture of a HEIC file.

    Parameters
    ----------
    data : bytes
        The whole file.
    path : PurePath
        For messages.
    pixel_limit : int
        Most pixels allowed.

    Returns
    -------
    Decoded
        8 bit RGB, already upright: the container's own turns are applied by the decoder.

    Raises
    ------
    FrameError
        If the reader is not installed, or the file is too large, damaged or cut short.
    """
    try:
        import pillow_heif  # noqa: PLC0415  optional
    except ImportError as error:
        raise FrameError(
            "HEIC frames need a part that is not installed",
            where=str(path),
            hint="Install it with: pip install 'eyeplane[heic]'",
        ) from error
    try:
        found = pillow_heif.open_heif(BytesIO(data), convert_hdr_to_8bit=True)
        check_pixels(*found.size, pixel_limit=pixel_limit, path=path)
        picture = found.to_pillow()
    except _ERRORS as error:
        raise damaged(path, str(error)) from error
    return _decoded(picture)


def _decoded(picture: Image.Image) -> Decoded:
    exif_bytes = picture.info.get("exif") or b""
    start = 6 if exif_bytes.startswith(b"Exif\0\0") else 0
    exif = load_exif(exif_bytes[start:])
    grey = picture.mode in ("L", "LA")
    pixels = np.asarray(picture.convert("L" if grey else "RGB"))
    profile = picture.info.get("icc_profile") or b""
    tone, colours = tone_of(profile, exif, channels=1 if grey else 3)
    return Decoded(
        pixels=pixels,
        orientation=1,
        exif=exif,
        tone=tone,
        profile=colours,
        chroma_steps=(1, 1) if grey else (2, 2),  # phones and cameras write 4:2:0; from memory
    )
