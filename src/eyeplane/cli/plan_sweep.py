"""A plan over ranges: the table as text, and its JSON and plot."""

import json
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from eyeplane.asked.plan_columns import naming_options
from eyeplane.asked.plan_given import Given
from eyeplane.asked.plan_ranges import ranges
from eyeplane.asked.plan_request import REQUESTS
from eyeplane.cli.plan_table import table_text
from eyeplane.errors import InputError

if TYPE_CHECKING:
    from eyeplane.asked.plan_request import PlanKind
    from eyeplane.cli.plan_command import PlanOutputs


def sweep_command(
    kind: "PlanKind", given: Given, outputs: "PlanOutputs", notes: Mapping[str, Sequence[str]]
) -> tuple[str, str]:
    """Plan over all ranges.

    Parameters
    ----------
    kind : {"sitter", "group", "burst"}
        What to plan.
    given : Given
        What holds, ranges among it.
    outputs : PlanOutputs
        Where it goes.
    notes : mapping of str to sequence of str
        What was "assumed", "recalled" and "learned".

    Returns
    -------
    tuple of str
        The table as text, and as JSON (empty unless it was asked for).

    Raises
    ------
    InputError
        If the ranges are too long, or a card was asked for.
    """
    import eyeplane.plan as plans  # noqa: PLC0415  the command would load it for every help

    if outputs.card is not None:
        raise InputError(
            "a card shows one plan, and a range gives many",
            where="--card",
            hint="Leave the range out, or draw it with --plot FILE.svg",
        )
    request = REQUESTS[kind](given)
    with naming_options():
        sweep = getattr(plans, f"sweep_{kind}")(request, ranges(given))
    if outputs.plot is not None:
        from eyeplane.deliver import write_sweep_plot  # noqa: PLC0415  takes a second to load

        write_sweep_plot(sweep, outputs.plot)
    told = ""
    if outputs.json_to is not None:
        told = json.dumps(plans.table_json(sweep, request, **notes), indent=1, allow_nan=False)
        told += "\n"
    return table_text(sweep, **notes), told
