"""Distance of pixel centres on the sensor, from what the camera wrote; doubt widens or ends it."""

import math
from dataclasses import dataclass

from eyeplane.imaging.exif import Tags, number, number_within
from eyeplane.records import Exposure, Measured, MeasureSettings

DIAGONAL_35MM_MM = 43.267  # of 36 × 24 mm, to which "35 mm equivalent" refers (CIPA DCG-001-2005)
_UNIT_UM = {
    1: 25_400.0,
    2: 25_400.0,
    3: 10_000.0,
    4: 1_000.0,
    5: 1.0,
}  # inch unless said (EXIF 2.3)
_SENSOR_MM = (
    3.0,
    60.0,
)  # long edge: smallest phone chip to the largest back; trade fact, from memory
_PLANE_SHARE = 0.01  # 90 % spread of focal-plane resolution: makers round sensor or pixel counts
_EQUIVALENT_SHARE = 0.04  # of the 35 mm equivalent: some makers compare widths, not diagonals
_ZOOM = 1.01  # digital zoom above this resamples the frame
# Long × short edge of whole sensors, mm; common makers' data sheets, from memory.
_WHOLE_SENSORS_MM = (
    (53.4, 40.0), (43.8, 32.9), (36.0, 24.0), (28.7, 19.1), (23.6, 15.7), (22.3, 14.9),
    (17.3, 13.0), (13.2, 8.8),
)  # fmt: skip
_WHOLE_SHARE = 0.03  # how near to one of them counts as whole
_FULL_ASPECTS = (3 / 2, 4 / 3)  # of whole sensors; other shapes in cameras' menus are crops
_ASPECT_SHARE = 0.01  # how near to one of them counts as whole


@dataclass(frozen=True, slots=True, kw_only=True)
class Pitch:
    """Pixel pitch and where it came from.

    Attributes
    ----------
    um : Measured or None
        Micrometres; None: cannot tell.
    source : str
        "focal plane resolution", "35 mm equivalent", "kit table" or "".
    """

    um: Measured | None
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameSize:
    """How large the file is, and who made it so.

    Attributes
    ----------
    width_px, height_px : int
        Of the picture in the file.
    from_sensor : bool
        True for RAW: nothing was cropped or resized after capture.
    edited : bool
        Whether a program other than the camera wrote the file.
    """

    width_px: int
    height_px: int
    from_sensor: bool = False
    edited: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class _Origin:
    """The camera's frame that the file was made from.

    `stretch`, with its ends, is how much larger a pixel of the file is than one of the camera's.
    """

    long_px: float
    short_px: float
    stretch: float
    stretch_low: float
    stretch_high: float
    noted: bool

    def scaled(self, pitch_um: float, share: float) -> Measured:
        return Measured(
            value=pitch_um * self.stretch,
            low=pitch_um * self.stretch_low * (1 - share),
            high=pitch_um * self.stretch_high * (1 + share),
        )


CANNOT_TELL = Pitch(um=None, source="")


def pixel_pitch(
    tags: Tags, exposure: Exposure, size: FrameSize, settings: MeasureSettings
) -> Pitch:
    """Return the pixel pitch for the pixels of the file.

    Parameters
    ----------
    tags : dict
        From `read_tags`.
    exposure : Exposure
        From `read_exposure`.
    size : FrameSize
        Of the file.
    settings : MeasureSettings
        For the kit table.

    Returns
    -------
    Pitch
        From the focal-plane resolution, else the 35 mm equivalent, else the kit table, else
        "cannot tell".

    Notes
    -----
    Cropping keeps the pitch, resizing does not. The size that the camera noted is held against
    the file's: equal, the numbers are believed; a smaller file of the same shape was resized
    and the pitch grows by the ratio; one of another shape was cropped, and if an editor wrote
    it perhaps resized as well, so the interval reaches up to the largest crop made small.
    Without a noted size only a resolution that makes up a whole sensor is believed.
    """
    origin = _origin(tags, size)
    zoom = number(tags.get(0xA404))
    if origin is None or (zoom is not None and zoom > _ZOOM):
        return CANNOT_TELL
    return (
        _from_focal_plane(tags, exposure, size, origin)
        or _from_equivalent(exposure, origin)
        or _from_kit(exposure, origin, settings)
        or CANNOT_TELL
    )


def _origin(tags: Tags, size: FrameSize) -> _Origin | None:
    long_px, short_px = sorted((size.width_px, size.height_px), reverse=True)
    noted = [number_within(tags.get(tag), (0, 1e6)) for tag in (0xA002, 0xA003)]
    if size.from_sensor or noted[0] is None or noted[1] is None:
        return _unscaled(long_px, short_px, noted=size.from_sensor)
    noted_long, noted_short = max(noted[0], noted[1]), min(noted[0], noted[1])
    along, across = noted_long / long_px, noted_short / short_px
    if along == 1 and across == 1:
        return _unscaled(long_px, short_px, noted=True)
    if min(along, across) < 1:
        return None  # larger than the camera's frame: enlarged or put together
    same_shape = abs(along / across - 1) <= 1 / short_px  # the short edge is rounded
    largest = min(along, across) if size.edited or same_shape else 1.0
    return _Origin(
        long_px=noted_long,
        short_px=noted_short,
        stretch=along if same_shape else 1.0,
        stretch_low=min(along, across) if same_shape else 1.0,
        stretch_high=max(along, across) if same_shape else largest,
        noted=True,
    )


def _unscaled(long_px: float, short_px: float, *, noted: bool) -> _Origin:
    return _Origin(
        long_px=long_px,
        short_px=short_px,
        stretch=1.0,
        stretch_low=1.0,
        stretch_high=1.0,
        noted=noted,
    )


def _from_focal_plane(
    tags: Tags, exposure: Exposure, size: FrameSize, origin: _Origin
) -> Pitch | None:
    pitch_um = _plane_pitch_um(tags)
    if pitch_um is None or not _possible(pitch_um, origin):
        return None
    found = origin.scaled(pitch_um, _PLANE_SHARE)
    doubtful = not origin.noted or (size.edited and origin.stretch_high == 1)
    if doubtful and not _is_whole_sensor(pitch_um, origin):
        # The size may have been changed and the resolution left as it was.
        resized_um = _equivalent_um(exposure, origin)
        if resized_um is None or resized_um < found.low:
            return None
        found = Measured(value=found.value, low=found.low, high=max(found.high, resized_um))
    return Pitch(um=found, source="focal plane resolution")


def _plane_pitch_um(tags: Tags) -> float | None:
    across = number_within(tags.get(0xA20E), (0, 1e9))
    down = number_within(tags.get(0xA20F), (0, 1e9))
    unit = number(tags.get(0xA210))
    unit_um = _UNIT_UM.get(int(unit) if unit is not None else 2)
    told = [r for r in (across, down) if r is not None]
    if not told or unit_um is None or max(told) > 1.1 * min(told):
        return None  # pixels are square; two numbers that differ by a tenth are not to be trusted
    return unit_um / (sum(told) / len(told))


def _from_equivalent(exposure: Exposure, origin: _Origin) -> Pitch | None:
    pitch_um = _equivalent_um(exposure, origin)
    equivalent_mm = exposure.focal_length_35mm_mm
    if pitch_um is None or equivalent_mm is None or not _possible(pitch_um, origin):
        return None
    aspect = origin.long_px / origin.short_px
    if not any(abs(aspect / full - 1) < _ASPECT_SHARE for full in _FULL_ASPECTS):
        return None  # cropped: the equivalent holds for the whole frame only
    rounding = 0.5 / equivalent_mm  # it is a whole number of millimetres
    return Pitch(
        um=origin.scaled(pitch_um, _EQUIVALENT_SHARE + rounding), source="35 mm equivalent"
    )


def _equivalent_um(exposure: Exposure, origin: _Origin) -> float | None:
    if exposure.focal_length_mm is None or exposure.focal_length_35mm_mm is None:
        return None
    diagonal_mm = DIAGONAL_35MM_MM * exposure.focal_length_mm / exposure.focal_length_35mm_mm
    return diagonal_mm * 1000 / math.hypot(origin.long_px, origin.short_px)


def _from_kit(exposure: Exposure, origin: _Origin, settings: MeasureSettings) -> Pitch | None:
    if exposure.body is None:
        return None
    for body, pitch_um in settings.kit_pitch_um:
        if body.strip().casefold() == exposure.body.casefold():
            if not origin.noted and not _is_whole_sensor(pitch_um, origin):
                return None
            return Pitch(um=origin.scaled(pitch_um, _PLANE_SHARE), source="kit table")
    return None


def _possible(pitch_um: float, origin: _Origin) -> bool:
    return _SENSOR_MM[0] <= pitch_um * origin.long_px / 1000 <= _SENSOR_MM[1]


def _is_whole_sensor(pitch_um: float, origin: _Origin) -> bool:
    long_mm, short_mm = pitch_um * origin.long_px / 1000, pitch_um * origin.short_px / 1000
    return any(
        abs(long_mm / a - 1) < _WHOLE_SHARE and abs(short_mm / b - 1) < _WHOLE_SHARE
        for a, b in _WHOLE_SENSORS_MM
    )
