"""`eyeplane plan sitter|group|burst`: from what was typed to text, JSON, card and plot."""

import datetime
import json
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from eyeplane.cli.plan_columns import naming_options
from eyeplane.cli.plan_given import Given, gather
from eyeplane.cli.plan_known import Known, Named, read_known, with_known
from eyeplane.cli.plan_limits import agreed
from eyeplane.cli.plan_memory import recall, remember
from eyeplane.cli.plan_request import REQUESTS, PlanKind, kit_of, light_said
from eyeplane.cli.plan_scene_options import TABLES
from eyeplane.cli.targets import check_apart, check_target, write_text
from eyeplane.errors import InputError

if TYPE_CHECKING:
    from eyeplane.store import Remembered

CARDS = (".html", ".pdf")
PLOTS = (".svg",)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanOutputs:
    """Where a plan goes, and for whom it is remembered.

    Attributes
    ----------
    kit, client : str or None
        Names.
    store : Path or None
        The store; None: the photographer's own.
    json_to, card, plot : Path or None
        Files; "-" as the first is the screen.
    paper : {"A5", "A4", "Letter"}
        Sheet of the card.
    learn_from : tuple of Path
        Measured sittings whose numbers go into the plan.
    without_learned : bool
        Whether what was learned quietly is left out.
    sitter_label : str or None
        The photographer's own word for who sits.
    focus_setting : str or None
        The photographer's own words for how the focus is set.
    """

    kit: str | None = None
    client: str | None = None
    store: Path | None = None
    json_to: Path | None = None
    card: Path | None = None
    paper: str = "A5"
    plot: Path | None = None
    learn_from: tuple[Path, ...] = ()
    without_learned: bool = False
    sitter_label: str | None = None
    focus_setting: str | None = None

    @property
    def to_screen(self) -> bool:
        """Return whether the JSON goes to the screen instead of the text.

        Returns
        -------
        bool
            For "-".
        """
        return self.json_to is not None and str(self.json_to) == "-"


def plan_command(kind: PlanKind, typed: Mapping[str, object], outputs: PlanOutputs) -> int:
    """Plan, and show it as asked.

    Parameters
    ----------
    kind : {"sitter", "group", "burst"}
        What to plan.
    typed : mapping of str to object
        The options as click read them.
    outputs : PlanOutputs
        Where it goes.

    Returns
    -------
    int
        Exit status 0.

    Raises
    ------
    InputError
        If something that was typed cannot be used, or contradicts itself.
    """
    _check_targets(outputs)
    taught: tuple[str, ...] = ()
    if outputs.learn_from:
        from eyeplane.cli.plan_learned import typed_from  # noqa: PLC0415  loads all the measuring

        found, taught = typed_from(outputs.learn_from, TABLES[kind], outputs.store)
        said_now = {key: value for key, value in typed.items() if value is not None}
        typed = {**typed, **found, **said_now}
    named = {"kit": outputs.kit, "client": outputs.client}
    known = _known(outputs)
    new = _new_names(kind, typed) | _taught_names(known, outputs)
    kept = recall(named, outputs.store, new=new)
    given = gather(TABLES[kind], typed, {kind: dict(one.typed) for kind, one in kept.items()})
    given, learned = with_known(
        given,
        known,
        Named(
            kit=outputs.kit,
            client=outputs.client,
            sitter_label=outputs.sitter_label,
            focus_setting=outputs.focus_setting,
        ),
    )
    given = agreed(given)
    notes = {
        "assumed": assumed_words(given),
        "recalled": recalled_words(given, kept),
        "learned": learned,
    }
    if given.spans:
        from eyeplane.cli.plan_sweep import sweep_command  # noqa: PLC0415  only ranges need it

        text, told = sweep_command(kind, given, outputs, notes)
    else:
        text, told = _plan(kind, given, outputs, notes)
    today = datetime.datetime.now().astimezone().date()
    said = (*taught, *remember(named, given, outputs.store, today=today))
    if outputs.to_screen:
        sys.stdout.write(told)
    else:
        sys.stdout.write(text + "".join(f"\n{line}\n" for line in said))
        if outputs.json_to is not None:
            write_text(outputs.json_to, told)
    return 0


def _plan(
    kind: PlanKind, given: Given, outputs: PlanOutputs, notes: Mapping[str, Sequence[str]]
) -> tuple[str, str]:
    from eyeplane.cli.plan_print import plan_text  # noqa: PLC0415  as late as possible
    from eyeplane.plan import plan_json  # noqa: PLC0415

    if outputs.plot is not None:
        raise InputError(
            "a plot needs a range", where="--plot", hint="Give one, like --f-number f/1.4..f/8"
        )
    request = REQUESTS[kind](given)
    with naming_options():
        plan = _planner(kind)(request)
    told = ""
    if outputs.json_to is not None:
        told = json.dumps(plan_json(plan, **notes), indent=1, allow_nan=False) + "\n"
    if outputs.card is not None:
        from eyeplane.deliver import write_card  # noqa: PLC0415  takes a second to load

        write_card(
            plan,
            outputs.card,
            title=" · ".join(filter(None, (outputs.client, outputs.kit))),
            paper=outputs.paper,
        )
    return plan_text(plan, **notes), told


def _planner(kind: PlanKind) -> Callable[[Any], Any]:
    import eyeplane.plan as plans  # noqa: PLC0415  tests put others in their place

    return cast("Callable[[Any], Any]", getattr(plans, f"plan_{kind}"))


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


def _known(outputs: PlanOutputs) -> Known:
    """Return what sittings taught, unless it is left out."""
    if not outputs.without_learned:
        return read_known(outputs.store)
    for asked, option in (
        (outputs.sitter_label, "--sitter-label"),
        (outputs.focus_setting, "--focus-setting"),
    ):
        if asked is not None:
            raise InputError(
                "what sittings taught is left out, and asked for",
                where=f"--without-learned and {option}",
                hint="Leave one of them out",
            )
    return Known()


def _taught_names(known: Known, outputs: PlanOutputs) -> frozenset[str]:
    """Return for which of kit and client sittings taught something, so that it needs no more."""
    has = {"kit": known.has_kit(outputs.kit), "client": known.has_sitter(outputs.client)}
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


def _check_targets(outputs: PlanOutputs) -> None:
    for target, option, ends in (
        (outputs.store, "--store", ()),
        (outputs.card, "--card", CARDS),
        (outputs.plot, "--plot", PLOTS),
        (None if outputs.to_screen else outputs.json_to, "--json", ()),
    ):
        if target is not None:
            check_target(target, option, ends)
    check_apart(
        {
            "--store": outputs.store,
            "--card": outputs.card,
            "--plot": outputs.plot,
            "--json": outputs.json_to,
        }
    )
