"""The picture of a piece of a print: the near eye, or all of it, in the screen's own pixels."""

import re
import threading
from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from eyeplane.deliver.tiles_frame import tile_jpeg
from eyeplane.deliver.tiles_print import piece_around, piece_pixels
from eyeplane.deliver.true_size import counting
from eyeplane.errors import InputError
from eyeplane.records import FrameReading
from eyeplane.web.pages.tiles import frame_of, opened, picture_answer, sitting_of, whole_number
from eyeplane.web.words import words

PRINT_CM = (5.0, 300.0)  # long edges of prints that can be shown; no frame makes a larger one whole
PIECE_MM = (1.0, 5000.0)  # of the print
SIDE_PX = (16, 4096)  # of the picture
MOST_PX = 8_000_000  # of the picture: a screen of 3840 × 2160 with some to spare
AT_ONCE = threading.BoundedSemaphore(2)  # pictures made: each may take some 300 MB for a moment
_NUMBER = re.compile(r"[0-9]{1,5}(\.[0-9]{1,17})?")


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceAsked:
    """A picture of a piece of a print as its address asks for it.

    Attributes
    ----------
    print_cm : float
        Long edge of the print.
    width_mm : float
        Of the piece on the print.
    width_px, height_px : int
        Of the picture; its shape is the piece's.
    face : int or None
        Whose eye it is about; None: the sitter who decides.
    """

    print_cm: float
    width_mm: float
    width_px: int
    height_px: int
    face: int | None = None

    def query(self, *, version: str) -> str:
        """Return it as it stands in an address.

        Parameters
        ----------
        version : str
            Of the frame's content, so that the picture may be kept.

        Returns
        -------
        str
            Without its question mark.
        """
        face = "" if self.face is None else f"&face={self.face}"
        size = f"&px={self.width_px}&tall={self.height_px}"
        return f"print={self.print_cm:.6g}&mm={self.width_mm:.8g}{size}{face}&v={version}"


def middle_px(reading: FrameReading, face: int | None) -> tuple[float, float]:
    """Return what a frame is looked at around.

    Parameters
    ----------
    reading : FrameReading
        One frame.
    face : int or None
        Index of the sitter.

    Returns
    -------
    tuple of float
        The near eye, or the middle of the frame where there is none.
    """
    eye = counting(reading, face)
    return (reading.width_px / 2, reading.height_px / 2) if eye is None else eye.iris_px


def asked_piece(request: Request) -> PieceAsked:
    """Return the piece that an address asks for.

    Parameters
    ----------
    request : Request
        With `print`, `mm`, `px`, `tall` and perhaps `face`.

    Returns
    -------
    PieceAsked
        Within bounds.

    Raises
    ------
    InputError
        If one is missing or out of bounds.
    """
    found = PieceAsked(
        print_cm=_within(request, "print", PRINT_CM),
        width_mm=_within(request, "mm", PIECE_MM),
        width_px=int(_within(request, "px", SIDE_PX)),
        height_px=int(_within(request, "tall", SIDE_PX)),
        face=whole_number(request.query_params.get("face", "")),
    )
    if found.width_px * found.height_px > MOST_PX:
        raise _out_of_bounds("px")
    return found


def _within(request: Request, name: str, bounds: tuple[float, float]) -> float:
    text = request.query_params.get(name, "")
    value = float(text) if _NUMBER.fullmatch(text) else 0.0
    if not bounds[0] <= value <= bounds[1]:
        raise _out_of_bounds(name)
    return value


def _out_of_bounds(name: str) -> InputError:
    return InputError(
        words("print.bounds", name=name), where=words("print.address"), hint=words("print.anew")
    )


def _piece(request: Request) -> Response:
    frame = frame_of(sitting_of(request), request.path_params["n"]).frame
    asked = asked_piece(request)
    face = frame.answer.deciding if asked.face is None else asked.face
    at_px = middle_px(frame.reading, face)

    def made() -> bytes:
        shown = opened(request, frame.reading)
        piece = piece_around(
            at_px,
            frame_px=(shown.grid.width_px, shown.grid.height_px),
            print_cm=asked.print_cm,
            width_mm=asked.width_mm,
            height_mm=asked.width_mm * asked.height_px / asked.width_px,
        )
        px_per_mm = asked.width_px / asked.width_mm
        width, height = round(piece.width_mm * px_per_mm), round(piece.height_mm * px_per_mm)
        with AT_ONCE:
            return tile_jpeg(
                piece_pixels(shown, piece, width_px=max(1, width), height_px=max(1, height))
            )

    name = f"{asked.query(version='')}-{at_px[0]:.1f}-{at_px[1]:.1f}"
    return picture_answer(request, frame.reading, name, made)


routes = (Route("/eye/{key}/{n}/print.jpg", _piece),)
