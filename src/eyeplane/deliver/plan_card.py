"""The plan card: one page for the bag, as HTML or as PDF."""

from pathlib import Path

from eyeplane.deliver.page_file import write_whole
from eyeplane.deliver.plan_contents import content_of
from eyeplane.deliver.plan_layout import PAPERS_MM, card_sheet
from eyeplane.deliver.plan_page import page_pieces
from eyeplane.deliver.sheet_pdf import pdf
from eyeplane.deliver.wording import plain_text
from eyeplane.errors import InputError
from eyeplane.records.plans import BurstPlan, GroupPlan, SitterPlan

KINDS = (".html", ".pdf")


def write_card(
    plan: SitterPlan | GroupPlan | BurstPlan, path: Path, *, title: str = "", paper: str = "A5"
) -> None:
    """Write a plan as a card of exactly one page.

    Parameters
    ----------
    plan : SitterPlan, GroupPlan or BurstPlan
        The plan.
    path : Path
        Where to, ending in .html or .pdf; whole or not there.
    title : str
        Whose card it is: a client's name, say.
    paper : str
        "A5", "A4" or "Letter".

    Raises
    ------
    InputError
        If the ending or the paper is another, or the file cannot be written there.

    Notes
    -----
    The same plan makes the same file, byte for byte. Cautions stand on every card; what else has
    no room is named on it.
    """
    _check_paper(paper)
    kind = path.suffix.lower()
    if kind not in KINDS:
        raise InputError(
            f"a card is written as .html or .pdf, not as {kind or 'a file without ending'!r}",
            where=plain_text(str(path)),
            hint="End its name in .html to read it on a screen, in .pdf to print it",
        )
    content = card_bytes(plan, kind=kind, title=title, paper=paper)
    write_whole(path, [content], what="the card")


def card_bytes(
    plan: SitterPlan | GroupPlan | BurstPlan, *, kind: str, title: str = "", paper: str = "A5"
) -> bytes:
    """Return a plan as a card of exactly one page.

    Parameters
    ----------
    plan : SitterPlan, GroupPlan or BurstPlan
        The plan.
    kind : {".html", ".pdf"}
        What it is to be.
    title : str
        Whose card it is: a client's name, say.
    paper : str
        "A5", "A4" or "Letter".

    Returns
    -------
    bytes
        A whole file; the page in UTF-8.

    Raises
    ------
    InputError
        If the paper is another.
    KeyError
        If the kind is another.
    """
    _check_paper(paper)
    content = content_of(plan, title)
    if kind == ".html":
        return "".join(page_pieces(content, paper=paper)).encode()
    if kind != ".pdf":
        raise KeyError(kind)
    name = f"{title}: {content.sentence}" if title else content.sentence
    return pdf(card_sheet(content, paper=paper), title=plain_text(name))


def _check_paper(paper: str) -> None:
    if paper not in PAPERS_MM:
        raise InputError(
            f"no paper is called {plain_text(paper)!r}",
            where="paper",
            hint=f"Choose one of {', '.join(PAPERS_MM)}",
        )
