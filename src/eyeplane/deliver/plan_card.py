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
    if paper not in PAPERS_MM:
        raise InputError(
            f"no paper is called {plain_text(paper)!r}",
            where="paper",
            hint=f"Choose one of {', '.join(PAPERS_MM)}",
        )
    kind = path.suffix.lower()
    if kind not in {".html", ".pdf"}:
        raise InputError(
            f"a card is written as .html or .pdf, not as {kind or 'a file without ending'!r}",
            where=plain_text(str(path)),
            hint="End its name in .html to read it on a screen, in .pdf to print it",
        )
    content = content_of(plan, title)
    if kind == ".html":
        write_whole(path, page_pieces(content, paper=paper), what="the card")
        return
    name = f"{title}: {content.sentence}" if title else content.sentence
    sheet = card_sheet(content, paper=paper)
    write_whole(path, [pdf(sheet, title=plain_text(name))], what="the card")
