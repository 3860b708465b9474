"""How a frame is cut into tiles for looking into it: sizes and places, no pixels. Points (x, y)."""

import math
from dataclasses import dataclass

from eyeplane.errors import InputError

TILE_PX = 512  # a screen needs a few of them, and each is made in some 10 ms
OVERLAP_PX = 1  # on inner edges, so that no seam shows at scales between


@dataclass(frozen=True, slots=True, kw_only=True)
class TileGrid:
    """The tiles of one upright frame, level by level, each half as large as the one above.

    Attributes
    ----------
    width_px, height_px : int
        Of the upright frame, >= 1.
    tile_px : int
        Side of a tile, without overlap.
    overlap_px : int
        Pixels that a tile shares with its neighbour, on each inner edge.
    """

    width_px: int
    height_px: int
    tile_px: int = TILE_PX
    overlap_px: int = OVERLAP_PX

    @property
    def full_level(self) -> int:
        """Return the number of the level whose pixels are the frame's own.

        Returns
        -------
        int
            Level 0 is the first that fits into one tile.
        """
        long_px = max(self.width_px, self.height_px, 1)
        return max(0, math.ceil(math.log2(long_px / self.tile_px)))

    def size(self, level: int) -> tuple[int, int]:
        """Return the size of a level.

        Parameters
        ----------
        level : int
            From 0 to `full_level`.

        Returns
        -------
        tuple of int
            Width and height in its own pixels; a halved pixel at the edge counts as one.

        Raises
        ------
        InputError
            If there is no such level.
        """
        if not 0 <= level <= self.full_level:
            raise _no_tile()
        step = 1 << (self.full_level - level)
        return -(-self.width_px // step), -(-self.height_px // step)

    def box(self, level: int, column: int, row: int) -> tuple[int, int, int, int]:
        """Return where a tile lies in its level.

        Parameters
        ----------
        level : int
            From 0 to `full_level`.
        column, row : int
            From 0, from the upper left.

        Returns
        -------
        tuple of int
            Left, top, width and height in pixels of the level, overlap counted in.

        Raises
        ------
        InputError
            If there is no such tile.
        """
        places = []
        for at, size in zip((column, row), self.size(level), strict=True):
            if not 0 <= at * self.tile_px < size:
                raise _no_tile()
            start = max(0, at * self.tile_px - self.overlap_px)
            end = min(size, (at + 1) * self.tile_px + self.overlap_px)
            places.append((start, end - start))
        (left, width), (top, height) = places
        return left, top, width, height


def _no_tile() -> InputError:
    return InputError("the frame has no such tile", where="the address", hint="Open the page anew")
