"""Files that a command writes: refused before any work is done, and written whole or not at all."""

import tempfile
from collections.abc import Sequence
from pathlib import Path

from eyeplane.cli.values import usable_target
from eyeplane.errors import InputError

PLAIN = ("", ".json", ".html", ".sqlite3", ".txt")  # no pictures, known without loading the list


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
        If it is a folder, lies in none, is called like a picture, or has another ending.
    """
    reason = usable_target(path)
    if not reason and endings and path.suffix.lower() not in endings:
        reason = f"its name must end in {' or '.join(endings)}"
    if not reason and not endings and _is_picture(path):
        reason = "that is the name of a picture, and pictures are never written to"
    if reason:
        raise InputError(f"{shown(path)}: {reason}", where=option, hint="Name another file")


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


def _is_picture(path: Path) -> bool:
    if path.suffix.lower() in PLAIN:
        return False
    from eyeplane.imaging.kinds import RAW_SUFFIXES, SUFFIXES  # noqa: PLC0415  loads much

    return path.suffix.lower() in SUFFIXES | RAW_SUFFIXES
