"""`eyeplane kit print`: writes a sheet and says how to print, check, mount and photograph it."""

from pathlib import Path

import click

from eyeplane.asked.sheets import sheet_named, sheet_words
from eyeplane.asked.targets import check_target, shown
from eyeplane.cli.plain_page import Page
from eyeplane.deliver.printed_sheet import write_printed
from eyeplane.records.printed import PrintedSheet


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
    printed = sheet_named(sheet, paper)
    write_printed(printed, file)
    click.echo(_told(printed, file), nl=False)
    return 0


def _told(printed: PrintedSheet, file: Path) -> str:
    page = Page()
    words = sheet_words(printed, how=" with --ruler-mm")
    *shooting, last = words.shooting
    page.say(f"The {words.name} for {printed.paper} is in {shown(file)}.")
    page.told("Print and measure it", words.printing)
    page.told("Mount it", words.mounting)
    page.told("Photograph it", [*shooting, f"{last} Then 'eyeplane kit {printed.kind} FOLDER'."])
    page.told("Take care", words.cautions)
    return page.text()
