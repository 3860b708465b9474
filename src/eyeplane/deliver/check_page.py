"""A check of the kit or a ladder as one page in one file, for any screen and for paper."""

import base64
from pathlib import Path
from typing import Any

from eyeplane.deliver.check_content import CheckContent, CheckDrawing, CheckPicture
from eyeplane.deliver.page_file import policy, templates, write_whole
from eyeplane.deliver.sheet_svg import svg

TEMPLATE, STYLES = "check.html.j2", ("check_page.css", "check.css")
SCREEN_MM, TYPE_MM = 95.0, 3.2  # as for a phone at arm's length: 95 mm are its 360 CSS px
WIDE_MM = 170.0  # the first drawing on a desk: twice as wide, its type the same
PNG_START = b"\x89PNG\r\n\x1a\n"  # ISO/IEC 15948, 5.2


def write_check(content: CheckContent, path: Path) -> None:
    """Write what a check tells as one self-contained page.

    Parameters
    ----------
    content : CheckContent
        What it tells.
    path : Path
        Where to, ending in .html; whole or not there.

    Raises
    ------
    InputError
        If the file cannot be written there.
    """
    pages = templates()
    source = "".join(pages.loader.get_source(pages, one)[0] for one in STYLES if pages.loader)
    pieces = pages.get_template(TEMPLATE).generate(
        **check_parts(content), style=source, policy=policy(source)
    )
    write_whole(path, pieces, what="the page")


def check_parts(content: CheckContent) -> dict[str, Any]:
    """Return what the templates "check_body.html.j2" and "check_notes.html.j2" show of a check.

    Parameters
    ----------
    content : CheckContent
        What it tells.

    Returns
    -------
    dict
        "content"; "drawings" and "wide" (the first once more, for a desk) as SVG; "pictures" as
        data addresses. Their style is "check.css".
    """
    return {
        "content": content,
        "drawings": [(one, _drawn(one, SCREEN_MM)) for one in content.drawings],
        "wide": _drawn(content.drawings[0], WIDE_MM) if content.drawings else "",
        "pictures": [(one, _picture(one)) for one in content.pictures],
    }


def _drawn(drawing: CheckDrawing, width_mm: float) -> str:
    return svg(drawing.draw(width_mm, TYPE_MM), spoken=drawing.spoken)


def _picture(picture: CheckPicture) -> str:
    kind = "png" if picture.image.startswith(PNG_START) else "jpeg"
    return f"data:image/{kind};base64,{base64.b64encode(picture.image).decode('ascii')}"
