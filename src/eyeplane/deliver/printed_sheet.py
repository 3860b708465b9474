"""Our charts as a file to print: PDF in true scale, areas in black ink alone."""

from pathlib import Path

from eyeplane.deliver.page_file import write_whole
from eyeplane.deliver.sheet import Letters, Sheet
from eyeplane.deliver.sheet_pdf import pdf
from eyeplane.deliver.wording import plain_text
from eyeplane.errors import InputError
from eyeplane.records.printed import PrintedSheet

TITLES = {"chart": "eyeplane chart", "focus": "eyeplane focus target"}


def drawn_sheet(printed: PrintedSheet) -> Sheet:
    """Return a chart as a drawing of the size of its paper.

    Parameters
    ----------
    printed : PrintedSheet
        The chart.

    Returns
    -------
    Sheet
        Its areas in their order, the words over them; the ruler's ink is among the areas.
    """
    sheet = Sheet(width_mm=printed.width_mm, height_mm=printed.height_mm)
    for patch in printed.patches:
        sheet.area(patch.corners_mm, float(patch.level))
    for line in printed.words:
        sheet.words(line.at_mm, line.text, Letters(size_mm=line.size_mm, ink="black"))
    return sheet


def printed_bytes(printed: PrintedSheet) -> bytes:
    """Return a chart as a PDF of one page in true scale.

    Parameters
    ----------
    printed : PrintedSheet
        The chart.

    Returns
    -------
    bytes
        The file.

    Notes
    -----
    The page is as large as the paper, and the file asks print dialogues not to scale it
    (PrintScaling None, ISO 32000-1, section 12.2). Not all obey: the ruler tells. The same chart
    makes the same file, byte for byte.
    """
    title = f"{TITLES[printed.kind]}, {printed.paper}"
    return pdf(drawn_sheet(printed), title=title, true_scale=True)


def write_printed(printed: PrintedSheet, path: Path) -> None:
    """Write a chart as a PDF of one page in true scale.

    Parameters
    ----------
    printed : PrintedSheet
        The chart.
    path : Path
        Where to, ending in .pdf; whole or not there.

    Raises
    ------
    InputError
        If the ending is another, or the file cannot be written there.
    """
    kind = path.suffix.lower()
    if kind != ".pdf":
        raise InputError(
            f"a sheet to print is written as .pdf, not as {kind or 'a file without ending'!r}",
            where=plain_text(str(path)),
            hint="End its name in .pdf",
        )
    write_whole(path, [printed_bytes(printed)], what="the sheet")
