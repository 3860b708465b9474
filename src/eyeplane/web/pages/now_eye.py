"""The eye window kept with a reading, by the numbers of frame and face; it may be kept for ever."""

import hashlib

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from eyeplane.sitting.live import LiveSitting
from eyeplane.web.page import site_of
from eyeplane.web.site import NotHereError
from eyeplane.web.static_files import YEAR_S
from eyeplane.web.words import words

MOST_DIGITS = 9  # of a number in an address


def eye_address(key: str, number: int, face: int, sha256: str) -> str:
    """Return the address of an eye window; it changes with the frame's content.

    Parameters
    ----------
    key : str
        Of the sitting.
    number : int
        Of the frame.
    face : int
        Index of the face in its reading.
    sha256 : str
        Of the frame's file.

    Returns
    -------
    str
        A path on this site.
    """
    return f"/eye/{key}/{number}/{face}.jpg?v={sha256[:12] or '0'}"


def eye_jpeg(live: LiveSitting, number: int, face: int) -> bytes | None:
    """Return the eye window of a face.

    Parameters
    ----------
    live : LiveSitting
        The sitting.
    number : int
        Of the frame.
    face : int
        Index of the face in its reading.

    Returns
    -------
    bytes or None
        A JPEG; None where there is no such frame, face or window.
    """
    return live.view(number, face) or None


def number_in(text: str) -> int | None:
    """Return a number out of an address.

    Parameters
    ----------
    text : str
        Anything.

    Returns
    -------
    int or None
        None for what is no whole number >= 0, or longer than any number of ours.
    """
    plain = text.isascii() and text.isdecimal() and len(text) <= MOST_DIGITS
    return int(text) if plain else None


def _eye(request: Request) -> Response:
    live = site_of(request).sitting(request.path_params["key"])
    number = number_in(request.path_params["number"])
    face = number_in(request.path_params["face"])
    jpeg = None if number is None or face is None else eye_jpeg(live, number, face)
    if jpeg is None:
        raise NotHereError(words("now.no_eye"), where=words("now.address"), hint=words("now.back"))
    tag = f'"{hashlib.sha256(jpeg).hexdigest()[:32]}"'
    kept = f"private, max-age={YEAR_S}, immutable"
    headers = {
        "etag": tag,
        "cache-control": kept if "v" in request.query_params else "private, no-cache",
    }
    if tag in [one.strip() for one in request.headers.get("if-none-match", "").split(",")]:
        return Response(status_code=304, headers=headers)
    return Response(jpeg, media_type="image/jpeg", headers=headers)


routes = (Route("/eye/{key}/{number}/{face}.jpg", _eye),)
