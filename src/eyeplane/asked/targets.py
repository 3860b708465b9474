"""Files that a command writes: refused before any work is done, and written whole or not at all."""

import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path

from eyeplane.errors import InputError

PLAIN = ("", ".json", ".html", ".sqlite3", ".txt")  # no pictures, known without loading the list
SQLITE = b"SQLite format 3\0"  # how every such file begins (its documentation, section 1.2)
BESIDE_STORES = ("-wal", "-shm", "-journal")  # what a store in use keeps beside itself
DEVICES = ("/dev", "/dev/fd")  # where names are not of files
PICTURES = (b"\xff\xd8\xff", b"\x89PNG", b"II*\0", b"MM\0*", b"II+\0", b"MM\0+", b"FUJIFILM")


def check_target(path: Path, option: str, endings: Sequence[str] = ()) -> None:
    """Refuse a file that could not or must not be written, before anything is worked out.

    Parameters
    ----------
    path : Path
        Where something is to be written.
    option : str
        The option it was given to.
    endings : sequence of str
        How its name must end; empty: anyhow, but not like a picture.

    Raises
    ------
    InputError
        If it is a folder, lies in none, is called like a picture, has another ending, or is a
        picture or a store of measurements, by whatever name.
    """
    reason = usable_target(path)
    if not reason and endings and path.suffix.lower() not in endings:
        reason = f"its name must end in {' or '.join(endings)}"
    if not reason and not endings and _is_picture(path):
        reason = "that is the name of a picture, and pictures are never written to"
    if not reason and option != "--store":
        reason = _holds(path)
    if reason:
        raise InputError(f"{shown(path)}: {reason}", where=option, hint="Name another file")


def check_apart(named: Mapping[str, Path | None]) -> None:
    """Refuse one file for two things, one of which would be lost.

    Parameters
    ----------
    named : mapping of str to Path or None
        By option what is written to; None and "-" are no files.

    Raises
    ------
    InputError
        If two are the same file, by whatever names.
    """
    seen: dict[Path, str] = {}
    for option, path in named.items():
        if path is None or str(path) == "-":
            continue
        place = path.resolve()
        if place in seen:
            raise InputError(
                f"{seen[place]} and {option} cannot be one file ({shown(path)})",
                where=option,
                hint="Name two files",
            )
        seen[place] = option


def write_text(path: Path, text: str) -> None:
    """Write a file whole or not at all.

    Parameters
    ----------
    path : Path
        The file.
    text : str
        What stands in it.

    Raises
    ------
    InputError
        If it cannot be written.
    """
    beside: Path | None = None
    try:
        with tempfile.NamedTemporaryFile(
            "w", encoding="utf-8", dir=path.parent, prefix=f".{path.name}.", delete=False
        ) as file:
            beside = Path(file.name)
            file.write(text)
        beside.chmod(0o644)
        beside.replace(path)
    except OSError as error:
        if beside is not None:
            beside.unlink(missing_ok=True)
        raise InputError(
            f"cannot be written ({error.strerror or error})",
            where=shown(path),
            hint="Name a file in a folder that you may write to",
        ) from error


def shown(path: Path) -> str:
    r"""Return a file's name that can be shown anywhere.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    str
        What cannot be printed stands as an escape like ``\x1b``.
    """
    return "".join(
        one if one.isprintable() else one.encode("unicode_escape").decode() for one in str(path)
    )


def usable_target(path: Path) -> str:
    """Return why a file cannot be written to, before hours are spent on measuring.

    Parameters
    ----------
    path : Path
        Where something is to be written.

    Returns
    -------
    str
        One reason, or an empty string.
    """
    try:
        if path.is_dir():
            return "that is a folder, not a file"
        if not path.parent.is_dir():
            return "its folder does not exist"
        # A file is put in the place of what has its name: of a device, that would be its end.
        if str(path.absolute().parent) in DEVICES or (path.exists() and not path.is_file()):
            return "that is a device or a pipe, not a file"
    except OSError as error:
        return f"no file can be made there ({error.strerror or error})"
    return ""


def _holds(path: Path) -> str:
    """Return why what a file holds must not be written over, or an empty string."""
    try:
        with path.open("rb") as file:
            start = file.read(16)
    except OSError:
        return ""  # not there, or told by whoever writes it
    if start == SQLITE or path.name.endswith(BESIDE_STORES):
        return "that is a store of measurements, and nothing is written over it"
    if start.startswith(PICTURES) or start[4:8] == b"ftyp":
        return "that is a picture, and pictures are never written to"
    return ""


def _is_picture(path: Path) -> bool:
    if path.suffix.lower() in PLAIN:
        return False
    from eyeplane.imaging.kinds import RAW_SUFFIXES, SUFFIXES  # noqa: PLC0415  loads much

    return path.suffix.lower() in SUFFIXES | RAW_SUFFIXES
