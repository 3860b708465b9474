"""Where the detector looks: the whole frame first, tiles and turned frames only where needed.

Points are (x, y) in the upright frame; arrays are [y, x].
"""

import math
from typing import TYPE_CHECKING

import numpy as np

from eyeplane.faces.detect import BEYOND, SIDE_PX, Found, look, overlap, without_doubles
from eyeplane.faces.view import FrameView, Square

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

CERTAIN = 0.5  # score of a face in the whole frame; settled on ../shared/data/people and nobody
CERTAIN_UPRIGHT = 0.7  # below it the frame may lie on its side; sideways faces score up to .68
_TURNS = (math.pi / 2, -math.pi / 2, math.pi)
CERTAIN_TILE = 0.6  # tiles are many, so each must be surer
MARGIN = 1.6  # side of the second look over the long edge: a face filling the frame needs room
# Side of the tiles over the long edge, and the share of it that a face must have for these tiles
# to be needless: one look finds faces of a twentieth of its side, and faces below a third of the
# largest are bystanders, who do not count.
TILES = ((0.5, 0.15), (0.25, 0.08), (0.125, 0.05))
_TILE_OVERLAP = 0.2  # a face up to this part of a tile is whole in at least one tile
_LARGEST_IN_TILE = 0.6  # larger faces belong to the coarser look
_GREY_LEVELS = 3.0  # mean 8-bit distance of red and blue below which a crop counts as grey
_SKIN_SHARE = 0.005  # of a crop: half the smallest face that one look finds
_FLAT_LEVELS = 3.0  # 8-bit standard deviation below which a tile holds no face


def search(view: FrameView) -> list[Found]:
    """Return every face of the frame, best score first.

    The whole frame goes into one look, which finds faces from about a twentieth of the long edge.
    If a large face is there, the frame is a portrait and the look has found everybody down to a
    third of the sitter's size: no tile is searched. Otherwise tiles of a half, a quarter, an
    eighth of the long edge follow (an eighth of 1500 px finds 20 px). A frame without a
    certain face upright is looked at turned too, because a camera pointed down may have written
    no orientation; a sideways face is seen upright as well, but less surely.

    Parameters
    ----------
    view : FrameView
        The frame.

    Returns
    -------
    list of Found
        Doubles left out; empty if nobody is there.
    """
    upright = _whole_looks(view, 0.0)
    turn = 0.0
    if _best(upright) < CERTAIN_UPRIGHT:
        turned = {t: _whole_looks(view, t) for t in _TURNS}
        surest = max(turned, key=lambda t: _best(turned[t]))
        if _best(turned[surest]) >= max(CERTAIN_UPRIGHT, _best(upright) + 0.1):
            upright, turn = turned[surest], surest
    found = upright
    for share, enough in TILES:
        if _largest(view, found) < enough:
            found = _with_tiles(view, found, share, turn=turn)
    if not found:
        for turn in _TURNS[:2]:
            found = _with_tiles(view, found, TILES[0][0], turn=turn)
    return without_doubles(found)


def _whole_looks(view: FrameView, turn: float) -> list[Found]:
    """Return the faces in the whole frame, looked at again with room around it if none is large."""
    found = _look(view, _whole(view, turn=turn), lowest=CERTAIN)
    if _largest(view, found) >= TILES[0][1]:
        return found
    return without_doubles(
        found + _look(view, _whole(view, turn=turn, margin=MARGIN), lowest=CERTAIN)
    )


def _best(found: list[Found]) -> float:
    return max((face.score for face in found), default=0.0)


def _largest(view: FrameView, found: list[Found]) -> float:
    """Return the size of the largest face over the long edge, 0 if there is none."""
    long_edge = max(view.picture.width_px, view.picture.height_px)
    return max((face.size_px for face in found), default=0.0) / long_edge


def _whole(view: FrameView, *, turn: float = 0.0, margin: float = 1.0) -> Square:
    width, height = view.picture.width_px, view.picture.height_px
    side = max(width, height) * margin
    return Square(x_px=width / 2, y_px=height / 2, side_px=side, turn_rad=turn)


def _look(view: FrameView, square: Square, *, lowest: float) -> list[Found]:
    crop = view.crop(square, SIDE_PX, beyond=BEYOND)
    if not _may_hold_a_face(crop):
        return []
    return without_doubles(look(crop, square.matrix(SIDE_PX), lowest_score=lowest))


def _may_hold_a_face(crop: "NDArray[np.uint8]") -> bool:
    """Return whether a crop has detail and, unless it is grey, enough of the colours of skin.

    Skin of every tone reflects most in the red and least in the blue (common knowledge of
    colour science); the bound is loose because light is coloured too.
    """
    if float(np.std(crop[::2, ::2, 1])) < _FLAT_LEVELS:
        return False
    red, green, blue = (crop[::2, ::2, k].astype(np.int16) for k in range(3))
    if float(np.mean(np.abs(red - blue))) < _GREY_LEVELS:
        return True
    skin = (red >= green - 4) & (red >= blue + 4) & (red > 25)
    return float(np.mean(skin)) >= _SKIN_SHARE


def _with_tiles(
    view: FrameView, found: list[Found], share: float, *, turn: float = 0.0
) -> list[Found]:
    """Return the faces found so far and those that tiles of this size add."""
    long_edge = max(view.picture.width_px, view.picture.height_px)
    side = share * long_edge
    added: list[Found] = []
    for square in _tiles(view, side, turn):
        for face in _look(view, square, lowest=CERTAIN_TILE):
            whole = face.size_px <= _LARGEST_IN_TILE * side and not _cut(face, square, view)
            if whole and all(overlap(face, other) < 0.4 for other in found):
                added.append(face)
    return found + without_doubles(added)


def _tiles(view: FrameView, side: float, turn: float) -> "Iterator[Square]":
    for y in _middles(view.picture.height_px, side):
        for x in _middles(view.picture.width_px, side):
            yield Square(x_px=x, y_px=y, side_px=side, turn_rad=turn)


def _middles(length: float, side: float) -> list[float]:
    """Return middles of overlapping tiles that cover a length; one in the middle if it is short."""
    if length <= side:
        return [length / 2]
    number = math.ceil((length - side) / (side * (1.0 - _TILE_OVERLAP))) + 1
    return [float(v) for v in np.linspace(side / 2, length - side / 2, number)]


def _cut(face: Found, square: Square, view: FrameView) -> bool:
    """Return whether the tile's border, not the frame's, cuts the face."""
    half = face.size_px / 2
    reach = square.side_px / 2
    width, height = view.picture.width_px, view.picture.height_px
    left = face.x_px - half < square.x_px - reach and square.x_px - reach > 1.0
    right = face.x_px + half > square.x_px + reach and square.x_px + reach < width - 1.0
    top = face.y_px - half < square.y_px - reach and square.y_px - reach > 1.0
    bottom = face.y_px + half > square.y_px + reach and square.y_px + reach < height - 1.0
    return left or right or top or bottom
