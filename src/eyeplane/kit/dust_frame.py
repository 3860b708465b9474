"""A frame as its sensor lay, for dust: light of the stored pixels, and what the camera wrote.

Points are (x, y) in pixels of the stored frame, arrays [y, x].
"""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from eyeplane.imaging import Picture, open_picture
from eyeplane.imaging.exif import number, read_tags
from eyeplane.imaging.orient import upright_view
from eyeplane.kit.dust_find import Coding
from eyeplane.kit.dust_profile import COVER_INDEX, COVER_UM
from eyeplane.records import Exposure, Measured, MeasureSettings

# Which orientation takes an upright frame back to how it was stored; six of eight undo themselves.
_BACK = {6: 8, 8: 6}
UNDITHERED = 0.3  # of JPEG's rounding that noise leaves in a faint shadow's depth; our own frames
WHOLE_MM = 36.0  # long edge where the pitch is unknown; the trade's full frame


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SensorFrame:
    """One frame, stored way round.

    Attributes
    ----------
    path : str
        Where it lies.
    exposure : Exposure
        EXIF.
    width_px, height_px : int
        Of the stored frame.
    orientation : int
        EXIF Orientation: how it is turned to stand upright.
    pitch_um : Measured or None
        Distance of pixel centres.
    cut : bool
        Whether the size that the camera noted has another shape: then places on the sensor are
        not known.
    light : ndarray
        Of float32 [y, x], linear, of every pixel.
    clipped_share, level : float
        Share of pixels at the file's white; median light, white = 1.
    coding_share : float
        Share of the light by which JPEG may change a faint shadow's depth; 0 for other files.
    coding : Coding
        How coarsely the file is coded.
    """

    path: str
    exposure: Exposure
    width_px: int
    height_px: int
    orientation: int
    pitch_um: Measured | None
    cut: bool
    light: NDArray[np.float32]
    clipped_share: float
    level: float
    coding_share: float
    coding: Coding

    @property
    def turned(self) -> bool:
        """Return whether the file holds a frame on its short side.

        Returns
        -------
        bool
            True where pixels were turned after they left the sensor, which cannot be undone.
        """
        return self.height_px > self.width_px

    @property
    def name(self) -> str:
        """Return the file's name.

        Returns
        -------
        str
            Without its folder.
        """
        return Path(self.path).name

    @property
    def body_key(self) -> tuple[str, str, int, int]:
        """Return what tells one sensor from another.

        Returns
        -------
        tuple
            Body, its serial number, stored width and height.
        """
        return (
            self.exposure.body or "",
            self.exposure.body_serial or "",
            self.width_px,
            self.height_px,
        )


def stored_view(upright: NDArray[Any], orientation: int) -> NDArray[Any]:
    """Return upright pixels as they lie in the file.

    Parameters
    ----------
    upright : ndarray
        [y, x] or [y, x, …].
    orientation : int
        EXIF Orientation, 1 to 8.

    Returns
    -------
    ndarray
        View of the same memory; undoes `imaging.orient.upright_view`.
    """
    return upright_view(upright, _BACK.get(orientation, orientation))


def cone_px(
    *, f_number: float | None, pitch_um: Measured | None, long_edge_px: int
) -> tuple[float, bool]:
    """Return how wide the cone of light is on a usual cover, in pixels, and whether that is known.

    Parameters
    ----------
    f_number : float or None
        Aperture of the frame; f/16 is taken where it is not known.
    pitch_um : Measured or None
        Of the pixels; that of a sensor 36 mm wide is taken where it is not known.
    long_edge_px : int
        Of the frame.

    Returns
    -------
    tuple of (float, bool)
        The diameter b = t/(n N) for t = 2 mm and n = 1.52, and False where something was assumed.

    Examples
    --------
    >>> from eyeplane.records import Measured
    >>> pitch = Measured(value=6.0, low=5.9, high=6.1)
    >>> size, known = cone_px(f_number=16, pitch_um=pitch, long_edge_px=6000)
    >>> round(size, 1), known
    (13.7, True)
    """
    pitch = WHOLE_MM * 1000 / long_edge_px if pitch_um is None else pitch_um.value
    return (
        COVER_UM / COVER_INDEX / (f_number or 16.0) / pitch,
        f_number is not None and pitch_um is not None,
    )


def open_frame(path: Path, *, settings: MeasureSettings) -> SensorFrame:
    """Return a frame, stored way round.

    Parameters
    ----------
    path : Path
        The file; it is read once and never written to.
    settings : MeasureSettings
        For the pixel limit and the kit table.

    Returns
    -------
    SensorFrame
        Light of every pixel.

    Raises
    ------
    FrameError
        If it cannot be read whole.
    """
    picture = open_picture(path, settings=settings)
    window = picture.luma_window(0, 0, picture.width_px, picture.height_px)
    light = np.ascontiguousarray(stored_view(window.luma, picture.orientation))
    sampled = light[::7, ::7]
    code = 0.0
    if window.encoding_slope is not None and sampled.size:
        code = float(np.median(window.encoding_slope[::7, ::7])) / max(
            float(np.median(sampled)), 1e-3
        )
    # One step q of a coefficient moves pixels by up to q / 4 codes, rounding to it by q / 8.
    table = picture.quantization
    step = 0.0 if table is None else float(np.mean(table[:3, :3]))
    return SensorFrame(
        path=picture.path,
        exposure=picture.exposure,
        width_px=light.shape[1],
        height_px=light.shape[0],
        orientation=picture.orientation,
        pitch_um=picture.pitch_um,
        cut=_is_cut(path, picture),
        light=light,
        clipped_share=float(window.clipped[::7, ::7].mean()),
        level=float(np.median(sampled)) if sampled.size else 0.0,
        coding_share=0.0 if picture.quantization is None else UNDITHERED * code * step / 8,
        coding=Coding(code_share=code, blots=table is not None),
    )


def averaged(light: NDArray[np.float32], step: int, *, odd: bool) -> NDArray[np.float32]:
    """Return the means of squares of pixels.

    Parameters
    ----------
    light : ndarray
        Of float32 [y, x].
    step : int
        Side of the squares; what does not fill one at the right and below is left off.
    odd : bool
        Whether to take hot and dead pixels out first, which stand alone.

    Returns
    -------
    ndarray
        Of float32 [y, x].
    """
    import cv2  # noqa: PLC0415  slow to load for --help

    if odd:
        light = np.asarray(cv2.medianBlur(light, 3), np.float32)
    if step == 1:
        return light
    height, width = light.shape[0] // step, light.shape[1] // step
    whole = np.ascontiguousarray(light[: height * step, : width * step])
    return np.asarray(cv2.resize(whole, (width, height), interpolation=cv2.INTER_AREA))


def _is_cut(path: Path, picture: Picture) -> bool:
    """Return whether the camera noted a frame of another shape than the file's."""
    from PIL import Image  # noqa: PLC0415  slow to load for --help

    try:
        with Image.open(path) as image:
            tags = read_tags(image.getexif())
    except (OSError, ValueError, SyntaxError):
        return False  # a RAW or another file that holds the sensor's own frame
    noted = sorted(n for t in (0xA002, 0xA003) if (n := number(tags.get(t))) is not None and n > 0)
    if len(noted) != 2:
        return False
    stored = sorted((picture.width_px, picture.height_px))
    return abs(noted[0] * stored[1] - noted[1] * stored[0]) > 2 * max(noted)
