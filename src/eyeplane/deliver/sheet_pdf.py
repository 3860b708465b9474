"""A sheet as a PDF of one page, the same byte for byte whenever it is written."""

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from eyeplane.deliver.sheet import INKS, Disc, Fill, Pen, Shape, Sheet, Words, grey_code
from eyeplane.deliver.sheet_svg import DASH_MM
from eyeplane.deliver.sheet_type import MISSING, lacking, width_mm, with_faces

if TYPE_CHECKING:
    from fpdf import FPDF

POINTS_PER_MM = 72 / 25.4  # PDF 32000-1, section 8.3.2.3: a unit is 1/72 inch
DATED = datetime(2000, 1, 1, tzinfo=UTC)  # nobody's day: the same plan makes the same file
STARTS = {"start": 0.0, "middle": 0.5, "end": 1.0}


def pdf(sheet: Sheet, *, title: str, true_scale: bool = False) -> bytes:
    """Return a sheet as a PDF document.

    Parameters
    ----------
    sheet : Sheet
        What was drawn.
    title : str
        Of the document.
    true_scale : bool
        Whether print dialogues are asked not to scale it (not all of them obey).

    Returns
    -------
    bytes
        One page of the sheet's size; text can be selected, only the signs used are embedded.

    Notes
    -----
    A sign that the type lacks is drawn as an empty square; `lacking` names it.
    """
    from fpdf import FPDF, ViewerPreferences  # noqa: PLC0415  # slow, and for cards only

    page = FPDF(unit="mm", format=(sheet.width_mm, sheet.height_mm))
    page.set_creation_date(DATED)
    page.set_title(title)
    page.set_creator("eyeplane")
    page.set_lang("en")
    page.set_auto_page_break(auto=False)
    page.set_margin(0)
    if true_scale:
        page.viewer_preferences = ViewerPreferences(print_scaling="None")
    with with_faces(page):
        page.add_page()
        for mark in sheet.marks:
            if isinstance(mark, Words):
                _words(page, mark)
            else:
                _drawn(page, mark)
        return bytes(page.output())


def _drawn(page: "FPDF", mark: Shape | Disc) -> None:
    style = _style(page, mark.fill, mark.pen)
    if isinstance(mark, Disc):
        x, y = mark.middle
        page.circle(x=x, y=y, radius=mark.radius_mm, style=style)
    elif mark.closed:
        page.polygon(mark.points, style=style)
    else:
        page.polyline(mark.points, style=style)


def _style(page: "FPDF", fill: Fill | None, pen: Pen | None) -> str:
    if isinstance(fill, int | float):
        page.set_fill_color(grey_code(fill))  # a grey of one number: printed with black ink alone
    elif fill is not None:
        page.set_fill_color(INKS[fill])
    if pen is not None:
        page.set_draw_color(INKS[pen.ink])
        page.set_line_width(pen.width_mm)
        dash, gap = DASH_MM if pen.dashed else (0, 0)
        page.set_dash_pattern(dash=dash, gap=gap)
    return ("D" if pen else "") + ("" if fill is None else "F")


def _words(page: "FPDF", mark: Words) -> None:
    letters = mark.letters
    text = _shown(mark.text)
    x, y = mark.at
    x -= STARTS[letters.anchor] * width_mm(text, letters)
    page.set_font(letters.face, size=letters.size_mm * POINTS_PER_MM)
    page.set_text_color(INKS[letters.ink])
    page.text(x, y, text)


def _shown(text: str) -> str:
    """Return a text as it is set: squares for what the type lacks, right to left where so."""
    from fpdf.bidi import BidiParagraph  # noqa: PLC0415  # slow to load, and needed for cards only

    missing = lacking(text)
    shown = "".join(MISSING if sign in missing else sign for sign in text)
    if shown.isascii() or max(shown) < "\u0590":  # Hebrew: the first script that runs to the left
        return shown
    return BidiParagraph(shown).get_reordered_string()
