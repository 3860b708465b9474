"""The near eye as large as on the promised print, from the window kept with its reading."""

import io
from dataclasses import dataclass

from PIL import Image, UnidentifiedImageError

from eyeplane.records import FaceReading, FrameReading

CSS_PX_PER_MM = 96 / 25.4  # CSS Values and Units, level 4, section 6.2
MOST_PX = 4000.0  # a window larger than any screen is not laid out


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintWindow:
    """An eye at print scale.

    Attributes
    ----------
    width, height : float
        CSS px.
    width_mm : float
        Of what is seen, on the print.
    frame_px : tuple of int
        Pixels of the frame that it shows, across and down.
    whole : bool
        Whether the kept window shows every one of them; False where it was shrunk.
    """

    width: float
    height: float
    width_mm: float
    frame_px: tuple[int, int]
    whole: bool


def print_window(
    jpeg: bytes,
    *,
    frame: FrameReading,
    face: FaceReading,
    print_cm: float,
    screen_px_per_mm: float | None = None,
) -> PrintWindow | None:
    """Return how large to lay out an eye window, so that the eye is as large as on the print.

    Parameters
    ----------
    jpeg : bytes
        The window.
    frame : FrameReading
        Its frame.
    face : FaceReading
        Its face, whose view tells the scale of the window.
    print_cm : float
        Longest edge of the print, > 0 cm.
    screen_px_per_mm : float or None
        CSS px to one mm of this screen; None: what CSS calls a millimetre.

    Returns
    -------
    PrintWindow or None
        None where there is no picture, or nothing tells its scale.

    Notes
    -----
    The print's longest edge shows the frame's: one pixel of the frame is
    ``10 * print_cm / long_edge_px`` mm of print. A window that was shrunk has pixels
    ``view.mm_per_px / face.mm_per_px`` times as large as the frame's.
    """
    size = _size_px(jpeg)
    long_edge_px = max(frame.width_px, frame.height_px)
    view, scale = face.view, face.face.mm_per_px.value
    if size is None or view is None or not long_edge_px or not 0 < scale <= view.mm_per_px * 1.01:
        return None
    shrunk = view.mm_per_px / scale
    mm_per_px = shrunk * 10 * print_cm / long_edge_px
    per_px = mm_per_px * (screen_px_per_mm or CSS_PX_PER_MM)
    width, height = size[0] * per_px, size[1] * per_px
    if not 1 <= max(width, height) <= MOST_PX:
        return None
    return PrintWindow(
        width=round(width, 2),
        height=round(height, 2),
        width_mm=size[0] * mm_per_px,
        frame_px=(round(size[0] * shrunk), round(size[1] * shrunk)),
        whole=shrunk < 1.01,
    )


def _size_px(jpeg: bytes) -> tuple[int, int] | None:
    try:
        with Image.open(io.BytesIO(jpeg), formats=("JPEG",)) as picture:
            return picture.size
    except (OSError, UnidentifiedImageError):
        return None
