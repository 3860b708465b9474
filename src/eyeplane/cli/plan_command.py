"""`eyeplane plan sitter|group|burst`: from what was typed to text, JSON, card and plot."""

import datetime
import json
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from eyeplane.asked.plan_asking import ask, planned
from eyeplane.asked.plan_given import Given
from eyeplane.asked.plan_known import Named
from eyeplane.asked.plan_memory import remember
from eyeplane.asked.plan_request import REQUESTS, PlanKind
from eyeplane.asked.plan_scene_options import TABLES
from eyeplane.asked.targets import check_apart, check_target, write_text
from eyeplane.errors import InputError

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
    named = Named(
        kit=outputs.kit,
        client=outputs.client,
        sitter_label=outputs.sitter_label,
        focus_setting=outputs.focus_setting,
    )
    asked = ask(kind, typed, named, store=outputs.store, without_learned=outputs.without_learned)
    if asked.given.spans:
        from eyeplane.cli.plan_sweep import sweep_command  # noqa: PLC0415  only ranges need it

        text, told = sweep_command(kind, asked.given, outputs, asked.notes)
    else:
        text, told = _plan(kind, asked.given, outputs, asked.notes)
    today = datetime.datetime.now().astimezone().date()
    names = {"kit": outputs.kit, "client": outputs.client}
    said = (*taught, *remember(names, asked.given, outputs.store, today=today))
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
    plan = planned(kind, REQUESTS[kind](given))
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
