"""What lies in a watched folder at this moment: quick, since it is asked again and again."""

import os
import stat
from dataclasses import dataclass
from pathlib import PurePath

from eyeplane.imaging import SUFFIXES
from eyeplane.sitting.scan import SYSTEM_FOLDERS


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """What tells whether a file has changed.

    Attributes
    ----------
    size_bytes, mtime_ns : int
        Size and time of last change.
    identity : tuple of int or None
        What stays the same when it is renamed; None where files carry no number.
    """

    size_bytes: int
    mtime_ns: int
    identity: tuple[int, int] | None

    def same(self, other: "Mark") -> bool:
        """Return whether the file stands as it stood.

        Parameters
        ----------
        other : Mark
            An earlier or later one.

        Returns
        -------
        bool
            By size and time; a disk that was away comes back with other numbers.
        """
        return (self.size_bytes, self.mtime_ns) == (other.size_bytes, other.mtime_ns)


@dataclass(frozen=True, slots=True, kw_only=True)
class Walk:
    """What a walk through a folder found.

    Attributes
    ----------
    files : dict
        Mark by path, of files with a picture's name.
    closed : tuple of str
        Inner folders that could not be looked into.
    device : int
        Number of the disk that the folder lies on.
    outside : tuple of str
        Links that lead out of the folder: what they lead to is not met.
    """

    files: dict[str, Mark]
    closed: tuple[str, ...]
    device: int
    outside: tuple[str, ...] = ()


def is_frame_name(name: str) -> bool:
    """Return whether a file of this name is a frame.

    Parameters
    ----------
    name : str
        Without its folder.

    Returns
    -------
    bool
        False for hidden and temporary files, and for suffixes that no picture has.

    Examples
    --------
    >>> is_frame_name("A.JPG"), is_frame_name("._A.JPG"), is_frame_name("A.JPG.part")
    (True, False, False)
    """
    return not name.startswith((".", "~")) and PurePath(name).suffix.lower() in SUFFIXES


def is_watched(path: str, top: str) -> bool:
    """Return whether a walk from `top` would meet this file.

    Parameters
    ----------
    path : str
        A file.
    top : str
        The folder that is watched.

    Returns
    -------
    bool
        False for what is not a frame's name, lies in a hidden or system folder, or out of `top`.
    """
    inner = PurePath(os.path.relpath(path, top)).parts
    if not inner or inner[0] == "..":
        return False
    aside = any(_is_aside(one) for one in inner[:-1])
    return is_frame_name(inner[-1]) and not aside and lies_within(path, top)


def lies_within(path: str, top: str) -> bool:
    """Return whether a path leads into a folder, wherever links on its way lead.

    Parameters
    ----------
    path : str
        A file, which may be gone, or a folder.
    top : str
        The folder; it may be a link itself.

    Returns
    -------
    bool
        False also for what cannot be told.

    Notes
    -----
    Whoever may put files into a watched folder, a card or a share, could else have any picture of
    this machine shown by a link.
    """
    try:
        inside = os.path.normcase(os.path.realpath(top))
        return os.path.commonpath((os.path.normcase(os.path.realpath(path)), inside)) == inside
    except (OSError, ValueError):  # no path, or of another drive
        return False


def mark_of(path: str, top: str | None = None) -> Mark | None:
    """Return how a file stands.

    Parameters
    ----------
    path : str
        The file.
    top : str or None
        The folder that it must lie in; None: any.

    Returns
    -------
    Mark or None
        None if there is no regular file that can be asked, or a link leads out of the folder.
    """
    if top is not None and not lies_within(path, top):
        return None
    try:
        status = os.stat(path)  # noqa: PTH116  asked thousands of times
    except (OSError, ValueError):
        return None
    return _mark(status) if stat.S_ISREG(status.st_mode) else None


def walk_folder(top: str) -> Walk:
    """Return what lies in a folder and in all folders in it.

    Parameters
    ----------
    top : str
        The folder.

    Returns
    -------
    Walk
        Each file once, also where links lead to it twice; links out of the folder are not
        followed.

    Raises
    ------
    OSError
        If the folder itself cannot be listed.
    """
    device = os.stat(top).st_dev  # noqa: PTH116  as above
    files: dict[str, Mark] = {}
    links: dict[str, Mark] = {}
    closed: list[str] = []
    outside: list[str] = []
    stack, been = [top], set[object]()
    while stack:
        folder = stack.pop()
        try:
            with os.scandir(folder) as found:
                entries = sorted(found, key=lambda entry: entry.name)
        except OSError:
            if folder == top:
                raise
            closed.append(folder)
            continue
        out = {e.path for e in entries if _is_link(e) and not lies_within(e.path, top)}
        entries = [entry for entry in entries if entry.path not in out]
        inner = [entry for entry in entries if _is_folder(entry)]
        stack += [e.path for e in inner if not _is_aside(e.name) and _first_time(e.path, been)]
        outside += sorted(one for one in out if _counts(one))
        for entry in (e for e in entries if is_frame_name(e.name)):
            mark = _entry_mark(entry)
            if mark is not None:
                (links if entry.is_symlink() else files)[entry.path] = mark
    kept: dict[str, Mark] = {}
    known = set[object]()
    for path, mark in (*files.items(), *links.items()):
        if mark.identity is None or mark.identity not in known:
            known.add(mark.identity)
            kept[path] = mark
    return Walk(files=kept, closed=tuple(closed), device=device, outside=tuple(outside))


def _is_aside(name: str) -> bool:
    return name.startswith(".") or name.lower() in SYSTEM_FOLDERS


def _is_link(entry: "os.DirEntry[str]") -> bool:
    junction = getattr(entry, "is_junction", None)  # of Windows; Python 3.12
    return entry.is_symlink() or bool(junction and junction())


def _counts(link: str) -> bool:
    """Return whether there are frames to be missed behind a link."""
    name = PurePath(link).name
    if os.path.isdir(link):  # noqa: PTH112  never raises
        return not _is_aside(name)
    return is_frame_name(name) and os.path.isfile(link)  # noqa: PTH113  as above


def _is_folder(entry: "os.DirEntry[str]") -> bool:
    try:
        return entry.is_dir()
    except OSError:
        return False


def _first_time(path: str, been: set[object]) -> bool:
    """Return whether a folder was not met yet: links may lead in circles."""
    try:
        status = os.stat(path)  # noqa: PTH116  as above
    except OSError:
        return True  # listing it will say why
    identity = (status.st_dev, status.st_ino) if status.st_ino else os.path.realpath(path)
    if identity in been:
        return False
    been.add(identity)
    return True


def _entry_mark(entry: "os.DirEntry[str]") -> Mark | None:
    try:
        status = entry.stat()
    except OSError:
        return None
    return _mark(status) if stat.S_ISREG(status.st_mode) else None


def _mark(status: os.stat_result) -> Mark:
    identity = (status.st_dev, status.st_ino) if status.st_ino else None
    return Mark(size_bytes=status.st_size, mtime_ns=status.st_mtime_ns, identity=identity)
