"""The fields of the plan's form: which there are, what stands in them, what is said beside them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from eyeplane.asked.plan_entered import NAMES, SWITCH
from eyeplane.asked.plan_given import Given
from eyeplane.asked.plan_request import PlanKind
from eyeplane.asked.plan_scene_options import TABLES
from eyeplane.asked.plan_steps import Steps, steps
from eyeplane.asked.plan_values import PlanOption, Word, yes_or_no
from eyeplane.asked.typed import size_of
from eyeplane.light.camera_words import f_stop, shutter
from eyeplane.plan.stand import stand_of
from eyeplane.records import BurstPlan, GroupPlan, PlanSetting, SitterPlan
from eyeplane.web.pages.plan_made import Made, field_words
from eyeplane.web.words import words

WHO_MORE = ("mood", "glasses", "sitter-speed", "sitter-label")
KIT_MORE = (
    *("tripod", "stabiliser", "steadiness", "shake", "focus-spread", "focus-setting", "sensor"),
    *("pixels", "widest", "smallest", "near-limit", "fastest", "slowest", "sync", "base-iso"),
    *("iso-limit", "glass", "glass-wide", "field-radius", SWITCH),
)
KIT = ("kit", "focal-length", "f-number", "shutter", "iso", "focus-bias")
LIGHT_MORE = (
    *("ambient", "flash-distance", "flash-duration", "high-speed-sync", "source-size"),
    "source-distance",
)
SITTER_MORE = ("yaw", "eyes", *WHO_MORE)
# The parts of the form: name, what is always there, what lies under "more".
Part = tuple[str, tuple[str, ...], tuple[str, ...]]
AFTER: tuple[Part, ...] = (
    ("kit", KIT, KIT_MORE),
    ("light", ("light",), LIGHT_MORE),
    ("print", ("client", "print-cm"), ("viewing-cm",)),
)
SITTER: Part = ("who", ("who", "framing", "distance", "background"), SITTER_MORE)
PARTS: Mapping[PlanKind, tuple[Part, ...]] = {
    "sitter": (SITTER, *AFTER),
    "group": (
        (
            "rows",
            ("distance", "rows", "row-spacing", "faces-per-row"),
            ("face-spacing", "standing", "lean", "arc"),
        ),
        ("who", ("who",), WHO_MORE),
        *AFTER,
    ),
    "burst": (("lean", ("lean", "frame-rate"), ("caught", "chance")), SITTER, *AFTER),
}
# What contradicts a field once it is moved: the one says the other.
CLEARS = {"distance": "framing", "framing": "distance"}
PRINTS = ("print-cm", "viewing-cm")
OPEN = {"f-number": "f_number", "shutter": "shutter_s", "iso": "iso"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field.

    Attributes
    ----------
    name : str
        Of the option, and in the address.
    label, hint : str
        What it is called, and what may be entered.
    text : str
        What was entered.
    holds : str
        What holds where nothing was; empty: nothing does.
    note : str
        Where that comes from, in a word or two.
    wrong : str
        What is wrong, in a sentence; empty: nothing.
    choices : tuple of (str, str)
        Value and word, where one of a few is chosen; the first leaves it open.
    slider : Steps or None
        What its slider steps through.
    clears : str
        The field that is emptied when this one is changed.
    """

    name: str
    label: str
    hint: str
    text: str = ""
    holds: str = ""
    note: str = ""
    wrong: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    slider: Steps | None = None
    clears: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FormPart:
    """One part of the form.

    Attributes
    ----------
    name : str
        Of the part.
    fields, more : tuple of Field
        What is always seen, and what lies under "more".
    opened : bool
        Whether "more" is open: something in it was entered, or is wrong.
    """

    name: str
    fields: tuple[Field, ...]
    more: tuple[Field, ...]
    opened: bool


def form_parts(one: Made, *, inches: bool) -> tuple[FormPart, ...]:
    """Return the whole form.

    Parameters
    ----------
    one : Made
        What came of the address.
    inches : bool
        Whether the sliders of prints step through inches.

    Returns
    -------
    tuple of FormPart
        In the order in which they are asked.
    """
    table = {option.name: option for option in TABLES[one.entered.kind]}
    parts = []
    for name, seen, hidden in PARTS[one.entered.kind]:
        always = tuple(_field(one, field, table.get(field), inches=inches) for field in seen)
        more = tuple(_field(one, field, table.get(field), inches=inches) for field in hidden)
        opened = any(field.text or field.wrong for field in more)
        parts.append(FormPart(name=name, fields=always, more=more, opened=opened))
    return tuple(parts)


def fields_of(one: Made, *, inches: bool) -> tuple[Field, ...]:
    """Return all fields in order.

    Parameters
    ----------
    one : Made
        What came of the address.
    inches : bool
        As for `form_parts`.

    Returns
    -------
    tuple of Field
        Those under "more" too.
    """
    return tuple(
        field for part in form_parts(one, inches=inches) for field in (*part.fields, *part.more)
    )


def _field(one: Made, name: str, option: PlanOption | None, *, inches: bool) -> Field:
    field = Field(
        name=name,
        label=field_words(one.entered.kind, name, "label"),
        hint=field_words(one.entered.kind, name, "hint"),
        text=one.entered.texts.get(name, ""),
        wrong=one.wrong.get(name, ""),
        clears=CLEARS.get(name, "") if one.entered.kind != "group" else "",
    )
    if option is None:
        return field if name in NAMES else replace(field, choices=switch("no"))
    given = None if one.asked is None else one.asked.given
    holds, note = _holds(one, option, given)
    if name in PRINTS and holds.isdecimal():
        holds = f"{holds}cm"  # a bare number means this; whoever thinks in inches may not know
    field = replace(field, holds=holds, note=note, choices=_choices(option, holds))
    return (
        field if given is None else replace(field, slider=_slider(one, name, given, inches=inches))
    )


def _choices(option: PlanOption, holds: str) -> tuple[tuple[str, str], ...]:
    if option.read is yes_or_no:
        return switch(holds or ("yes" if option.name == "standing" else "no"))
    if isinstance(option.read, Word):
        usual = _word(holds) if holds else words(f"plan.open.{option.name}")
        return (("", usual), *((word, _word(word)) for word in option.read.known))
    return ()


def switch(usual: str) -> tuple[tuple[str, str], ...]:
    """Return what a switch may stand at.

    Parameters
    ----------
    usual : {"yes", "no"}
        What holds where nobody says.

    Returns
    -------
    tuple of (str, str)
        Value and word: open, on, off.
    """
    yes, no = words("plan.yes"), words("plan.no")
    return ("", words("plan.usually", what=yes if usual == "yes" else no)), ("yes", yes), ("no", no)


def _word(word: str) -> str:
    return word.replace("-", " ")


def _holds(one: Made, option: PlanOption, given: Given | None) -> tuple[str, str]:
    """Return what holds of an option that was not entered, and where it comes from."""
    name = option.name
    if name in one.entered.texts:
        return "", ""
    if given is not None and name in given.values:
        return given.values[name].text, words(f"plan.source.{given.sources[name]}")
    if name == "framing" and "distance" not in one.entered.texts:
        return "head-and-shoulders", words("plan.source.assumed")
    if one.plan is None:
        return option.default, words("plan.source.assumed") if option.default else ""
    return _planned(one, name)


def _planned(one: Made, name: str) -> tuple[str, str]:
    """Return what the plan took for what stands open."""
    setting, distance_mm = setting_of(one.plan), distance_of_mm(one.plan)
    if name in OPEN:
        value = getattr(setting, OPEN[name])
        said = {"f-number": f_stop, "shutter": shutter}.get(name, "{:.0f}".format)(value)
        return said, words("plan.source.planned")
    if name == "distance" and distance_mm:
        return f"{distance_mm / 1000:.2f}m", words("plan.source.framing")
    return "", ""


def setting_of(plan: SitterPlan | GroupPlan | BurstPlan) -> PlanSetting:
    """Return a plan's best setting.

    Parameters
    ----------
    plan : SitterPlan, GroupPlan or BurstPlan
        The plan.

    Returns
    -------
    PlanSetting
        The first.
    """
    return plan.setting if isinstance(plan, BurstPlan) else plan.settings[0]


def distance_of_mm(plan: SitterPlan | GroupPlan | BurstPlan) -> float | None:
    """Return how far the lens is from the near iris.

    Parameters
    ----------
    plan : SitterPlan, GroupPlan or BurstPlan
        The plan.

    Returns
    -------
    float or None
        None for a group, whose request says it.
    """
    if isinstance(plan, SitterPlan):
        return plan.distance_mm
    return stand_of(plan.request.sitting).distance_mm if isinstance(plan, BurstPlan) else None


def _slider(one: Made, name: str, given: Given, *, inches: bool) -> Steps | None:
    value: float | None = size_of(given[name])
    if value is None and one.plan is not None:
        if name in OPEN:
            value = float(getattr(setting_of(one.plan), OPEN[name]))
        elif name == "distance":
            value = distance_of_mm(one.plan)
    return steps(name, given, value, inches=inches)


def slider_data(fields: Sequence[Field]) -> dict[str, dict[str, Any]]:
    """Return what a script needs to know of the fields after a change.

    Parameters
    ----------
    fields : sequence of Field
        All of them.

    Returns
    -------
    dict
        By name: what holds, its note, and texts and place of its slider.
    """
    return {
        field.name: {
            "holds": field.holds,
            "note": field.note,
            **({"texts": field.slider.texts, "at": field.slider.at} if field.slider else {}),
        }
        for field in fields
        if field.name not in (*NAMES, SWITCH)
    }
