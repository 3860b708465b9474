"""What is known of a folder's sitting when it is opened: as it was left, or new."""

import hashlib
import importlib.metadata
from dataclasses import dataclass
from pathlib import Path

from eyeplane.records import MeasureSettings, Viewing
from eyeplane.records.live import RunWarning
from eyeplane.sitting.gather import standard_measuring
from eyeplane.sitting.live_journal import SittingJournal
from eyeplane.sitting.run import sitting_name
from eyeplane.store import default_store_path
from eyeplane.store.contents import path_key
from eyeplane.store.sittings import KeptSitting
from eyeplane.store.sittings_frames import KeptFrame

KEY_DIGITS = 10  # of a hash of the folder: two folders alike once in a million sittings


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """A sitting as it was left.

    Attributes
    ----------
    journal : SittingJournal
        Its store, open.
    kept : KeptSitting
        Its name, viewing and what was said of it.
    frames : tuple of KeptFrame
        Its frames.
    read : frozenset of int
        Numbers of those whose readings are there.
    choices : tuple of (frozenset of int, bool)
        Every change of the choice.
    warned : tuple of RunWarning
        Warnings that were said.
    version : str
        Of what answers now.
    """

    journal: SittingJournal
    kept: KeptSitting
    frames: tuple[KeptFrame, ...]
    read: frozenset[int]
    choices: tuple[tuple[frozenset[int], bool], ...]
    warned: tuple[RunWarning, ...]
    version: str


def key_of(folder: Path) -> str:
    """Return the name of a folder's sitting in addresses.

    Parameters
    ----------
    folder : Path
        Where its frames lie.

    Returns
    -------
    str
        Letters and digits that tell nothing of the path; always the same.
    """
    return "s" + hashlib.sha256(path_key(folder)).hexdigest()[:KEY_DIGITS]


def left(
    folder: Path,
    *,
    store_path: Path | None,
    settings: MeasureSettings,
    viewing: Viewing | None,
    name: str | None,
) -> Left:
    """Return the sitting of a folder as it was left, kept from now on if it is new.

    Parameters
    ----------
    folder : Path
        Where its frames lie, or will.
    store_path : Path or None
        The store; None is the user's own.
    settings : MeasureSettings
        By which its frames are measured.
    viewing : Viewing or None
        For which print and from where; None: as it was left, or the standard.
    name : str or None
        What it is called if it is new.

    Returns
    -------
    Left
        Close its journal.

    Raises
    ------
    StoreError
        If the store cannot be used.
    """
    version = standard_measuring().version
    journal = SittingJournal(
        store_path or default_store_path(), settings=settings, measure_version=version
    )
    try:
        kept = journal.open(
            folder,
            key=key_of(folder),
            name=name or sitting_name([folder]),
            viewing=viewing or Viewing(),
        )
        if viewing is not None and viewing != kept.viewing:
            journal.do(lambda store: store.set_viewing(kept.id, viewing))
            kept = journal.open(folder, key=kept.key, name=kept.name, viewing=viewing)
        return Left(
            journal=journal,
            kept=kept,
            frames=journal.do(lambda store: store.frames(kept.id)),
            read=journal.do(
                lambda store: store.numbers_read(
                    kept.id, settings=settings, measure_version=version
                )
            ),
            choices=journal.do(lambda store: store.choices(kept.id)),
            warned=journal.do(lambda store: store.warnings(kept.id)),
            version=f"{importlib.metadata.version('eyeplane')}/{version}",
        )
    except BaseException:
        journal.close()
        raise
