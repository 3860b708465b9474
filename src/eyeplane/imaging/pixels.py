"""Fast plain work on arrays of codes [y, x, channel]: shrinking, looking up, converting."""

from io import BytesIO
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms

from eyeplane.imaging.decoded import Decoded


def shrink(pixels: NDArray[Any], scale: float) -> NDArray[Any]:
    """Return pixels area-averaged to a smaller size.

    Parameters
    ----------
    pixels : ndarray
        Of uint8 or uint16, [y, x] or [y, x, 3].
    scale : float
        Below 1.

    Returns
    -------
    ndarray
        Of the same type, sides rounded to whole pixels, at least 1.

    Notes
    -----
    Exact for powers of two; between them the areas overlap by up to a halved pixel.
    """
    import cv2  # noqa: PLC0415  slow to load for --help

    height, width = pixels.shape[:2]
    size = (max(1, round(width * scale)), max(1, round(height * scale)))
    # Halving has a fast path: 24 MP in two steps take a fifth of the time of one.
    while height >= 2 * size[1] and width >= 2 * size[0] and height % 2 == width % 2 == 0:
        height, width = height // 2, width // 2
        pixels = cv2.resize(pixels, (width, height), interpolation=cv2.INTER_AREA)
    return np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA))


def luma_tables(decoded: Decoded) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Return each channel's part of the luma for every code, and its change for one code.

    Parameters
    ----------
    decoded : Decoded
        For its tone, depth and number of channels.

    Returns
    -------
    tuple of (ndarray, ndarray)
        Both float32 [channel, code].
    """
    levels = 256 if decoded.pixels.dtype == np.uint8 else 65536
    values = decoded.tone.tables(levels)
    if decoded.pixels.ndim == 2:
        values = values.sum(axis=0, keepdims=True)
    return values, np.gradient(values, axis=1).astype(np.float32)


def look_up(piece: NDArray[Any], tables: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the sum over channels of what the tables hold for their codes.

    Parameters
    ----------
    piece : ndarray
        Of uint8 or uint16, [y, x] or [y, x, 3].
    tables : ndarray
        Of float32 [channel, code].

    Returns
    -------
    ndarray
        Of float32 [y, x].
    """
    if piece.ndim == 2:
        return np.asarray(tables[0][piece])
    if piece.dtype == np.uint8 and piece.size:
        import cv2  # noqa: PLC0415  slow to load for --help

        parts = cv2.LUT(piece, np.ascontiguousarray(tables.T)[None])
        return np.asarray(cv2.transform(parts, np.ones((1, 3), np.float32)), dtype=np.float32)
    result: NDArray[np.float32] = tables[0][piece[..., 0]]
    result += tables[1][piece[..., 1]]
    result += tables[2][piece[..., 2]]
    return result


def brightest(piece: NDArray[Any]) -> NDArray[Any]:
    """Return the largest code of all channels.

    Parameters
    ----------
    piece : ndarray
        [y, x] or [y, x, 3].

    Returns
    -------
    ndarray
        [y, x].
    """
    if piece.ndim == 2:
        return piece
    return np.asarray(np.maximum(np.maximum(piece[..., 0], piece[..., 1]), piece[..., 2]))


def to_srgb(piece: NDArray[np.uint8], profile: bytes) -> NDArray[np.uint8]:
    """Return colours converted for the screen.

    Parameters
    ----------
    piece : ndarray
        Of uint8 [y, x, 3].
    profile : bytes
        ICC profile of its colours.

    Returns
    -------
    ndarray
        Of uint8 [y, x, 3], sRGB; unchanged where the profile cannot be used.
    """
    try:
        transform = ImageCms.buildTransform(
            ImageCms.ImageCmsProfile(BytesIO(profile)), ImageCms.createProfile("sRGB"), "RGB", "RGB"
        )
        converted = ImageCms.applyTransform(Image.fromarray(piece), transform)
    except (ImageCms.PyCMSError, OSError, ValueError):
        return piece  # luma stands; only the look of the colours is less true
    return piece if converted is None else np.array(converted)
