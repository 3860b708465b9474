"""Colour profiles: what of them matters for luma, and conversion of colours for the screen."""

import struct
from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms

from eyeplane.imaging.exif import number, read_tags
from eyeplane.imaging.tone import ADOBE_RGB, SRGB, Curve, Tone

_INTEROPERABILITY_IFD = 0xA005
_PARAMETERS = (1, 3, 4, 5, 7)  # numbers of function types 0 to 4, ICC.1:2022, table 68
_SRGB_D50_WEIGHTS = (0.2225, 0.7169, 0.0606)  # sRGB's Y row as profiles hold it, adapted to D50
_SAME_AS_SRGB = 0.005  # largest difference of luma tables that counts as sRGB: rounding in profiles


def tone_of(profile: bytes, exif: Image.Exif, *, channels: int) -> tuple[Tone, bytes | None]:
    """Return how codes become luma, and the profile if colours need converting for the screen.

    Parameters
    ----------
    profile : bytes
        ICC profile, empty if the file has none.
    exif : Image.Exif
        Cameras that write Adobe RGB without a profile say so here.
    channels : int
        Of the file: 1, 3 or 4.

    Returns
    -------
    tuple of (Tone, bytes or None)
        The sRGB tone and None where the file says nothing, or where the profile is broken or
        not one of curves and a matrix.
    """
    if channels == 4:
        return SRGB, profile or None
    if profile:
        tone = _tone_in(profile, channels)
        if tone is None:
            return SRGB, None
        return (SRGB, None) if _is_srgb(tone) else (tone, profile)
    return (ADOBE_RGB, None) if _says_adobe_rgb(exif) else (SRGB, None)


def convert_to_srgb(picture: Image.Image, profile: bytes | None) -> Image.Image:
    """Return the picture in sRGB.

    Parameters
    ----------
    picture : Image.Image
        Any mode that Pillow knows.
    profile : bytes or None
        Its ICC profile; without one Pillow's plain conversion is used.

    Returns
    -------
    Image.Image
        Mode RGB.
    """
    if profile:
        try:
            source = ImageCms.ImageCmsProfile(BytesIO(profile))
            target = ImageCms.createProfile("sRGB")
            converted = ImageCms.profileToProfile(picture, source, target, outputMode="RGB")
        except (ImageCms.PyCMSError, OSError, ValueError):
            converted = None
        if converted is not None:
            return converted
    return picture.convert("RGB")


def _is_srgb(tone: Tone) -> bool:
    found = tone.tables(256)
    known = (SRGB, Tone(curves=SRGB.curves, weights=_SRGB_D50_WEIGHTS))
    return any(np.abs(found - k.tables(256)).max() < _SAME_AS_SRGB for k in known)


def _says_adobe_rgb(exif: Image.Exif) -> bool:
    # DCF 2.0 (JEITA CP-3461): ColorSpace "uncalibrated" with interoperability index R03.
    if number(read_tags(exif).get(0xA001)) != 0xFFFF:
        return False
    try:
        return str(exif.get_ifd(_INTEROPERABILITY_IFD).get(1, "")).startswith("R03")
    except (KeyError, OSError, SyntaxError, TypeError, ValueError, struct.error):
        return False


def _tone_in(profile: bytes, channels: int) -> Tone | None:
    try:
        tags = _tag_table(profile)
        if profile[16:20] == b"GRAY" and channels == 1:
            curve = _curve(tags[b"kTRC"])
            return Tone(curves=(curve,) * 3, weights=SRGB.weights)
        if profile[16:20] != b"RGB " or channels != 3:
            return None
        curves = (_curve(tags[b"rTRC"]), _curve(tags[b"gTRC"]), _curve(tags[b"bTRC"]))
        shares = [struct.unpack_from(">i", tags[c + b"XYZ"], 12)[0] for c in (b"r", b"g", b"b")]
    except (KeyError, ValueError, IndexError, struct.error):
        return None
    total = sum(shares)
    if total <= 0:
        return None
    red, green, blue = (s / total for s in shares)
    return Tone(curves=curves, weights=(red, green, blue))


def _tag_table(profile: bytes) -> dict[bytes, bytes]:
    (count,) = struct.unpack_from(">I", profile, 128)
    tags = {}
    for i in range(min(count, 100)):
        name, start, size = struct.unpack_from(">4sII", profile, 132 + 12 * i)
        tags[name] = profile[start : start + size]
    return tags


def _curve(tag: bytes) -> Curve:
    # ICC.1:2022, 10.6 (curveType) and 10.18 (parametricCurveType).
    if tag[:4] == b"curv":
        (count,) = struct.unpack_from(">I", tag, 8)
        if count == 0:
            return _power(1.0)
        if count == 1:
            return _power(struct.unpack_from(">H", tag, 12)[0] / 256)
        return _sampled(np.frombuffer(tag, dtype=">u2", count=count, offset=12) / 65535.0)
    if tag[:4] == b"para":
        (kind,) = struct.unpack_from(">H", tag, 8)
        count = _PARAMETERS[kind]
        values = [v / 65536 for v in struct.unpack_from(f">{count}i", tag, 12)]
        return _parametric(kind, values)
    raise ValueError(tag[:4])


def _power(gamma: float) -> Curve:
    if not 0.1 < gamma < 10:
        raise ValueError(gamma)

    def curve(code: NDArray[np.float64]) -> NDArray[np.float64]:
        return code**gamma

    return curve


def _sampled(samples: NDArray[np.float64]) -> Curve:
    places = np.linspace(0.0, 1.0, len(samples))
    if samples[-1] <= samples[0]:
        raise ValueError(samples[-1])

    def curve(code: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.interp(code, places, samples)

    return curve


def _parametric(kind: int, values: list[float]) -> Curve:
    gamma, a, b, c, d, e, f = values + [0.0] * (7 - len(values)) if kind else (*values, 1, *[0] * 5)
    if not 0.1 < gamma < 10 or (kind in (1, 2) and a == 0):
        raise ValueError(values)
    if kind == 1:
        d = -b / a
    elif kind == 2:
        c, d, e, f = 0.0, -b / a, c, c
    # Kinds 3 and 4: linear below d.

    def curve(code: NDArray[np.float64]) -> NDArray[np.float64]:
        head = np.maximum(a * code + b, 0) ** gamma + e
        linear = np.where(code >= d, head, c * code + f)
        return np.clip(linear, 0.0, 1.0)

    return curve
