"""How steady this photographer is, and how fast sitters move: ladders, and what was learned."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from eyeplane.asked.kept_checks import all_kept, content_of
from eyeplane.asked.taught import learned_now
from eyeplane.asked.trials import going_on
from eyeplane.deliver.check_page import check_parts
from eyeplane.deliver.learned_content import learned_content
from eyeplane.web.instead import content_here, said_here
from eyeplane.web.page import page, site_of
from eyeplane.web.pages.kit import day_words
from eyeplane.web.pages.kit_check import check_page
from eyeplane.web.words import words

MOST_OLDER = 30  # ladders whose answers are listed; older ones are in the log


def _steadiness(request: Request) -> Response:
    store = site_of(request).store_path
    kept = reversed(all_kept(store, "ladder")[-MOST_OLDER:])
    ladders = [(one, told) for one in kept if (told := content_of(one)) is not None]
    numbers = learned_now(store)
    learned = content_here(learned_content(numbers)) if numbers and numbers.frames else None
    newest = content_here(ladders[0][1]) if ladders else None
    return page(
        request,
        "steadiness.html.j2",
        answer=next(
            (one.sentence for one in (newest, learned) if one), words("steadiness.nothing")
        ),
        ladders=ladders,
        newest=newest,
        drawn=check_parts(newest)["drawings"] if newest else [],
        learned=learned,
        learned_drawn=check_parts(learned)["drawings"] if learned else [],
        day=day_words,
        said=said_here,
        going=going_on(store),
    )


def _ladder(request: Request) -> Response:
    return check_page(request, "ladder", request.path_params["id"])


routes = (
    Route("/steadiness", _steadiness),
    Route("/steadiness/ladder/{id}", _ladder),
)
