"""The real size of a screen, found with a bank card or a ruler, and kept by the device."""

import re
from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from eyeplane.asked.units import length_mm
from eyeplane.deliver.true_size import (
    CARD_MM,
    NOMINAL_PX_PER_MM,
    PHONE_SHORT_PX,
    SIT_CM,
    Screen,
    plausible,
)
from eyeplane.errors import InputError
from eyeplane.web.cookies import drop, keep
from eyeplane.web.forms import form_of
from eyeplane.web.page import page
from eyeplane.web.seen import SCREEN_PX_PER_MM, seen_by
from eyeplane.web.words import words

BAR_PX = 250  # CSS px of the bar to be measured: it fits on every phone
CORNER_MM = 3.18  # radius of an ID-1 card's corners, ISO/IEC 7810:2019; from memory
SLIDER = (1.5, 12.0, 0.005)  # CSS px to one mm: from, to and step, a fifth of a mm on the card
_SEEN = re.compile(r"([0-9]{1,2}(?:\.[0-9]{1,6})?)_([0-9]{2,5})_([0-9]{2,5})")
_BACK = re.compile(r"/(?!/)[A-Za-z0-9/_.&=?%+-]{0,300}")


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitorScreen:
    """The screen that a visitor looks at.

    Attributes
    ----------
    screen : Screen
        As measured; as browsers suppose where it was not.
    known : bool
        Whether it was measured.
    short_px : float or None
        Shorter side of the whole screen in CSS px, where a script told it.
    """

    screen: Screen
    known: bool
    short_px: float | None

    @property
    def sit_cm(self) -> float:
        """Return how far people usually sit from such a screen.

        Returns
        -------
        float
            In cm, from eye to screen.
        """
        held = self.short_px is not None and self.short_px < PHONE_SHORT_PX
        return SIT_CM["phone" if held else "desk"]

    @property
    def likely(self) -> bool:
        """Return whether a screen can be as it was measured.

        Returns
        -------
        bool
            True also where it was not measured.
        """
        return not self.known or plausible(self.screen.px_per_mm, short_px=self.short_px)


def screen_of(request: Request) -> VisitorScreen:
    """Return the screen that a visitor looks at, by what the device keeps.

    Parameters
    ----------
    request : Request
        The request.

    Returns
    -------
    VisitorScreen
        Measured or supposed.
    """
    px_per_mm = seen_by(request).screen_px_per_mm
    found = _SEEN.fullmatch(request.cookies.get("screen_seen", ""))
    ratio = float(found[1]) if found else 1.0
    return VisitorScreen(
        screen=Screen(
            px_per_mm=px_per_mm or NOMINAL_PX_PER_MM,
            pixel_ratio=ratio if 0.2 <= ratio <= 10 else 1.0,
        ),
        known=px_per_mm is not None,
        short_px=min(float(found[2]), float(found[3])) if found else None,
    )


def _screen(request: Request) -> Response:
    return page(
        request,
        "screen.html.j2",
        at=screen_of(request),
        screen_seen=request.cookies.get("screen_seen", ""),
        back=_back(request.query_params.get("back", "")),
        card_mm=CARD_MM,
        corner_mm=CORNER_MM,
        bar_px=BAR_PX,
        slider=SLIDER,
    )


async def _keep(request: Request) -> Response:
    form = await form_of(request)
    back = _back(form.get("back", ""))
    if "forget" in form:
        answer = RedirectResponse("/screen", status_code=303)
        drop(answer, "screen_px_per_mm")
        drop(answer, "screen_seen")
        return answer
    px_per_mm = _px_per_mm(form)
    seen = _SEEN.fullmatch(form.get("screen", ""))
    short_px = min(float(seen[2]), float(seen[3])) if seen else None
    likely = plausible(px_per_mm, short_px=short_px)
    answer = RedirectResponse(back if back and likely else "/screen", status_code=303)
    keep(answer, "screen_px_per_mm", f"{px_per_mm:.5g}")
    if seen:
        keep(answer, "screen_seen", seen[0])
    else:
        drop(answer, "screen_seen")
    return answer


def _px_per_mm(form: dict[str, str]) -> float:
    bar, told = form.get("bar", "").strip(), form.get("px_per_mm", "").strip()
    try:
        size = BAR_PX / length_mm(bar, bare="mm") if bar else float(told)
    except (ValueError, ZeroDivisionError):
        size = 0.0
    if not SCREEN_PX_PER_MM[0] <= size <= SCREEN_PX_PER_MM[1]:
        raise InputError(
            words("screen.impossible", typed=repr((bar or told)[:40])),
            where=words("screen.bar_field" if bar else "screen.card_field"),
            hint=words("screen.impossible_hint", bar_mm=f"{BAR_PX / NOMINAL_PX_PER_MM:.0f}"),
        )
    return size


def _back(text: str) -> str:
    return text if _BACK.fullmatch(text) else ""


routes = (
    Route("/screen", _screen, methods=["GET"]),
    Route("/screen", _keep, methods=["POST"]),
)
