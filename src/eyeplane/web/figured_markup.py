"""Lengths and decimal marks of a whole page: in what is read and read aloud, nowhere else."""

import re

from eyeplane.web.figures import SPREAD_ALONE, Figures

TAG = re.compile(r"(<!--.*?-->|<[a-zA-Z/!][^<>]*>)", re.DOTALL)
# Attributes that are read aloud or shown; no other attribute is touched.
SAID = re.compile(r"(\s(?:aria-label|aria-description|aria-valuetext|alt|title)=\")([^\"]*)(\")")
# Names and what was typed stand in bdi, code and textarea; scripts and styles are no text.
AS_THEY_ARE = frozenset(("bdi", "code", "kbd", "samp", "script", "style", "textarea"))
NAME = re.compile(r"</?([a-zA-Z][\w:-]*)")
UNIT_AT_END = re.compile(r"\d[ \u2009\u202f\u00a0](cm|m)\s*$")


def figured(markup: str, figures: Figures) -> str:
    """Return a page, a piece of one or a drawing with numbers as a visitor is used to them.

    Parameters
    ----------
    markup : str
        HTML or SVG as the templates make it.
    figures : Figures
        The visitor's.

    Returns
    -------
    str
        The same markup: only texts and what is read aloud changed. What stands in an element with
        ``data-as-is`` stays, and so do names (bdi) and what was typed (code, textarea, fields).

    Notes
    -----
    An interval in an element of its own, "35 cm" and then "(30–41)", follows the unit of the
    number before it.

    Examples
    --------
    >>> figured('<b>60 cm</b> <i>(50–69)</i> <bdi>60 cm.jpg</bdi>', Figures(lengths="inch"))
    '<b>24 in</b> <i>(20–27)</i> <bdi>60 cm.jpg</bdi>'
    """
    if figures.as_said:
        return markup
    parts = TAG.split(markup)
    within: list[str] = []  # names of the open elements that are left as they are
    unit = ""
    for index, part in enumerate(parts):
        if index % 2:
            within = _after(part, within)
            if not within:
                parts[index] = SAID.sub(lambda m: m[1] + figures.text(m[2]) + m[3], part)
        elif part.strip() and not within:
            alone = unit and SPREAD_ALONE.fullmatch(part)
            parts[index] = figures.spread(part, unit) if alone else figures.text(part)
            ended = UNIT_AT_END.search(part)
            unit = ended[1] if ended else ""
    return "".join(parts)


def _after(tag: str, within: list[str]) -> list[str]:
    """Return which elements that are left as they are stand open behind a tag."""
    found = NAME.match(tag)
    if found is None:
        return within
    name = found[1].lower()
    if tag.startswith("</"):
        return within[:-1] if within and within[-1] == name else within
    if tag.endswith("/>"):
        return within
    opens = name in AS_THEY_ARE or "data-as-is" in tag or (within and within[-1] == name)
    return [*within, name] if opens else within
