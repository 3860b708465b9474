"""From paths to frames: which files there are, and which of them are one exposure."""

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from eyeplane.errors import InputError
from eyeplane.imaging import RAW_SUFFIXES, SUFFIXES
from eyeplane.records import FrameReading
from eyeplane.work import unreadable_frame

# Folders that computers and network disks keep for themselves; common practice, no source.
SYSTEM_FOLDERS = frozenset(
    {"$recycle.bin", "system volume information", "@eadir", "#recycle", "__macosx", "lost+found"}
)
JPEG_SUFFIXES = frozenset({".jpg", ".jpeg", ".jpe"})
HEIC_SUFFIXES = frozenset({".heic", ".heif", ".hif"})


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundFrame:
    """One exposure on disk.

    Attributes
    ----------
    path : str
        The file to measure.
    companions : tuple of str
        Further files of the same exposure.
    """

    path: str
    companions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scan:
    """What lies under the given paths.

    Attributes
    ----------
    frames : tuple of FoundFrame
        Path by path as given, in each folder by name, files before folders.
    closed : tuple of FrameReading
        A reading of status "unreadable" for each folder that could not be looked into.
    """

    frames: tuple[FoundFrame, ...]
    closed: tuple[FrameReading, ...]


def scan(paths: Sequence[Path]) -> Scan:
    """Return the frames under files and folders.

    Parameters
    ----------
    paths : sequence of Path
        Files, taken whatever their name; folders, searched with all folders in them for the
        suffixes of pictures. Hidden and system folders and hidden files are left out.

    Returns
    -------
    Scan
        Each file once, however many links lead to it (a link counts only where the file itself
        is not met); always in the same order.

    Raises
    ------
    InputError
        If a path does not exist, or none is given.
    """
    if not paths:
        raise InputError("no path was given", where="paths", hint="Give a folder or a file")
    walk = _Walk()
    for path in paths:
        if not os.path.lexists(path):
            raise InputError(
                "there is no such file or folder", where=str(path), hint="Check the path"
            )
        if _is_folder(path):
            walk.folder(path)
        else:
            walk.file(path)
    return Scan(frames=tuple(_exposures(walk.without_doubles())), closed=tuple(walk.closed))


@dataclass(slots=True)
class _Walk:
    files: list[Path] = field(default_factory=list)
    closed: list[FrameReading] = field(default_factory=list)
    been: set[object] = field(default_factory=set)

    def file(self, path: Path) -> None:
        self.files.append(path)

    def folder(self, top: Path) -> None:
        stack = [top]  # not by recursion: folders may be nested deeper than Python's stack
        while stack:
            folder = stack.pop()
            identity = _identity(folder)
            if identity in self.been:
                continue
            self.been.add(identity)
            try:
                entries = sorted(folder.iterdir(), key=_by_name)
            except OSError as error:
                self.closed.append(_closed_folder(folder, error))
                continue
            seen = [entry for entry in entries if not entry.name.startswith(".")]
            inner = [entry for entry in seen if _is_folder(entry)]
            self.files += [
                one for one in seen if one.suffix.lower() in SUFFIXES and not _is_folder(one)
            ]
            stack += [e for e in reversed(inner) if e.name.lower() not in SYSTEM_FOLDERS]

    def without_doubles(self) -> list[Path]:
        kept: dict[object, int] = {}
        links = [os.path.islink(path) for path in self.files]  # noqa: PTH114  as below
        for number in sorted(range(len(self.files)), key=lambda n: links[n]):
            kept.setdefault(_identity(self.files[number]), number)
        return [self.files[number] for number in sorted(kept.values())]


def exposure_of(path: str | Path) -> str:
    """Return what the files of one exposure have in common.

    Parameters
    ----------
    path : str or Path
        A RAW, a JPEG, a HEIC; any other kind of picture is an exposure of its own.

    Returns
    -------
    str
        Folder and name without suffix, capitals not told apart; of other kinds the whole path.

    Examples
    --------
    >>> exposure_of("/set/A1.JPG") == exposure_of("/set/a1.nef") != exposure_of("/set/a1.png")
    True
    """
    path = Path(path)
    folder = os.path.abspath(path.parent)  # noqa: PTH100  links are not to be resolved
    name = path.stem.casefold() if _rank(path) < len(_RANKS) else path.name
    return os.path.join(folder, name)  # noqa: PTH118  a text, not a path to open


def same_exposure(one: str | Path, other: str | Path) -> bool:
    """Return whether two files are of one exposure.

    Parameters
    ----------
    one, other : str or Path
        Their paths.

    Returns
    -------
    bool
        True for a RAW and its JPEG, and for a file and itself; two files of one kind (a.jpg and
        A.JPG) are two pictures.

    Examples
    --------
    >>> same_exposure("/set/a1.jpg", "/set/a1.nef"), same_exposure("/set/a.jpg", "/set/A.JPG")
    (True, False)
    """
    one, other = Path(one), Path(other)
    if exposure_of(one) != exposure_of(other):
        return False
    return one.name == other.name or _kind(one) != _kind(other)


def file_rank(path: str | Path) -> int:
    """Return which of an exposure's files is measured where several are there: the lowest.

    Parameters
    ----------
    path : str or Path
        The file.

    Returns
    -------
    int
        0 for a JPEG, then HEIC, then RAW, then everything else.

    Examples
    --------
    >>> file_rank("a.JPG"), file_rank("a.nef")
    (0, 2)
    """
    return _rank(Path(path))


def _is_folder(path: Path) -> bool:
    return os.path.isdir(path)  # noqa: PTH112  Path's own raises where one may not look


def _by_name(path: Path) -> tuple[str, str]:
    return path.name.casefold(), path.name


def _identity(path: Path) -> object:
    """Return what is the same for all names of one file, also where files carry no number."""
    try:
        status = path.stat()
    except (OSError, ValueError):
        return os.path.abspath(path)  # noqa: PTH100  a broken link stands for itself
    if status.st_ino:
        return status.st_dev, status.st_ino
    return os.path.realpath(path)


def _closed_folder(folder: Path, error: OSError) -> FrameReading:
    reason = (
        f"this folder cannot be looked into ({error.strerror or error}), so frames in it are not "
        "counted. Give yourself permission to read it."
    )
    return unreadable_frame(str(folder), reason)


def _exposures(files: Sequence[Path]) -> Iterator[FoundFrame]:
    groups: dict[object, list[Path]] = {}
    for number, path in enumerate(files):
        folder = os.path.abspath(path.parent)  # noqa: PTH100  links are not to be resolved
        pairs = _rank(path) < len(_RANKS)
        key: object = (folder, path.stem.casefold()) if pairs else number
        groups.setdefault(key, []).append(path)
    for group in groups.values():
        first, *rest = sorted(group, key=_rank)  # stable: by name within a rank
        # Two files of one kind (a.jpg and A.JPG) are two pictures, not one exposure.
        single = [p for p in rest if _rank(p) == _rank(first) and _kind(p) == _kind(first)]
        companions = tuple(str(p) for p in rest if p not in single)
        yield FoundFrame(path=str(first), companions=companions)
        for path in single:
            yield FoundFrame(path=str(path), companions=())


_RANKS = (JPEG_SUFFIXES, HEIC_SUFFIXES, RAW_SUFFIXES)


def _rank(path: Path) -> int:
    suffix = path.suffix.lower()
    return next((n for n, kinds in enumerate(_RANKS) if suffix in kinds), len(_RANKS))


def _kind(path: Path) -> str:
    return "jpeg" if _rank(path) == 0 else path.suffix.lower()
