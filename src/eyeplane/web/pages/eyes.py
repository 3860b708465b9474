"""Two frames eye to eye, at one scale of the face, at full resolution."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import PurePath
from typing import Any
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from eyeplane.deliver.frames import sitters_of
from eyeplane.deliver.tiles import TileGrid
from eyeplane.deliver.tiles_frame import trouble_with
from eyeplane.deliver.true_size import counting
from eyeplane.deliver.windows import EyeWindow, eye_window
from eyeplane.deliver.wording import plain_text, reach_parts
from eyeplane.records import EyeView, FrameReading
from eyeplane.records.live import FrameRow, LiveFrame
from eyeplane.sitting.live import LiveSitting
from eyeplane.sitting.run import goal_of
from eyeplane.web.forms import form_of
from eyeplane.web.page import page
from eyeplane.web.pages.now_eye import eye_address, eye_jpeg
from eyeplane.web.pages.screen import VisitorScreen, screen_of
from eyeplane.web.pages.tiles import frame_of, sitting_of, whole_number
from eyeplane.web.words import words

WINDOW_MM = 46.0  # of face across a view at first: eye, brow and bridge of the nose


@dataclass(frozen=True, slots=True, kw_only=True)
class Sitter:
    """A sitter who can be looked at.

    Attributes
    ----------
    name : str
        "first from the left".
    address : str
        Of the page with this sitter.
    shown : bool
        Whether it is the one shown.
    """

    name: str
    address: str
    shown: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SideShown:
    """One of the two frames.

    Attributes
    ----------
    side : {"a", "b"}
        Which.
    number : int
        Its number.
    name, sentence, reach, spread : str
        Its file and its answer.
    chosen : bool
        Whether the photographer chose it.
    face : int or None
        Whose eye is shown.
    sitters : tuple of Sitter
        Of whom one can be chosen; empty for a single one.
    window : EyeWindow or None
        The eye as cut out when it was measured.
    window_address : str
        Where it is had.
    next_address : str
        Of the page with the next frame of the burst on this side; empty if there is none.
    view : dict or None
        What the script needs to look into it; None where it cannot be read.
    trouble : str
        Why it cannot; else empty.
    """

    side: str
    number: int
    name: str
    sentence: str
    reach: str
    spread: str
    chosen: bool
    face: int | None
    sitters: tuple[Sitter, ...]
    window: EyeWindow | None
    window_address: str
    next_address: str
    view: dict[str, object] | None
    trouble: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Which two frames, and whose eyes.

    Attributes
    ----------
    key : str
        Of the sitting.
    a, b : int
        Numbers; b is 0 if there is only one frame.
    fa, fb : int or None
        Faces; None: the sitter who decides.
    """

    key: str
    a: int
    b: int
    fa: int | None = None
    fb: int | None = None

    def address(self, **changed: int | None) -> str:
        """Return the address of the page.

        Parameters
        ----------
        **changed : int or None
            `a`, `b`, `fa` or `fb`.

        Returns
        -------
        str
            With them changed.
        """
        now: dict[str, int | None] = {"a": self.a, "b": self.b, "fa": self.fa, "fb": self.fb}
        told = {name: value for name, value in (now | changed).items() if value is not None}
        if not told.get("b"):
            told.pop("b", None)
        return f"/eyes/{self.key}?{urlencode(told)}"

    @property
    def swapped(self) -> str:
        """Return the address with the frames in each other's place.

        Returns
        -------
        str
            Address.
        """
        return self.address(a=self.b, b=self.a, fa=self.fb, fb=self.fa)


def _eyes(request: Request) -> Response:
    live = sitting_of(request)
    rows = live.rows()
    if not rows:
        return page(request, "eyes.html.j2", live=live, sides=(), pair=None, **_screen(request))
    pair = _pair(request, live, rows)
    screen = screen_of(request)
    sides = [_side(live, pair, rows, "a", screen)]
    if pair.b:
        sides.append(_side(live, pair, rows, "b", screen))
    labels = [words("eyes.view_of", name=one.name) for one in sides]
    parts: dict[str, Any] = {"live": live, "sides": sides, "pair": pair, "labels": labels}
    return page(request, "eyes.html.j2", **parts, **_screen(request))


def _screen(request: Request) -> dict[str, Any]:
    return {"at": screen_of(request), "screen_seen": request.cookies.get("screen_seen", "")}


def _pair(request: Request, live: LiveSitting, rows: Sequence[FrameRow]) -> Pair:
    asked = request.query_params
    measured = [row for row in rows if row.status == "measured"] or list(rows)
    a = frame_of(live, asked["a"]).number if asked.get("a") else measured[-1].number
    b = frame_of(live, asked["b"]).number if asked.get("b") else _beside(a, measured)
    fa, fb = (whole_number(asked.get(name, "")) for name in ("fa", "fb"))
    return Pair(key=live.key, a=a, b=b, fa=fa, fb=fb)


def _beside(number: int, rows: Sequence[FrameRow]) -> int:
    """Return the frame to hold against one: the best of its burst, else its neighbour."""
    mine = next((row for row in rows if row.number == number), None)
    burst = None if mine is None else mine.burst
    others = [row for row in rows if row.number != number]
    alike = [row for row in others if burst is not None and row.burst == burst]
    best = [row for row in alike if row.best]
    for found in (best, alike, others):
        if found:
            return found[0].number
    return 0


def _next(number: int, other: int, rows: Sequence[FrameRow]) -> int | None:
    """Return the next frame of the same burst, in turn, leaving out the other one."""
    mine = next((row for row in rows if row.number == number), None)
    if mine is None or mine.burst is None:
        return None
    burst = [row.number for row in rows if row.burst == mine.burst]
    at = burst.index(number)
    return next((n for n in burst[at + 1 :] + burst[:at] if n != other), None)


def _side(
    live: LiveSitting, pair: Pair, rows: Sequence[FrameRow], side: str, screen: VisitorScreen
) -> SideShown:
    number, other = (pair.a, pair.b) if side == "a" else (pair.b, pair.a)
    found = frame_of(live, str(number))
    reading, answer = found.frame.reading, found.frame.answer
    wanted = pair.fa if side == "a" else pair.fb
    face = answer.deciding if wanted is None or wanted >= len(reading.faces) else wanted
    reach, spread = reach_parts(None if face is None else answer.faces[face].reach_cm)
    following = _next(number, other, rows)
    trouble, window = trouble_with(reading), _window(live, found, face)
    return SideShown(
        side=side,
        number=number,
        name=plain_text(PurePath(reading.path).name),
        sentence=answer.sentence or plain_text(reading.reason) or words("eyes.nobody"),
        reach=reach,
        spread=spread,
        chosen=found.chosen,
        face=face,
        sitters=_sitters(found, pair, side, face),
        window=window,
        window_address=eye_address(live.key, number, face or 0, reading.sha256),
        next_address=""
        if following is None
        else pair.address(**{side: following, f"f{side}": None}),
        view=None
        if trouble
        else _view(live, reading, face, screen) | {"window_mm": window and window.width_mm},
        trouble=words(f"eyes.script.{trouble}") if trouble in ("gone", "changed") else "",
    )


def _sitters(found: LiveFrame, pair: Pair, side: str, face: int | None) -> tuple[Sitter, ...]:
    order, places = sitters_of(found.frame)
    if len(order) < 2:
        return ()
    return tuple(
        Sitter(name=place, address=pair.address(**{f"f{side}": k}), shown=k == face)
        for k, place in zip(order, places, strict=True)
    )


def _window(live: LiveSitting, found: LiveFrame, face: int | None) -> EyeWindow | None:
    if face is None:
        return None
    view = found.frame.reading.faces[face].view
    jpeg = None if view is None else eye_jpeg(live, found.number, face) or view.jpeg
    return None if view is None else eye_window(EyeView(jpeg=jpeg or b"", mm_per_px=view.mm_per_px))


def _view(
    live: LiveSitting, reading: FrameReading, face: int | None, screen: VisitorScreen
) -> dict[str, object]:
    grid = TileGrid(width_px=reading.width_px, height_px=reading.height_px)
    eye = counting(reading, face)
    x, y = (reading.width_px / 2, reading.height_px / 2) if eye is None else eye.iris_px
    print_mm = 10 * goal_of(live.viewing)
    long_px = max(reading.width_px, reading.height_px)
    return {
        "width": grid.width_px,
        "height": grid.height_px,
        "tile": grid.tile_px,
        "overlap": grid.overlap_px,
        "level": grid.full_level,
        "version": reading.sha256[:12],
        "x": x,
        "y": y,
        "face_mm_per_px": None if face is None else reading.faces[face].face.mm_per_px.value,
        "print_px_per_px": screen.screen.px_per_mm * print_mm / long_px,
    }


async def _choose(request: Request) -> Response:
    live = sitting_of(request)
    form = await form_of(request)
    number = whole_number(form.get("n", "")) or 0
    await run_in_threadpool(live.choose, [number], chosen=form.get("chosen") == "yes")
    a, b, fa, fb = (whole_number(form.get(name, "")) for name in ("a", "b", "fa", "fb"))
    pair = Pair(key=live.key, a=a or number, b=b or 0, fa=fa, fb=fb)
    return RedirectResponse(pair.address(), status_code=303)


routes = (
    Route("/eyes/{key}", _eyes, methods=["GET"]),
    Route("/eyes/{key}/choose", _choose, methods=["POST"]),
)
