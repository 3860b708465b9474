"""Our sheets to print in true scale, and what to do with them."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from eyeplane.asked.sheets import MAKERS, sheet_named, sheet_words
from eyeplane.deliver.printed_sheet import printed_bytes
from eyeplane.records.printed import PAPERS_MM
from eyeplane.web.page import page
from eyeplane.web.site import NotHereError
from eyeplane.web.words import words

USUAL = "A4"


def _how(request: Request) -> Response:
    sheet = _sheet(request)
    paper = request.query_params.get("paper", USUAL)
    printed = sheet_named(sheet, paper)
    return page(
        request,
        "kit_sheet.html.j2",
        sheet=sheet,
        paper=printed.paper,
        papers=tuple(PAPERS_MM),
        told=sheet_words(printed),
        check=sheet,
    )


def _pdf(request: Request) -> Response:
    sheet = _sheet(request)
    printed = sheet_named(sheet, request.query_params.get("paper", USUAL))
    name = f"eyeplane-{printed.kind}-{printed.paper}.pdf"
    return Response(
        printed_bytes(printed),
        media_type="application/pdf",
        headers={"content-disposition": f'inline; filename="{name}"'},
    )


def _sheet(request: Request) -> str:
    sheet = str(request.path_params["sheet"])
    if sheet not in MAKERS:
        raise NotHereError(
            words("kit.no_sheet"), where=words("kit.address"), hint=words("kit.gone_hint")
        )
    return sheet


routes = (
    Route("/kit/print/{sheet:str}.pdf", _pdf),
    Route("/kit/print/{sheet:str}", _how),
)
