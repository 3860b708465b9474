"""Whether a file that is being written is all there, told by its structure.

The answer is for how long the file must have stood still to be taken: not at all where its own end
is seen, long where its end is missing. Nothing here changes a file or keeps it open.
"""

import struct
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import numpy as np

from eyeplane.errors import FrameError
from eyeplane.imaging import file_kind
from eyeplane.sitting.landing_kinds import Extent, boxes_end, png_end, tiff_end

# Each: common practice, no source. A writer's pauses within a file were taken from wireless
# transfers, which wait for a retransmission (up to 3 s) but rarely more.
BEHIND_S = 0.3  # after the picture's end, where more stands behind it that nothing announces
PROMISED_S = 1.0  # after the picture's end, where the file announces more than is there
ODD_S = 1.0  # where blank stretches may be pieces that are still to come
UNKNOWN_S = 2.0  # where the kind of file tells nothing about its end
# A picture whose end is missing: a camera that loses the network takes up to half a minute to come
# back, and what sends files gives a connection up after 30 s or more; from memory.
CUT_S = 30.0
TAIL = 65536  # bytes at the end in which the end of a growing picture is looked for
BLOCK = 4096  # bytes; disks and file systems hand out whole blocks of this size


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What a look into a file found.

    Attributes
    ----------
    quiet_s : float
        For how long the file must have stood still to be measured.
    tell_s : float
        For how long it must have stood still before it is called unreadable.
    deeper : bool
        Whether a look at all of it would tell more; worth it once it stands still.
    """

    quiet_s: float
    tell_s: float
    deeper: bool = False

    @property
    def whole(self) -> bool:
        """Return whether its end was seen.

        Returns
        -------
        bool
            False while it is being written, or if it was cut short.
        """
        return self.quiet_s < CUT_S


WHOLE = Look(quiet_s=0.0, tell_s=0.0)
CUT = Look(quiet_s=CUT_S, tell_s=CUT_S)
_ODD = Look(quiet_s=ODD_S, tell_s=CUT_S)
_UNKNOWN = Look(quiet_s=UNKNOWN_S, tell_s=CUT_S)
_BEHIND = Look(quiet_s=BEHIND_S, tell_s=UNKNOWN_S)
_PROMISED = Look(quiet_s=PROMISED_S, tell_s=CUT_S)


def look_into(path: str, *, deep: bool = False) -> Look:
    """Return for how long a file must have stood still to be taken.

    Parameters
    ----------
    path : str
        The file; opened for reading only.
    deep : bool
        Whether to search all of it for the picture's end; otherwise only its last 64 KiB, which
        suits a file that grows.

    Returns
    -------
    Look
        `CUT` also for a file that may not be read yet (some systems lock what is being written),
        is empty, or begins with blanks.

    Notes
    -----
    A JPEG is walked marker by marker up to its scan, so that the end of the small picture inside
    its EXIF is not taken for its own. From there on its end is the first FF D9, which coded
    pixels cannot hold. A whole block of zeros within is a piece that is still missing in a file
    written out of order, though rarely it is a black backdrop: such a file is tried after a
    second, and called unreadable only as late as one without an end.

    References
    ----------
    ITU-T T.81 (1992), annex B; CIPA DC-007 (2009), multi-picture format; ISO/IEC 15948:2004, 5.3;
    TIFF 6.0 (1992), section 2; ISO/IEC 14496-12:2015, 4.2.
    """
    try:
        with Path(path).open("rb") as file:
            head = file.read(32)
            size = file.seek(0, 2)
            if not head.strip(b"\0"):
                return CUT
            return _look(file, size, head, path, deep=deep)
    except (OSError, ValueError, struct.error):  # it may shrink while it is read
        return CUT


def _look(file: BinaryIO, size: int, head: bytes, path: str, *, deep: bool) -> Look:
    try:
        kind = file_kind(head, Path(path))
    except FrameError:
        return _UNKNOWN if len(head) == 32 else CUT
    if kind == "jpeg":
        return _look_jpeg(file, size, deep=deep)
    extent = _extent(file, size, head, kind)
    return _UNKNOWN if extent is None else _judged(file, size, extent)


def _extent(file: BinaryIO, size: int, head: bytes, kind: str) -> Extent | None:
    if kind == "png":
        return png_end(file, size)
    return boxes_end(file, size) if head[4:8] == b"ftyp" else tiff_end(file, size, head)


def _judged(file: BinaryIO, size: int, extent: Extent) -> Look:
    if extent.end > size:
        return CUT
    if _has_blank(_read(file, extent.start, extent.end)):
        return _ODD
    if extent.end == size:
        return WHOLE
    # What stands behind the pixels of a RAW may be its own: nothing announces where it ends.
    return Look(quiet_s=ODD_S, tell_s=CUT_S) if extent.open_ended else _BEHIND


def _look_jpeg(file: BinaryIO, size: int, *, deep: bool) -> Look:
    start, promised = _to_scan(file, size)
    if not 0 < start < size:
        return CUT
    if not deep and b"\xff\xd9" not in _read(file, max(start, size - TAIL), size):
        return Look(quiet_s=CUT_S, tell_s=CUT_S, deeper=size - start > TAIL)
    scan = _read(file, start, size)
    length = scan.find(b"\xff\xd9") + 2
    if length < 2:
        return CUT
    if _has_blank(scan[:length], at=start):
        return _ODD
    end = max(start + length, promised)
    if end > size:
        return _PROMISED
    return WHOLE if end == size else _BEHIND


def _to_scan(file: BinaryIO, size: int) -> tuple[int, int]:
    """Return where the coded pixels begin, 0 if that is not reached; and the end it announces."""
    at, promised = 2, 0
    while at + 4 <= size:
        file.seek(at)
        lead, marker, *length = file.read(4)
        if lead != 0xFF:
            return 0, promised  # blanks: a piece of the header is still to come
        if marker == 0xFF:
            at += 1
        elif marker == 0x01 or 0xD0 <= marker <= 0xD8:
            at += 2
        elif marker == 0xD9:
            return 0, promised
        else:
            body = at + 4
            at += 2 + max(2, int.from_bytes(bytes(length), "big"))
            if marker == 0xDA:
                return at, promised
            if marker == 0xE2 and at <= size:
                promised = max(promised, _announced(_read(file, body, at), body))
    return 0, promised


def _announced(segment: bytes, at: int) -> int:
    """Return where the last of several pictures in the file ends, 0 if none is announced."""
    if not segment.startswith(b"MPF\0"):
        return 0
    order = "little" if segment[4:6] == b"II" else "big"

    def number(place: int, size: int = 4) -> int:
        return int.from_bytes(segment[place : place + size], order)  # type: ignore[arg-type]

    directory = 4 + number(8)
    for entry in range(number(directory, 2)):
        place = directory + 2 + 12 * entry
        if number(place, 2) == 0xB002:  # 16 bytes a picture: attributes, size, offset, and others
            first, count = 4 + number(place + 8), number(place + 4) // 16
            places = range(first, min(first + 16 * count, len(segment) - 15), 16)
            ends = [number(p + 4) + number(p + 8) for p in places if number(p + 8)]
            return at + 4 + max(ends, default=-at - 4)
    return 0


def _read(file: BinaryIO, start: int, end: int) -> bytes:
    file.seek(start)
    return file.read(end - start)


def _has_blank(data: bytes, *, at: int = 0) -> bool:
    """Return whether a whole block of the file holds nothing but zeros."""
    skip = -at % BLOCK
    blocks = (len(data) - skip) // BLOCK
    if blocks < 1:
        return False
    words = np.frombuffer(data, np.uint8, blocks * BLOCK, skip).reshape(blocks, BLOCK)
    quick = ~(words[:, 0] | words[:, 1777] | words[:, BLOCK - 1]).astype(bool)
    return bool(quick.any()) and not words[quick].any(axis=1).all()
