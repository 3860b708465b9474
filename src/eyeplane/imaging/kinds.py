"""Which kind of file it is: told by its first bytes, by its name only where RAW files need it."""

from pathlib import PurePath
from typing import Literal

from eyeplane.errors import FrameError

FileKind = Literal["jpeg", "png", "tiff", "heic", "raw"]

RAW_SUFFIXES = frozenset(
    {
        ".3fr", ".arw", ".cr2", ".cr3", ".crw", ".dcr", ".dng", ".erf", ".fff", ".iiq",
        ".kdc", ".mef", ".mos", ".mrw", ".nef", ".nrw", ".orf", ".pef", ".raf", ".raw",
        ".rw2", ".rwl", ".sr2", ".srf", ".srw", ".x3f",
    }
)  # fmt: skip
SUFFIXES = RAW_SUFFIXES | {
    ".heic", ".heif", ".hif", ".jpe", ".jpeg", ".jpg", ".png", ".tif", ".tiff",
}  # fmt: skip  # lower case, with the dot

_HEIC_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"}
_RAW_MAGIC = (b"FUJIFILM", b"\0MRM", b"FOVb", b"IIRO", b"IIRS", b"MMOR", b"IIU\0")


def file_kind(data: bytes, path: PurePath) -> FileKind:
    """Return the kind of file that the bytes are.

    Parameters
    ----------
    data : bytes
        The file, or at least its first 16 bytes.
    path : PurePath
        Its name; only the suffix counts, and only to tell a TIFF from a RAW built like one.

    Returns
    -------
    str
        "jpeg", "png", "tiff", "heic" or "raw".

    Raises
    ------
    FrameError
        If it is none of these.
    """
    if data.startswith(b"\xff\xd8\xff"):
        return "jpeg"
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return "png"
    if data[4:8] == b"ftyp":
        return _boxed_kind(data, path)
    if path.suffix.lower() in RAW_SUFFIXES or data.startswith(_RAW_MAGIC):
        return "raw"
    if data[:4] in (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"):
        return "tiff"
    raise FrameError(
        "this is not a picture that can be read",
        where=str(path),
        hint="Frames are JPEG, HEIC, TIFF, PNG or a camera's RAW",
    )


def _boxed_kind(data: bytes, path: PurePath) -> FileKind:
    brand = data[8:12]
    if brand == b"crx ":
        return "raw"
    if brand in _HEIC_BRANDS:
        return "heic"
    raise FrameError(
        "this is a video or another kind of file, not a still",
        where=str(path),
        hint="Frames are JPEG, HEIC, TIFF, PNG or a camera's RAW",
    )
