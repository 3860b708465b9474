"""A plan's card as one self-contained page: to be read on a screen, and printed as one sheet."""

from collections.abc import Iterator
from dataclasses import replace

from eyeplane.deliver.page_file import policy, templates
from eyeplane.deliver.plan_choices import share_line
from eyeplane.deliver.plan_content import CardContent
from eyeplane.deliver.plan_layout import PAPERS_MM, card_sheet
from eyeplane.deliver.plan_picture import Picture
from eyeplane.deliver.sheet_svg import svg
from eyeplane.deliver.sheet_type import iso_kept

TEMPLATE, STYLE = "plan.html.j2", "plan.css.j2"
# Drawn for a phone held at arm's length: 95 mm are its 360 CSS px, type is 12 px.
SCREEN_MM, TYPE_MM = 95.0, 3.2


def page_pieces(content: CardContent, *, paper: str) -> Iterator[str]:
    """Return the page, piece by piece.

    Parameters
    ----------
    content : CardContent
        What stands on the card.
    paper : str
        One of `PAPERS_MM`: what it is printed on.

    Returns
    -------
    iterator of str
        Markup. On a screen it flows as wide as the screen is; printed it is the sheet itself.
    """
    pages = templates()
    style = pages.get_template(STYLE).render(paper_mm=PAPERS_MM[paper])
    return pages.get_template(TEMPLATE).generate(
        card=replace(content, sentence=iso_kept(content.sentence), advice=iso_kept(content.advice)),
        style=style,
        policy=policy(style),
        share_line=svg(share_line(content.choices[0].share), spoken="", kind="scale"),
        main=_drawn(content.main),
        figures=[(picture, _drawn(picture)) for picture in content.pictures],
        sheet=svg(card_sheet(content, paper=paper), spoken="", kind="sheet"),
    )


def _drawn(picture: Picture) -> str:
    return svg(picture.draw(SCREEN_MM, TYPE_MM), spoken=picture.spoken)
