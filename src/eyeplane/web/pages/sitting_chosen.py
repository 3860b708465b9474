"""Choosing frames: one, several in a row, taking it back, and the list to carry away."""

import csv
import io
from collections.abc import Sequence

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from eyeplane.deliver.wording import cause_words, plain_text
from eyeplane.errors import InputError
from eyeplane.records.live import FrameRow
from eyeplane.sitting.live import LiveSitting
from eyeplane.web.forms import fields_of
from eyeplane.web.page import site_of
from eyeplane.web.pages.sitting_asked import Asked, asked_of, in_order
from eyeplane.web.pages.sitting_rows import state_data

Fields = Sequence[tuple[str, str]]
DIGITS = 9  # of a frame's number: a thousand million frames are no sitting
# What tables take for a formula, in wide letters too; common practice, no source.
FORMULA = ("=", "+", "-", "@", "＝", "＋", "－", "＠", "\t", "\r", "\n")
COLUMNS = ("file", "same exposure", "reach cm", "from cm", "to cm", "costs most", "burst")


def number_of(text: str) -> int:
    """Return the number of a frame as it stands in an address or a form.

    Parameters
    ----------
    text : str
        Digits.

    Returns
    -------
    int
        0 for all that is no number of a frame: no frame has that number.
    """
    return int(text) if text.isascii() and text.isdigit() and len(text) <= DIGITS else 0


async def _choose(request: Request) -> Response:
    given = await fields_of(request)
    live = site_of(request).sitting(request.path_params["key"])
    await run_in_threadpool(_apply, live, given)
    return await run_in_threadpool(_answer, request, live, given)


async def _undo(request: Request) -> Response:
    given = await fields_of(request)
    live = site_of(request).sitting(request.path_params["key"])
    await run_in_threadpool(live.undo)
    return await run_in_threadpool(_answer, request, live, given)


def _apply(live: LiveSitting, given: Fields) -> None:
    named = dict(given)
    for name, chosen in (("choose", True), ("drop", False)):
        if name in named:
            live.choose([number_of(named[name])], chosen=chosen)
            return
    if named.get("do") not in {"choose", "drop"}:
        raise InputError(
            "it does not say what to do",
            where="the form",
            hint="Choose from the page of the sitting",
        )
    numbers = _between(live, named) if "first" in named else _runs(live, named.get("numbers", ""))
    live.choose(numbers, chosen=named["do"] == "choose")


def _runs(live: LiveSitting, text: str) -> list[int]:
    """Return numbers told like "1-4,7", those that there are."""
    last = live.state().given
    numbers, room = set[int](), last
    for run in text.split(","):
        ends = [number_of(end) for end in run.split("-", 1)]
        told = range(max(ends[0], 1), min(ends[-1], last) + 1)
        room -= len(told)
        if room < 0:  # more than there are: told twice, and no list says that
            raise InputError(
                "it names frames twice",
                where="the form",
                hint="Choose from the page of the sitting",
            )
        numbers.update(told)
    return sorted(numbers)


def _between(live: LiveSitting, named: dict[str, str]) -> list[int]:
    """Return the frames from one to another, in the order in which they are looked at."""
    order = [row.number for row in in_order(live.rows(), _asked(named))]
    ends = [number_of(named.get(name, "")) for name in ("first", "last")]
    missing = [n for n in ends if n not in order]
    if missing:
        raise InputError(
            "a frame at its end is not among those shown",
            where="the row of frames",
            hint="Choose both ends from the list as it stands",
        )
    first, last = sorted(order.index(n) for n in ends)
    return order[first : last + 1]


def _asked(named: dict[str, str]) -> Asked:
    """Return how the list was looked at; what does not parse is as if nothing was asked for."""
    looked_at = {name.removeprefix("as-"): v for name, v in named.items() if name.startswith("as-")}
    return asked_of(looked_at)


def _answer(request: Request, live: LiveSitting, given: Fields) -> Response:
    if request.headers.get("accept", "").startswith("application/json"):
        chosen = [row.number for row in live.rows() if row.chosen]
        return JSONResponse(state_data(live) | {"numbers": chosen})
    named = dict(given)
    query, frame = _asked(named).query(), number_of(named.get("at", ""))
    touched = number_of(named.get("choose", named.get("drop", "")))
    where = f"/sitting/{live.key}"
    if live.frame(frame) is not None:
        return RedirectResponse(f"{where}/frame/{frame}{query}", status_code=303)
    mark = f"#f{touched}" if touched else "#frames-heading"
    return RedirectResponse(f"{where}{query}{mark}", status_code=303)


def _text(request: Request) -> Response:
    live = site_of(request).sitting(request.path_params["key"])
    names = [plain_text(row.name).replace("\n", "\\n") for row in live.rows() if row.chosen]
    return _download("".join(f"{name}\n" for name in names), live, "txt")


def _table(request: Request) -> Response:
    live = site_of(request).sitting(request.path_params["key"])
    out = io.StringIO()
    writer = csv.writer(out, quoting=csv.QUOTE_ALL)  # also where tables part cells by semicolons
    writer.writerow(COLUMNS)
    for row in live.rows():
        if row.chosen:
            writer.writerow([_cell(text) for text in _cells(row, live)])
    return _download("\ufeff" + out.getvalue(), live, "csv")


def _cells(row: FrameRow, live: LiveSitting) -> list[str]:
    frame, reach = live.frame(row.number), row.reach_cm
    companions = () if frame is None else frame.frame.companions
    cause = row.cause if frame is None else frame.frame.answer.cause  # a row may wait for it
    values = (None, None, None) if reach is None else (reach.value, reach.low, reach.high)
    return [
        plain_text(row.name),
        " ".join(plain_text(path.replace("\\", "/").rpartition("/")[2]) for path in companions),
        *("" if value is None else f"{value:.1f}" for value in values),
        cause_words(cause) if row.status == "measured" else "",
        str(row.burst or ""),
    ]


def _cell(text: str) -> str:
    """Return a cell that no table takes for a formula."""
    return f"'{text}" if text.startswith(FORMULA) else text


def _download(text: str, live: LiveSitting, kind: str) -> Response:
    return Response(
        text.encode(),
        media_type={"txt": "text/plain", "csv": "text/csv"}[kind],
        headers={
            "content-disposition": f'attachment; filename="chosen-{live.key}.{kind}"',
            "cache-control": "no-store",
        },
    )


routes = (
    Route("/sitting/{key}/choose", _choose, methods=["POST"]),
    Route("/sitting/{key}/undo", _undo, methods=["POST"]),
    Route("/sitting/{key}/chosen.txt", _text),
    Route("/sitting/{key}/chosen.csv", _table),
)
