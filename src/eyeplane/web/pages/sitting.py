"""The page of a whole sitting: how it went, and its frames in bursts to look at and choose from."""

from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from eyeplane.deliver.pages import page_of
from eyeplane.deliver.reach_run import thinned
from eyeplane.deliver.windows import FACE_MM_PER_CM
from eyeplane.deliver.wording import cause_words, whole_cm
from eyeplane.records import STANDARD_PRINT_CM
from eyeplane.sitting.live import LiveSitting
from eyeplane.web.page import page, site_of
from eyeplane.web.pages.sitting_asked import (
    CAUSES,
    CHOSEN,
    EYES,
    ORDERS,
    SIDES,
    Asked,
    asked_of,
    in_order,
)
from eyeplane.web.pages.sitting_blocks import Block, blocks_of, bursts_in
from eyeplane.web.pages.sitting_rows import rows_answer, state_answer, state_data
from eyeplane.web.pages.sitting_shown import BLANK, shown_frame
from eyeplane.web.seen import seen_by
from eyeplane.web.words import words

SERVED = 60  # frames on a page that is served; a script shows all of them in one list


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """The frames of one page.

    Attributes
    ----------
    blocks : tuple of Block
        With their frames.
    count, whole : int
        Frames asked for, and of the whole sitting.
    page, pages : int
        This page and how many there are, from 1.
    """

    blocks: tuple[Block, ...]
    count: int
    whole: int
    page: int
    pages: int


def listed(live: LiveSitting, asked: Asked, request: Request) -> Listed:
    """Return the frames of one page.

    Parameters
    ----------
    live : LiveSitting
        The sitting.
    asked : Asked
        What is wanted.
    request : Request
        Of the visitor.

    Returns
    -------
    Listed
        The last page for a number beyond it.
    """
    rows = live.rows()
    wanted = in_order(rows, asked)
    pages = max(1, -(-len(wanted) // SERVED))
    number = min(asked.page, pages)
    shown = wanted[(number - 1) * SERVED : number * SERVED]
    bursts = bursts_in(rows, seen_by(request).figures)
    return Listed(
        blocks=blocks_of(shown, bursts, by_capture=asked.order == "capture"),
        count=len(wanted),
        whole=len(rows),
        page=number,
        pages=pages,
    )


def choices() -> dict[str, tuple[tuple[str, str], ...]]:
    """Return what can be asked for, with its words.

    Returns
    -------
    dict
        By field: pairs of value and word.
    """
    return {
        "order": tuple((one, words(f"sitting.order.{one}")) for one in ORDERS),
        "cause": tuple((one, cause_words(one)) for one in CAUSES),
        "offset": tuple((one, words(f"sitting.offset.{one}")) for one in SIDES),
        "eyes": tuple((one, words(f"sitting.eyes.{one}")) for one in EYES),
        "chosen": tuple((one, words(f"sitting.is_chosen.{one}")) for one in CHOSEN),
    }


def _sitting(request: Request) -> Response:
    live = site_of(request).sitting(request.path_params["key"])
    asked = asked_of(request.query_params)
    figures = seen_by(request).figures
    whole = page_of(live.outlined())
    return page(
        request,
        "sitting.html.j2",
        live=live,
        key=live.key,
        page=whole,
        chart=thinned(whole.reach),
        asked=asked,
        listed=listed(live, asked, request),
        served=SERVED,
        choices=choices(),
        state=state_data(live),
        viewing=live.viewing,
        face_mm_per_cm=FACE_MM_PER_CM,
        standard=f"{whole_cm(STANDARD_PRINT_CM)}\u2009cm",
        blank=BLANK,
        shown=lambda row: shown_frame(row, live=live, figures=figures),
    )


def _current(request: Request) -> Response:
    current = site_of(request).current()
    query = f"?{request.url.query}" if request.url.query else ""
    where = "/sittings" if current is None else f"/sitting/{current.key}{query}"
    return RedirectResponse(where, status_code=303)


routes = (
    Route("/sitting", _current),
    Route("/sitting/{key}", _sitting),
    Route("/sitting/{key}/rows", rows_answer),
    Route("/sitting/{key}/state", state_answer),
)
