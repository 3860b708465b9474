"""A simulated camera: photographs a printed sheet in linear light, exact to rounding where sharp.

Points (x, y) in px of the upright frame, pixel centres at .5, y down; arrays [y, x]. The sheet's
areas are mapped by perspective and radial distortion, each pixel (or each of `steps` × `steps`
parts of it, where there is blur) holds the exact mean over its area, and blur acts by its exact
transfer up to steps / 2 cycles per pixel. So the MTF of an edge is that of the blur times that of
the pixel's own area, sinc(u) · sinc(v), to better than .001 (see test_camera.py).
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from PIL.TiffImagePlugin import IFDRational
from scipy import fft
from tests.kit.coverage import coverage
from tests.kit.spreads import Spread, gaussian

from eyeplane.imaging import Picture, open_picture
from eyeplane.imaging.tone import linear_to_srgb
from eyeplane.records import MeasureSettings
from eyeplane.records.printed import PrintedSheet

Linear = NDArray[np.float64]
Points = NDArray[np.float64]
FieldSpread = Callable[[float, float], Spread]  # (x, y) px of a tile's middle → its point spread
PIECE_PX = 6.0  # an edge that distortion or a bow bends is drawn in straight pieces of this length


@dataclass(frozen=True, kw_only=True)
class Pose:
    """How the sheet stands before the camera.

    Attributes
    ----------
    distance_mm : float
        From the lens (thin lens: its middle) to the middle of the sheet, along the lens's axis.
    tilt_deg : float
        Above 0: the sheet's upper edge is farther away.
    turn_deg : float
        Above 0: its right edge is farther away.
    roll_deg : float
        Above 0: turned clockwise, as seen in the frame.
    shift_mm : tuple of float
        Of its middle from the axis, to the right and down.
    """

    distance_mm: float
    tilt_deg: float = 0.0
    turn_deg: float = 0.0
    roll_deg: float = 0.0
    shift_mm: tuple[float, float] = (0.0, 0.0)

    def turned(self) -> NDArray[np.float64]:
        """Return the rotation from the sheet's axes to the camera's (x right, y down, z away)."""
        a, b, c = np.deg2rad([self.tilt_deg, self.turn_deg, self.roll_deg])
        tilt = np.array(
            [[1, 0, 0], [0, np.cos(a), np.sin(a)], [0, -np.sin(a), np.cos(a)]],
        )
        turn = np.array([[np.cos(b), 0, -np.sin(b)], [0, 1, 0], [np.sin(b), 0, np.cos(b)]])
        roll = np.array([[np.cos(c), -np.sin(c), 0], [np.sin(c), np.cos(c), 0], [0, 0, 1]])
        return np.asarray(roll @ tilt @ turn)


@dataclass(frozen=True, kw_only=True)
class Camera:
    """A body with a lens, focused on a sheet in a pose.

    Attributes
    ----------
    pose : Pose
        Of the sheet.
    focal_length_mm, pitch_um : float
        Of the lens; distance of pixel centres.
    width_px, height_px : int
        Of the frame.
    k1, k2 : float
        Radial distortion: r becomes r (1 + k1 ρ² + k2 ρ⁴), ρ = 1 at half the frame's diagonal.
    focus_mm : float or None
        Distance that the lens is focused at, which lengthens its image; None: the sheet's.
    bow_mm : float
        How far the middle of the paper stands nearer to the camera than its ends, bent round a
        cylinder; its length stays.
    bow_upright : bool
        Whether the cylinder's axis is the sheet's upright one (the paper bends from left to right).
    """

    pose: Pose
    focal_length_mm: float
    pitch_um: float
    width_px: int
    height_px: int
    k1: float = 0.0
    k2: float = 0.0
    focus_mm: float | None = None
    bow_mm: float = 0.0
    bow_upright: bool = True

    @property
    def image_distance_mm(self) -> float:
        """Return the distance from lens to sensor, by the thin lens."""
        focus_mm = self.focus_mm or self.pose.distance_mm
        return self.focal_length_mm * focus_mm / (focus_mm - self.focal_length_mm)

    @property
    def scale_px_per_mm(self) -> float:
        """Return pixels per mm of a sheet that stands square, in the middle of the frame."""
        return self.image_distance_mm / self.pose.distance_mm / self.pitch_um * 1000

    def to_px(self, points_mm: Points, sheet: PrintedSheet) -> Points:
        """Return where points (n, 2) of the sheet come in the frame."""
        flat = np.asarray(points_mm, float) - np.array([sheet.width_mm, sheet.height_mm]) / 2
        paper = np.column_stack([flat, np.zeros(len(flat))])
        if self.bow_mm:
            axis = 0 if self.bow_upright else 1
            paper[:, axis], paper[:, 2] = self._bent(
                flat[:, axis], (sheet.width_mm, sheet.height_mm)[axis]
            )
        space = paper @ self.pose.turned().T + [*self.pose.shift_mm, self.pose.distance_mm]
        plane = space[:, :2] / space[:, 2:] * self.image_distance_mm / self.pitch_um * 1000
        half = np.hypot(self.width_px, self.height_px) / 2
        rho2 = np.sum((plane / half) ** 2, axis=1, keepdims=True)
        plane = plane * (1 + self.k1 * rho2 + self.k2 * rho2**2)
        return np.asarray(plane + np.array([self.width_px, self.height_px]) / 2)

    def _bent(self, along: Points, length_mm: float) -> tuple[Points, Points]:
        """Return places along the chord and depths of a strip bent to an arc of the given sag."""
        half_angle = _half_angle(abs(self.bow_mm) / length_mm)
        radius = length_mm / (2 * half_angle)
        depth = np.sign(self.bow_mm) * radius * (1 - np.cos(along / radius))
        return radius * np.sin(along / radius), depth


def _half_angle(sag_share: float) -> float:
    """Return half the angle of an arc whose sag is this share of its length: (1 − cos a) / 2a."""
    angle = 4 * sag_share
    for _ in range(30):  # Newton's steps; the sag is far below a quarter of the length
        value = (1 - np.cos(angle)) / (2 * angle) - sag_share
        slope = (angle * np.sin(angle) - (1 - np.cos(angle))) / (2 * angle**2)
        angle -= value / slope
    return float(angle)


def render_sheet(
    sheet: PrintedSheet,
    *,
    pose: Pose,
    focal_length_mm: float,
    pitch_um: float,
    width_px: int,
    height_px: int,
    k1: float = 0.0,
    k2: float = 0.0,
    bow_mm: float = 0.0,
    bow_upright: bool = True,
    **light: object,
) -> Linear:
    """Return a frame of a sheet; further arguments are those of `render`."""
    camera = Camera(
        pose=pose,
        focal_length_mm=focal_length_mm,
        pitch_um=pitch_um,
        width_px=width_px,
        height_px=height_px,
        k1=k1,
        k2=k2,
        bow_mm=bow_mm,
        bow_upright=bow_upright,
    )
    return render(sheet, camera, **light)  # type: ignore[arg-type]  # handed on by name


def render(
    sheet: PrintedSheet,
    camera: Camera,
    *,
    blur: float | Spread | FieldSpread = 0.0,
    steps: int = 4,
    tile_px: int = 256,
    white: float = 0.8,
    black: float = 0.03,
    around: float = 0.2,
    vignetting: float = 0.0,
    slope: tuple[float, float] = (0.0, 0.0),
    rng: np.random.Generator | None = None,
    full_well_e: float = 0.0,
    read_noise_e: float = 0.0,
) -> Linear:
    """Return a frame of a sheet in linear light [y, x], 1.0 at the white of the file, not clipped.

    Parameters
    ----------
    sheet : PrintedSheet
        What is photographed.
    camera : Camera
        By what, from where.
    blur : float, Spread or callable
        σ of a Gaussian in px, a spread, or a spread for every place: one for each tile, that of
        its middle.
    steps : int
        Parts of a pixel along each side in which blur is worked out.
    tile_px : int
        Side of a tile.
    white, black, around : float
        Light of bare paper, of full ink (level 0) and of what lies beyond the sheet.
    vignetting : float
        Share of light lost in the corners; it grows with the square of the distance.
    slope : tuple of float
        Share by which the light differs from the middle to the right and to the lower edge.
    rng, full_well_e, read_noise_e
        Noise where a generator is given: photons (so many electrons at 1.0) and reading.
    """
    outlines = [(_outline(_frame_of(sheet), sheet, camera), white)]
    outlines += [
        (_outline(np.array(p.corners_mm), sheet, camera), black + p.level * (white - black))
        for p in sheet.patches
    ]
    frame = np.full((camera.height_px, camera.width_px), around)
    for x, y, wide, high in _tiles(camera, tile_px):
        spread = _spread_at(blur, x + wide / 2, y + high / 2)
        frame[y : y + high, x : x + wide] = _tile(
            outlines, (x, y, wide, high), spread, (steps, around)
        )
    frame *= _illumination(camera, vignetting, slope)
    if rng is not None and full_well_e:
        frame = rng.poisson(np.maximum(frame, 0) * full_well_e) / full_well_e
        frame = frame + rng.normal(0, read_noise_e / full_well_e, frame.shape)
    return frame


def _frame_of(sheet: PrintedSheet) -> Points:
    w, h = sheet.width_mm, sheet.height_mm
    return np.array([(0, 0), (w, 0), (w, h), (0, h)], float)


def _outline(corners_mm: Points, sheet: PrintedSheet, camera: Camera) -> Points:
    """Return a polygon in px; where straight lines do not stay straight, in short pieces."""
    if not (camera.k1 or camera.k2 or camera.bow_mm):
        return camera.to_px(corners_mm, sheet)
    pieces = []
    for start, end in zip(corners_mm, np.roll(corners_mm, -1, axis=0), strict=True):
        ends = camera.to_px(np.array([start, end]), sheet)
        count = max(1, int(np.ceil(np.hypot(*(ends[1] - ends[0])) / PIECE_PX)))
        share = np.arange(count)[:, None] / count
        pieces.append(start + share * (end - start))
    return camera.to_px(np.concatenate(pieces), sheet)


def _tiles(camera: Camera, tile_px: int) -> Iterator[tuple[int, int, int, int]]:
    for y in range(0, camera.height_px, tile_px):
        for x in range(0, camera.width_px, tile_px):
            yield x, y, min(tile_px, camera.width_px - x), min(tile_px, camera.height_px - y)


def _spread_at(blur: float | Spread | FieldSpread, x_px: float, y_px: float) -> Spread | None:
    if isinstance(blur, int | float):
        return gaussian(float(blur)) if blur else None
    return blur if isinstance(blur, Spread) else blur(x_px, y_px)


def _tile(
    outlines: list[tuple[Points, float]],
    box: tuple[int, int, int, int],
    spread: Spread | None,
    given: tuple[int, float],
) -> Linear:
    x, y, wide, high = box
    steps, around = given
    if spread is None:
        return _painted(outlines, (x, y), (wide, high), (1, around))
    margin = int(np.ceil(spread.reach_px)) + 8  # light that the transfer wraps round stays in it
    columns = fft.next_fast_len((wide + 2 * margin) * steps, real=True)
    rows = fft.next_fast_len((high + 2 * margin) * steps, real=True)
    fine = _painted(
        outlines,
        (x - margin, y - margin),
        (-(-columns // steps), -(-rows // steps)),
        (steps, around),
    )[:rows, :columns]
    inner = (
        slice(margin * steps, (margin + high) * steps),
        slice(margin * steps, (margin + wide) * steps),
    )
    if np.ptp(fine) > 0:
        fine = fine.astype(np.float32)  # its FFT costs half; rounding is 1e-7 of the light
        u, v = fft.rfftfreq(columns, 1 / steps)[None, :], fft.fftfreq(rows, 1 / steps)[:, None]
        transfer = spread.transfer(u, v)
        transfer = transfer.astype(np.complex64 if np.iscomplexobj(transfer) else np.float32)
        fine = fft.irfft2(fft.rfft2(fine) * transfer, s=fine.shape)
    return np.asarray(fine[inner].reshape(high, steps, wide, steps).mean(axis=(1, 3)))


def _painted(
    outlines: list[tuple[Points, float]],
    corner: tuple[int, int],
    size: tuple[int, int],
    given: tuple[int, float],
) -> Linear:
    """Return the sharp scene, each part of a pixel the mean over its area."""
    steps, around = given
    wide, high = size[0] * steps, size[1] * steps
    scene = np.full((high, wide), around)
    for polygon, level in outlines:
        placed = (polygon - corner) * steps
        low = np.maximum(np.floor(placed.min(axis=0)).astype(int), 0)
        end = np.minimum(np.ceil(placed.max(axis=0)).astype(int), (wide, high))
        if np.all(end > low):
            part = scene[low[1] : end[1], low[0] : end[0]]
            part += coverage(placed - low, *(end - low)) * (level - part)
    return scene


def _illumination(camera: Camera, vignetting: float, slope: tuple[float, float]) -> Linear:
    x = (np.arange(camera.width_px) + 0.5) / camera.width_px * 2 - 1
    y = ((np.arange(camera.height_px) + 0.5) / camera.height_px * 2 - 1)[:, None]
    wide, high = camera.width_px, camera.height_px
    rho2 = ((x * wide) ** 2 + (y * high) ** 2) / (wide**2 + high**2)
    return np.asarray((1 - vignetting * rho2) * (1 + slope[0] * x + slope[1] * y))


def write_frame(
    path: Path,
    linear: Linear,
    *,
    pitch_um: float | None = None,
    focal_length_mm: float | None = 85.0,
    f_number: float | None = 8.0,
    exposure_time_s: float | None = 1 / 200,
    iso: int | None = 100,
    body: str | None = "A body",
    lens: str | None = "A lens",
    taken: str = "2026:05:04 10:00:00",
    quality: int = 98,
    orientation: int = 1,
) -> Path:
    """Write a frame as sRGB JPEG with EXIF (.png: grey, 16 bits); return its path."""
    codes = linear_to_srgb(np.clip(linear, 0.0, 1.0))
    exif = Image.Exif()
    sub = exif.get_ifd(0x8769)
    exif[274] = orientation
    for tag, text in ((271, "A maker" if body else None), (272, body)):
        if text:
            exif[tag] = text
    told = {
        33434: exposure_time_s,
        33437: f_number,
        34855: iso,
        36867: taken,
        37386: focal_length_mm,
        42036: lens,
    }
    sub |= {tag: _plain(value) for tag, value in told.items() if value is not None}
    if pitch_um is not None:
        sub[0xA20E] = sub[0xA20F] = IFDRational(10_000 / pitch_um)
        sub[0xA210] = 3  # per cm
        sub[0xA002], sub[0xA003] = linear.shape[1], linear.shape[0]
    if path.suffix.lower() == ".png":
        picture = Image.fromarray(np.rint(codes * 65535).astype(np.uint16))
        picture.save(path, exif=exif)
        return path
    grey = np.rint(codes * 255).astype(np.uint8)
    Image.fromarray(np.repeat(grey[..., None], 3, axis=2)).save(
        path, "JPEG", quality=quality, subsampling=0, exif=exif
    )
    return path


def _plain(value: object) -> object:
    """Return a number as the fraction that EXIF keeps it as."""
    return IFDRational(value) if isinstance(value, float) else value


def photographed(path: Path, linear: Linear, **notes: object) -> Picture:
    """Return a frame that was written and opened again."""
    write_frame(path, linear, **notes)  # type: ignore[arg-type]  # handed on by name
    return open_picture(path, settings=MeasureSettings())
