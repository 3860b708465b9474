"""Plain text for a terminal or a file: wrapped lines and small tables, 100 columns at most."""

import shutil
import textwrap
from collections.abc import Sequence

WIDTH = 100  # at most, and where the output goes into a file or a pipe
NARROWEST = 40
GAP = "  "
_SPACES = str.maketrans({"\u2009": " ", "\u202f": " ", "\u00a0": " "})


def page_width() -> int:
    """Return how many columns a page takes here.

    Returns
    -------
    int
        Those of the terminal, or what COLUMNS says: 40 to 100; 100 where there is neither.
    """
    return min(max(shutil.get_terminal_size((WIDTH, 24)).columns, NARROWEST), WIDTH)


class Page:
    """Lines of text that grow from top to bottom.

    Attributes
    ----------
    width : int
        Columns that no line goes beyond.
    """

    def __init__(self) -> None:
        self.width = page_width()
        self._lines: list[str] = []

    def say(self, text: str, *, indent: int = 0, hang: int = 0) -> None:
        """Add a paragraph; nothing where the text is empty.

        Parameters
        ----------
        text : str
            Any words; thin spaces become whole ones.
        indent, hang : int
            Columns before the first line, and before those that follow it.
        """
        wrapped = textwrap.wrap(  # breaks at whole spaces alone: a unit stays with its number
            text,
            self.width,
            initial_indent=" " * indent,
            subsequent_indent=" " * max(indent, hang),
            break_on_hyphens=False,
        )
        self._lines += [line.translate(_SPACES) for line in wrapped]

    def head(self, text: str) -> None:
        """Add a blank line and a heading.

        Parameters
        ----------
        text : str
            The heading.
        """
        self._lines.append("")
        self.say(text, hang=2)

    def told(self, heading: str, texts: Sequence[str]) -> None:
        """Add a heading and paragraphs under it; nothing where there are none.

        Parameters
        ----------
        heading : str
            The heading.
        texts : sequence of str
            The paragraphs.
        """
        said = [text for text in texts if text]
        if not said:
            return
        self.head(heading)
        for text in said:
            self.say(text, indent=2, hang=4)

    def table(self, rows: Sequence[Sequence[str]], *, indent: int = 2) -> None:
        """Add a table, as wide as its cells; columns that nobody fills are left out.

        Parameters
        ----------
        rows : sequence of sequence of str
            Cells, row by row, all of one count; the first row heads the columns.
        indent : int
            Columns before it.

        Notes
        -----
        Where it would be wider than the page its last columns go to a line of their own.
        """
        plain = [[cell.translate(_SPACES) for cell in row] for row in rows]
        kept = [n for n in range(len(plain[0])) if any(row[n] for row in plain[1:])]
        widths = {n: max(len(row[n]) for row in plain) for n in kept}
        fit: list[int] = []
        for n in kept:
            if indent + sum(widths[m] + len(GAP) for m in fit) + widths[n] <= self.width:
                fit.append(n)
        for row in plain:
            cells = GAP.join(row[n].ljust(widths[n]) for n in fit)
            self._lines.append((" " * indent + cells).rstrip())
            beyond = [f"{plain[0][n]} {row[n]}" for n in kept if n not in fit and row[n]]
            if beyond and row is not plain[0]:
                self.say("; ".join(beyond), indent=indent + 6, hang=indent + 6)

    def text(self) -> str:
        """Return the page.

        Returns
        -------
        str
            Lines, each ended.
        """
        return "".join(f"{line}\n" for line in self._lines)
