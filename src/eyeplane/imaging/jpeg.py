"""JPEG: the header walked once, then one strict decode into one buffer."""

import struct
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import PurePath
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import JpegImagePlugin

from eyeplane.errors import FrameError
from eyeplane.imaging.decoded import Decoded, check_pixels, damaged
from eyeplane.imaging.exif import load_exif, orientation_of
from eyeplane.imaging.profile import convert_to_srgb, tone_of

SCAN_LIMIT = (
    200  # scans; a whole progressive file has about 10, a decoder can be kept busy by 1000s
)
_FRAME_MARKERS = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_PROGRESSIVE_MARKERS = (0xC2, 0xC6, 0xCA, 0xCE)
_ZIGZAG = (
    "0 1 8 16 9 2 3 10 17 24 32 25 18 11 4 5 12 19 26 33 40 48 41 34 27 20 13 6 7 14 21 28 35 42 "
    "49 56 57 50 43 36 29 22 15 23 30 37 44 51 58 59 52 45 38 31 39 46 53 60 61 54 47 55 62 63"
)
ZIGZAG = np.array([int(n) for n in _ZIGZAG.split()])  # ITU-T T.81 (1992), figure 5


@dataclass(slots=True, kw_only=True)
class JpegHeader:
    """What stands before the first scan.

    Attributes
    ----------
    width_px, height_px : int
        0 until the frame header is found.
    precision : int
        Bits a sample.
    tables_of : tuple of int
        Quantization table number of each component, the first being luma.
    sampling : tuple of (int, int)
        Samples of each component along x and y in the smallest unit of the picture.
    tables : dict
        Quantization tables [v, u] in natural order by number.
    exif : bytes
        TIFF structure of the EXIF segment, empty if there is none.
    profile_parts : dict
        Pieces of the ICC profile by number.
    edited : bool
        Whether a block that only editing programs write is present.
    progressive : bool
        Whether the picture comes in refinements.
    one_scan : bool
        Whether the first scan holds all components, so that a sequential file has no other.
    """

    width_px: int = 0
    height_px: int = 0
    precision: int = 0
    tables_of: tuple[int, ...] = ()
    sampling: tuple[tuple[int, int], ...] = ()
    tables: dict[int, NDArray[np.float64]] = field(default_factory=dict)
    exif: bytes = b""
    profile_parts: dict[int, bytes] = field(default_factory=dict)
    edited: bool = False
    progressive: bool = False
    one_scan: bool = False

    @property
    def profile(self) -> bytes:
        """Return the ICC profile put together.

        Returns
        -------
        bytes
            Empty if there is none.
        """
        return b"".join(self.profile_parts[k] for k in sorted(self.profile_parts))

    @property
    def quantization(self) -> NDArray[np.float64] | None:
        """Return the table of the first component (luma).

        Returns
        -------
        ndarray or None
            [v, u] in natural order; None if the file has none.
        """
        return self.tables.get(self.tables_of[0]) if self.tables_of else None

    @property
    def chroma_quantization(self) -> NDArray[np.float64] | None:
        """Return the table of the colour components, the coarser where there are two.

        Returns
        -------
        ndarray or None
            [v, u] in natural order; None if the file has none.
        """
        tables = [self.tables[n] for n in self.tables_of[1:3] if n in self.tables]
        return max(tables, key=lambda t: float(t.sum())) if tables else None

    @property
    def chroma_steps(self) -> tuple[int, int]:
        """Return how many pixels share one colour sample along x and y.

        Returns
        -------
        tuple of int
            (1, 1) for full resolution and for grey; (2, 1) and (2, 2) are common.
        """
        if len(self.sampling) != 3 or not all(min(s) > 0 for s in self.sampling):
            return 1, 1
        most = [max(s[axis] for s in self.sampling) for axis in (0, 1)]
        least = [min(s[axis] for s in self.sampling[1:]) for axis in (0, 1)]
        return -(-most[0] // least[0]), -(-most[1] // least[1])


def read_header(data: bytes) -> JpegHeader:
    """Return what the segments before the first scan say.

    Parameters
    ----------
    data : bytes
        A JPEG file.

    Returns
    -------
    JpegHeader
        With a size of 0 × 0 if no frame header was found.

    References
    ----------
    ITU-T T.81 (1992), annex B.2.
    """
    header = JpegHeader()
    at = 2
    while at + 4 <= len(data):
        if data[at] != 0xFF:
            at += 1
            continue
        marker = data[at + 1]
        if marker in (0x00, 0x01, 0xFF) or 0xD0 <= marker <= 0xD8:
            at += 1 if marker == 0xFF else 2
            continue
        if marker in (0xD9, 0xDA):
            count = len(header.tables_of)
            header.one_scan = marker == 0xDA and data[at + 4 : at + 5] == bytes([count])
            break
        length = int.from_bytes(data[at + 2 : at + 4], "big")
        _take_segment(header, marker, data[at + 4 : at + 2 + length])
        at += 2 + max(length, 2)
    return header


def _take_segment(header: JpegHeader, marker: int, body: bytes) -> None:
    if marker == 0xDB:
        _take_tables(header, body)
    elif marker in _FRAME_MARKERS and len(body) >= 6 and not header.tables_of:
        header.precision, header.height_px, header.width_px, count = struct.unpack_from(
            ">BHHB", body
        )
        header.progressive = marker in _PROGRESSIVE_MARKERS
        header.tables_of = tuple(body[8 + 3 * i] for i in range(count) if 8 + 3 * i < len(body))
        packed = [body[7 + 3 * i] for i in range(len(header.tables_of))]
        header.sampling = tuple((p >> 4, p & 15) for p in packed)
    elif marker == 0xE1 and body.startswith(b"Exif\0") and not header.exif:
        header.exif = body[6:]
    elif marker == 0xE2 and body.startswith(b"ICC_PROFILE\0") and len(body) > 14:
        header.profile_parts.setdefault(body[12], body[14:])
    elif marker == 0xED or (marker == 0xE1 and b"xmpMM:History" in body):
        header.edited = True  # an image-resource block or a history: cameras write neither


def _take_tables(header: JpegHeader, body: bytes) -> None:
    at = 0
    while at < len(body):
        wide, number = body[at] >> 4, body[at] & 15
        size = 128 if wide else 64
        values = body[at + 1 : at + 1 + size]
        if len(values) < size:
            return
        table = np.zeros(64)
        table[ZIGZAG] = np.frombuffer(values, dtype=">u2" if wide else "u1")
        header.tables[number] = table.reshape(8, 8)
        at += 1 + size


def decode_jpeg(data: bytes, *, path: PurePath, pixel_limit: int) -> Decoded:
    """Return the decoded JPEG.

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
        8 bit, RGB or grey.

    Raises
    ------
    FrameError
        If it is too large, damaged or cut short; every warning of the decoder counts.
    """
    header = read_header(data)
    check_pixels(header.width_px, header.height_px, pixel_limit=pixel_limit, path=path)
    many = header.progressive or not header.one_scan
    if many and data.count(b"\xff\xda") > SCAN_LIMIT:
        raise damaged(path, f"it has more than {SCAN_LIMIT} scans")
    exif = load_exif(header.exif)
    tone, profile = tone_of(header.profile, exif, channels=len(header.tables_of))
    if len(header.tables_of) == 4:
        pixels = _decode_four_inks(data, profile, path)
        tone, profile = tone_of(b"", exif, channels=3)
    else:
        pixels = _decode_strictly(data, header, path)
    return Decoded(
        pixels=pixels,
        orientation=orientation_of(exif, (header.width_px, header.height_px)),
        exif=exif,
        tone=tone,
        profile=profile,
        quantization=header.quantization,
        edited=header.edited,
        chroma_steps=header.chroma_steps,
        chroma_quantization=header.chroma_quantization,
        chroma_smoothed=True,
    )


def _decode_strictly(data: bytes, header: JpegHeader, path: PurePath) -> NDArray[np.uint8]:
    import simplejpeg  # noqa: PLC0415  slow to load for --help

    if header.precision != 8:
        raise FrameError(
            f"this JPEG has {header.precision} bits a sample, which cannot be read",
            where=str(path),
            hint="Save the frame as an ordinary JPEG or a 16-bit TIFF",
        )
    grey = len(header.tables_of) == 1
    try:
        pixels: NDArray[Any] = simplejpeg.decode_jpeg(data, "GRAY" if grey else "RGB", strict=True)
    except (ValueError, MemoryError) as error:
        raise damaged(path, str(error)) from error
    if pixels.shape[:2] != (header.height_px, header.width_px):
        raise damaged(path, "its header and its pixels do not agree")
    return pixels[..., 0] if grey else pixels


def _decode_four_inks(data: bytes, profile: bytes | None, path: PurePath) -> NDArray[np.uint8]:
    try:
        picture = JpegImagePlugin.JpegImageFile(BytesIO(data))
        picture.load()
    except (OSError, SyntaxError, ValueError) as error:
        raise damaged(path, str(error)) from error
    return np.asarray(convert_to_srgb(picture, profile))
