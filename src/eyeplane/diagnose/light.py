"""Lights by their catchlights: from which side, how far off the lens, how large, how hard.

Points are (x, y), y down; places on the cornea in mm.
"""

import math
from dataclasses import dataclass

from eyeplane.diagnose.gaze import Gaze, gaze_of
from eyeplane.light import HARDNESS
from eyeplane.optics import (
    CORNEA_RADIUS_MM,
    CORNEA_RADIUS_SD_MM,
    highlight_scale_mm_per_rad,
    source_off_axis_deg,
)
from eyeplane.people import VISIBLE_IRIS_MM
from eyeplane.records import (
    Catchlight,
    Eye,
    EyeReading,
    FaceReading,
    LightSource,
    Measured,
    counting_eye,
)

WITHIN_SHARE = 0.6  # of the interval that must lie within a word for it to be said
MIDDLE_SD_MM = 0.3  # of the iris' middle, by its fitted edge on turned heads
SAME_MM = 1.3  # the same light's places in two eyes lie closer: eyes differ in their axes
STRAY_SHARE = 0.1  # a weaker highlight that the other eye lacks while it shows others is no light
# Blur at the eye beyond which a highlight is as much blur as light: it may be a lid's edge. Of 17
# rendered heads blurred by more, one in four shows a light where none stands.
BLURRED_MM = 0.75
RIM_SHARE = 0.97  # of the radius: highlights seen farther out are told as there, with a wide spread
NINETY = 1.645  # standard deviations of a 90 % interval


@dataclass(frozen=True, slots=True, kw_only=True)
class EyeShape:
    """What of an eye matters to its highlights.

    Attributes
    ----------
    radius_mm, radius_sd_mm : float
        Of the cornea's curve.
    limbus_mm : float
        Diameter of the visible iris.
    outward_deg, outward_sd_deg : float
        How far each eye's own axis points outwards of its line of sight.
    """

    radius_mm: float
    radius_sd_mm: float
    limbus_mm: float
    outward_deg: float
    outward_sd_deg: float

    @property
    def centre_mm(self) -> float:
        """Return how far the centre of the cornea's curve lies behind the plane of the limbus.

        Returns
        -------
        float
            5.2 mm for human eyes: the sphere's radius less its height above the limbus.
        """
        return math.sqrt(max(0.0, self.radius_mm**2 - (self.limbus_mm / 2) ** 2))


HUMAN_EYE = EyeShape(
    radius_mm=CORNEA_RADIUS_MM,
    radius_sd_mm=CORNEA_RADIUS_SD_MM,
    limbus_mm=VISIBLE_IRIS_MM.mean_mm,
    outward_deg=5.0,  # angle between the eye's axis and the line of sight, 4 to 8; from memory
    outward_sd_deg=2.0,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Placed:
    """A highlight by its place on the cornea, from the point that faces the camera."""

    x_mm: float
    y_mm: float
    sd_mm: float
    light: Catchlight


def lights_of(face: FaceReading, *, shape: EyeShape = HUMAN_EYE) -> tuple[LightSource, ...]:
    """Return the lights that catchlights tell of, strongest first.

    They are the counting eye's, or the other's where that one shows none.

    Parameters
    ----------
    face : FaceReading
        With the catchlights of its eyes.
    shape : EyeShape
        Of the sitter's eyes.

    Returns
    -------
    tuple of LightSource
        Empty where no highlight was read, or the eye is too blurred for it to be one: that is
        "cannot tell", not "no light". The clock is the
        side on which the light stands around the lens; it means nothing where `off_axis_deg`
        reaches down to 0.

    Notes
    -----
    The highlight of a light at the lens lies where the cornea faces the camera: before the centre
    of the cornea's curve, which lies √(R² − r²) = 5.2 mm behind the limbus (R = 7.8 mm,
    r = 5.86 mm). An eye whose axis is turned by γ from the camera shows its iris 5.2 mm × sin γ
    aside of that point, so the place on the cornea is the place on the iris plus that shift. γ is
    the gaze (`eyeplane.diagnose.gaze`) and 5° outwards, by which the eye's axis and its line of
    sight differ; a light seen in both eyes is placed by the mean of the two, in which those 5°
    cancel. Then 2 asin(place / R) is the angle off the lens, and R/2 cos(θ/2) along the radius and
    R/2 / cos(θ/2) across it bring millimetres to angles.
    """
    counting = counting_eye(face)
    other = face.eyes[1] if counting is face.eyes[0] else face.eyes[0]
    if not counting.catchlights:
        counting, other = other, counting
    if not counting.catchlights or _blurred(counting, face):
        return ()
    gaze = gaze_of(face.face)
    placed = [_placed(face, counting, light, gaze, shape) for light in counting.catchlights]
    beside = [_placed(face, other, light, gaze, shape) for light in other.catchlights]
    kept = []
    for place in placed:
        twin = min(beside, key=lambda b: _apart_mm(place, b), default=None)
        if twin is not None and _apart_mm(place, twin) < SAME_MM:
            kept.append(_both(place, twin, gaze, shape))
        elif not beside or place.light.share >= STRAY_SHARE:
            kept.append(place)
    total = sum(place.light.share for place in kept)
    sources = [_source(place, face.face.mm_per_px, shape, total) for place in kept]
    return tuple(sorted(sources, key=lambda source: -source.share))


def _blurred(eye: EyeReading, face: FaceReading) -> bool:
    size = eye.blur.size_px
    return size is not None and size.value * face.face.mm_per_px.value > BLURRED_MM


def _placed(
    face: FaceReading, reading: EyeReading, light: Catchlight, gaze: Gaze, shape: EyeShape
) -> _Placed:
    eye = next(e for e in face.face.eyes if e.side == reading.side)
    scale = face.face.mm_per_px.value
    out = math.sin(math.radians(shape.outward_deg)) * _outwards(face, eye, gaze)
    x = (light.at_px[0] - eye.iris_px[0]) * scale
    y = (light.at_px[1] - eye.iris_px[1]) * scale
    return _Placed(
        x_mm=x + shape.centre_mm * (gaze.x + out * gaze.across[0]),
        y_mm=y + shape.centre_mm * (gaze.y + out * gaze.across[1]),
        sd_mm=math.hypot(
            MIDDLE_SD_MM,
            shape.centre_mm * gaze.sd,
            shape.centre_mm * math.radians(shape.outward_sd_deg),
        ),
        light=light,
    )


def _outwards(face: FaceReading, eye: Eye, gaze: Gaze) -> float:
    """Return −1 for the eye on the head's picture-left side, else 1: which way is outwards."""
    other = next(e for e in face.face.eyes if e is not eye)
    along = sum(
        (a - b) * c for a, b, c in zip(eye.iris_px, other.iris_px, gaze.across, strict=True)
    )
    return math.copysign(1.0, along)


def _apart_mm(one: _Placed, two: _Placed) -> float:
    return math.hypot(one.x_mm - two.x_mm, one.y_mm - two.y_mm)


def _both(place: _Placed, twin: _Placed, gaze: Gaze, shape: EyeShape) -> _Placed:
    """Return a highlight with the mean place of both eyes; their errors are halved but the gaze's.

    What both places share is the gaze; the iris' middle and the eye's axis are each eye's own.
    """
    own = math.hypot(MIDDLE_SD_MM, shape.centre_mm * math.radians(shape.outward_sd_deg))
    return _Placed(
        x_mm=(place.x_mm + twin.x_mm) / 2,
        y_mm=(place.y_mm + twin.y_mm) / 2,
        sd_mm=math.hypot(own / math.sqrt(2), shape.centre_mm * gaze.sd),
        light=place.light,
    )


def _source(
    place: _Placed, mm_per_px: Measured, shape: EyeShape, total_share: float
) -> LightSource:
    off_axis = _off_axis_deg(place, mm_per_px, shape)
    width, height = _size_deg(place, mm_per_px, off_axis, shape)
    clock = math.degrees(math.atan2(place.x_mm, -place.y_mm)) / 30.0 % 12.0
    return LightSource(
        clock_hours=clock if clock > 0.0 else 12.0,
        off_axis_deg=off_axis,
        width_deg=width,
        height_deg=height,
        share=min(1.0, place.light.share / total_share) if total_share > 0.0 else 0.0,
        hardness=hardness_of(width, height),
    )


def _relative_sd(value: Measured) -> float:
    return (value.high - value.low) / (2 * NINETY * value.value)


def _off_axis_deg(place: _Placed, mm_per_px: Measured, shape: EyeShape) -> Measured:
    away = math.hypot(place.x_mm, place.y_mm)
    relative = math.hypot(_relative_sd(mm_per_px), shape.radius_sd_mm / shape.radius_mm)
    sd = math.hypot(place.sd_mm, away * relative)
    rim = RIM_SHARE * shape.radius_mm
    value, low, high = (
        source_off_axis_deg(place_mm=min(max(0.0, mm), rim), radius_mm=shape.radius_mm)
        for mm in (away, away - NINETY * sd, away + NINETY * sd)
    )
    return Measured(value=value, low=low, high=high)


def _size_deg(
    place: _Placed, mm_per_px: Measured, off_axis_deg: Measured, shape: EyeShape
) -> tuple[Measured, Measured]:
    """Return how wide and high the light looks from the sitter."""
    away = math.hypot(place.x_mm, place.y_mm)
    along = (place.x_mm / away, place.y_mm / away) if away > 0.0 else (1.0, 0.0)

    def turned(ends: tuple[float, float], off_deg: float) -> tuple[float, float]:
        radial, tangential = highlight_scale_mm_per_rad(
            off_axis_deg=off_deg, radius_mm=shape.radius_mm
        )
        # Squared axes of the highlight along x and y, carried through radial and tangential scale.
        xx = along[0] ** 2 / radial + along[1] ** 2 / tangential
        yy = along[1] ** 2 / radial + along[0] ** 2 / tangential
        xy = along[0] * along[1] * (1 / radial - 1 / tangential)
        width, height = (value * mm_per_px.value for value in ends)
        return (
            math.degrees(math.hypot(xx * width, xy * height)),
            math.degrees(math.hypot(xy * width, yy * height)),
        )

    light = place.light
    values = turned((light.width_px.value, light.height_px.value), off_axis_deg.value)
    lows = turned((light.width_px.low, light.height_px.low), off_axis_deg.value)
    highs = turned((light.width_px.high, light.height_px.high), off_axis_deg.value)
    # The scale changes with the angle, and that is not known exactly either.
    ends = [
        math.cos(math.radians(deg) / 2) for deg in (off_axis_deg.low, min(off_axis_deg.high, 150.0))
    ]
    share = math.hypot(
        _relative_sd(mm_per_px),
        shape.radius_sd_mm / shape.radius_mm,
        0.5 * math.log(ends[0] / ends[1]) / NINETY,
    )
    first, second = (
        _spread_deg(value, low, high, share)
        for value, low, high in zip(values, lows, highs, strict=True)
    )
    return first, second


def _spread_deg(value: float, low: float, high: float, share_sd: float) -> Measured:
    value = min(value, 170.0)
    more = NINETY * share_sd * value
    return Measured(
        value=value,
        low=max(0.0, value - math.hypot(max(0.0, value - low), more)),
        high=min(180.0, value + math.hypot(max(0.0, high - value), more)),
    )


def hardness_of(width_deg: Measured, height_deg: Measured) -> str:
    """Return what photographers call a light that looks as large as this from the sitter.

    Parameters
    ----------
    width_deg, height_deg : Measured
        How large it looks, >= 0 degrees.

    Returns
    -------
    str
        "hard" below 5 degrees, "fairly hard" below 12, "fairly soft" below 30, else "soft", by the
        geometric mean of width and height; "" where less than six tenths of its interval lie
        within that word.
    """
    low, size, high = (
        math.sqrt(width * height)
        for width, height in (
            (width_deg.low, height_deg.low),
            (width_deg.value, height_deg.value),
            (width_deg.high, height_deg.high),
        )
    )
    rank = next(i for i, (limit, _) in enumerate(HARDNESS) if size < limit)
    start = HARDNESS[rank - 1][0] if rank else 0.0
    inside = min(high, HARDNESS[rank][0]) - max(low, start)
    return HARDNESS[rank][1] if inside >= WITHIN_SHARE * (high - low) else ""
