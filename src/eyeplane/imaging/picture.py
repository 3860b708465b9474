"""One opened frame: decoded once, seen upright, small or through windows. Arrays are [y, x]."""

import hashlib
import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from eyeplane.imaging.channels import averaged_codes, channel_tables, first_whole, to_light
from eyeplane.imaging.decoded import Decoded
from eyeplane.imaging.exif import Tags, read_exposure, read_tags
from eyeplane.imaging.files import read_file
from eyeplane.imaging.heic import decode_heic
from eyeplane.imaging.jpeg import decode_jpeg
from eyeplane.imaging.kinds import file_kind
from eyeplane.imaging.orient import swaps_axes, upright_view
from eyeplane.imaging.pitch import FrameSize, pixel_pitch
from eyeplane.imaging.pixels import brightest, look_up, luma_tables, shrink, to_srgb
from eyeplane.imaging.raw import decode_raw
from eyeplane.imaging.stills import decode_still
from eyeplane.imaging.tone import linear_to_srgb
from eyeplane.records import Exposure, Measured, MeasureSettings

CLIPPED_CODE = 250  # of 255, in any channel: cameras' shoulders end just below 255, from memory
CLIPPED_SHARE = 0.98  # of full scale for deeper codes, the same in parts
_FIRMWARE_WORDS = {"version", "firmware", "digital", "camera"}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LumaWindow:
    """A full-resolution piece of a frame in linear light.

    Attributes
    ----------
    luma : ndarray
        float32 [y, x], relative luminance; 1.0 is the white at which the file clips.
    clipped : ndarray
        bool [y, x], True where any channel stands at its upper end.
    x_px, y_px : int
        Upper left corner in the upright frame.
    encoding_slope : ndarray or None
        float32 [y, x], change of luma for one step of the 8-bit codes of all channels: rounding
        to whole codes leaves an error of about this / √12. None for finer coding, where it does
        not matter.
    """

    luma: NDArray[np.float32]
    clipped: NDArray[np.bool_]
    x_px: int
    y_px: int
    encoding_slope: NDArray[np.float32] | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Picture:
    """A frame that was opened.

    Attributes
    ----------
    path : str
        Where it lies.
    sha256 : str
        Of the file's bytes.
    size_bytes, mtime_ns : int
        Of the file.
    width_px, height_px : int
        Of the upright frame.
    exposure : Exposure
        EXIF.
    pitch_um : Measured or None
        Distance of pixel centres on the sensor, for the pixels counted in `width_px`.
    pitch_source : str
        "focal plane resolution", "35 mm equivalent", "kit table" or "" (cannot tell).
    quantization, chroma_quantization : ndarray or None
        Luma and colour JPEG table [8, 8] in natural order, [v, u] of the upright frame; None if
        not a JPEG.
    chroma_step : int
        Pixels along each side that share one colour sample: 1, 2 or (rarely) 4.
    """

    path: str
    sha256: str
    size_bytes: int
    mtime_ns: int
    width_px: int
    height_px: int
    exposure: Exposure
    pitch_um: Measured | None
    pitch_source: str
    quantization: NDArray[np.float64] | None
    chroma_quantization: NDArray[np.float64] | None
    chroma_step: int
    _decoded: Decoded = field(repr=False)
    _upright: NDArray[Any] = field(repr=False)
    _tables: tuple[NDArray[np.float32], NDArray[np.float32]] = field(repr=False)
    _channels: tuple[NDArray[np.float32], NDArray[np.float32]] = field(repr=False)
    _small: dict[int, tuple[NDArray[np.uint8], float]] = field(default_factory=dict, repr=False)

    @property
    def orientation(self) -> int:
        """Return how the stored frame is turned to stand upright.

        Returns
        -------
        int
            EXIF Orientation, 1 to 8; 1 for files that are stored upright.
        """
        return self._decoded.orientation

    @property
    def decoded_bytes(self) -> int:
        """Return the memory that its pixels take.

        Returns
        -------
        int
            As decoded, without what is made of them later.
        """
        return int(self._decoded.pixels.nbytes)

    def rgb_small(self, long_edge_px: int) -> tuple[NDArray[np.uint8], float]:
        """Return the whole frame, small.

        Parameters
        ----------
        long_edge_px : int
            Its long edge; a frame that is smaller is not enlarged.

        Returns
        -------
        tuple of (ndarray, float)
            Read-only uint8 [y, x, 3], sRGB, area-averaged, and small pixels per frame pixel
            (at most 1; the short edge is rounded to whole pixels).
        """
        long_edge_px = max(1, int(long_edge_px))
        if long_edge_px not in self._small:
            self._small[long_edge_px] = self._shrink(long_edge_px)
        return self._small[long_edge_px]

    def rgb_window(self, x_px: int, y_px: int, width_px: int, height_px: int) -> NDArray[np.uint8]:
        """Return a full-resolution piece in colour.

        Parameters
        ----------
        x_px, y_px : int
            Upper left corner in the upright frame.
        width_px, height_px : int
            Size; what lies outside the frame is left off.

        Returns
        -------
        ndarray
            Of uint8 [y, x, 3], sRGB; empty where nothing of it lies in the frame.
        """
        left, top, right, bottom = self._clip(x_px, y_px, width_px, height_px)
        piece = np.array(self._upright[top:bottom, left:right], order="C")
        return self._screen(piece)

    def luma_window(self, x_px: int, y_px: int, width_px: int, height_px: int) -> LumaWindow:
        """Return a full-resolution piece in linear light.

        Parameters
        ----------
        x_px, y_px : int
            Upper left corner in the upright frame.
        width_px, height_px : int
            Size; what lies outside the frame is left off.

        Returns
        -------
        LumaWindow
            Empty where nothing of it lies in the frame.
        """
        left, top, right, bottom = self._clip(x_px, y_px, width_px, height_px)
        piece = np.ascontiguousarray(self._upright[top:bottom, left:right])
        values, slopes = self._tables
        limit = CLIPPED_CODE if piece.dtype == np.uint8 else int(CLIPPED_SHARE * 65535)
        return LumaWindow(
            luma=look_up(piece, values),
            clipped=brightest(piece) >= limit,
            x_px=left,
            y_px=top,
            encoding_slope=look_up(piece, slopes) if piece.dtype == np.uint8 else None,
        )

    def channel_windows(
        self, x_px: int, y_px: int, width_px: int, height_px: int
    ) -> tuple[LumaWindow, LumaWindow, LumaWindow] | None:
        """Return red, green and blue of a piece in linear light, each 1.0 at the file's white.

        Parameters
        ----------
        x_px, y_px : int
            Upper left corner in the upright frame.
        width_px, height_px : int
            Size; what lies outside the frame is left off.

        Returns
        -------
        tuple of LumaWindow or None
            Red, green, blue, of which `luma` is the channel's own light; None for grey frames.
            Where colour samples are shared, each pixel is the mean of `chroma_step` squared of the
            frame's, whole samples only (so the window may lie a pixel or so beside what was asked
            for): there is no finer red or blue. `clipped` is True
            where any channel of any of them is clipped.
        """
        if self._upright.ndim == 2:
            return None
        left, top, right, bottom = self._whole_cells(self._clip(x_px, y_px, width_px, height_px))
        piece = np.ascontiguousarray(self._upright[top:bottom, left:right])
        limit = CLIPPED_CODE if piece.dtype == np.uint8 else int(CLIPPED_SHARE * 65535)
        clipped = brightest(piece) >= limit
        step, codes = self.chroma_step, piece
        if step > 1 and piece.size:
            codes = averaged_codes(piece, step=step, halved=self._halved())
            rows, columns = codes.shape[:2]
            clipped = np.asarray(clipped.reshape(rows, step, columns, step).any(axis=(1, 3)))
        light, slopes = to_light(codes, self._channels)
        red, green, blue = (
            LumaWindow(
                luma=light[c],
                clipped=clipped,
                x_px=left,
                y_px=top,
                encoding_slope=slopes[c] if piece.dtype == np.uint8 else None,
            )
            for c in range(3)
        )
        return red, green, blue

    def _whole_cells(self, box: tuple[int, ...]) -> tuple[int, ...]:
        """Return left, top, right, bottom moved to whole colour samples, before them if it can."""
        step, stored = self.chroma_step, self._decoded.pixels.shape
        first = first_whole(self._decoded.orientation, stored, step)
        before = [a - (a - f) % step for a, f in zip(box[:2], first, strict=True)]
        left, top = (a if a >= 0 else a + step for a in before)
        right, bottom = (
            max(a, b - (b - a) % step) for a, b in zip((left, top), box[2:], strict=True)
        )
        return left, top, right, bottom

    def _halved(self) -> tuple[bool, bool]:
        """Return along which axes of the upright frame colour was halved and filled in."""
        steps = self._decoded.chroma_steps
        along, down = steps[::-1] if swaps_axes(self._decoded.orientation) else steps
        smoothed = self._decoded.chroma_smoothed
        return smoothed and along == 2, smoothed and down == 2

    def _clip(self, x_px: int, y_px: int, width_px: int, height_px: int) -> tuple[int, ...]:
        left, top = min(max(0, int(x_px)), self.width_px), min(max(0, int(y_px)), self.height_px)
        right = max(left, min(self.width_px, int(x_px) + max(0, int(width_px))))
        bottom = max(top, min(self.height_px, int(y_px) + max(0, int(height_px))))
        return left, top, right, bottom

    def _shrink(self, long_edge_px: int) -> tuple[NDArray[np.uint8], float]:
        scale = min(1.0, long_edge_px / max(self.width_px, self.height_px))
        stored = self._decoded.pixels if scale == 1.0 else shrink(self._decoded.pixels, scale)
        upright = np.ascontiguousarray(upright_view(stored, self._decoded.orientation))
        small = self._screen(upright)
        small = small.copy() if small is self._decoded.pixels else small
        small.flags.writeable = False
        return small, scale

    def _screen(self, piece: NDArray[Any]) -> NDArray[np.uint8]:
        """Return stored codes as sRGB bytes, three channels."""
        if self._decoded.linear:
            piece = np.rint(255 * linear_to_srgb(piece / 65535.0)).astype(np.uint8)
        elif piece.dtype == np.uint16:
            piece = np.rint(piece / 257.0).astype(np.uint8)
        if piece.ndim == 2:
            return np.repeat(piece[..., None], 3, axis=2)
        if self._decoded.profile is None or piece.size == 0:
            return piece
        return to_srgb(piece, self._decoded.profile)


def open_picture(path: Path, *, settings: MeasureSettings) -> Picture:
    """Return a frame, opened and decoded.

    Parameters
    ----------
    path : Path
        The file; it is read once and never written to.
    settings : MeasureSettings
        For the pixel limit and the kit table.

    Returns
    -------
    Picture
        The frame.

    Raises
    ------
    FrameError
        If it cannot be read whole, with the reason in plain words.
    """
    path = Path(path)
    file = read_file(path)
    decoded = _decode(file.data, path, settings.pixel_limit)
    tags = read_tags(decoded.exif)
    exposure = read_exposure(tags)
    upright = upright_view(decoded.pixels, decoded.orientation)
    height_px, width_px = upright.shape[:2]
    pitch_um, pitch_source = _pitch(decoded, tags, exposure, settings)
    return Picture(
        path=str(path),
        sha256=hashlib.sha256(file.data).hexdigest(),
        size_bytes=len(file.data),
        mtime_ns=file.mtime_ns,
        width_px=width_px,
        height_px=height_px,
        exposure=exposure,
        pitch_um=pitch_um,
        pitch_source=pitch_source,
        quantization=_turned(decoded.quantization, decoded.orientation),
        chroma_quantization=_turned(decoded.chroma_quantization, decoded.orientation),
        chroma_step=max(decoded.chroma_steps),
        _decoded=decoded,
        _upright=upright,
        _tables=luma_tables(decoded),
        _channels=channel_tables(decoded.tone, 256 if upright.dtype == np.uint8 else 65536),
    )


def _turned(table: NDArray[np.float64] | None, orientation: int) -> NDArray[np.float64] | None:
    return table.T if table is not None and swaps_axes(orientation) else table


def _decode(data: bytes, path: Path, pixel_limit: int) -> Decoded:
    kind = file_kind(data, path)
    if kind == "jpeg":
        return decode_jpeg(data, path=path, pixel_limit=pixel_limit)
    if kind == "heic":
        return decode_heic(data, path=path, pixel_limit=pixel_limit)
    if kind == "raw":
        return decode_raw(data, path=path, pixel_limit=pixel_limit)
    return decode_still(data, kind, path=path, pixel_limit=pixel_limit)


def _pitch(
    decoded: Decoded, tags: Tags, exposure: Exposure, settings: MeasureSettings
) -> tuple[Measured | None, str]:
    height_px, width_px = decoded.pixels.shape[:2]
    captured = decoded.captured_px or (width_px, height_px)
    size = FrameSize(
        width_px=captured[0],
        height_px=captured[1],
        from_sensor=decoded.captured_px is not None,
        edited=decoded.edited or _is_editor(tags),
    )
    pitch = pixel_pitch(tags, exposure, size, settings)
    if (
        pitch.um is None
        or decoded.captured_px is None
        or max(width_px, height_px) > 0.97 * max(captured)
    ):
        return pitch.um, pitch.source
    step = round(max(captured) / max(width_px, height_px))  # of a half-size demosaic: 2
    halved = Measured(
        value=pitch.um.value * step, low=pitch.um.low * step, high=pitch.um.high * step
    )
    return halved, pitch.source


def _is_editor(tags: Tags) -> bool:
    """Return whether the Software tag names a program rather than a camera's firmware."""
    software = tags.get(305)
    if not isinstance(software, str):
        return False
    camera = f"{tags.get(271)} {tags.get(272)}".casefold()
    words = re.findall(r"[a-z]{5,}", software.casefold())
    return any(w not in _FIRMWARE_WORDS and w not in camera for w in words)
