"""The words of the pages, read once from TOML files."""

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

LANGUAGE = "en"


@cache
def all_words(language: str = LANGUAGE) -> Mapping[str, str]:
    """Return all words of a language.

    Parameters
    ----------
    language : str
        A folder beside this file.

    Returns
    -------
    mapping of str to str
        By "file.key" or "file.section.key".
    """
    found: dict[str, str] = {}
    for file in sorted((files("eyeplane.web.words") / language).iterdir(), key=lambda f: f.name):
        if file.name.endswith(".toml"):
            table = tomllib.loads(file.read_text("utf-8"))
            found.update(_flat(file.name.removesuffix(".toml"), table))
    return found


def words(key: str, /, **parts: object) -> str:
    """Return a sentence or name of the pages.

    Parameters
    ----------
    key : str
        "file.key", e.g. "now.waiting".
    **parts : object
        What stands in its braces. With `count`, "key.one" is taken for 1 where there is one.

    Returns
    -------
    str
        In the language of the pages.

    Raises
    ------
    KeyError
        If there is no such key, or a part is missing.

    Examples
    --------
    >>> words("site.name")
    'eyeplane'
    """
    known = all_words()
    if parts.get("count") == 1 and f"{key}.one" in known:
        key = f"{key}.one"
    return known[key].format_map(parts) if parts else known[key]


def words_under(prefix: str) -> dict[str, str]:
    """Return the words that a script needs, by the rest of their key.

    Parameters
    ----------
    prefix : str
        E.g. "now.script".

    Returns
    -------
    dict of str to str
        Unfilled.
    """
    start = f"{prefix}."
    return {k.removeprefix(start): v for k, v in all_words().items() if k.startswith(start)}


def _flat(start: str, table: Mapping[str, object]) -> dict[str, str]:
    found: dict[str, str] = {}
    for key, value in table.items():
        if isinstance(value, Mapping):
            found.update(_flat(f"{start}.{key}", value))
        else:
            found[f"{start}.{key}"] = str(value)
    return found
