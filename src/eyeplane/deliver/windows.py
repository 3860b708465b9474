"""Eye windows: the near eye of each face, all at one physical scale."""

import base64
import binascii
import io
from dataclasses import dataclass

from PIL import Image, UnidentifiedImageError

from eyeplane.records import EyeView

FACE_MM_PER_CM = (
    5.0  # mm of face to 1 cm of page: about one pixel to one at 2 m with 85 mm and 24 MP
)
PX_PER_FACE_MM = 96 / 2.54 / FACE_MM_PER_CM  # CSS px: 96 to the inch (CSS Values and Units 4, 6.2)


@dataclass(frozen=True, slots=True, kw_only=True)
class EyeWindow:
    """An eye cut out of its frame, ready for a page.

    Attributes
    ----------
    source : str
        A data URI.
    width, height : float
        CSS px, so that one mm of face is the same everywhere on the page.
    width_mm : float
        Of the face shown.
    """

    source: str
    width: float
    height: float
    width_mm: float


def eye_window(view: EyeView | None) -> EyeWindow | None:
    """Return an eye at the scale of the page.

    Parameters
    ----------
    view : EyeView or None
        As cut out of the frame.

    Returns
    -------
    EyeWindow or None
        None where there is no picture, or one that cannot be read.
    """
    if view is None or not 0 < view.mm_per_px < 100:
        return None
    try:
        with Image.open(io.BytesIO(view.jpeg), formats=("JPEG",)) as picture:
            width_px, height_px = picture.size
    except (OSError, UnidentifiedImageError, binascii.Error):
        return None
    scale = view.mm_per_px * PX_PER_FACE_MM
    return EyeWindow(
        source="data:image/jpeg;base64," + base64.b64encode(view.jpeg).decode("ascii"),
        width=round(width_px * scale, 2),
        height=round(height_px * scale, 2),
        width_mm=width_px * view.mm_per_px,
    )
