"""One frame as the client will see it: the near eye at true print size, and the whole print."""

import math
from dataclasses import dataclass
from pathlib import PurePath
from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from eyeplane.deliver.frames import sitters_of
from eyeplane.deliver.tiles_frame import trouble_with
from eyeplane.deliver.true_size import NEAREST_CM, Held, held, reach_from
from eyeplane.deliver.wording import plain_text, reach_parts
from eyeplane.errors import InputError
from eyeplane.optics.reach import DIAGONALS
from eyeplane.records import Measured
from eyeplane.records.live import LiveFrame
from eyeplane.sitting.live import LiveSitting
from eyeplane.sitting.run import goal_of
from eyeplane.web.cookies import keep
from eyeplane.web.figures import CM_PER_INCH, Figures
from eyeplane.web.page import page
from eyeplane.web.pages.eyes_print import PRINT_CM
from eyeplane.web.pages.print_shown import PrintSeen
from eyeplane.web.pages.screen import screen_of
from eyeplane.web.pages.tiles import frame_of, sitting_of, whole_number
from eyeplane.web.seen import seen_by
from eyeplane.web.words import words

SIZES_CM = (
    20,
    30,
    40,
    50,
    60,
    75,
    90,
    100,
    120,
    150,
)  # long edges sold; common practice, no source
SIZES_IN = (8, 12, 16, 20, 24, 30, 36, 40, 48, 60)  # long edges sold; common practice, no source
FROM_CM = (10.0, 1000.0)  # from the client's eye to a print
SIT_CM = (15.0, 400.0)  # from the visitor's eye to the screen
ORDER: tuple[Held, ...] = ("holds", "edge", "short", "cannot tell")
SIT_KEPT = "screen_sit_cm"


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """A print that can be chosen.

    Attributes
    ----------
    name : str
        "30 cm".
    held : str
        Whether the frame holds it.
    address : str
        Of the page for it.
    shown : bool
        Whether it is the one shown.
    order : int
        Where its group stands: what holds first.
    """

    name: str
    held: Held
    address: str
    shown: bool
    order: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What an address asks for.

    Attributes
    ----------
    print_cm, from_cm, sit_cm : float
        Long edge of the print, distance of the client from it, of the visitor from the screen.
    face : int or None
        Whose eye.
    told : dict
        What stood in the address, to keep it in others.
    """

    print_cm: float
    from_cm: float
    sit_cm: float
    face: int | None
    told: dict[str, str]

    def address(self, path: str, **changed: str) -> str:
        """Return the address of the page with something changed.

        Parameters
        ----------
        path : str
            Of the page.
        **changed : str
            Fields.

        Returns
        -------
        str
            Address.
        """
        return f"{path}?{urlencode(self.told | changed)}"


def _print(request: Request) -> Response:
    live = sitting_of(request)
    found = frame_of(live, request.path_params["n"])
    asked = _asked(request, live, found)
    at = screen_of(request)
    reading, answer = found.frame.reading, found.frame.answer
    reach = None if asked.face is None else answer.faces[asked.face].reach_cm
    reach = reach_from(reach, viewing=live.viewing, distance_cm=asked.from_cm)
    seen = PrintSeen(
        reading=reading,
        face=asked.face,
        address=f"/eye/{live.key}/{found.number}/print.jpg",
        print_cm=asked.print_cm,
        from_cm=asked.from_cm,
        sit_cm=asked.sit_cm,
        at=at,
    )
    trouble = trouble_with(reading)
    long_px = max(reading.width_px, reading.height_px, 1)
    answered = page(
        request,
        "print.html.j2",
        live=live,
        number=found.number,
        name=plain_text(PurePath(reading.path).name),
        sentence=answer.sentence or plain_text(reading.reason) or words("print.nobody"),
        advice=answer.advice,
        told=_told(reach, asked),
        sizes=_sizes(request, asked, reach),
        sitters=_sitters(found, request.url.path, asked),
        asked=asked,
        at=at,
        screen_seen=request.cookies.get("screen_seen", ""),
        seen_print=None if trouble else seen,
        trouble=words(f"print.trouble.{trouble}") if trouble else "",
        coarse=at.screen.coarser_than_print(
            print_cm=asked.print_cm, long_edge_px=long_px, distance_cm=asked.from_cm
        ),
        nearest_cm=NEAREST_CM,
        back=asked.address(request.url.path),
    )
    if asked.told.get("sit"):
        keep(answered, SIT_KEPT, f"{asked.sit_cm:.4g}")
    return answered


def _asked(request: Request, live: LiveSitting, found: LiveFrame) -> Asked:
    query, figures = request.query_params, seen_by(request).figures
    reading = found.frame.reading
    told = {k: query[k] for k in ("print", "from", "sit", "face", "unit") if query.get(k)}
    if told.get("unit") in ("cm", "inch"):  # as it was typed, even if the setting changed since
        figures = Figures(lengths="inch" if told["unit"] == "inch" else "cm")
    print_cm = _length(told, "print", figures, goal_of(live.viewing), PRINT_CM)
    short_ratio = min(reading.width_px, reading.height_px) / max(
        reading.width_px, reading.height_px, 1
    )
    diagonal_cm = print_cm * math.hypot(1, short_ratio)
    default_from_cm = live.viewing.distance_cm or DIAGONALS * diagonal_cm
    face = whole_number(told.get("face", ""))
    return Asked(
        print_cm=print_cm,
        from_cm=_length(told, "from", figures, default_from_cm, FROM_CM),
        sit_cm=_length(told, "sit", figures, _usual_sit_cm(request), SIT_CM),
        face=found.frame.answer.deciding if face is None or face >= len(reading.faces) else face,
        told=told,
    )


def _usual_sit_cm(request: Request) -> float:
    try:
        kept_cm = float(request.cookies.get(SIT_KEPT, "")[:12])
    except ValueError:
        kept_cm = 0.0
    return kept_cm if SIT_CM[0] <= kept_cm <= SIT_CM[1] else screen_of(request).sit_cm


def _length(
    told: dict[str, str],
    name: str,
    figures: Figures,
    default_cm: float,
    bounds: tuple[float, float],
) -> float:
    if name not in told:
        return default_cm
    where = words(f"print.field.{name}")
    length_cm = figures.to_cm(told[name], where=where)
    if not bounds[0] <= length_cm <= bounds[1]:
        low, high = (figures.text(f"{cm:.0f} cm") for cm in bounds)
        raise InputError(
            words("print.out_of_reach", typed=repr(told[name][:40])),
            where=where,
            hint=words("print.give_between", low=low, high=high),
        )
    return length_cm


def _told(reach: Measured | None, asked: Asked) -> str:
    said, spread = reach_parts(reach)
    return words(
        f"print.held.{held(reach, print_cm=asked.print_cm).replace(' ', '_')}",
        print_cm=f"{asked.print_cm:.4g}",
        from_cm=f"{float(f'{asked.from_cm:.3g}'):g}",  # never as 1e+03
        reach=f"{said} ({spread})" if spread else said,
    )


def _sizes(request: Request, asked: Asked, reach: Measured | None) -> tuple[Size, ...]:
    figures = seen_by(request).figures
    inches = figures.lengths == "inch"
    lengths = [size * CM_PER_INCH for size in SIZES_IN] if inches else [float(s) for s in SIZES_CM]
    return tuple(
        Size(
            name=f"{figures.length(length_cm)}\u2009{figures.unit}",
            held=held(reach, print_cm=length_cm),
            address=asked.address(
                request.url.path,
                print=figures.length(length_cm),
                unit=figures.lengths,
                **_again(asked, figures),
            ),
            shown=abs(length_cm - asked.print_cm) < 0.01,
            order=ORDER.index(held(reach, print_cm=length_cm)),
        )
        for length_cm in lengths
    )


def _again(asked: Asked, figures: Figures) -> dict[str, str]:
    """Return what else stood in the address, in the unit that others are given in."""
    lengths_cm = {"from": asked.from_cm, "sit": asked.sit_cm}
    return {name: figures.length(cm) for name, cm in lengths_cm.items() if name in asked.told}


def _sitters(found: LiveFrame, path: str, asked: Asked) -> tuple[tuple[str, str, bool], ...]:
    order, places = sitters_of(found.frame)
    if len(order) < 2:
        return ()
    return tuple(
        (place, asked.address(path, face=str(k)), k == asked.face)
        for k, place in zip(order, places, strict=True)
    )


routes = (Route("/print/{key}/{n}", _print),)
