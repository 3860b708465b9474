"""The eye that counts, cut out of a frame, for showing. Points are (x, y), arrays [y, x]."""

import cv2
import numpy as np

from eyeplane.imaging import Picture
from eyeplane.records import EyeView, Face, Side

WIDTH_MM = 46.0  # eye, brow and the bridge of the nose: where the focus lies can be seen
HEIGHT_MM = 32.0
LONG_EDGE_PX = 640  # of the stored picture
QUALITY = 88  # of its JPEG


def eye_view(picture: Picture, face: Face, *, side: Side) -> EyeView | None:
    """Return one eye with its surroundings.

    Parameters
    ----------
    picture : Picture
        The frame.
    face : Face
        The face.
    side : {"left", "right"}
        Which eye, as seen in the picture.

    Returns
    -------
    EyeView or None
        None where the eye lies outside the frame.
    """
    eye = next(e for e in face.eyes if e.side == side)
    scale = face.mm_per_px.value
    width, height = round(WIDTH_MM / scale), round(HEIGHT_MM / scale)
    x, y = eye.iris_px
    piece = picture.rgb_window(round(x - width / 2), round(y - 0.55 * height), width, height)
    if min(piece.shape[:2]) < 4:
        return None
    shrink = min(1.0, LONG_EDGE_PX / max(piece.shape[:2]))
    if shrink < 1.0:
        piece = cv2.resize(piece, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA).astype(
            np.uint8, copy=False
        )
    ok, jpeg = cv2.imencode(
        ".jpg", cv2.cvtColor(piece, cv2.COLOR_RGB2BGR), [cv2.IMWRITE_JPEG_QUALITY, QUALITY]
    )
    return EyeView(jpeg=jpeg.tobytes(), mm_per_px=scale / shrink) if ok else None
