"""The two kits as they were named: remembered, described, or by their frames."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from eyeplane.asked.plan_given import Given, gather
from eyeplane.asked.plan_memory import open_memory
from eyeplane.asked.plan_options import KIT
from eyeplane.asked.plan_request import kit_of
from eyeplane.asked.plan_values import Typed
from eyeplane.asked.targets import shown
from eyeplane.asked.units import NUMBER, tidy
from eyeplane.errors import InputError
from eyeplane.kit.against_chart import with_chart
from eyeplane.kit.against_sides import KitSide
from eyeplane.records import from_plain
from eyeplane.records.kit_chart import ChartResult
from eyeplane.store import KitLog, default_store_path
from eyeplane.store.remembered import Remembered

OPTIONS = {option.name: option for option in KIT}
NAMED = re.compile(rf"({'|'.join(name.replace('-', '[- ]') for name in OPTIONS)})\s*:?\s+(.+)")
# What a bare piece of a description can be: it says by its unit which number it is.
BARE = (
    ("pixels", re.compile(rf"{NUMBER}\s*(mp|megapixels)|\d{{3,}}\s*x\s*\d{{3,}}(\s*px)?")),
    ("sensor", re.compile(rf"{NUMBER}\s*x\s*{NUMBER}(\s*mm)?")),
    ("glass", re.compile(rf"{NUMBER}\s*(um|µm|μm)")),
    ("widest", re.compile(rf"f\s*/?\s*{NUMBER}")),
    ("focal-length", re.compile(rf"{NUMBER}\s*mm")),
)
EXAMPLE = "'24 MP, f/2.8' or '26 MP, 23.5x15.6, f/1.4, glass 3 um'"
SAID = ("sensor", "widest")  # what counts here and is told where it was assumed
SAME_RATIO = 1.03  # of edges in pixels: files of one body differ by less; our own
ODD = 200  # signs of a description; longer ones are a slip of the clipboard


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedSide:
    """One of the two as it was named.

    Attributes
    ----------
    letter : str
        "A" or "B".
    text : str
        As typed.
    path : Path or None
        A folder or frame; None where the kit is described.
    side : KitSide or None
        The kit; None where frames are to tell it.
    given : Given or None
        All numbers of a kit that is described, with where they come from.
    said : tuple of str
        What was assumed or recalled of it, sentences.
    """

    letter: str
    text: str
    path: Path | None = None
    side: KitSide | None = None
    given: Given | None = None
    said: tuple[str, ...] = ()


def named_side(letter: str, text: str, store: Path | None) -> NamedSide:
    """Return a kit as it was named.

    Parameters
    ----------
    letter : str
        "A" or "B".
    text : str
        A remembered name, a description, both, or a path.
    store : Path or None
        The store; None: the photographer's own.

    Returns
    -------
    NamedSide
        With its numbers, or the path of its frames.

    Raises
    ------
    InputError
        If it is none of these, or lacks its pixels.
    StoreError
        If the store cannot be used.
    """
    said = " ".join(text.split())
    if not said or not said.isprintable() or len(said) > ODD:
        raise InputError(f"{text[:ODD]!a} names no kit", where=letter, hint=f"Give {EXAMPLE}")
    pieces = [one for one in re.split(r"\s*;\s*|,\s+", said) if one]
    kept = _recalled(pieces[0], store)
    chart = _kept_chart(pieces[0] if kept is None else kept.name, store)
    if kept is None and Path(text).exists():
        return NamedSide(letter=letter, text=said, path=Path(text))
    name = kept.name if kept is not None else pieces[0] if chart is not None else ""
    typed = _typed(letter, pieces[1:] if name else pieces, store, first=not name)
    recalled = {} if kept is None else dict(kept.typed)
    shot = {} if chart is None or "pixels" in {*typed, *recalled} else _body_of(chart[1])
    given = gather(KIT, typed, {"kit": shot | recalled})
    if not given.was_said("pixels"):
        whose = f"the kit {name}" if name else f"'{said}'"
        raise InputError(
            f"nothing says how many pixels {whose} has",
            where=letter,
            hint=f"Add them, like '{said}, 24 MP'",
        )
    side = KitSide(name=said if typed or not name else name, kit=kit_of(given))
    notes = _assumed(letter, given)
    if shot:
        notes += (f"{letter}'s pixels are those of its chart's frames, {shot['pixels']}.",)
    if chart is not None and "glass" not in typed and _same_body(side, chart[1]):
        side = with_chart(side, chart[1])
        if side.glass:
            notes += (f"{letter}'s lens is taken from its chart of {chart[0]:%d %b %Y}.",)
    return NamedSide(letter=letter, text=said, side=side, given=given, said=notes)


def check_two(a: NamedSide, b: NamedSide) -> None:
    """Refuse one kit against itself.

    Parameters
    ----------
    a, b : NamedSide
        The two.

    Raises
    ------
    InputError
        If both are one name, one description or one place.
    """
    one_place = a.path is not None and b.path is not None and a.path.resolve() == b.path.resolve()
    if one_place or a.text.casefold() == b.text.casefold():
        raise InputError(
            f"A and B are both '{a.text}': there is nothing to hold against each other",
            where="B",
            hint="Name two kits",
        )


def _recalled(name: str, store: Path | None) -> Remembered | None:
    path = store or default_store_path()
    if not path.exists():
        return None
    with open_memory(store) as memory:
        return memory.recall("kit", name)


def _typed(
    letter: str, pieces: list[str], store: Path | None, *, first: bool
) -> Mapping[str, Typed]:
    found: dict[str, Typed] = {}
    for number, piece in enumerate(pieces):
        name, text = _piece(piece)
        if not name:
            raise (
                _unknown(letter, piece, store)
                if first and number == 0
                else InputError(
                    f"'{piece}' says nothing of a kit", where=letter, hint=f"Give {EXAMPLE}"
                )
            )
        option = OPTIONS[name]
        try:
            typed = option.typed(text)
        except ValueError as error:
            what, _, hint = str(error).partition(": ")
            raise InputError(what, where=letter, hint=hint[:1].upper() + hint[1:]) from error
        if option.key in found:
            raise InputError(f"its {name} is given twice", where=letter, hint="Leave one out")
        found[option.key] = typed
    given_spans = [name for name, one in found.items() if ".." in one.text]
    if given_spans:
        raise InputError(
            f"its {given_spans[0].replace('_', '-')} is a range, and a kit has one",
            where=letter,
            hint="Give one value",
        )
    return found


def _piece(piece: str) -> tuple[str, str]:
    said = tidy(piece)
    named = NAMED.fullmatch(said)
    if named:
        return named[1].replace(" ", "-"), named[2]
    for name, form in BARE:
        if form.fullmatch(said):
            return name, said
    return "", piece


def _unknown(letter: str, piece: str, store: Path | None) -> InputError:
    """Return the error for what is neither a kit, a description nor a path."""
    path = store or default_store_path()
    names: tuple[str, ...] = ()
    if path.exists():
        with open_memory(store) as memory:
            names = memory.names("kit")
    known = f"remembered are {', '.join(names)}" if names else "no kit is remembered yet"
    what = (
        f"{shown(Path(piece))} is not there"
        if "/" in piece or "\\" in piece
        else f"'{piece}' is no kit that is remembered, no description and no folder"
    )
    return InputError(what, where=letter, hint=f"Give {EXAMPLE}; {known}")


def _assumed(letter: str, given: Given) -> tuple[str, ...]:
    found = [
        f"{name} {given.values[name].text}"
        for name in SAID
        if name in given.values and not given.was_said(name)
    ]
    return (f"Assumed of {letter}: {', '.join(found)}.",) if found else ()


def _body_of(chart: ChartResult) -> dict[str, str]:
    """Return pixels and sensor of the body that shot a chart, as one would type them."""
    edges = sorted((chart.width_px, chart.height_px), reverse=True)
    told = {"pixels": f"{edges[0]}x{edges[1]}"}
    if chart.pitch_um is not None:
        told["sensor"] = "x".join(f"{edge * chart.pitch_um / 1000:.1f}" for edge in edges)
    return {name: text for name, text in told.items() if _can_be(name, text)}


def _can_be(name: str, text: str) -> bool:
    try:
        OPTIONS[name].typed(text)
    except ValueError:
        return False
    return True


def _kept_chart(name: str, store: Path | None) -> tuple[datetime, ChartResult] | None:
    if not (store or default_store_path()).exists():
        return None
    with open_memory(store) as memory:
        path = memory.path
    with KitLog(path) as log:
        kept = log.last("chart", name)
    if kept is None:
        return None
    try:
        return kept.done_at, from_plain(ChartResult, kept.result)
    except (KeyError, TypeError, ValueError):
        return None  # kept by another version: as if it were not there


def _same_body(side: KitSide, chart: ChartResult) -> bool:
    """Return whether a chart was shot with as many pixels as the kit has, within a cut edge."""
    edges = (max(chart.width_px, chart.height_px), side.kit.long_edge_px)
    return max(edges) < SAME_RATIO * min(edges)
