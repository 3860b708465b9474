"""The Now page: the last frame's answer for who stands at arm's length, and what can be done."""

from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from eyeplane.errors import InputError
from eyeplane.sitting.bursts import holds_goal
from eyeplane.sitting.lines import short_cause
from eyeplane.sitting.live import LiveSitting
from eyeplane.sitting.run import goal_of
from eyeplane.web.forms import form_of
from eyeplane.web.page import markup, page, site_of
from eyeplane.web.pages.now_eye import number_in
from eyeplane.web.pages.now_shown import Shown, shown_of
from eyeplane.web.seen import seen_by
from eyeplane.web.words import words

MOST_NAMES = 60  # places in a group; no more heads are told apart in a frame
MOST_LETTERS = 60  # of a name


def _now(request: Request) -> Response:
    live = site_of(request).current()
    shown = None if live is None else _shown(request, live)
    screen_seen = request.cookies.get("screen_seen", "")[:40]
    few = live is not None and _few_pixels(shown, live)
    return page(request, "now.html.j2", shown=shown, screen_seen=screen_seen, few_pixels=few)


def _piece(request: Request) -> Response:
    live = site_of(request).current()
    shown = None if live is None else _shown(request, live)
    few = live is not None and _few_pixels(shown, live)
    body = markup(request, "now_piece.html.j2", shown=shown, few_pixels=few)
    return Response(body, media_type="text/html", headers={"cache-control": "no-store"})


def _shown(request: Request, live: LiveSitting) -> Shown:
    number = number_in(request.query_params.get("frame", ""))
    return shown_of(live, number=number, seen=seen_by(request))


def _few_pixels(shown: Shown | None, live: LiveSitting) -> bool:
    """Return whether a faultless frame falls short all the same, as small copies do."""
    if shown is None or shown.live is None or shown.live.frame.reading.status != "measured":
        return False
    answer = shown.live.frame.answer  # a promised print has it in its sentence already
    faultless = answer.cause == "none" and short_cause(answer) == "pixels"
    return faultless and not holds_goal(answer, goal_of(live.viewing))


async def _choose(request: Request) -> Response:
    form = await form_of(request)
    live = _current(request)
    number = number_in(form.get("frame", ""))
    if number is None or await run_in_threadpool(live.frame, number) is None:
        raise InputError(words("now.no_frame"), where=words("now.form"), hint=words("now.back"))
    await run_in_threadpool(live.choose, [number], chosen=form.get("chosen") == "1")
    return _back(form)


async def _names(request: Request) -> Response:
    form = await form_of(request)
    live = _current(request)
    known = live.sitter_names()  # of a larger group, whose further places this form does not show
    typed = [form.get(f"name-{n}", known.get(n, "")) for n in range(1, MOST_NAMES + 1)]
    if any(len(name) > MOST_LETTERS for name in typed):
        raise InputError(
            words("now.names.long", most=MOST_LETTERS),
            where=words("now.form"),
            hint=words("now.names.shorter"),
        )
    await run_in_threadpool(live.name_sitters, typed)
    return _back(form)


def _current(request: Request) -> LiveSitting:
    live = site_of(request).current()
    if live is None:
        raise InputError(words("now.none"), where=words("now.form"), hint=words("now.open_one"))
    return live


def _back(form: dict[str, str]) -> Response:
    held = number_in(form.get("held", ""))
    query = "" if held is None else "?" + urlencode({"frame": held})
    return RedirectResponse("/now" + query, status_code=303)


routes = (
    Route("/now", _now),
    Route("/now/piece", _piece),
    Route("/now/choose", _choose, methods=["POST"]),
    Route("/now/names", _names, methods=["POST"]),
)
