"""What a check found, shown as it was asked for: text, page, JSON."""

import json
import sys

from eyeplane.asked.targets import write_text
from eyeplane.cli.check_options import CheckOutputs
from eyeplane.cli.plain_page import Page
from eyeplane.deliver import write_check
from eyeplane.deliver.check_content import CheckContent
from eyeplane.records.check_json import check_json


def show_check(check: str, result: object, content: CheckContent, outputs: CheckOutputs) -> int:
    """Show what a check found.

    Parameters
    ----------
    check : str
        Which check, e.g. "dust".
    result : object
        Its record: what the JSON holds.
    content : CheckContent
        The same in words and pictures.
    outputs : CheckOutputs
        Where it goes.

    Returns
    -------
    int
        Exit status 0.

    Raises
    ------
    InputError
        If a file cannot be written.
    """
    if outputs.page is not None:
        write_check(content, outputs.page)
    if outputs.json_to is not None:
        told = json.dumps(check_json(check, result), indent=1, allow_nan=False) + "\n"
        if outputs.to_screen:
            sys.stdout.write(told)
            return 0
        write_text(outputs.json_to, told)
    sys.stdout.write(check_text(content, why=outputs.why))
    return 0


def check_text(content: CheckContent, *, why: bool = False) -> str:
    """Return what a check tells as plain text.

    Parameters
    ----------
    content : CheckContent
        What it tells.
    why : bool
        Whether to add what stands behind it.

    Returns
    -------
    str
        The answer first; drawings and pictures are on the page only.
    """
    page = Page()
    page.say(content.title)
    page.say(content.over)
    page.head(content.sentence)
    page.say(content.advice, hang=2)
    for line in content.lines:
        page.say(line, indent=2, hang=4)
    for table in content.tables:
        page.head(table.name)
        page.table([table.head, *table.rows])
        page.say(table.note, indent=2, hang=2)
    if why:
        for reason in content.reasons:
            page.told(reason.name, reason.lines)
    page.told("Take care", content.cautions)
    page.told("Notes", content.notes)
    return page.text()
