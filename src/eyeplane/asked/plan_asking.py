"""From what was typed for a plan to what holds, and what has to be said of it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from eyeplane.asked.plan_columns import naming_options
from eyeplane.asked.plan_given import Given, gather
from eyeplane.asked.plan_known import Known, Named, read_known, with_known
from eyeplane.asked.plan_limits import agreed
from eyeplane.asked.plan_memory import recall
from eyeplane.asked.plan_request import PlanKind, kit_of, light_said
from eyeplane.asked.plan_scene_options import TABLES
from eyeplane.errors import InputError

if TYPE_CHECKING:
    from eyeplane.store import Remembered


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a plan is made from.

    Attributes
    ----------
    given : Given
        Every option with its value and where that came from; free of contradictions.
    assumed, recalled, learned : tuple of str
        What nobody said, what was remembered, and what sittings taught, as it could be typed.
    kept : mapping
        For "kit" and "client" what is kept of the one that is named; without those that are new.
    """

    given: Given
    assumed: tuple[str, ...] = ()
    recalled: tuple[str, ...] = ()
    learned: tuple[str, ...] = ()
    kept: "Mapping[str, Remembered]" = field(default_factory=dict)

    @property
    def notes(self) -> dict[str, tuple[str, ...]]:
        """Return all three by name.

        Returns
        -------
        dict of str to tuple of str
            As plans print them.
        """
        return {"assumed": self.assumed, "recalled": self.recalled, "learned": self.learned}


def ask(
    kind: PlanKind,
    typed: Mapping[str, object],
    named: Named,
    *,
    store: Path | None,
    without_learned: bool = False,
) -> Asked:
    """Return what holds for a plan.

    Parameters
    ----------
    kind : {"sitter", "group", "burst"}
        What to plan.
    typed : mapping of str to object
        By key: None, a `Typed`, or whether a switch was turned on.
    named : Named
        The kit and the sitter that are meant.
    store : Path or None
        The store; None: the photographer's own.
    without_learned : bool
        Whether what was learned quietly is left out.

    Returns
    -------
    Asked
        What holds, and what is to be said of it.

    Raises
    ------
    InputError
        If something that was typed contradicts itself or what is remembered, or a name is unknown.
    StoreError
        If the store cannot be used.
    """
    known = _known(named, store, without_learned=without_learned)
    new = _new_names(kind, typed) | _taught_names(known, named)
    kept = recall({"kit": named.kit, "client": named.client}, store, new=new)
    given = gather(TABLES[kind], typed, {kind: dict(one.typed) for kind, one in kept.items()})
    given, learned = with_known(given, known, named)
    given = agreed(given)
    return Asked(
        given=given,
        assumed=assumed_words(given),
        recalled=recalled_words(given, kept),
        learned=learned,
        kept=kept,
    )


def planned(kind: PlanKind, request: object) -> Any:  # noqa: ANN401  one of three plans
    """Return the plan for a request.

    Parameters
    ----------
    kind : {"sitter", "group", "burst"}
        What to plan.
    request : SitterRequest, GroupRequest or BurstRequest
        As its kind has it.

    Returns
    -------
    SitterPlan, GroupPlan or BurstPlan
        Likewise.

    Raises
    ------
    InputError
        If it cannot be planned; names the option.
    """
    import eyeplane.plan as plans  # noqa: PLC0415  tests put others in their place

    planner = cast("Callable[[Any], Any]", getattr(plans, f"plan_{kind}"))
    with naming_options():
        return planner(request)


def assumed_words(given: Given) -> tuple[str, ...]:
    """Return what nobody said, as it could have been typed.

    Parameters
    ----------
    given : Given
        What holds.

    Returns
    -------
    tuple of str
        Such as "--focal-length 85mm"; last what was estimated.
    """
    taken = [f"--{name} {_quoted(text)}" for name, text in given.texts("assumed").items()]
    if {"distance", "framing"}.isdisjoint(given.values):
        taken.insert(0, "--framing head-and-shoulders")
    if "pixels" not in given.values:
        kit = kit_of(given)
        taken.append(f"--pixels {kit.long_edge_px}x{kit.short_edge_px}")
    return (*taken, *light_said(given))


def recalled_words(given: Given, kept: "Mapping[str, Remembered]") -> tuple[str, ...]:
    """Return what was recalled, with its day.

    Parameters
    ----------
    given : Given
        What holds.
    kept : mapping
        For "kit" and "client" what is kept of it.

    Returns
    -------
    tuple of str
        Such as "kit Studio: --sensor 36x24 (2026-05-04)".
    """
    said = []
    for kind in ("kit", "client"):
        texts = given.texts(cast("Any", kind))
        if not texts:
            continue
        days = dict(zip((name for name, _ in kept[kind].typed), kept[kind].kept_on, strict=True))
        words = [f"--{name} {_quoted(text)} ({days[name]})" for name, text in texts.items()]
        said.append(f"{kind} {kept[kind].name}: {', '.join(words)}")
    return tuple(said)


def _known(named: Named, store: Path | None, *, without_learned: bool) -> Known:
    """Return what sittings taught, unless it is left out."""
    if not without_learned:
        return read_known(store)
    for asked, option in (
        (named.sitter_label, "--sitter-label"),
        (named.focus_setting, "--focus-setting"),
    ):
        if asked is not None:
            raise InputError(
                "what sittings taught is left out, and asked for",
                where=f"--without-learned and {option}",
                hint="Leave one of them out",
            )
    return Known()


def _taught_names(known: Known, named: Named) -> frozenset[str]:
    """Return for which of kit and client sittings taught something, so that it needs no more."""
    has = {"kit": known.has_kit(named.kit), "client": known.has_sitter(named.client)}
    return frozenset(kind for kind, one in has.items() if one)


def _new_names(kind: PlanKind, typed: Mapping[str, object]) -> frozenset[str]:
    """Return for which of kit and client something was typed, so that a name may be new."""
    return frozenset(
        option.keeps
        for option in TABLES[kind]
        if option.keeps and typed.get(option.key) is not None
    )


def _quoted(text: str) -> str:
    return f"'{text}'" if " " in text else text
