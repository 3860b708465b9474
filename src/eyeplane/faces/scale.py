"""Millimetres per pixel at the eyes, and from it the distance of the face."""

import math
from dataclasses import dataclass

from eyeplane.faces.pose import interval
from eyeplane.people import ANYONE_EYE_DISTANCE_MM, VISIBLE_IRIS_MM
from eyeplane.records import Measured

_DISAGREE_SDS = 2.0  # then the eyes' distance is a small child's, and the iris alone counts


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """How large a pixel is at the eyes.

    Attributes
    ----------
    mm_per_px : float
        Best single answer.
    relative_sd : float
        Standard deviation over the value.
    """

    mm_per_px: float
    relative_sd: float

    def measured(self) -> Measured:
        """Return the scale with its 90 % interval.

        Returns
        -------
        Measured
            Of mm per pixel, skewed because the error is relative.
        """
        return relative_interval(self.mm_per_px, self.relative_sd)


def relative_interval(value: float, relative_sd: float) -> Measured:
    """Return a positive number with a 90 % interval that is even in its logarithm.

    Parameters
    ----------
    value : float
        Above 0.
    relative_sd : float
        Standard deviation of its natural logarithm.

    Returns
    -------
    Measured
        The number and its interval.
    """
    factor = math.exp(interval(0.0, relative_sd).high)
    return Measured(value=value, low=value / factor, high=value * factor)


def scale_at_eyes(
    *,
    iris_px: float,
    iris_sd_px: float,
    eyes_apart_px: float,
    foreshortening: float,
    foreshortening_sd: float,
) -> Scale:
    """Return the scale from iris and eye distance, weighted by their variances.

    Parameters
    ----------
    iris_px, iris_sd_px : float
        Long axis of the visible iris and its standard deviation.
    eyes_apart_px : float
        Distance of the irises in the picture.
    foreshortening, foreshortening_sd : float
        Share of the eyes' true distance that the picture shows (1 when frontal), and its
        standard deviation.

    Returns
    -------
    Scale
        From the iris alone where the head is turned too far or the two disagree.
    """
    iris, apart = VISIBLE_IRIS_MM, ANYONE_EYE_DISTANCE_MM
    by_iris = iris.mean_mm / iris_px
    sd_iris = math.hypot(iris.sd_mm / iris.mean_mm, iris_sd_px / iris_px)
    if eyes_apart_px <= 0.0 or foreshortening < 0.3:
        return Scale(mm_per_px=by_iris, relative_sd=sd_iris)
    by_eyes = apart.mean_mm * foreshortening / eyes_apart_px
    sd_eyes = math.hypot(apart.sd_mm / apart.mean_mm, foreshortening_sd / foreshortening)
    gap = math.log(by_eyes / by_iris)
    if abs(gap) > _DISAGREE_SDS * math.hypot(sd_iris, sd_eyes):
        return Scale(mm_per_px=by_iris, relative_sd=sd_iris)
    share = sd_iris**2 / (sd_iris**2 + sd_eyes**2)
    return Scale(
        mm_per_px=by_iris * math.exp(share * gap),
        relative_sd=sd_iris * sd_eyes / math.hypot(sd_iris, sd_eyes),
    )


def distance_mm(
    scale: Scale, *, focal_length_mm: float | None, pitch_um: Measured | None
) -> Measured | None:
    """Return the distance from the lens to the eyes by the thin lens.

    Parameters
    ----------
    scale : Scale
        At the eyes.
    focal_length_mm : float or None
        Of the lens.
    pitch_um : Measured or None
        Distance of pixel centres on the sensor.

    Returns
    -------
    Measured or None
        ``f (1 + scale / pitch)``; None without focal length or pitch.
    """
    if not focal_length_mm or pitch_um is None or pitch_um.value <= 0.0:
        return None
    share_pitch = (pitch_um.high - pitch_um.low) / (2 * interval(0.0, 1.0).high * pitch_um.value)
    relative = math.hypot(scale.relative_sd, share_pitch)
    beyond = focal_length_mm * scale.mm_per_px * 1000.0 / pitch_um.value
    told = relative_interval(beyond, relative)
    return Measured(
        value=focal_length_mm + told.value,
        low=focal_length_mm + told.low,
        high=focal_length_mm + told.high,
    )
