"""Red, green and blue of a window in linear light, at the resolution that all three have.

Arrays are [y, x, channel]; steps are (x, y).
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from eyeplane.imaging.orient import swaps_axes, upright_view
from eyeplane.imaging.tone import Tone

FINENESS = 16  # table entries for one 8-bit code: averaged codes fall between whole ones
LUMA_OF_CODES = (0.299, 0.587, 0.114)  # JPEG's luma of the codes, ITU-T T.871 (2011), section 7
# Decoders fill in halved colour by a triangle (3/4 and 1/4 of the nearer and the farther sample);
# averaged back over its two pixels each sample then holds 3/4 of itself and 1/8 of each neighbour.
# The inverse of that, 2^0.5 * (8^0.5 - 3)^|n|, cut where it is below a thousandth:
TRIANGLE_INVERSE = np.sqrt(2.0) * (np.sqrt(8.0) - 3.0) ** np.abs(np.arange(-4, 5))


def channel_tables(tone: Tone, levels: int) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Return linear light of each channel for every code, 1 at the file's white, and its slope.

    Parameters
    ----------
    tone : Tone
        How codes turn into light.
    levels : int
        256 or 65536; for 256 the table is `FINENESS` times finer than the codes.

    Returns
    -------
    tuple of (ndarray, ndarray)
        Light, and its change for one code; both float32 [3, entries].
    """
    entries = (levels - 1) * FINENESS + 1 if levels == 256 else levels
    weights = np.array(tone.weights)[:, None]
    light = np.asarray(tone.tables(entries) / np.maximum(weights, 1e-6), dtype=np.float32)
    fineness = (entries - 1) // (levels - 1)
    return light, np.asarray(np.gradient(light, axis=1) * fineness, dtype=np.float32)


def first_whole(orientation: int, stored: tuple[int, ...], step: int) -> tuple[int, int]:
    """Return where the first whole cell of step × step stored pixels begins, seen upright.

    Parameters
    ----------
    orientation : int
        EXIF Orientation.
    stored : tuple of int
        (rows, columns) as stored.
    step : int
        Side of a cell in pixels.

    Returns
    -------
    tuple of int
        (x, y) in the upright frame, each below `step`: other than 0 only in a turned or mirrored
        frame that does not hold a whole number of cells.
    """
    corner = int(upright_view(np.arange(4).reshape(2, 2), orientation)[0, 0])
    x, y = (stored[1] % step) * (corner % 2), (stored[0] % step) * (corner // 2)
    return (y, x) if swaps_axes(orientation) else (x, y)


def averaged_codes(
    piece: NDArray[Any], *, step: int, halved: tuple[bool, bool]
) -> NDArray[np.float32]:
    """Return codes at the resolution of the colour samples, with the decoder's filling-in undone.

    Parameters
    ----------
    piece : ndarray
        Of uint8 [y, x, 3], sides multiples of `step`, beginning with a whole cell.
    step : int
        Pixels for one colour sample.
    halved : tuple of bool
        Whether colour was halved along x and y and filled in by a triangle.

    Returns
    -------
    ndarray
        Of float32 [y, x, 3], in codes.

    References
    ----------
    ITU-T T.871 (2011), section 7, for the luma of codes; the triangle is libjpeg's, from memory.
    """
    import cv2  # noqa: PLC0415  slow to load for --help

    height, width = piece.shape[0] // step, piece.shape[1] // step
    codes = cv2.resize(piece.astype(np.float32), (width, height), interpolation=cv2.INTER_AREA)
    if any(halved):
        luma = (codes @ np.array(LUMA_OF_CODES, np.float32))[..., None]
        one = np.ones(1)
        along, down = (TRIANGLE_INVERSE if h else one for h in halved)
        colour = cv2.sepFilter2D(codes - luma, cv2.CV_32F, along, down)
        codes = np.clip(luma + colour, 0.0, 255.0)
    return np.asarray(codes, dtype=np.float32)


def to_light(
    codes: NDArray[Any], tables: tuple[NDArray[np.float32], NDArray[np.float32]]
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Return linear light and its change for one code.

    Parameters
    ----------
    codes : ndarray
        [y, x, 3]: uint16 as they are, else 8-bit codes, whole or averaged.
    tables : tuple of ndarray
        As `channel_tables` makes them.

    Returns
    -------
    tuple of (ndarray, ndarray)
        Both float32 [channel, y, x].
    """
    deep = codes.dtype == np.uint16
    index = codes if deep else (codes.astype(np.float32) * FINENESS + 0.5).astype(np.int32)
    light, slope = (np.stack([table[c][index[..., c]] for c in range(3)]) for table in tables)
    return light, slope
