"""Links between the pages: every file and every heading that they name is there."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PAGES = sorted((*ROOT.glob("*.md"), *(ROOT / "docs").glob("*.md")))
LINK = re.compile(r"\]\(([^)\s]+)\)")


def anchors(page: Path) -> set[str]:
    """Return the anchors of a page's headings, made as common Markdown readers make them."""
    heads = re.findall(r"^#+ (.+)$", page.read_text("utf-8"), re.MULTILINE)
    plain = (re.sub(r"\[([^]]*)\]\([^)]*\)", r"\1", head).strip().lower() for head in heads)
    return {re.sub(r"[^\w\- ]", "", head).replace(" ", "-") for head in plain}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_links_lead_somewhere(page: Path) -> None:
    lost = []
    for link in LINK.findall(page.read_text("utf-8")):
        if re.match(r"[a-z]+:", link):
            continue
        name, _, anchor = link.partition("#")
        target = (page.parent / name) if name else page
        if not target.exists() or (anchor and anchor not in anchors(target)):
            lost.append(link)
    assert not lost


def test_every_page_stands_in_the_readme_or_the_index() -> None:
    index = (ROOT / "docs" / "how-it-measures.md").read_text("utf-8")
    told = (ROOT / "README.md").read_text("utf-8") + index
    assert [page.name for page in (ROOT / "docs").glob("*.md") if page.name not in told] == []
