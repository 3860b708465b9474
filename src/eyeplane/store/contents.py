"""A file known by what it holds: its hash, and the few numbers that tell it has not changed."""

import hashlib
import os
import stat
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class FileMark:
    """A regular file as the file system tells it.

    Attributes
    ----------
    path : bytes
        Absolute; bytes, since names need not be text.
    size_bytes, mtime_ns : int
        Size and time of last change.
    """

    path: bytes
    size_bytes: int
    mtime_ns: int


def file_mark(path: str | Path) -> FileMark | None:
    """Return what tells whether a file is still the same.

    Parameters
    ----------
    path : str or Path
        The file.

    Returns
    -------
    FileMark or None
        None if there is no regular file that can be asked.
    """
    try:
        status = Path(path).stat()
    except (OSError, ValueError):
        return None
    if not stat.S_ISREG(status.st_mode):
        return None
    return FileMark(path=path_key(path), size_bytes=status.st_size, mtime_ns=status.st_mtime_ns)


def path_key(path: str | Path) -> bytes:
    """Return the absolute path as bytes.

    Parameters
    ----------
    path : str or Path
        A path, absolute or from the working folder.

    Returns
    -------
    bytes
        As the file system has it; links are not resolved.
    """
    return os.fsencode(os.path.abspath(path))  # noqa: PTH100  resolve() would follow links


def content_hash(path: str | Path) -> str:
    """Return the SHA-256 of a file's bytes.

    Parameters
    ----------
    path : str or Path
        The file; opened for reading only.

    Returns
    -------
    str
        64 hexadecimal digits, or "" if it cannot be read to its end.
    """
    try:
        with Path(path).open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except (OSError, ValueError):
        return ""
