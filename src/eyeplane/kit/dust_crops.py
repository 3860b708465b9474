"""Pieces of the flat field around the worst shadows, contrast raised, as PNG. Arrays are [y, x]."""

from collections.abc import Sequence

import numpy as np

from eyeplane.kit.dust_find import Field
from eyeplane.records.kit_dust import DustCrop, DustShadow

MOST = 4  # pieces
AROUND = 3.0  # of the shadow's diameter; our own choice
LEAST_PX = 96  # of the frame, of a piece's side; our own choice
SIDE_PX = 320  # of the picture
DARKEST = 1.3  # of the shadow's depth that is drawn black; our own choice


def crops(field: Field, shadows: Sequence[DustShadow], *, step: int) -> tuple[DustCrop, ...]:
    """Return pieces around the first shadows.

    Parameters
    ----------
    field : ndarray
        [y, x] around 1.
    shadows : sequence of DustShadow
        Worst first.
    step : int
        Pixels of the frame along each side of one of the field's.

    Returns
    -------
    tuple of DustCrop
        As stored, not turned upright; each with its own contrast, which it tells.
    """
    return tuple(_crop(field, one, step) for one in shadows[:MOST])


def _crop(field: Field, shadow: DustShadow, step: int) -> DustCrop:
    import cv2  # noqa: PLC0415  slow to load for --help

    height, width = field.shape
    across = shadow.length_px or shadow.diameter_px
    side = int(max(LEAST_PX, AROUND * shadow.diameter_px.value, 1.4 * across.value) / step)
    side = max(8, min(side, height, width))
    left = int(np.clip(shadow.at_share[0] * width - side / 2, 0, width - side))
    top = int(np.clip(shadow.at_share[1] * height - side / 2, 0, height - side))
    piece = field[top : top + side, left : left + side]
    noise = 1.4826 * float(np.median(np.abs(piece - np.median(piece))))
    black = 1 - max(DARKEST * shadow.depth_share.value, 4 * noise, 0.01)
    white = 1 + max(0.25 * (1 - black), 3 * noise)
    grey = np.clip((piece - black) / (white - black), 0, 1)
    drawn = cv2.resize(grey, (SIDE_PX, SIDE_PX), interpolation=cv2.INTER_LINEAR)
    done, png = cv2.imencode(".png", np.rint(255 * drawn).astype(np.uint8))
    return DustCrop(
        number=shadow.number,
        png=png.tobytes() if done else b"",
        width_px=side * step,
        black_share=float(black),
        white_share=float(white),
    )
