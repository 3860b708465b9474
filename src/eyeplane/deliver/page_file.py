"""Files that are handed on: written whole or not at all, and pages that ask for nothing."""

import base64
import hashlib
import os
import tempfile
from collections.abc import Iterable
from functools import cache
from pathlib import Path

from jinja2 import Environment, PackageLoader, StrictUndefined

from eyeplane.deliver.wording import THIN, plain_text
from eyeplane.errors import InputError

NARROW = "\u202f"  # narrow space at which no line breaks


def write_whole(path: Path, pieces: Iterable[str | bytes], *, what: str) -> None:
    """Write a file so that it is whole or not there.

    Parameters
    ----------
    path : Path
        Where to; written to a temporary file beside it and renamed.
    pieces : iterable of str or bytes
        Its content, text as UTF-8.
    what : str
        What it is, for the message.

    Raises
    ------
    InputError
        If the file cannot be written there.
    """
    try:
        with tempfile.NamedTemporaryFile(
            "wb", dir=path.parent, prefix=f".{path.name}.", delete=False
        ) as file:
            temporary = Path(file.name)
            try:
                for piece in pieces:
                    file.write(piece.encode() if isinstance(piece, str) else piece)
                file.flush()
                os.fsync(file.fileno())
            except BaseException:
                temporary.unlink(missing_ok=True)
                raise
        temporary.chmod(0o644)
        temporary.replace(path)
    except OSError as error:
        raise InputError(
            f"{what} cannot be written ({error.strerror or error})",
            where=plain_text(str(path)),
            hint="Name a file in a folder that exists and that you may write to",
        ) from error


def policy(style: str) -> str:
    """Return the policy of a page without scripts and requests.

    Parameters
    ----------
    style : str
        Its one style sheet, as it stands in the page.

    Returns
    -------
    str
        For Content-Security-Policy (Level 3, W3C): that style sheet, pictures within, nothing else.
    """
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode("ascii")
    return (
        f"default-src 'none'; img-src data:; style-src 'sha256-{digest}'; base-uri 'none'; "
        "form-action 'none'"
    )


@cache
def templates() -> Environment:
    """Return the pages' templates.

    Returns
    -------
    Environment
        All that is put into a page is escaped; a number keeps its unit on its line.
    """
    return Environment(
        loader=PackageLoader("eyeplane.deliver"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_shown,
    )


def _shown(value: object) -> object:
    if hasattr(value, "__html__"):  # made by the template itself
        return value
    if isinstance(value, float):
        return f"{value:.2f}".rstrip("0").rstrip(".")
    if isinstance(value, str):
        return plain_text(value).replace(THIN, NARROW)
    return value
