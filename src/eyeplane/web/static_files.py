"""Style sheets and scripts: a fixed list of files that ship with the package."""

import hashlib
from functools import cache
from importlib.resources import files

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

KINDS = {"css": "text/css", "js": "text/javascript", "svg": "image/svg+xml"}
SHARED = ("report.css", "check.css")  # the look of reports and of checks: of these pages too
YEAR_S = 31_536_000


@cache
def known() -> dict[str, tuple[bytes, str]]:
    """Return every file that may be asked for.

    Returns
    -------
    dict
        By name: content and type.
    """
    found: dict[str, tuple[bytes, str]] = {}
    top = files("eyeplane.web") / "static"
    for prefix, folder in (("", top), ("vendor/", top / "vendor")):
        for file in folder.iterdir():
            kind = KINDS.get(file.name.rpartition(".")[2])
            if kind is not None:
                found[prefix + file.name] = (file.read_bytes(), kind)
    for name in SHARED:
        found[name] = ((files("eyeplane.deliver") / "templates" / name).read_bytes(), "text/css")
    return found


@cache
def address(name: str) -> str:
    """Return the address of a file; it changes with its content, so it may be kept for ever.

    Parameters
    ----------
    name : str
        E.g. "now.js" or "vendor/htmx-2.0.11.min.js".

    Returns
    -------
    str
        A path on this site.

    Raises
    ------
    KeyError
        If no such file ships.
    """
    return f"/static/{name}?v={hashlib.sha256(known()[name][0]).hexdigest()[:12]}"


async def _static(request: Request) -> Response:
    found = known().get(request.path_params["name"])
    if found is None:
        raise HTTPException(404)
    content, kind = found
    return Response(
        content,
        media_type=kind,
        headers={"cache-control": f"public, max-age={YEAR_S}, immutable"},
    )


routes = (Route("/static/{name:path}", _static, name="static"),)
