"""The report: one page in one file that asks for nothing from outside and works without scripts."""

from pathlib import Path
from typing import TYPE_CHECKING

from eyeplane.deliver.findings import SHOWN
from eyeplane.deliver.frames import bursts_of, others_of
from eyeplane.deliver.light import dial
from eyeplane.deliver.page_file import policy, templates, write_whole
from eyeplane.deliver.pages import page_of
from eyeplane.deliver.windows import FACE_MM_PER_CM
from eyeplane.records import Sitting

if TYPE_CHECKING:
    from collections.abc import Iterator

TEMPLATE, STYLE = "report.html.j2", "report.css"


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
    write_whole(path, _pieces(sitting, note), what="the report")


def _pieces(sitting: Sitting, note: str) -> "Iterator[str]":
    page = page_of(sitting, note)
    pages = templates()
    return pages.get_template(TEMPLATE).generate(
        page=page,
        bursts=bursts_of(sitting, page.enlarged),
        others=others_of(sitting),
        policy=policy(pages.get_template(STYLE).render()),
        face_mm_per_cm=FACE_MM_PER_CM,
        shown=SHOWN,
        dial=dial(),
    )
