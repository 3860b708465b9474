"""The camera's own notes, read once: plain units, and None for whatever is not a sane number."""

import math
import struct
import warnings
from datetime import UTC, datetime
from typing import Any

from PIL import Image

from eyeplane.records import Exposure

_EXIF_IFD = 0x8769
_UNKNOWN_OR_INFINITE = 0xFFFFFFFF  # numerator that stands for it, EXIF 2.3 (JEITA CP-3451B)
_ISO_CEILING = 65535  # in ISOSpeedRatings: "this or above", EXIF 2.3
_READ_ERRORS = (
    AttributeError, EOFError, IndexError, KeyError, OSError, OverflowError, RecursionError,
    SyntaxError, TypeError, ValueError, ZeroDivisionError, struct.error,
)  # fmt: skip
_ISO_TAGS_OF_TYPE = {
    1: (34865,), 2: (34866,), 3: (34867,), 4: (34865, 34866), 5: (34867, 34865),
    6: (34867, 34866), 7: (34867, 34865, 34866),
}  # fmt: skip  # SensitivityType, EXIF 2.3, tag 34864
_TIME_TAGS = ((36867, 37521, 36881), (36868, 37522, 36882), (306, 37520, 36880))

Tags = dict[int, Any]


def load_exif(tiff: bytes) -> Image.Exif:
    """Return the EXIF in a TIFF structure; empty if it is absent or beyond reading.

    Parameters
    ----------
    tiff : bytes
        From the byte-order mark on.

    Returns
    -------
    Image.Exif
        Possibly empty.
    """
    exif = Image.Exif()
    if tiff:
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", UserWarning)  # Pillow's notes on odd EXIF
                exif.load(b"Exif\0\0" + tiff)
        except _READ_ERRORS:
            return Image.Exif()
    return exif


def read_tags(exif: Image.Exif) -> Tags:
    """Return the tags of the main and the EXIF directory in one table.

    Parameters
    ----------
    exif : Image.Exif
        As loaded.

    Returns
    -------
    dict
        Tag number → value as Pillow gives it; unreadable entries are left out.
    """
    tags: Tags = {}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)
        try:
            sub = exif.get_ifd(_EXIF_IFD)
        except _READ_ERRORS:
            sub = {}
        for source in (exif, sub):
            for tag in list(source):
                try:
                    tags[tag] = source[tag]
                except _READ_ERRORS:
                    continue
    return tags


def orientation_of(exif: Image.Exif, size_px: tuple[int, int]) -> int:
    """Return the orientation in which the stored pixels are to be seen.

    Parameters
    ----------
    exif : Image.Exif
        As loaded.
    size_px : tuple of int
        (width, height) of the stored pixels.

    Returns
    -------
    int
        1 to 8; 1 where the tag is absent or nonsense, or left over from before the pixels were
        turned: then they stand upright, while the noted size still lies.
    """
    tags = read_tags(exif)
    value = number(tags.get(274))
    if value is None or value not in range(1, 9):
        return 1
    if value >= 5 and size_px[0] < size_px[1]:
        noted = (number(tags.get(0xA002)), number(tags.get(0xA003)))
        if noted == (size_px[1], size_px[0]):
            return 1
    return int(value)


def number(value: object) -> float | None:
    """Return a finite number for whatever EXIF holds.

    Parameters
    ----------
    value : object
        Number, rational, or a list of them, of which the first counts.

    Returns
    -------
    float or None
        None for anything else: text, zero denominators, NaN, nothing at all.
    """
    if isinstance(value, tuple | list):
        value = value[0] if value else None
    if isinstance(value, bool | str | bytes | bytearray) or value is None:
        return None
    try:
        result = float(value)  # type: ignore[arg-type]  # a rational of Pillow's, or a TypeError
    except _READ_ERRORS:
        return None
    return result if math.isfinite(result) else None


def number_within(value: object, limits: tuple[float, float]) -> float | None:
    """Return a finite number if it can be true.

    Parameters
    ----------
    value : object
        As for `number`.
    limits : tuple of float
        Ends of what can be, the lower one not included.

    Returns
    -------
    float or None
        None outside.
    """
    found = number(value)
    return found if found is not None and limits[0] < found <= limits[1] else None


def read_exposure(tags: Tags) -> Exposure:
    """Return the exposure that the tags tell.

    Parameters
    ----------
    tags : dict
        From `read_tags`.

    Returns
    -------
    Exposure
        Fields that are absent, unknown by the standard, or absurd are None.

    References
    ----------
    JEITA CP-3451 (EXIF 2.3), section 4.6 (tags) and annex C (APEX units).
    """
    captured_at, captured_s = _captured(tags)
    flash = number(tags.get(37385))
    return Exposure(
        exposure_time_s=_exposure_time_s(tags),
        f_number=_f_number(tags),
        focal_length_mm=number_within(tags.get(37386), (0, 10_000)),
        focal_length_35mm_mm=number_within(tags.get(41989), (0, 10_000)),  # 0: unknown
        iso=_iso(tags),
        flash_fired=None if flash is None or flash < 0 else bool(int(flash) & 1),
        exposure_bias_ev=number_within(tags.get(37380), (-20, 20)),
        subject_distance_mm=_subject_distance_mm(tags),
        subject_area_px=_subject_area_px(tags.get(37396)),
        body=_text(tags.get(272)),
        lens=_text(tags.get(42036)),
        body_serial=_text(tags.get(42033)) or _text(tags.get(50735)),
        lens_serial=_text(tags.get(42037)),
        captured_at=captured_at,
        captured_s=captured_s,
    )


def _exposure_time_s(tags: Tags) -> float | None:
    told = number_within(tags.get(33434), (0, 1e6))
    if told is not None:
        return told
    apex = number_within(tags.get(37377), (-20, 30))
    return None if apex is None else 2.0**-apex


def _f_number(tags: Tags) -> float | None:
    told = number_within(tags.get(33437), (0.2, 1000))
    if told is not None:
        return told
    apex = number_within(tags.get(37378), (0, 20))
    return None if apex is None else 2.0 ** (apex / 2)


def _iso(tags: Tags) -> float | None:
    told = number_within(tags.get(34855), (0, 1e8))
    if told is not None and told != _ISO_CEILING:
        return told
    kind = number(tags.get(34864))
    order = _ISO_TAGS_OF_TYPE.get(int(kind) if kind is not None else 0, (34867, 34865, 34866))
    for tag in order:
        value = number_within(tags.get(tag), (0, 1e8))
        if value is not None:
            return value
    return None


def _subject_distance_mm(tags: Tags) -> float | None:
    value = tags.get(37382)
    if getattr(value, "numerator", None) == _UNKNOWN_OR_INFINITE:
        return None
    metres = number_within(value, (0, 1e5))  # 0: unknown; above 100 km no lens tells a distance
    return None if metres is None else metres * 1000


def _subject_area_px(value: object) -> tuple[int, ...] | None:
    if not isinstance(value, tuple | list) or len(value) not in (2, 3, 4):
        return None
    numbers = [number(v) for v in value]
    if any(n is None or n < 0 for n in numbers):
        return None
    return tuple(int(n) for n in numbers if n is not None)


def _text(value: object) -> str | None:
    if isinstance(value, bytes):
        value = value.decode("utf-8", "replace")
    if not isinstance(value, str):
        return None
    shown = "".join(c if c.isprintable() else " " for c in value.split("\0")[0])
    shown = " ".join(shown.split())[:200]
    return shown if shown.strip("-. ") else None  # "----" is what an unknown lens is called


def _captured(tags: Tags) -> tuple[str | None, float | None]:
    for when_tag, fraction_tag, offset_tag in _TIME_TAGS:
        when = _time(
            _text(tags.get(when_tag)), _text(tags.get(fraction_tag)), _text(tags.get(offset_tag))
        )
        if when is not None:
            aware = when if when.tzinfo else when.replace(tzinfo=UTC)
            return when.isoformat(), aware.timestamp()
    return None, None


def _time(when: str | None, fraction: str | None, offset: str | None) -> datetime | None:
    if when is None or when[:4] < "1826":  # the year of the oldest photograph that survives
        return None
    text = when[:10].replace(":", "-") + "T" + when[11:19]
    digits = (fraction or "").strip()
    if digits.isascii() and digits.isdigit():
        text += "." + digits[:6].ljust(6, "0")
    for end in ((offset or "").strip(), ""):
        try:
            return datetime.fromisoformat(text + end)
        except ValueError:
            continue
    return None
