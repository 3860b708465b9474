"""Tiles of frames at full resolution, for looking into them; frames are found by number only."""

import re
import threading
from collections.abc import Callable
from pathlib import Path

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from eyeplane.deliver.tiles_cache import FrameCache
from eyeplane.deliver.tiles_frame import ChangedError, GoneError, OpenFrame, tile_jpeg
from eyeplane.deliver.wording import plain_text
from eyeplane.errors import FrameError, InputError
from eyeplane.records import FrameReading
from eyeplane.records.live import LiveFrame
from eyeplane.sitting.landing_walk import lies_within
from eyeplane.sitting.live import LiveSitting
from eyeplane.web.page import page, site_of
from eyeplane.web.site import NotHereError
from eyeplane.web.words import words

YEAR_S = 31_536_000
_NUMBER = re.compile("[0-9]{1,7}")
_MAKING = threading.Lock()


def whole_number(text: str) -> int | None:
    """Return a number out of an address.

    Parameters
    ----------
    text : str
        Whatever stood there.

    Returns
    -------
    int or None
        None unless it is up to seven ASCII digits.
    """
    return int(text) if _NUMBER.fullmatch(text) else None


def sitting_of(request: Request) -> LiveSitting:
    """Return the open sitting that an address names.

    Parameters
    ----------
    request : Request
        With `key` in its path.

    Returns
    -------
    LiveSitting
        The sitting.

    Raises
    ------
    NotHereError
        If none of that key is open.
    """
    return site_of(request).sitting(request.path_params["key"])


def frame_of(live: LiveSitting, text: str) -> LiveFrame:
    """Return the frame of a sitting that an address names.

    Parameters
    ----------
    live : LiveSitting
        An open sitting.
    text : str
        The number as it stood there.

    Returns
    -------
    LiveFrame
        The frame.

    Raises
    ------
    NotHereError
        If there is no such frame.
    """
    number = whole_number(text)
    found = None if number is None else live.frame(number)
    if found is None:
        raise NotHereError(
            words("tiles.no_frame", number=plain_text(text[:20])),
            where=plain_text(live.name),
            hint=words("tiles.no_frame_hint"),
        )
    return found


def opened(request: Request, reading: FrameReading) -> OpenFrame:
    """Return a frame decoded, from the few that are kept at hand.

    Parameters
    ----------
    request : Request
        For the application that keeps them, and the sitting that its address names.
    reading : FrameReading
        What was measured in it.

    Returns
    -------
    OpenFrame
        The frame.

    Raises
    ------
    GoneError
        If its file is not there.
    ChangedError
        If it holds something else now.
    NotHereError
        If it never could be read, or a link leads out of the sitting's folder.
    """
    if reading.status == "unreadable" or not reading.sha256:
        raise NotHereError(
            words("tiles.unreadable"),
            where=plain_text(Path(reading.path).name),
            hint=words("tiles.unreadable_hint"),
        )
    folder = sitting_of(request).folder
    if folder is not None and not lies_within(reading.path, str(folder)):
        raise NotHereError(
            words("tiles.outside"),
            where=plain_text(Path(reading.path).name),
            hint=words("tiles.outside_hint"),
        )
    state = request.app.state
    with _MAKING:
        if not hasattr(state, "frames_at_hand"):
            state.frames_at_hand = FrameCache()
    cache: FrameCache = state.frames_at_hand
    return cache.frame(Path(reading.path), sha256=reading.sha256)


def picture_answer(
    request: Request, reading: FrameReading, name: str, made: Callable[[], bytes]
) -> Response:
    """Return a picture made from a frame, or a page that says why there is none.

    Parameters
    ----------
    request : Request
        Its `v` may name the content that is expected.
    reading : FrameReading
        Of the frame.
    name : str
        What of the frame the picture shows.
    made : callable
        Makes the JPEG; asked only if the visitor does not have it yet.

    Returns
    -------
    Response
        200, 304, 404 (gone) or 409 (changed since it was measured).
    """
    tag = f'"{reading.sha256[:32]}-{name}"'
    certain = request.query_params.get("v") == reading.sha256[:12]
    keep = f"private, max-age={YEAR_S}, immutable" if certain else "private, no-cache"
    headers = {"etag": tag, "cache-control": keep}
    if tag in (one.strip() for one in request.headers.get("if-none-match", "").split(",")):
        return Response(status_code=304, headers=headers)
    try:
        content = made()
    except FrameError as error:
        status = {GoneError: 404, ChangedError: 409}.get(type(error), 422)
        told = type(error)(error.what, where=plain_text(error.where), hint=error.hint)
        return page(request, "trouble.html.j2", status=status, said=str(told), hint="")
    return Response(content, media_type="image/jpeg", headers=headers)


def _tile(request: Request) -> Response:
    reading = frame_of(sitting_of(request), request.path_params["n"]).frame.reading
    asked = [whole_number(request.path_params[part]) for part in ("level", "column", "row")]
    level, column, row = (-1 if one is None else one for one in asked)

    def made() -> bytes:
        shown = opened(request, reading)
        try:
            return tile_jpeg(shown.tile(level, column, row))
        except InputError as error:
            raise NotHereError(error.what, where=error.where, hint=error.hint) from error

    return picture_answer(request, reading, f"{level}-{column}-{row}", made)


routes = (Route("/tiles/{key}/{n}/{level}/{column}_{row}.jpg", _tile),)
