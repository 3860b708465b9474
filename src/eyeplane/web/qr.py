"""An address as a QR code (ISO/IEC 18004), drawn by ourselves: on a page, and in a terminal."""

import segno
from markupsafe import Markup

QUIET = 4  # modules of light ground around it (ISO/IEC 18004, section 5.3.8)
LEVEL = "m"  # about 15 % of it may be covered or torn (level M, same standard)
# Black on white whatever the terminal's colours are, and back to them (ECMA-48, section 8.3.117).
DARK_ON_LIGHT, AS_BEFORE = "\x1b[30;107m", "\x1b[0m"


def qr_svg(address: str, *, name: str) -> Markup:
    """Return a QR code as a drawing for a page.

    Parameters
    ----------
    address : str
        What it leads to.
    name : str
        What the drawing is called when it is read aloud.

    Returns
    -------
    Markup
        SVG of one unit a module, dark on light on any ground, as readers need it.
    """
    rows = _modules(address)
    runs = "".join(
        f"M{QUIET + left} {QUIET + top}h{length}v1h-{length}z"
        for top, row in enumerate(rows)
        for left, length in _runs(row)
    )
    size = len(rows) + 2 * QUIET
    return Markup(  # the name is escaped by format
        '<svg class="qr" role="img" aria-label="{name}" viewBox="0 0 {size} {size}" '
        'shape-rendering="crispEdges"><rect width="{size}" height="{size}" fill="#fff"/>'
        '<path fill="#000" d="{runs}"/></svg>'
    ).format(name=name, size=size, runs=runs)


def qr_text(address: str) -> str:
    """Return a QR code for a terminal.

    Parameters
    ----------
    address : str
        What it leads to.

    Returns
    -------
    str
        Lines of half blocks, two rows of modules each, with the escapes for black on white.
    """
    rows = _modules(address)
    width = len(rows) + 2 * QUIET
    light = [False] * width
    padded = [light] * QUIET + [[False] * QUIET + row + [False] * QUIET for row in rows]
    padded += [light] * QUIET
    if len(padded) % 2:
        padded.append(light)
    lines = (
        "".join(" ▄▀█"[2 * upper + lower] for upper, lower in zip(top, bottom, strict=True))
        for top, bottom in zip(padded[::2], padded[1::2], strict=True)
    )
    return "\n".join(f"{DARK_ON_LIGHT}{line}{AS_BEFORE}" for line in lines)


def _modules(address: str) -> list[list[bool]]:
    return [
        [bool(one) for one in row] for row in segno.make(address, error=LEVEL, micro=False).matrix
    ]


def _runs(row: list[bool]) -> list[tuple[int, int]]:
    """Return where dark modules stand side by side: first one, and how many."""
    found: list[tuple[int, int]] = []
    start: int | None = None
    for place, dark in enumerate([*row, False]):
        if dark and start is None:
            start = place
        elif not dark and start is not None:
            found.append((start, place - start))
            start = None
    return found
