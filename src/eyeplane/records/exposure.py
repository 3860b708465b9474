"""What the camera wrote about an exposure."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposure:
    """EXIF of one frame, in plain units; None where the file does not say or says "unknown".

    Attributes
    ----------
    exposure_time_s : float or None
        Shutter time.
    f_number : float or None
        Aperture.
    focal_length_mm, focal_length_35mm_mm : float or None
        Focal length, and the focal length of equal view on 36 × 24 mm.
    iso : float or None
        Sensitivity.
    flash_fired : bool or None
        Whether a flash fired.
    exposure_bias_ev : float or None
        Exposure compensation.
    subject_distance_mm : float or None
        Distance as the lens tells it (from the sensor), infinity is None.
    subject_area_px : tuple of int or None
        EXIF SubjectArea as written (2, 3 or 4 numbers).
    body, lens, body_serial, lens_serial : str or None
        Names and serial numbers.
    captured_at : str or None
        ISO 8601 local time with sub-seconds and offset where the file has them.
    captured_s : float or None
        The same as seconds since 1970-01-01 (taken as UTC where no offset is known): for order
        and gaps within a sitting, not as a clock.
    """

    exposure_time_s: float | None = None
    f_number: float | None = None
    focal_length_mm: float | None = None
    focal_length_35mm_mm: float | None = None
    iso: float | None = None
    flash_fired: bool | None = None
    exposure_bias_ev: float | None = None
    subject_distance_mm: float | None = None
    subject_area_px: tuple[int, ...] | None = None
    body: str | None = None
    lens: str | None = None
    body_serial: str | None = None
    lens_serial: str | None = None
    captured_at: str | None = None
    captured_s: float | None = None
