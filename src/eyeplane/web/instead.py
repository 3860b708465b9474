"""Checks as pages tell them: where the other layers name a command, what is done here instead."""

from dataclasses import replace
from functools import cache

from eyeplane.deliver.check_content import CheckContent
from eyeplane.web.words import words_under


def said_here(sentence: str) -> str:
    """Return a sentence without commands.

    Parameters
    ----------
    sentence : str
        As the other layers say it.

    Returns
    -------
    str
        The same for who looks at a page.

    Examples
    --------
    >>> said_here("Plans with --kit use it.")
    "Plans with this kit's name use it."
    """
    for said, here in _pairs():
        sentence = sentence.replace(said, here)
    return sentence


def content_here(content: CheckContent) -> CheckContent:
    """Return what a check tells without commands.

    Parameters
    ----------
    content : CheckContent
        As the other layers say it.

    Returns
    -------
    CheckContent
        The same for who looks at a page.
    """
    return replace(
        content,
        advice=said_here(content.advice),
        sentence=said_here(content.sentence),
        lines=tuple(map(said_here, content.lines)),
        tables=tuple(replace(one, note=said_here(one.note)) for one in content.tables),
        reasons=tuple(
            replace(one, lines=tuple(map(said_here, one.lines))) for one in content.reasons
        ),
        notes=tuple(map(said_here, content.notes)),
    )


@cache
def _pairs() -> tuple[tuple[str, str], ...]:
    found = words_under("instead")
    names = {name.rpartition(".")[0] for name in found}
    pairs = [(found[f"{name}.said"], found[f"{name}.here"]) for name in names]
    return tuple(sorted(pairs, key=lambda pair: -len(pair[0])))  # longer ones hold shorter ones
