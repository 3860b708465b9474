"""A plan over a range, as a page shows it: which point is best, the plot, and the table."""

from dataclasses import replace
from typing import Any

from markupsafe import Markup

from eyeplane.deliver.plan_axis import Quantity, quantity
from eyeplane.deliver.plan_sweep import sweep_sheet
from eyeplane.deliver.plan_words import share_words
from eyeplane.deliver.sheet_svg import svg
from eyeplane.records import Measured, Sweep
from eyeplane.records.said import capital, listed
from eyeplane.web.words import words

MOST_LINES = 200  # of a table in a page; the command line has all of them
SHARES = ("share", "chance")  # what a table tells, the one it has


def best_words(sweep: Sweep) -> str:
    """Return where most frames hold.

    Parameters
    ----------
    sweep : Sweep
        The table.

    Returns
    -------
    str
        A sentence.
    """
    told = next((name for name in SHARES if name in sweep.columns), None)
    known = [] if told is None else [v for v in sweep.columns[told] if v is not None]
    if told is None or not known:
        return words("plan.range")
    at = sweep.columns[told].index(max(known))
    inputs = (_said(quantity(name), sweep.columns[name][at]) for name in sweep.names)
    return words("plan.range_best", at=listed(list(inputs)), share=_share(sweep, told, at))


def table_of(sweep: Sweep) -> dict[str, Any]:
    """Return a table with its plot.

    Parameters
    ----------
    sweep : Sweep
        The table.

    Returns
    -------
    dict
        Plot, heads, rows of texts, what is cut and what is to be said of it.
    """
    names = [name for name in sweep.columns if _told(sweep, name)]
    count = min(len(sweep), MOST_LINES)
    spoken = words("plan.plot")
    return {
        "plot": Markup(svg(sweep_sheet(replace(sweep, notes=())), spoken=spoken)),  # noqa: S704  our own drawing
        "spoken": spoken,
        "heads": [capital(quantity(name).words) for name in names],
        "rows": [[_cell(sweep, name, k) for name in names] for k in range(count)],
        "cut": words("plan.table_cut", count=count, all=len(sweep)) if count < len(sweep) else "",
        "notes": sweep.notes,
    }


def _told(sweep: Sweep, name: str) -> bool:
    """Return whether a column is shown: ends of intervals stand beside their share."""
    if name.endswith(("_low", "_high")):
        return False
    return name != "exposure_off_ev" or any(sweep.columns[name])


def _cell(sweep: Sweep, name: str, k: int) -> str:
    if f"{name}_low" in sweep.columns and f"{name}_high" in sweep.columns:
        return _share(sweep, name, k)
    return _said(quantity(name), sweep.columns[name][k])


def _share(sweep: Sweep, name: str, k: int) -> str:
    ends = [sweep.columns[f"{name}{end}"][k] for end in ("", "_low", "_high")]
    value, low, high = ends
    if value is None or low is None or high is None:
        return _said(quantity(name), value)
    return share_words(Measured(value=value, low=low, high=high))


def _said(one: Quantity, value: float | None) -> str:
    return "–" if value is None else one.said(value)
