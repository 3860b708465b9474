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
    long = len(name) > LONGEST_NAME
    raise InputError(
        f"{name[:20]!a}… ({len(name)} signs) is no name" if long else f"{name!a} is no name",
        where=option,
        hint=f"Give 1 to {LONGEST_NAME} letters, digits, blanks and signs",
    )
