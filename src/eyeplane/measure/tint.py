"""How differently the colours are blurred at a place of a frame."""

from eyeplane.measure.colour import colour_at as read_at
from eyeplane.measure.opened import OpenFrame
from eyeplane.records import Blur, ColourBlur

LEAST_SIDE_PX = 96  # smaller windows share too few cells between the channels


def colour_at(
    frame: OpenFrame, at_px: tuple[float, float], side_px: int, *, blur: Blur
) -> ColourBlur | None:
    """Return by how much red and blue are blurred more than green around a place.

    Parameters
    ----------
    frame : OpenFrame
        The frame.
    at_px : tuple of float
        Its middle, (x, y).
    side_px : int
        Side of the window; smaller ones than `LEAST_SIDE_PX` are widened to it.
    blur : Blur
        Of the luma there.

    Returns
    -------
    ColourBlur or None
        None for motion, for places without texture and for grey frames, and where the channels
        share too little detail.
    """
    if blur.kind == "line" or blur.size_px is None:
        return None
    return read_at(
        frame.picture,
        at_px,
        max(side_px, LEAST_SIDE_PX),
        noise=frame.noise,
        disc_px=blur.disc_px,
    )
