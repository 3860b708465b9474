"""Kits and clients by name: recalled before a plan, remembered after it."""

import datetime
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, cast

from eyeplane.asked.names import check_name
from eyeplane.asked.plan_given import Given
from eyeplane.asked.targets import check_target
from eyeplane.errors import InputError

if TYPE_CHECKING:
    from eyeplane.store import Memory, Remembered
    from eyeplane.store.remembered import Kind


def recall(
    named: Mapping[str, str | None], store: Path | None, *, new: frozenset[str]
) -> dict[str, "Remembered"]:
    """Return what is kept of the kit and the client that were named.

    Parameters
    ----------
    named : mapping of str to (str or None)
        Names of "kit" and "client".
    store : Path or None
        The store; None: the photographer's own.
    new : frozenset of str
        Which of the two may be new, since something is typed that can be kept for it.

    Returns
    -------
    dict
        By kind; without those that are new or not named.

    Raises
    ------
    InputError
        If a name cannot be one, or nothing is kept under it and nothing was typed for it.
    StoreError
        If the store cannot be used.
    """
    asked = {kind: _checked(kind, name) for kind, name in named.items() if name is not None}
    if not asked:
        return {}
    found: dict[str, Remembered] = {}
    with open_memory(store) as memory:
        for kind, name in asked.items():
            one = memory.recall(_kind(kind), name)
            if one is not None:
                found[kind] = one
            elif kind not in new:
                raise unknown(memory, kind, name)
    return found


def remember(
    named: Mapping[str, str | None], given: Given, store: Path | None, *, today: datetime.date
) -> tuple[str, ...]:
    """Keep what was typed for the kit and the client that were named.

    Parameters
    ----------
    named : mapping of str to (str or None)
        Names of "kit" and "client".
    given : Given
        What holds.
    store : Path or None
        The store; None: the photographer's own.
    today : date
        The day.

    Returns
    -------
    tuple of str
        What was kept, a sentence for each.

    Raises
    ------
    StoreError
        If the store cannot be written.
    """
    kept = {
        kind: given.texts("typed", keeps=kind)
        for kind, name in named.items()
        if name is not None and given.texts("typed", keeps=kind)
    }
    if not kept:
        return ()
    said = []
    with open_memory(store) as memory:
        for kind, texts in kept.items():
            name = cast("str", named[kind])
            memory.remember(_kind(kind), name, texts, today=today)
            listed = ", ".join(f"--{one}" for one in texts)
            said.append(f"Remembered for the {kind} {name.strip()}: {listed}.")
    return tuple(said)


def open_memory(store: Path | None) -> "Memory":
    """Return the memory of kits and clients.

    Parameters
    ----------
    store : Path or None
        The store; None: the photographer's own.

    Returns
    -------
    Memory
        Open; a context manager.

    Raises
    ------
    InputError
        If that name is not of a file.
    StoreError
        If it cannot be used.
    """
    from eyeplane.store import Memory, default_store_path  # noqa: PLC0415  only where a name is given

    if store is not None:
        check_target(store, "--store")
    return Memory(store or default_store_path())


def unknown(memory: "Memory", kind: str, name: str) -> InputError:
    """Return the error for a name under which nothing is kept.

    Parameters
    ----------
    memory : Memory
        Where it was looked for.
    kind : str
        "kit" or "client".
    name : str
        The name.

    Returns
    -------
    InputError
        With the names that are known.
    """
    names = memory.names(_kind(kind))
    example = "--focal-length 85mm" if kind == "kit" else "--who 'child 4'"
    hint = f"Name it together with what is to be remembered, like {example}"
    if names:
        hint += f"; remembered are {', '.join(names)}"
    return InputError(
        f"nothing is remembered for the {kind} '{name}'", where=f"--{kind}", hint=hint
    )


def _checked(kind: str, name: str) -> str:
    check_name(name, f"--{kind}")
    return name


def _kind(kind: str) -> "Kind":
    return cast("Kind", kind)
