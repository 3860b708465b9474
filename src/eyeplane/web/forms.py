"""What a form posted, read with limits."""

from urllib.parse import parse_qsl

from starlette.exceptions import HTTPException
from starlette.requests import Request

from eyeplane.errors import InputError

FORM_LIMIT_BYTES = 65_536  # the largest form here is a plan of some 60 short fields


async def form_of(request: Request) -> dict[str, str]:
    """Return the fields of a posted form, the last of each name.

    Parameters
    ----------
    request : Request
        Of type application/x-www-form-urlencoded.

    Returns
    -------
    dict of str to str
        Blank fields too.

    Raises
    ------
    InputError
        If it is no such form.
    HTTPException
        413 if it is too large.
    """
    return dict(await fields_of(request))


async def fields_of(request: Request) -> list[tuple[str, str]]:
    """Return the fields of a posted form in order, names that come again too.

    Parameters
    ----------
    request : Request
        Of type application/x-www-form-urlencoded.

    Returns
    -------
    list of (str, str)
        Name and value.

    Raises
    ------
    InputError
        If it is no such form.
    HTTPException
        413 if it is too large.
    """
    body = b""
    async for piece in request.stream():
        body += piece
        if len(body) > FORM_LIMIT_BYTES:
            raise HTTPException(413)
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind not in {"application/x-www-form-urlencoded", ""}:
        raise InputError(f"it is of type {kind!r}", where="the form", hint="Send it from the page")
    try:
        return parse_qsl(body.decode(), keep_blank_values=True, max_num_fields=2000)
    except ValueError as error:  # not UTF-8, or too many fields
        raise InputError("it cannot be read", where="the form", hint="Send it anew") from error
