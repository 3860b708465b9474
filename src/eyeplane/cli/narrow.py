"""Streams that cannot take every sign: terminals of plain ASCII, and disks that are full."""

import codecs
import os
from typing import TextIO

NAME = "eyeplane-plain"
# What a person would type instead where a sign is not to be had.
INSTEAD = {
    "–": "-",
    "—": "-",
    "−": "-",
    "‑": "-",
    "·": "-",
    "×": "x",
    "±": "+-",
    "≈": "~",
    "→": "->",
    "…": "...",
    "°": " deg",
    "µ": "u",
    "μ": "u",
    "²": "2",
    "½": " 1/2",
    "⅓": " 1/3",
    "⅔": " 2/3",
    "’": "'",
    "“": '"',
    "”": '"',
    "\u2009": " ",
    "\u202f": " ",
    "\u00a0": " ",
}


def take_any_text(stream: TextIO) -> None:
    """Make a stream take any text: signs that it has not are written as one would type them.

    Parameters
    ----------
    stream : TextIO
        Standard output or error; one that has no encoding of its own is left as it is.
    """
    codecs.register_error(NAME, _plain)
    reconfigure = getattr(stream, "reconfigure", None)
    if reconfigure is not None:
        reconfigure(errors=NAME)


def drop_the_rest(stream: TextIO) -> None:
    """Let what is still to be written to a stream that failed go nowhere.

    Parameters
    ----------
    stream : TextIO
        A stream of the process: otherwise it would fail once more when the process ends.
    """
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, stream.fileno())
    os.close(nowhere)


def _plain(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    signs = error.object[error.start : error.end]
    return "".join(INSTEAD.get(sign, "?") for sign in signs), error.end
