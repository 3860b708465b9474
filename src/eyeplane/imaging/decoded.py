"""What every decoder hands over: pixels as stored, and how to read them."""

from dataclasses import dataclass
from pathlib import PurePath
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from eyeplane.errors import FrameError
from eyeplane.imaging.tone import SRGB, Tone


@dataclass(frozen=True, slots=True, kw_only=True)
class Decoded:
    """One decoded picture.

    Attributes
    ----------
    pixels : ndarray
        uint8 or uint16, [y, x] grey or [y, x, 3] RGB, as stored (not yet upright).
    orientation : int
        EXIF Orientation, 1 to 8.
    exif : Image.Exif
        As read; empty where there is none.
    tone : Tone
        Codes to linear luma.
    profile : bytes or None
        The ICC profile where colours need converting for the screen; None for sRGB.
    linear : bool
        Whether the codes are linear light already (RAW).
    quantization : ndarray or None
        Luma JPEG table [v, u], natural order, as stored.
    captured_px : tuple of int or None
        (width, height) of the sensor's picture where the decoder knows it (RAW).
    edited : bool
        Whether a program wrote the file after the camera did.
    chroma_steps : tuple of int
        (x, y): pixels as stored that share one colour sample.
    chroma_quantization : ndarray or None
        As `quantization`, of the colour samples.
    chroma_smoothed : bool
        Whether the decoder filled in halved colour by a triangle.
    """

    pixels: NDArray[Any]
    orientation: int
    exif: Image.Exif
    tone: Tone = SRGB
    profile: bytes | None = None
    linear: bool = False
    quantization: NDArray[np.float64] | None = None
    captured_px: tuple[int, int] | None = None
    edited: bool = False
    chroma_steps: tuple[int, int] = (1, 1)
    chroma_quantization: NDArray[np.float64] | None = None
    chroma_smoothed: bool = False


def check_pixels(width_px: int, height_px: int, *, pixel_limit: int, path: PurePath) -> None:
    """Return if a picture of this size may be decoded.

    Parameters
    ----------
    width_px, height_px : int
        From the header.
    pixel_limit : int
        Most pixels allowed.
    path : PurePath
        For the message.

    Raises
    ------
    FrameError
        If it has no pixels or too many; no memory has been taken yet.
    """
    if width_px <= 0 or height_px <= 0:
        raise damaged(path, f"its header says {width_px} × {height_px} pixels")
    if width_px * height_px > pixel_limit:
        raise FrameError(
            f"the frame has {width_px} × {height_px} pixels, more than the {pixel_limit:,} allowed",
            where=str(path),
            hint="Raise the pixel limit, or save the frame smaller",
        )


def damaged(path: PurePath, why: str) -> FrameError:
    """Return the error for a file that is broken.

    Parameters
    ----------
    path : PurePath
        Which file.
    why : str
        What the decoder found.

    Returns
    -------
    FrameError
        Ready to raise.
    """
    why = " ".join(why.split()).rstrip(".")[:200]
    return FrameError(
        f"the file is damaged or cut short ({why})",
        where=str(path),
        hint="Copy it from the card again",
    )
