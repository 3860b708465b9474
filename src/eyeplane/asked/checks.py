"""What a check of the kit gives, whoever asked for it."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from eyeplane.deliver.check_content import CheckContent
from eyeplane.records import to_plain
from eyeplane.store import KitLog, default_store_path

Heard = Callable[[int, int], None]  # told frames done, and how many there are


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CheckDone:
    """A check that was done.

    Attributes
    ----------
    kind : str
        Which check, e.g. "dust".
    result : object
        Its record.
    content : CheckContent
        The same in words and pictures.
    number : int or None
        By which the log has it; None where it was not kept.
    said : tuple of str
        What was remembered for plans, or why nothing was; in the notes of the content too.
    """

    kind: str
    result: object
    content: CheckContent
    number: int | None
    said: tuple[str, ...] = ()


def keep_check(kind: str, kit: str, done_at: datetime, result: object, store: Path | None) -> int:
    """Keep a check in the log.

    Parameters
    ----------
    kind : str
        Which check.
    kit : str
        Whose.
    done_at : datetime
        When, with a time zone.
    result : object
        Its record.
    store : Path or None
        The store; None: the photographer's own.

    Returns
    -------
    int
        By which the log has it.

    Raises
    ------
    StoreError
        If the store cannot be used.
    """
    with KitLog(store or default_store_path()) as log:
        return log.keep(kind, kit, done_at, to_plain(result))
