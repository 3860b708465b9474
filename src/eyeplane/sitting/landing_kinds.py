"""Where the pixels of PNG, TIFF, RAW and HEIC files end, read from their own directories."""

import struct
from dataclasses import dataclass
from typing import BinaryIO

DIRECTORY_LIMIT = 64  # directories of a TIFF; RAW files have about ten
ENTRY_LIMIT = 4096  # entries of one directory; a usual one has under a hundred
PIECE_LIMIT = 1 << 20  # strips or tiles of one picture; a usual one has a few thousand
_WIDTHS = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8, 13: 4}
_SUB_DIRECTORIES = (330, 34665)  # SubIFDs, EXIF
# Offsets with their byte counts: strips, tiles, and the older kind of JPEG (TIFF 6.0, 1992).
_PIECES = ((273, 279), (324, 325), (513, 514))


@dataclass(frozen=True, slots=True, kw_only=True)
class Extent:
    """Where the contents of a file lie, as far as it tells itself.

    Attributes
    ----------
    start, end : int
        In bytes; the end is larger than the file while it is being written.
    open_ended : bool
        Whether there may be more behind the end that nothing tells of.
    """

    start: int
    end: int
    open_ended: bool = False


_NOT_YET = Extent(start=0, end=1 << 62)


def png_end(file: BinaryIO, size: int) -> Extent:
    """Return where a PNG ends.

    Parameters
    ----------
    file : file
        Open for reading.
    size : int
        Of the file, bytes.

    Returns
    -------
    Extent
        Ends beyond the file if there is no IEND.

    References
    ----------
    ISO/IEC 15948:2004, section 5.3.
    """
    at = 8
    while at + 12 <= size:
        file.seek(at)
        length, name = struct.unpack(">I4s", file.read(8))
        if not name.isalpha():
            return _NOT_YET
        at += 12 + length
        if name == b"IEND":
            return Extent(start=8, end=at)
    return _NOT_YET


def boxes_end(file: BinaryIO, size: int) -> Extent | None:
    """Return where the last box of a HEIC or of a RAW built like one ends.

    Parameters
    ----------
    file : file
        Open for reading.
    size : int
        Of the file, bytes.

    Returns
    -------
    Extent or None
        None if the last box runs to the end of the file, wherever that is.

    References
    ----------
    ISO/IEC 14496-12:2015, section 4.2.
    """
    at, pixels = 0, False
    while at + 8 <= size:
        file.seek(at)
        length, name = struct.unpack(">I4s", file.read(8))
        if length == 1:
            (length,) = struct.unpack(">Q", file.read(8).ljust(8, b"\xff"))
        elif length == 0 and name == b"\0\0\0\0":  # blanks: to come, or padding
            return Extent(start=0, end=at) if pixels else _NOT_YET
        elif length == 0:
            return None
        if length < 8:
            return None
        pixels = pixels or name == b"mdat"
        at += length
    if at < size or not pixels:
        return _NOT_YET
    return Extent(start=0, end=at)


def tiff_end(file: BinaryIO, size: int, head: bytes) -> Extent | None:
    """Return where the pixels of a TIFF, or of a RAW built like one, end.

    Parameters
    ----------
    file : file
        Open for reading.
    size : int
        Of the file, bytes.
    head : bytes
        Its first bytes.

    Returns
    -------
    Extent or None
        None if it is built otherwise.

    References
    ----------
    TIFF 6.0 (1992), section 2; the head of FUJIFILM RAW files from memory.
    """
    if head.startswith(b"FUJIFILM"):
        file.seek(84)
        told = file.read(24).ljust(24, b"\xff")
        spans = struct.unpack(">6I", told)
        return Extent(start=0, end=max(sum(spans[n : n + 2]) for n in (0, 2, 4)), open_ended=True)
    if head[:2] not in (b"II", b"MM"):
        return None
    if head[2:4] in (b"+\0", b"\0+"):
        return None  # the kind with 64-bit offsets
    walk = _Directories(file, size, "<" if head[:2] == b"II" else ">")
    (first,) = struct.unpack(f"{walk.order}I", head[4:8])
    return walk.extent(first, open_ended=head[2:4] not in (b"*\0", b"\0*"))


class _Directories:
    """The directories of one TIFF, each visited once."""

    def __init__(self, file: BinaryIO, size: int, order: str) -> None:
        self.file, self.size, self.order = file, size, order
        self.end = 0
        self.pictures = False

    def extent(self, first: int, *, open_ended: bool) -> Extent:
        waiting, been = [first], set[int]()
        while waiting and len(been) < DIRECTORY_LIMIT:
            at = waiting.pop()
            if at in been or (at == 0 and been):
                continue
            been.add(at)
            if at < 8 or at + 2 > self.size:
                return _NOT_YET
            following = self.directory(at)
            if following is None:
                return _NOT_YET
            waiting += following
        if not self.pictures:
            return _NOT_YET
        # A RAW has directories of its maker's own, with pictures of which nothing is known here.
        return Extent(start=0, end=self.end, open_ended=open_ended or len(been) > 1)

    def directory(self, at: int) -> list[int] | None:
        self.file.seek(at)
        (count,) = struct.unpack(f"{self.order}H", self.file.read(2))
        if not 0 < count <= ENTRY_LIMIT or at + 6 + 12 * count > self.size:
            return None
        body = self.file.read(12 * count + 4)
        self.end = max(self.end, at + 6 + 12 * count)
        tags: dict[int, tuple[int, ...]] = {}
        for number in range(count):
            tag, kind, many = struct.unpack_from(f"{self.order}HHI", body, 12 * number)
            tags[tag] = self.values(body[12 * number + 8 : 12 * number + 12], kind, many, tag)
        for offsets, counts in _PIECES:
            for start, length in zip(tags.get(offsets, ()), tags.get(counts, ()), strict=False):
                self.pictures = True
                self.end = max(self.end, start + length)
        inner = [place for tag in _SUB_DIRECTORIES for place in tags.get(tag, ())]
        (following,) = struct.unpack(f"{self.order}I", body[-4:])
        return [*inner, following]

    def values(self, field: bytes, kind: int, many: int, tag: int) -> tuple[int, ...]:
        length = _WIDTHS.get(kind, 1) * many
        place = struct.unpack(f"{self.order}I", field)[0] if length > 4 else None
        if place is not None:
            self.end = max(self.end, place + length)
        wanted = tag in _SUB_DIRECTORIES or any(tag in pair for pair in _PIECES)
        code = {3: "H", 4: "I", 13: "I"}.get(kind)
        if not wanted or code is None or many > PIECE_LIMIT:
            return ()
        if place is not None:
            self.file.seek(place)
            field = self.file.read(length)
        if len(field) < length:
            return ()
        return struct.unpack_from(f"{self.order}{many}{code}", field)
