"""RAW: the camera's own full-size JPEG where the file carries one, else a half-size demosaic."""

import struct
from io import BytesIO
from pathlib import PurePath
from typing import Any

from PIL import Image

from eyeplane.errors import FrameError
from eyeplane.imaging.decoded import Decoded, check_pixels, damaged
from eyeplane.imaging.exif import load_exif, read_tags
from eyeplane.imaging.jpeg import decode_jpeg
from eyeplane.imaging.tone import LINEAR

_FULL_SHARE = 0.97  # of the RAW's long edge: previews leave out a few border pixels
_ORIENTATION_OF_FLIP = {0: 1, 3: 3, 5: 8, 6: 6}  # LibRaw's codes for turns, imgdata.sizes.flip


def decode_raw(data: bytes, *, path: PurePath, pixel_limit: int) -> Decoded:
    """Return the picture in a RAW file.

    Parameters
    ----------
    data : bytes
        The whole file.
    path : PurePath
        For messages.
    pixel_limit : int
        Most pixels allowed, of the sensor.

    Returns
    -------
    Decoded
        The embedded JPEG (8 bit) if it has the sensor's size; else every 2 × 2 pixels of the
        sensor made one (16 bit, linear light).

    Raises
    ------
    FrameError
        If it is too large, damaged, cut short, or of a camera that LibRaw does not know.
    """
    import rawpy  # noqa: PLC0415  slow to load for --help

    try:
        with rawpy.RawPy() as raw:
            raw.open_buffer(BytesIO(data))
            size = (raw.sizes.width, raw.sizes.height)
            check_pixels(
                max(size[0], raw.sizes.raw_width),
                max(size[1], raw.sizes.raw_height),
                pixel_limit=pixel_limit,
                path=path,
            )
            orientation = _ORIENTATION_OF_FLIP.get(raw.sizes.flip, 1)
            preview = _preview(raw, max(size), path, pixel_limit)
            exif = _exif(data, preview)
            if preview is not None:
                return _from_preview(preview, exif, orientation, size)
            pixels = raw.postprocess(
                half_size=True,
                use_camera_wb=True,
                no_auto_bright=True,
                adjust_maximum_thr=0.0,  # white stays where the sensor clips, whatever the scene
                gamma=(1, 1),
                output_bps=16,
                user_flip=0,
            )
    except rawpy.LibRawError as error:
        raise _refusal(error, path) from error
    except (MemoryError, OSError, RuntimeError, ValueError) as error:
        raise damaged(path, str(error)) from error
    if pixels.shape[2] == 1:  # a sensor without colours
        pixels = pixels[..., 0]
    return Decoded(
        pixels=pixels,
        orientation=orientation,
        exif=exif,
        tone=LINEAR,
        linear=True,
        captured_px=size,
    )


def _from_preview(
    preview: Decoded, exif: Image.Exif, orientation: int, size: tuple[int, int]
) -> Decoded:
    return Decoded(
        pixels=preview.pixels,
        orientation=orientation,
        exif=exif,
        tone=preview.tone,
        profile=preview.profile,
        quantization=preview.quantization,
        chroma_steps=preview.chroma_steps,
        chroma_quantization=preview.chroma_quantization,
        chroma_smoothed=preview.chroma_smoothed,
        captured_px=size,
    )


def _preview(
    raw: Any,  # noqa: ANN401  rawpy has no types
    long_px: int,
    path: PurePath,
    pixel_limit: int,
) -> Decoded | None:
    import rawpy  # noqa: PLC0415  slow to load for --help

    try:
        thumb = raw.extract_thumb()
    except rawpy.LibRawError:
        return None  # none there, or of a kind LibRaw cannot take out
    if thumb.format != rawpy.ThumbFormat.JPEG:
        return None
    try:
        decoded = decode_jpeg(bytes(thumb.data), path=path, pixel_limit=pixel_limit)
    except FrameError:
        return None
    return decoded if max(decoded.pixels.shape[:2]) >= _FULL_SHARE * long_px else None


def _exif(data: bytes, preview: Decoded | None) -> Image.Exif:
    head = data[:4]
    order = b"II*\0" if head[:2] == b"II" else b"MM\0*"
    exif = load_exif(order + data[4:]) if head[:2] in (b"II", b"MM") else Image.Exif()
    if not read_tags(exif).get(33434) and preview is not None:
        exif = preview.exif
    if not read_tags(exif):
        exif = _boxed_exif(data)
    return exif


def _boxed_exif(data: bytes) -> Image.Exif:
    # Boxes CMT1 (main directory) and CMT2 (EXIF directory), each a TIFF of its own; from memory.
    exif = Image.Exif()
    for name in (b"CMT1", b"CMT2"):
        at = data.find(name, 0, 1 << 16)
        if at >= 4:
            (length,) = struct.unpack_from(">I", data, at - 4)
            for tag, value in read_tags(load_exif(data[at + 4 : at - 4 + length])).items():
                exif[tag] = value
    return exif


def _refusal(error: Exception, path: PurePath) -> FrameError:
    what = error.args[0] if error.args else ""
    told = what.decode("utf-8", "replace") if isinstance(what, bytes) else str(what)
    if "unsupported file format" in told.lower():
        return FrameError(
            "this RAW is damaged or of a kind that cannot be read",
            where=str(path),
            hint="Measure the JPEG of the same exposure, or save the RAW as a 16-bit TIFF",
        )
    return damaged(path, told)
