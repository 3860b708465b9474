"""`eyeplane kit print`: writes a sheet and says how to print, check, mount and photograph it."""

import math
from pathlib import Path

import click

from eyeplane.asked.targets import check_target, shown
from eyeplane.cli.plain_page import Page
from eyeplane.deliver.printed_sheet import write_printed
from eyeplane.kit.chart_design import chart_sheet
from eyeplane.kit.focus_design import focus_sheet
from eyeplane.records.printed import PrintedSheet

MAKERS = {"chart": chart_sheet, "focus": focus_sheet}
NAMES = {"chart": "chart", "focus": "focus target"}
PRINTING = (
    "Print it at 100 % ('actual size'), lying on its side, at the printer's best quality, in black "
    "alone if it offers that, on heavy matt paper: shiny paper mirrors the lamps.",
    "Measure the line with a steel rule: it must be {ruler} mm long. If it is not, print again "
    "without 'fit to page', or tell each check what it measures with --ruler-mm.",
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
        "One stop at a time from wide open to f/16, three frames each, focus set anew before each. "
        "Then 'eyeplane kit chart FOLDER'.",
    ),
    "focus": (
        "Tripod, self-timer or cable, one small focus point on the middle field, from as far as a "
        "sitter would be.",
        "Ten frames at the widest aperture, the focus turned away and set anew before each. Then "
        "'eyeplane kit focus FOLDER'.",
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


def print_command(*, sheet: str, file: Path, paper: str) -> int:
    """Write a sheet and say what to do with it.

    Parameters
    ----------
    sheet : {"chart", "focus"}
        Which.
    file : Path
        Where to.
    paper : str
        What it is printed on.

    Returns
    -------
    int
        Exit status 0.

    Raises
    ------
    InputError
        If the file cannot be written.
    """
    check_target(file, "FILE.pdf", (".pdf",))
    printed = MAKERS[sheet](paper)
    write_printed(printed, file)
    click.echo(_told(printed, file), nl=False)
    return 0


def _told(printed: PrintedSheet, file: Path) -> str:
    page = Page()
    page.say(f"The {NAMES[printed.kind]} for {printed.paper} is in {shown(file)}.")
    ruler = f"{math.dist(*printed.ruler_mm):.0f}"
    page.told("Print and measure it", [text.format(ruler=ruler) for text in PRINTING])
    page.told("Mount it", [MOUNTING[printed.kind]])
    page.told("Photograph it", SHOOTING[printed.kind])
    page.told("Take care", CAUTIONS[printed.kind])
    return page.text()
