"""Sittings that the store knows: opened in the pages, and folders that were only measured."""

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from eyeplane.records import Viewing
from eyeplane.sitting.live_open import key_of
from eyeplane.sitting.run import sitting_name
from eyeplane.sitting.scan import exposure_of
from eyeplane.store import Sittings, default_store_path


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownSitting:
    """A sitting that can be opened.

    Attributes
    ----------
    key : str
        Its name in addresses.
    name : str
        What it is called.
    folder : Path
        Where its frames lie.
    frames : int
        How many are known; a RAW and its JPEG are one.
    used_at : datetime or None
        When it was opened last; of a folder that was only measured, when its newest file was
        changed. None where that is not known.
    opened : bool
        Whether it was ever opened in the pages.
    there : bool
        Whether its folder is there now: a card or a disk may not be plugged in.
    """

    key: str
    name: str
    folder: Path
    frames: int
    used_at: datetime | None
    opened: bool
    there: bool


def known_sittings(store_path: Path | None = None) -> tuple[KnownSitting, ...]:
    """Return the sittings that the store knows.

    Parameters
    ----------
    store_path : Path or None
        The store; None is the user's own.

    Returns
    -------
    tuple of KnownSitting
        The one used last first. A measured folder is listed by itself, unless it lies within a
        sitting that was opened, which holds its frames.

    Raises
    ------
    StoreError
        If the store cannot be used.
    """
    with Sittings(store_path or default_store_path()) as store:
        kept, files = store.all(), store.measured_files()
    folders = _by_folder(files)
    opened = [
        KnownSitting(
            key=one.key,
            name=one.name,
            folder=one.folder,
            frames=max(one.frames, _exposures(_files_within(one.folder, folders))),
            used_at=one.opened_at,
            opened=True,
            there=_there(one.folder),
        )
        for one in kept
    ]
    within = {one.folder for one in kept}
    measured = [
        _measured(folder, found)
        for folder, found in folders.items()
        if not within & {folder, *folder.parents}
    ]
    never = datetime.min.replace(tzinfo=UTC)
    return tuple(sorted((*opened, *measured), key=lambda one: one.used_at or never, reverse=True))


def folder_of(key: str, store_path: Path | None = None) -> Path | None:
    """Return the folder of a sitting.

    Parameters
    ----------
    key : str
        Its name in addresses.
    store_path : Path or None
        The store; None is the user's own.

    Returns
    -------
    Path or None
        None if the store knows no such sitting.

    Raises
    ------
    StoreError
        If the store cannot be used.
    """
    return next((one.folder for one in known_sittings(store_path) if one.key == key), None)


def make_known(folder: Path, *, store_path: Path, name: str, viewing: Viewing) -> str:
    """Return the key of a folder's sitting, listed among the known ones from now on.

    Parameters
    ----------
    folder : Path
        Where its frames lie.
    store_path : Path
        The store.
    name : str
        What it is called, if it was not open before.
    viewing : Viewing
        For which print and from where to answer, if it was not open before.

    Returns
    -------
    str
        Its name in addresses.

    Raises
    ------
    StoreError
        If the store cannot be written.
    """
    with Sittings(store_path) as store:
        return store.open(folder, key=key_of(folder), name=name, viewing=viewing).key


def _by_folder(files: tuple[tuple[str, int], ...]) -> dict[Path, list[tuple[str, int]]]:
    folders: dict[Path, list[tuple[str, int]]] = {}
    for path, mtime_ns in files:
        folders.setdefault(Path(path).parent, []).append((path, mtime_ns))
    return folders


def _files_within(
    folder: Path, folders: dict[Path, list[tuple[str, int]]]
) -> list[tuple[str, int]]:
    """Return the measured files of a folder and of those inside it."""
    return [
        file for one, files in folders.items() if folder in (one, *one.parents) for file in files
    ]


def _exposures(files: list[tuple[str, int]]) -> int:
    return len({exposure_of(path) for path, _ in files})


def _measured(folder: Path, files: list[tuple[str, int]]) -> KnownSitting:
    return KnownSitting(
        key=key_of(folder),
        name=sitting_name([folder]) if _there(folder) else folder.name or str(folder),
        folder=folder,
        frames=_exposures(files),
        used_at=_moment(max(mtime_ns for _, mtime_ns in files)),
        opened=False,
        there=_there(folder),
    )


def _moment(mtime_ns: int) -> datetime | None:
    try:
        return datetime.fromtimestamp(mtime_ns / 1e9, tz=UTC)
    except (OSError, OverflowError, ValueError):
        return None  # a file system that counts from elsewhere


def _there(folder: Path) -> bool:
    try:
        return folder.is_dir()
    except (OSError, ValueError):
        return False
