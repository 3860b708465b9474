"""What was entered into a form, or stands in an address, for a plan."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from eyeplane.asked.names import check_name
from eyeplane.asked.plan_known import Named
from eyeplane.asked.plan_request import PlanKind
from eyeplane.asked.plan_scene_options import TABLES
from eyeplane.asked.plan_values import PlanOption, Typed, read_typed, yes_or_no
from eyeplane.errors import InputError
from eyeplane.records.said import capital

NAMES = ("kit", "client", "sitter-label", "focus-setting")
SWITCH = "without-learned"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entered:
    """What was entered, read.

    Attributes
    ----------
    kind : {"sitter", "group", "burst"}
        What is to be planned.
    texts : mapping of str to str
        By option, as entered; blanks at their ends are gone, and so is what was left empty.
    typed : mapping of str to object
        By key of an option: a `Typed`, or whether a switch was turned on.
    named : Named
        Kit, client and what else goes by a name.
    without_learned : bool
        Whether what sittings taught is left out.
    wrong : mapping of str to str
        By option what cannot be read, in a sentence that says what to enter instead.
    """

    kind: PlanKind
    texts: Mapping[str, str]
    typed: Mapping[str, object]
    named: Named
    without_learned: bool = False
    wrong: Mapping[str, str] = field(default_factory=dict)


def entered(kind: PlanKind, pairs: Iterable[tuple[str, str]]) -> Entered:
    """Return what was entered for a plan.

    Parameters
    ----------
    kind : {"sitter", "group", "burst"}
        What is to be planned.
    pairs : iterable of (str, str)
        Name of an option without its dashes, and text; of a name that comes again the last holds.

    Returns
    -------
    Entered
        With every wrong entry named, not only the first.
    """
    options: dict[str, PlanOption] = {option.name: option for option in TABLES[kind]}
    texts = {name: " ".join(text.split()) for name, text in pairs}
    texts = {name: text for name, text in texts.items() if text}
    typed: dict[str, object] = {}
    wrong: dict[str, str] = {}
    for name, text in texts.items():
        try:
            if name in options:
                typed[options[name].key] = _read(options[name], text)
            elif name in NAMES:
                check_name(text, f"--{name}")
            elif name == SWITCH:
                yes_or_no(text)
            else:
                wrong[name] = f"'{_short(name)}' is nothing that this plan asks for."
        except (ValueError, InputError) as error:
            wrong[name] = sentence_of(error)
    said = {name: None if name in wrong else texts.get(name) for name in NAMES}
    return Entered(
        kind=kind,
        texts=texts,
        typed=typed,
        named=Named(**{name.replace("-", "_"): text for name, text in said.items()}),
        without_learned=texts.get(SWITCH) == "yes",
        wrong=wrong,
    )


def sentence_of(error: Exception) -> str:
    """Return what is wrong and what to do, to stand beside the place it is about.

    Parameters
    ----------
    error : ValueError or InputError
        As a reader or a plan raises it.

    Returns
    -------
    str
        Begins with a capital or a quoted text and ends in a full stop; without the place.

    Examples
    --------
    >>> sentence_of(ValueError("'x' is no aperture: give f/2.8 or 2.8"))
    "'x' is no aperture: give f/2.8 or 2.8."
    """
    if isinstance(error, InputError):
        said = capital(error.what)
        return f"{said}. {error.hint.rstrip('.')}." if error.hint else f"{said}."
    return f"{str(error).rstrip('.')}."


def _read(option: PlanOption, text: str) -> Typed | bool:
    if option.read is yes_or_no:
        return yes_or_no(text.lower())
    return read_typed(option, text)


def _short(name: str) -> str:
    shown = "".join(one for one in name if one.isprintable())
    return shown if len(shown) <= 40 else f"{shown[:40]}…"
