"""Who is in: on the network only a device with a session, got for a one-time code."""

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Receive, Scope, Send

from eyeplane.deliver import plain_text
from eyeplane.errors import StoreError
from eyeplane.web.guard.codes import LETTERS, SESSION_LIFE, Codes
from eyeplane.web.guard.refuse import refuse
from eyeplane.web.guard.tries import Tries
from eyeplane.web.page import page
from eyeplane.web.words import words

COOKIE = "eyeplane_session"
OPEN_TO_ALL = "/static/"  # style and scripts, the same for everybody who has this program
ENTRY = "/enter"


class Entry:
    """An ASGI layer that lets through who has a session.

    Parameters
    ----------
    app : ASGIApp
        What stands behind it.
    codes : Codes
        Which sessions hold.
    """

    def __init__(self, app: ASGIApp, *, codes: Codes) -> None:
        self.app, self.codes = app, codes
        self._looks = Tries()  # sessions looked up in the store: once a device after a restart

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or turn it away.

        Parameters
        ----------
        scope : Scope
            The request.
        receive : Receive
            Where its body comes from.
        send : Send
            Where the answer goes.
        """
        path = scope.get("path", "")
        if scope["type"] != "http" or path == ENTRY or path.startswith(OPEN_TO_ALL):
            await self.app(scope, receive, send)
            return
        try:
            inside = await self._is_in(scope)
        except StoreError as error:
            told = page(
                Request(scope),
                "refused.html.j2",
                status=503,
                title=words("site.trouble.title"),
                said=f"{plain_text(error.what)}.",  # not where it lies: nobody is let in yet
                hint=f"{plain_text(error.hint)}.",
                back=True,
            )
            await told(scope, receive, send)
            return
        if inside:
            await self.app(scope, receive, send)
        else:
            await refuse(scope, receive, send, 403, "site.refused.session")

    async def _is_in(self, scope: Scope) -> bool:
        session = session_of(Headers(scope=scope))
        if self.codes.knows(session):
            return True
        address = address_of(scope)
        if len(session) != LETTERS or self._looks.wait_s(address):
            return False
        holds = await run_in_threadpool(self.codes.holds, session)
        if holds:  # a page asks for many things at once
            self._looks.succeeded(address)
        return holds


def address_of(scope: Scope) -> str:
    """Return from which address a request comes.

    Parameters
    ----------
    scope : Scope
        The request.

    Returns
    -------
    str
        By the connection alone; no header is believed.
    """
    client = scope.get("client")
    return str(client[0]) if client else ""


def session_of(headers: Headers) -> str:
    """Return the secret of a session that a device shows.

    Parameters
    ----------
    headers : Headers
        Of its request.

    Returns
    -------
    str
        Empty if it shows none.
    """
    for line in headers.getlist("cookie"):
        for pair in line.split(";"):
            name, _, value = pair.strip().partition("=")
            if name == COOKIE:
                return value
    return ""


def let_in(response: Response, session: str) -> None:
    """Let a device keep its session.

    Parameters
    ----------
    response : Response
        What is answered.
    session : str
        Its secret.

    Notes
    -----
    No script reads it, no other site's page sends it along. It is not marked Secure: a studio's
    network has no certificate that browsers know, so the site speaks plain HTTP there.
    """
    response.set_cookie(
        COOKIE,
        session,
        max_age=int(SESSION_LIFE.total_seconds()),
        path="/",
        httponly=True,
        samesite="strict",
    )
