"""Whether a PNG or TIFF is all there, where decoders would fill up what is missing."""

import struct
import zlib
from pathlib import PurePath
from typing import Any

from eyeplane.imaging.decoded import damaged

# StripOffsets with StripByteCounts, TileOffsets with TileByteCounts (TIFF 6.0, 1992).
_PIECE_TAGS = ((273, 279), (324, 325))


def check_png(data: bytes, path: PurePath) -> None:
    """Return if every chunk of a PNG is there and unharmed.

    Parameters
    ----------
    data : bytes
        The whole file.
    path : PurePath
        For the message.

    Raises
    ------
    FrameError
        If a chunk is cut short, the end is missing, or a checksum of pixel data is wrong.

    References
    ----------
    ISO/IEC 15948:2004, section 5.3 (chunk layout, CRC).
    """
    view = memoryview(data)
    at = 8
    while at + 12 <= len(data):
        length, name = struct.unpack_from(">I4s", data, at)
        end = at + 12 + length
        if end > len(data):
            break
        if name == b"IEND":
            return
        if name == b"IDAT":
            (told,) = struct.unpack_from(">I", data, end - 4)
            if zlib.crc32(view[at + 4 : end - 4]) != told:
                raise damaged(path, "a checksum of its pixels is wrong")
        at = end
    raise damaged(path, "its end is missing")


def check_tiff(tags: Any, size_bytes: int, path: PurePath) -> None:  # noqa: ANN401  Pillow's directory
    """Return if every strip or tile of a TIFF page lies inside the file.

    Parameters
    ----------
    tags : mapping
        Directory of the page: tag number → values.
    size_bytes : int
        Of the file.
    path : PurePath
        For the message.

    Raises
    ------
    FrameError
        If one lies outside, even in part.
    """
    for offset_tag, count_tag in _PIECE_TAGS:
        offsets, counts = _listed(tags.get(offset_tag)), _listed(tags.get(count_tag))
        if len(counts) not in (0, len(offsets)):
            raise damaged(path, "its directory does not list every piece of the picture")
        for offset, count in zip(offsets, counts, strict=False):
            if offset < 0 or count < 0 or offset + count > size_bytes:
                raise damaged(path, "some of its pixels lie beyond its end")
    _check_rows(tags, path)


def _check_rows(tags: Any, path: PurePath) -> None:  # noqa: ANN401  Pillow's directory
    strips, height = len(_listed(tags.get(273))), int(tags.get(257, 0))
    rows = int(tags.get(278, height) or height)
    if strips and min(rows, height) * strips < height:
        raise damaged(path, "some of its rows are not in the file")


def _listed(values: Any) -> tuple[int, ...]:  # noqa: ANN401  Pillow's one number or many
    if values is None:
        return ()
    return tuple(values) if isinstance(values, tuple | list) else (int(values),)
