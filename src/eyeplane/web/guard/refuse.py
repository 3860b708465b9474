"""How a request is turned away: a page in plain words that shows nothing of any sitting."""

from starlette.requests import Request
from starlette.responses import HTMLResponse
from starlette.types import Receive, Scope, Send

from eyeplane.web.page import page
from eyeplane.web.words import words


def refusal(
    request: Request, status: int, why: str, *, headers: dict[str, str] | None = None
) -> HTMLResponse:
    """Return the page that turns a request away.

    Parameters
    ----------
    request : Request
        The request.
    status : int
        HTTP status.
    why : str
        Key of the sentence; the one of what to do is the same with "_hint".
    headers : dict or None
        Further headers.

    Returns
    -------
    HTMLResponse
        Without the way to other pages and without anything of a sitting.
    """
    known = why.startswith("site.trouble.")  # what anybody may be told, with the way back
    answer = page(
        request,
        "refused.html.j2",
        status=status,
        title=words("site.trouble.title" if known else "site.refused.title"),
        said=words(why),
        hint=words(f"{why}_hint"),
        back=known,
    )
    answer.headers.update(headers or {})
    return answer


async def refuse(scope: Scope, receive: Receive, send: Send, status: int, why: str) -> None:
    """Turn a request away within an ASGI layer.

    Parameters
    ----------
    scope : Scope
        The request.
    receive : Receive
        Where its body comes from.
    send : Send
        Where the answer goes.
    status : int
        HTTP status.
    why : str
        Key of the sentence.
    """
    headers = {"allow": "GET, HEAD, POST"} if status == 405 else {}
    await refusal(Request(scope), status, why, headers=headers)(scope, receive, send)
