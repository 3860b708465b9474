"""Names that a photographer gives to kits and clients."""

from eyeplane.errors import InputError

LONGEST_NAME = 80  # characters; longer ones are a slip of the clipboard


def check_name(name: str | None, option: str) -> None:
    """Refuse what can be no name.

    Parameters
    ----------
    name : str or None
        As typed; None: nothing was.
    option : str
        The option it was given to.

    Raises
    ------
    InputError
        If it is empty, too long, or has signs that cannot be shown.
    """
    if name is None or (name.strip() and name.isprintable() and len(name) <= LONGEST_NAME):
        return
    raise InputError(
        f"{quoted(name) if len(name) > LONGEST_NAME else ascii(name)} is no name",
        where=option,
        hint=f"Give 1 to {LONGEST_NAME} letters, digits, blanks and signs",
    )


def quoted(name: str) -> str:
    """Return a name as it is read back: what cannot be shown written out, a page of it cut.

    Parameters
    ----------
    name : str
        As typed.

    Returns
    -------
    str
        In quotes.

    Examples
    --------
    >>> quoted("Übung 1")
    "'Übung 1'"
    >>> quoted("x" * 10_000)
    "'xxxxxxxxxxxxxxxxxxxx'… (10000 signs)"
    """
    if len(name) > LONGEST_NAME:
        return f"{name[:20]!a}… ({len(name)} signs)"
    return f"'{name}'" if name.isprintable() else ascii(name)
