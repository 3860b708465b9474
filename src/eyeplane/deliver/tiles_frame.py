"""One decoded frame, level by level, and its tiles as JPEG. Arrays are [y, x, 3], sRGB."""

import threading
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from eyeplane.deliver.tiles import TileGrid
from eyeplane.errors import FrameError
from eyeplane.imaging import Picture, open_picture
from eyeplane.records import FrameReading, MeasureSettings

QUALITY = (
    95  # of a JPEG, colour not halved: 99 of 100 pixels of a face within 2 levels of the frame
)
STRIP_PX = 1024  # rows halved at once, so that no second whole frame stands in memory


Trouble = Literal["", "unreadable", "gone", "changed"]


class GoneError(FrameError):
    """The file of a frame is not where it was measured."""


class ChangedError(FrameError):
    """The file of a frame is no longer the one that was measured."""


class OpenFrame:
    """A decoded frame to be looked into; may be asked from several threads.

    Parameters
    ----------
    picture : Picture
        Opened and decoded.
    """

    def __init__(self, picture: Picture) -> None:
        self.picture = picture
        self.grid = TileGrid(width_px=picture.width_px, height_px=picture.height_px)
        self._smaller: dict[int, NDArray[np.uint8]] = {}
        self._lock = threading.Lock()

    @property
    def size_bytes(self) -> int:
        """Return the memory it takes, all levels made.

        Returns
        -------
        int
            As if every level were there: a third more than the frame itself.
        """
        px = self.grid.width_px * self.grid.height_px
        return self.picture.decoded_bytes + px

    def tile(self, level: int, column: int, row: int) -> NDArray[np.uint8]:
        """Return the pixels of a tile.

        Parameters
        ----------
        level : int
            From 0 to the grid's `full_level`.
        column, row : int
            From 0, from the upper left of the upright frame.

        Returns
        -------
        ndarray
            Of uint8 [y, x, 3], sRGB; on the full level exactly the frame's own.

        Raises
        ------
        InputError
            If there is no such tile.

        Notes
        -----
        A pixel of a smaller level is the mean of the 2 × 2 above it, of their codes.
        """
        left, top, width, height = self.grid.box(level, column, row)
        return self.piece(level, left, top, (width, height))

    def piece(self, level: int, left: int, top: int, size: tuple[int, int]) -> NDArray[np.uint8]:
        """Return any piece of a level.

        Parameters
        ----------
        level : int
            From 0 to the grid's `full_level`.
        left, top : int
            Its upper left corner in pixels of the level, >= 0.
        size : tuple of int
            Width and height; what lies outside is left off.

        Returns
        -------
        ndarray
            Of uint8 [y, x, 3], sRGB.
        """
        width, height = size
        if level == self.grid.full_level:
            return self.picture.rgb_window(left, top, width, height)
        return self._level(level)[top : top + height, left : left + width]

    def _level(self, level: int) -> NDArray[np.uint8]:
        with self._lock:
            for at in range(self.grid.full_level - 1, level - 1, -1):
                if at not in self._smaller:
                    self._smaller[at] = self._halved(at)
            return self._smaller[level]

    def _halved(self, level: int) -> NDArray[np.uint8]:
        width, height = self.grid.size(level)
        above_px = self.grid.size(level + 1)
        made = np.empty((height, width, 3), np.uint8)
        for top in range(0, above_px[1], STRIP_PX):
            if level + 1 == self.grid.full_level:
                strip = self.picture.rgb_window(0, top, above_px[0], STRIP_PX)
            else:
                strip = self._smaller[level + 1][top : top + STRIP_PX]
            half = halved(strip)
            made[top // 2 : top // 2 + len(half)] = half
        return made


def halved(pixels: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return pixels at half the size, each the mean of 2 × 2.

    Parameters
    ----------
    pixels : ndarray
        Of uint8 [y, x, 3], not empty.

    Returns
    -------
    ndarray
        Odd sides are rounded up: the last pixel is then the mean of those that are there.
    """
    import cv2  # noqa: PLC0415  slow to load for --help

    height, width = pixels.shape[:2]
    if height % 2 or width % 2:
        pixels = np.pad(pixels, ((0, height % 2), (0, width % 2), (0, 0)), mode="edge")
    size = (pixels.shape[1] // 2, pixels.shape[0] // 2)
    return np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)


def tile_jpeg(pixels: NDArray[np.uint8]) -> bytes:
    """Return pixels as a JPEG without any metadata.

    Parameters
    ----------
    pixels : ndarray
        Of uint8 [y, x, 3], sRGB.

    Returns
    -------
    bytes
        Colour at full resolution; neither EXIF nor profile, so no place and no name.
    """
    import simplejpeg  # noqa: PLC0415  slow to load for --help

    whole = np.ascontiguousarray(pixels)
    return bytes(simplejpeg.encode_jpeg(whole, QUALITY, "RGB", "444", fastdct=False))


def open_frame(path: Path, *, sha256: str, settings: MeasureSettings | None = None) -> OpenFrame:
    """Return a frame decoded for looking into it, if it still is the one that was measured.

    Parameters
    ----------
    path : Path
        Where it lay when it was measured; read only.
    sha256 : str
        Of its bytes as they were measured.
    settings : MeasureSettings, optional
        For the pixel limit.

    Returns
    -------
    OpenFrame
        Decoded once, the same pixels as were measured.

    Raises
    ------
    GoneError
        If the file is not there.
    ChangedError
        If it holds something else now, or cannot be read any more.
    """
    try:
        picture = open_picture(path, settings=settings or MeasureSettings())
    except FrameError as error:
        if not _is_there(path):
            raise GoneError(
                "its file is not where it was measured",
                where=path.name,
                hint="Put the card or the folder back, then open this page anew",
            ) from error
        raise ChangedError(
            f"it cannot be read any more: {error.what}", where=path.name, hint=error.hint
        ) from error
    if picture.sha256 != sha256:
        raise ChangedError(
            "its file has changed since it was measured",
            where=path.name,
            hint="Measure the sitting again",
        )
    return OpenFrame(picture)


def trouble_with(reading: FrameReading) -> Trouble:
    """Return whether a frame can still be looked into, as far as its place and size tell.

    Parameters
    ----------
    reading : FrameReading
        As it was measured.

    Returns
    -------
    {"", "unreadable", "gone", "changed"}
        Quick: nothing is read. A file of the same size may have changed nevertheless, which
        `open_frame` finds.
    """
    if reading.status == "unreadable" or not reading.width_px:
        return "unreadable"
    try:
        size_bytes = Path(reading.path).stat().st_size
    except (OSError, ValueError):
        return "gone"
    return "" if size_bytes == reading.size_bytes else "changed"


def _is_there(path: Path) -> bool:
    try:
        return path.exists()
    except (OSError, ValueError):
        return False
