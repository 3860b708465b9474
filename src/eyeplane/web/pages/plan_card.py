"""The plan's card to print, from the same address parameters as its page."""

from functools import partial
from typing import TYPE_CHECKING

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from eyeplane.deliver.plan_card import card_bytes
from eyeplane.errors import InputError
from eyeplane.web.guard.headers import PAPER_POLICY
from eyeplane.web.page import site_of
from eyeplane.web.pages.plan import KINDS, plan_pairs
from eyeplane.web.pages.plan_made import made
from eyeplane.web.words import words

if TYPE_CHECKING:
    from eyeplane.asked.plan_request import PlanKind

MEDIA = {".pdf": "application/pdf", ".html": "text/html; charset=utf-8"}


def _card(ending: str, request: Request) -> Response:
    asked = request.query_params
    kind: PlanKind = next((one for one in KINDS if one == asked.get("kind", "sitter")), "sitter")
    if asked.get("kind", kind) != kind:
        raise InputError(
            words("plan.no_kind"), where="kind", hint=words("plan.kinds", kinds=", ".join(KINDS))
        )
    one = made(kind, plan_pairs(asked.multi_items()), site_of(request).store_path)
    if one.plan is None:
        said = next(iter(one.wrong.values()), words("plan.card_range"))
        where = next((field for field in one.wrong if field), words("plan.title"))
        raise InputError(said.rstrip("."), where=where, hint=words("plan.card_hint"))
    named = one.entered.named
    title = " · ".join(filter(None, (named.client, named.kit)))
    content = card_bytes(one.plan, kind=ending, title=title, paper=asked.get("paper", "A5"))
    headers = {"content-disposition": f'inline; filename="plan-{kind}{ending}"'}
    if ending == ".html":
        headers["content-security-policy"] = PAPER_POLICY
    return Response(content, media_type=MEDIA[ending], headers=headers)


routes = tuple(
    Route(f"/plan/card{ending}", partial(_card, ending), name=f"plan-card{ending}")
    for ending in MEDIA
)
