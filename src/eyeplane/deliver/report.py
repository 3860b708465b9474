"""The report: one page in one file that asks for nothing from outside and works without scripts."""

import base64
import hashlib
import os
import tempfile
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from jinja2 import Environment, PackageLoader, StrictUndefined

from eyeplane.deliver.findings import SHOWN
from eyeplane.deliver.frames import bursts_of, others_of
from eyeplane.deliver.light import dial
from eyeplane.deliver.pages import page_of
from eyeplane.deliver.windows import FACE_MM_PER_CM
from eyeplane.deliver.wording import THIN, plain_text
from eyeplane.errors import InputError
from eyeplane.records import Sitting

if TYPE_CHECKING:
    from collections.abc import Iterator

TEMPLATE, STYLE = "report.html.j2", "report.css"
NARROW = "\u202f"  # narrow space at which no line breaks


def write_report(sitting: Sitting, path: Path, *, note: str = "") -> None:
    """Write a sitting as one self-contained page.

    Parameters
    ----------
    sitting : Sitting
        Measured and answered.
    path : Path
        Where to; written to a temporary file beside it and renamed, so it is whole or not there.
    note : str
        A few words about the sitting, shown under its name.

    Raises
    ------
    InputError
        If the file cannot be written there.

    Notes
    -----
    Names come from strangers: everything is escaped, and the page forbids itself all scripts and
    requests (Content Security Policy Level 3, W3C). Frames are rendered one burst at a time.
    """
    try:
        with tempfile.NamedTemporaryFile(
            "w", encoding="utf-8", dir=path.parent, prefix=f".{path.name}.", delete=False
        ) as file:
            temporary = Path(file.name)
            try:
                file.writelines(_pieces(sitting, note))
                file.flush()
                os.fsync(file.fileno())
            except BaseException:
                temporary.unlink(missing_ok=True)
                raise
        temporary.chmod(0o644)
        temporary.replace(path)
    except OSError as error:
        raise InputError(
            f"the report cannot be written ({error.strerror or error})",
            where=plain_text(str(path)),
            hint="Name a file in a folder that exists and that you may write to",
        ) from error


def _pieces(sitting: Sitting, note: str) -> "Iterator[str]":
    page = page_of(sitting, note)
    pages = _environment()
    digest = _digest(pages.get_template(STYLE).render())
    return pages.get_template(TEMPLATE).generate(
        page=page,
        bursts=bursts_of(sitting, page.enlarged),
        others=others_of(sitting),
        policy=f"default-src 'none'; img-src data:; style-src '{digest}'; base-uri 'none'; "
        "form-action 'none'",
        face_mm_per_cm=FACE_MM_PER_CM,
        shown=SHOWN,
        dial=dial(),
    )


def _digest(style: str) -> str:
    """Return the source expression that allows exactly this style sheet."""
    return "sha256-" + base64.b64encode(hashlib.sha256(style.encode()).digest()).decode("ascii")


@cache
def _environment() -> Environment:
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
        return plain_text(value).replace(THIN, NARROW)  # a number keeps its unit on its line
    return value
