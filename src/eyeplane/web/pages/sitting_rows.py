"""All frames of a sitting for the page's script, compact, known again by their revision."""

import gzip
import json
import secrets
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from eyeplane.deliver.wording import cause_words, plain_text, reach_parts
from eyeplane.records import Measured
from eyeplane.web.page import site_of
from eyeplane.web.pages.sitting_asked import CAUSES, EYES, SIDES, eyes_of, side_of
from eyeplane.web.pages.sitting_blocks import bursts_in, clock_of
from eyeplane.web.pages.sitting_shown import (
    content_mark,
    count_chosen,
    reason_of,
    shown_reach,
    window_scale,
)
from eyeplane.web.seen import seen_by
from eyeplane.web.words import words

if TYPE_CHECKING:
    from eyeplane.records.live import FrameRow
    from eyeplane.sitting.live import LiveSitting
    from eyeplane.web.figures import Figures

STATUSES = ("measured", "nobody", "unreadable")
LEVEL = 5  # of gzip: three quarters of what is to be had, in a third of the time
RUN = secrets.token_hex(4)  # revisions begin anew with each start of the server


def rows_answer(request: Request) -> Response:
    """Return all frames, column by column.

    Parameters
    ----------
    request : Request
        With the sitting's key in its address.

    Returns
    -------
    Response
        JSON, compressed where that is understood; 304 where the visitor has it already.
    """
    live = site_of(request).sitting(request.path_params["key"])
    figures = seen_by(request).figures
    revision = live.state().revision
    tag = f'"{RUN}-{revision}-{figures.lengths}-{figures.decimal}"'
    headers = {"etag": tag, "cache-control": "private, no-cache", "vary": "accept-encoding, cookie"}
    if tag in request.headers.get("if-none-match", ""):
        return Response(status_code=304, headers=headers)
    body = json.dumps(
        rows_data(live.rows(), figures) | {"revision": revision},
        ensure_ascii=False,
        separators=(",", ":"),
    ).encode()
    if "gzip" in request.headers.get("accept-encoding", ""):
        body = gzip.compress(body, LEVEL, mtime=0)
        headers["content-encoding"] = "gzip"
    return Response(body, media_type="application/json", headers=headers)


def state_answer(request: Request) -> Response:
    """Return how the sitting stands, in a few numbers.

    Parameters
    ----------
    request : Request
        With the sitting's key in its address.

    Returns
    -------
    Response
        JSON: frames, chosen, revision, and how many answers are still being worked out.
    """
    live = site_of(request).sitting(request.path_params["key"])
    return JSONResponse(state_data(live), headers={"cache-control": "no-store"})


def state_data(live: "LiveSitting") -> dict[str, Any]:
    """Return how a sitting stands.

    Parameters
    ----------
    live : LiveSitting
        The sitting.

    Returns
    -------
    dict
        For a script.
    """
    state = live.state()
    return {
        "frames": state.frames,
        "chosen": count_chosen(live.rows()),
        "revision": state.revision,
        "answering": state.answering,
        "settled": state.settled,
    }


def rows_data(rows: Sequence["FrameRow"], figures: "Figures") -> dict[str, Any]:
    """Return frames column by column, with what is said of their bursts.

    Parameters
    ----------
    rows : sequence of FrameRow
        All frames in order of capture.
    figures : Figures
        As this visitor sees numbers.

    Returns
    -------
    dict
        Words that occur often stand once in a list of their own, and rows hold their places.
    """
    bursts = bursts_in(rows, figures)
    said: dict[tuple[str, str], int] = {}
    sayings: list[tuple[str, str]] = []
    places = []
    for row in rows:
        same = reach_parts(row.reach_cm)
        if same not in said:
            said[same] = len(sayings)
            sayings.append(shown_reach(row, figures))
        places.append(said[same])
    return {
        "n": [row.number for row in rows],
        "name": [plain_text(row.name) for row in rows],
        "status": [STATUSES.index(row.status) for row in rows],
        "burst": [row.burst or 0 for row in rows],
        "best": [int(row.best) for row in rows],
        "chosen": [int(row.chosen) for row in rows],
        "reach": _values(row.reach_cm for row in rows),
        "offset": _values(row.offset_mm for row in rows),
        "side": [SIDES.index(side_of(row)) for row in rows],
        "cause": [CAUSES.index(row.cause) if row.answered else len(CAUSES) for row in rows],
        "eyes": [EYES.index(eyes_of(row)) for row in rows],
        "face": [row.face for row in rows],
        "scale": [round(window_scale(row), 4) for row in rows],
        "mark": [content_mark(row) for row in rows],
        "said": places,
        "time": [clock_of(row.captured_at) for row in rows],
        "sayings": sayings,
        "causes": [*(cause_words(cause) for cause in CAUSES), words("sitting.working")],
        "reasons": {row.number: text for row in rows if (text := reason_of(row))},
        "bursts": {
            number: (bursts.when[number], bursts.why[number], size)
            for number, size in bursts.sizes.items()
        },
    }


def _values(numbers: Iterable[Measured | None]) -> list[float | None]:
    return [None if number is None else round(number.value, 1) for number in numbers]
