"""The table of a sweep as plain text, a line a point."""

import math
from collections.abc import Callable, Iterable, Sequence

from eyeplane.cli.plain_page import GAP, Page
from eyeplane.cli.plan_print import say_learned
from eyeplane.plan.words import THIN, f_stop, percent, percent_ends, shutter, whole_cm
from eyeplane.records import Sweep

CANNOT = "–"  # where a line has no number
FIRST = ("share", "chance", "frames", "reach_cm", "reach_far_cm")  # of what comes out
HEADINGS = {
    "f_number": "aperture",
    "shutter_s": "shutter",
    "iso": "ISO",
    "share": "frames hold",
    "reach_cm": "near eye",
    "reach_far_cm": "far eye",
    "exposure_off_ev": "exposure off",
    "exposure_ev": "light",
}
ENDS = (
    *("_mm_per_s", "_deg_per_s", "_per_s", "_years", "_deg", "_cm", "_mm", "_um", "_ev", "_s"),
    *("_m", "_lux"),
)

Said = Callable[[float], str]


def table_text(
    sweep: Sweep,
    *,
    assumed: Sequence[str] = (),
    recalled: Sequence[str] = (),
    learned: Sequence[str] = (),
) -> str:
    """Return the table of a sweep.

    Parameters
    ----------
    sweep : Sweep
        As planned.
    assumed, recalled, learned : sequence of str
        What nobody said, what was recalled, and what sittings taught, ready to be shown.

    Returns
    -------
    str
        At most 100 columns, fewer in a narrow terminal; what has no room is named below the table.
    """
    page = Page()
    shown, left = _fitting(sweep, page.width)
    page.table([[head for head, _ in shown], *zip(*(cells for _, cells in shown), strict=True)])
    page.told("Also in the JSON", [", ".join(left)])
    page.told("Notes", sweep.notes)
    say_learned(page, learned)
    if recalled:
        page.told("Recalled", [" · ".join(recalled)])
    if assumed:
        page.told("Assumed, since you did not say", [" · ".join(assumed)])
    return page.text()


def _fitting(sweep: Sweep, width: int) -> tuple[list[tuple[str, list[str]]], list[str]]:
    """Return headed columns of cells that fit side by side, and the names of all others."""
    shown: list[tuple[str, list[str]]] = []
    left: list[str] = []
    room = width - 2
    for name in _ordered(sweep):
        head, cells = _heading(name), _cells(sweep, name)
        need = max(map(len, (head, *cells))) + len(GAP)
        if need <= room + len(GAP):
            shown.append((head, cells))
            room -= need
        else:
            left.append(head)
    return shown, left


def _ordered(sweep: Sweep) -> Iterable[str]:
    """Return columns by weight: ranges, settings, what comes out; without ends of intervals."""
    names = [
        name
        for name, column in sweep.columns.items()
        if not name.endswith(("_low", "_high")) and (name != "exposure_off_ev" or any(column))
    ]
    settings = [n for n in ("f_number", "shutter_s", "iso") if n in names]
    first = [n for n in FIRST if n in names]
    return dict.fromkeys((*sweep.names, *settings, *first, *names))


def _heading(name: str) -> str:
    if name in HEADINGS:
        return HEADINGS[name]
    end = next((end for end in ENDS if name.endswith(end)), "")
    return name.removesuffix(end).replace("_", " ")


def _cells(sweep: Sweep, name: str) -> list[str]:
    ends = [sweep.columns.get(f"{name}_{end}") for end in ("low", "high")]
    said = _said(name)
    cells = []
    for row, value in enumerate(sweep.columns[name]):
        low, high = (None if end is None else end[row] for end in ends)
        if value is None:
            cells.append(CANNOT)
        elif low is None or high is None:
            cells.append(said(value))
        elif said is percent:
            first, last = percent_ends(low, high)
            cells.append(f"{percent(value)} ({first}–{last})")
        else:
            cells.append(f"{said(value)} ({said(low).partition(THIN)[0]}–{said(high)})")
    return cells


def _said(name: str) -> Said:
    """Return how numbers of a column are said."""
    by_end: tuple[tuple[str, Said], ...] = (
        ("f_number", f_stop),
        ("shutter_s", shutter),
        ("fastest_s", shutter),
        ("slowest_s", shutter),
        ("sync_s", shutter),
        ("full_power_s", shutter),
        ("share", percent),
        ("chance", percent),
        ("reach_cm", whole_cm),
        ("reach_far_cm", whole_cm),
        ("off_ev", lambda v: f"{_figures(v)} stops"),
        ("_mm_per_s", lambda v: f"{_figures(v)} mm/s"),
        ("_deg_per_s", lambda v: f"{_figures(v)}°/s"),
        ("_per_s", _figures),
        ("_cm", lambda v: f"{_figures(v)} cm"),
        ("_mm", _length),
        ("_um", lambda v: f"{_figures(v)} µm"),
        ("_deg", lambda v: f"{_figures(v)}°"),
        ("_ev", lambda v: f"EV {_figures(v)}"),
        ("_s", lambda v: f"{_figures(v)} s"),
        ("_m", lambda v: f"{_figures(v)} m"),
    )
    return next((said for end, said in by_end if name.endswith(end)), _figures)


def _length(size_mm: float) -> str:
    if abs(size_mm) >= 1000:
        return f"{_figures(size_mm / 1000)} m"
    return f"{_figures(size_mm)} mm"


def _figures(value: float) -> str:
    """Return three figures, whole digits kept, with a true minus."""
    if value == 0:
        return "0"
    places = max(0, 2 - math.floor(math.log10(abs(value))))
    text = f"{abs(value):.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return f"−{text}" if value < 0 else text
