"""Our sheets to print, and what to do with them: print, measure, mount, photograph, take care."""

import math
from dataclasses import dataclass

from eyeplane.errors import InputError
from eyeplane.kit.chart_design import chart_sheet
from eyeplane.kit.focus_design import focus_sheet
from eyeplane.records.printed import PAPERS_MM, PrintedSheet

MAKERS = {"chart": chart_sheet, "focus": focus_sheet}
NAMES = {"chart": "chart", "focus": "focus target"}
PRINTING = (
    "Print it at 100 % ('actual size'), lying on its side, at the printer's best quality, in black "
    "alone if it offers that, on heavy matt paper: shiny paper mirrors the lamps.",
    "Measure the line with a steel rule: it must be {ruler} mm long. If it is not, print again "
    "without 'fit to page', or tell each check what it measures{how}.",
)
MOUNTING = {
    "chart": "Fix it flat all over: spray glue on a stiff board, or taped all round to a pane of "
    "glass. A sheet hung from two corners bows, and bowed corners are out of focus.",
    "focus": "Print it on thick paper (200 g), or glue card behind the middle part only. Cut and "
    "fold it as it says, each fold along a steel rule: it stands by its folds, two wings towards "
    "you and two away, so leave room behind it.",
}
SHOOTING = {
    "chart": (
        "Fill the frame with it, the camera square to it: a small mirror laid flat on its middle "
        "then shows the lens itself in the middle of the finder.",
        "Tripod, self-timer or cable, stabiliser off. Two soft lights of one kind, one from each "
        "side at 45°, equally bright; lowest ISO; paper just below clipping.",
        "One stop at a time from wide open to f/16, three frames each, focus set anew before each.",
    ),
    "focus": (
        "Tripod, self-timer or cable, one small focus point on the middle field, from as far as a "
        "sitter would be.",
        "Ten frames at the widest aperture, the focus turned away and set anew before each.",
    ),
}
LAMPS = (
    "Sandbags on stands and booms, cables taped down; lamps are hot: keep paper and fingers off."
)
CAUTIONS = {
    "chart": (
        LAMPS,
        "A board leaning on a wall slips: fix its foot, above all where children are about.",
    ),
    "focus": (LAMPS, "Cut away from your hand, on a mat, and keep the knife from children."),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetWords:
    """What to do with a sheet.

    Attributes
    ----------
    name : str
        What it is called.
    printing, mounting, shooting : tuple of str
        Sentences in their order.
    cautions : tuple of str
        What to take care of.
    """

    name: str
    printing: tuple[str, ...]
    mounting: tuple[str, ...]
    shooting: tuple[str, ...]
    cautions: tuple[str, ...]


def sheet_named(sheet: str, paper: str) -> PrintedSheet:
    """Return a sheet to print.

    Parameters
    ----------
    sheet : str
        "chart" or "focus".
    paper : str
        "A4", "A3" or "Letter", in any case.

    Returns
    -------
    PrintedSheet
        In true scale.

    Raises
    ------
    InputError
        If there is no such sheet or paper.
    """
    papers = {one.casefold(): one for one in PAPERS_MM}
    if sheet not in MAKERS:
        raise InputError(
            "there is no such sheet", where="the sheet", hint=f"There are {' and '.join(MAKERS)}"
        )
    if paper.casefold() not in papers:
        raise InputError(
            "there is no sheet for this paper", where="the paper", hint="Take A4, A3 or Letter"
        )
    return MAKERS[sheet](papers[paper.casefold()])


def sheet_words(printed: PrintedSheet, *, how: str = "") -> SheetWords:
    """Return what to do with a sheet.

    Parameters
    ----------
    printed : PrintedSheet
        The sheet.
    how : str
        By what a check is told the length of the ruler, e.g. " with --ruler-mm".

    Returns
    -------
    SheetWords
        For its paper.
    """
    ruler = f"{math.dist(*printed.ruler_mm):.0f}"
    return SheetWords(
        name=NAMES[printed.kind],
        printing=tuple(text.format(ruler=ruler, how=how) for text in PRINTING),
        mounting=(MOUNTING[printed.kind],),
        shooting=SHOOTING[printed.kind],
        cautions=CAUTIONS[printed.kind],
    )
