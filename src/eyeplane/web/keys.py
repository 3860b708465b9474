"""Our own keys: each page's stand in its words file, under [keys.<name>]."""

import re
from dataclasses import dataclass

from eyeplane.web.words import all_words

PRESS = r"\w+\.keys\.\w+\.press"
EVERYWHERE = "site"  # words file of what every page has


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """A key, or several, that do one thing.

    Attributes
    ----------
    name : str
        What scripts and `data-key` call it.
    presses : tuple of str
        As `KeyboardEvent.key` tells them (UI Events KeyboardEvent key Values, W3C).
    shown : tuple of str
        The same as a person reads them.
    does : str
        One sentence.
    """

    name: str
    presses: tuple[str, ...]
    shown: tuple[str, ...]
    does: str


def keys_of(page_name: str) -> tuple[Key, ...]:
    """Return the keys that a page has of its own.

    Parameters
    ----------
    page_name : str
        Name of its words file.

    Returns
    -------
    tuple of Key
        In the order of the file; empty if it has none.
    """
    known = all_words()
    start, end = f"{page_name}.keys.", ".press"
    names = [k[len(start) : -len(end)] for k in known if k.startswith(start) and k.endswith(end)]
    return tuple(_key(page_name, name) for name in names)


def keys_on(page_name: str) -> tuple[Key, ...]:
    """Return all keys that do something on a page.

    Parameters
    ----------
    page_name : str
        Name of its words file.

    Returns
    -------
    tuple of Key
        Its own, then those of every page.
    """
    own = keys_of(page_name) if page_name != EVERYWHERE else ()
    return (*own, *keys_of(EVERYWHERE))


def pages_with_keys() -> tuple[str, ...]:
    """Return the pages that have keys of their own.

    Returns
    -------
    tuple of str
        Names of their words files, sorted.
    """
    found = {k.partition(".keys.")[0] for k in all_words() if re.fullmatch(PRESS, k)}
    return tuple(sorted(found - {EVERYWHERE}))


def _key(page_name: str, name: str) -> Key:
    known = all_words()
    presses = tuple(known[f"{page_name}.keys.{name}.press"].split())
    shown = tuple(known.get(f"site.key_names.{one}", one) for one in presses)
    return Key(name=name, presses=presses, shown=shown, does=known[f"{page_name}.keys.{name}.does"])
