"""For which print and from where the answers of a sitting hold, set on its page."""

from collections.abc import Mapping

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from eyeplane.errors import InputError
from eyeplane.records import STANDARD_VIEWING_CM, Viewing
from eyeplane.web.figures import Figures
from eyeplane.web.forms import form_of
from eyeplane.web.page import site_of
from eyeplane.web.seen import seen_by
from eyeplane.web.words import words


def viewing_of(form: Mapping[str, str], figures: Figures, now: Viewing) -> Viewing:
    """Return for which print and viewer to answer, as typed.

    Parameters
    ----------
    form : mapping of str to str
        "print": its longest edge, empty if none is promised; "from": "diagonal", or "given" with
        "viewing" as the distance, empty for the standard one.
    figures : Figures
        In whose unit lengths are typed.
    now : Viewing
        As it stands: a length left in its field as it was shown stays exactly as it is.

    Returns
    -------
    Viewing
        The same as the options --print-cm and --viewing-cm of the command line give.

    Raises
    ------
    InputError
        If a length is none.
    """
    printed, distance = form.get("print", "").strip(), form.get("viewing", "").strip()
    how = form.get("from", "given")
    if how not in {"given", "diagonal"}:
        raise InputError(
            f"'{how[:40]}' is none of its choices",
            where=words("sitting.print.viewing"),
            hint="Send the form from the page",
        )
    print_cm = _length_cm(printed, now.print_cm, figures, "sitting.print.edge")
    if how == "diagonal":
        return Viewing(distance_cm=None, print_cm=print_cm)
    distance_cm = _length_cm(distance, now.distance_cm, figures, "sitting.print.viewing")
    return Viewing(
        distance_cm=STANDARD_VIEWING_CM if distance_cm is None else distance_cm, print_cm=print_cm
    )


def _length_cm(typed: str, now_cm: float | None, figures: Figures, name: str) -> float | None:
    if not typed:
        return None
    if now_cm is not None and typed == figures.length(now_cm):
        return now_cm
    return figures.to_cm(typed, where=words(name))


async def _print(request: Request) -> Response:
    form = await form_of(request)
    live = site_of(request).sitting(request.path_params["key"])
    viewing = viewing_of(form, seen_by(request).figures, live.viewing)
    await run_in_threadpool(live.set_viewing, viewing)
    return RedirectResponse(f"/sitting/{live.key}", status_code=303)


routes = (Route("/sitting/{key}/print", _print, methods=["POST"]),)
