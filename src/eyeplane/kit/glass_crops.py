"""The same place cut out of two frames, to be looked at side by side."""

from dataclasses import dataclass

import cv2
import numpy as np

from eyeplane.imaging import Picture
from eyeplane.kit.glass_light import LaidPair
from eyeplane.records.kit_glass import GlassResult

CROP_SHARE = 0.3  # of the long edge that a crop shows
CROP_PX = 480  # its side
QUALITY = 88  # of its JPEG


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GlassCrop:
    """A piece of a frame.

    Attributes
    ----------
    when : str
        "now" or "before".
    at_share : tuple of float
        Its middle (x, y), as shares of the frame.
    image : bytes
        JPEG.
    """

    when: str
    at_share: tuple[float, float]
    image: bytes


def pair_crops(
    pictures: tuple[Picture, Picture], laid: LaidPair, result: GlassResult
) -> tuple[GlassCrop, ...]:
    """Return the place that lost most, cut out of both frames.

    Parameters
    ----------
    pictures : tuple of Picture
        The frame that was checked and the other.
    laid : LaidPair
        How they lie over each other.
    result : GlassResult
        What was found.

    Returns
    -------
    tuple of GlassCrop
        Two, as the frames show them: exposures are not made alike.
    """
    at = _place(result)
    first = pictures[0]
    height, width = laid.first.shape
    small = np.array([at[0] * width, at[1] * height, 1.0])
    moved = laid.warp @ small
    other = (float(moved[0]) / width, float(moved[1]) / height)
    side = round(CROP_SHARE * max(first.width_px, first.height_px))
    return tuple(
        GlassCrop(when=when, at_share=place, image=_cut(picture, place, side))
        for when, picture, place in (("now", first, at), ("before", pictures[1], other))
    )


def _place(result: GlassResult) -> tuple[float, float]:
    if result.smudges:
        return result.smudges[0].at_share
    told = [
        (zone.loss_share.value, number)
        for number, zone in enumerate(result.zones)
        if zone.loss_share is not None
    ]
    if not told:
        return 0.5, 0.5
    row, column = divmod(max(told)[1], result.columns)
    return (column + 0.5) / result.columns, (row + 0.5) / result.rows


def _cut(picture: Picture, at_share: tuple[float, float], side: int) -> bytes:
    left = round(at_share[0] * picture.width_px - side / 2)
    top = round(at_share[1] * picture.height_px - side / 2)
    left = min(max(left, 0), max(picture.width_px - side, 0))
    top = min(max(top, 0), max(picture.height_px - side, 0))
    piece = picture.rgb_window(left, top, side, side)
    scale = CROP_PX / max(piece.shape[:2])
    if scale < 1:
        size = (round(piece.shape[1] * scale), round(piece.shape[0] * scale))
        piece = np.asarray(cv2.resize(piece, size, interpolation=cv2.INTER_AREA), np.uint8)
    _, coded = cv2.imencode(".jpg", piece[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, QUALITY])
    return coded.tobytes()
