"""From a path to bytes: one bounded read that neither blocks nor follows a loop."""

import errno
import os
import stat
from dataclasses import dataclass
from pathlib import Path
from typing import Never

from eyeplane.errors import FrameError

BYTE_LIMIT = 2_000_000_000  # bytes; a 250 MP frame of 3 × 16 bit, uncompressed, is 1.5 GB

_REASONS = {
    errno.ENOENT: ("the file is not there", "Check the path or the card"),
    errno.EACCES: ("the file may not be read", "Give yourself permission to read it"),
    errno.EPERM: ("the file may not be read", "Give yourself permission to read it"),
    errno.ELOOP: ("the link points back at itself", "Remove the link or point it at the frame"),
    errno.ENOTDIR: ("a part of the path is not a folder", "Check the path"),
    errno.ENAMETOOLONG: ("the path is too long", "Move the frame to a shorter path"),
    errno.EISDIR: ("this is a folder, not a frame", "Give the folder itself as the path"),
    errno.EIO: ("the disk or card gave a read error", "Copy the card again"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class FileBytes:
    """A file as it was read.

    Attributes
    ----------
    data : bytes
        All of it.
    mtime_ns : int
        When it was last changed, nanoseconds since 1970.
    """

    data: bytes
    mtime_ns: int


def read_file(path: Path, *, byte_limit: int = BYTE_LIMIT) -> FileBytes:
    """Return the bytes of a regular file.

    Parameters
    ----------
    path : Path
        Where it lies.
    byte_limit : int
        Larger files are refused unread.

    Returns
    -------
    FileBytes
        Bytes and time of change.

    Raises
    ------
    FrameError
        If it is missing, unreadable, no regular file, empty, or too large.

    Notes
    -----
    Pipes and devices are refused by their kind before they are opened, and the open itself does
    not wait, so nothing can hang here.
    """
    try:
        _check_kind(path, path.stat().st_mode)
        handle = os.open(
            path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
        )
        with os.fdopen(handle, "rb") as file:
            status = os.fstat(file.fileno())
            _check_kind(path, status.st_mode)
            _check_size(path, status.st_size, byte_limit)
            data = file.read(status.st_size + 1)
    except OSError as error:
        _refuse(path, error)
    except ValueError as error:  # a path with a NUL in it
        what = f"the path is not valid ({error})"
        raise FrameError(what, where=str(path), hint="Rename the file") from error
    _check_size(path, len(data), byte_limit)
    return FileBytes(data=data, mtime_ns=status.st_mtime_ns)


def _check_kind(path: Path, mode: int) -> None:
    if stat.S_ISDIR(mode):
        raise FrameError(
            "this is a folder, not a frame", where=str(path), hint="Give the folder as the path"
        )
    if not stat.S_ISREG(mode):
        raise FrameError(
            "this is a pipe or device, not a file", where=str(path), hint="Copy the frame to a file"
        )


def _check_size(path: Path, size_bytes: int, byte_limit: int) -> None:
    if size_bytes == 0:
        raise FrameError("the file is empty", where=str(path), hint="Copy it from the card again")
    if size_bytes > byte_limit:
        raise FrameError(
            f"the file has {size_bytes} bytes, more than the {byte_limit} that are read",
            where=str(path),
            hint="Save the frame as a JPEG or a compressed TIFF",
        )


def _refuse(path: Path, error: OSError) -> Never:
    fallback = (f"the file cannot be read ({error.strerror or error})", "Check the disk or card")
    what, hint = _REASONS.get(error.errno or 0, fallback)
    raise FrameError(what, where=str(path), hint=hint) from error
