"""Frames that lie on disk, drawn with eyes at known places, and a sitting that holds them."""

import hashlib
import io
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import numpy as np
from PIL import Image, ImageDraw, ImageFilter

from eyeplane.records import EyeView, FrameReading, Sitting, SittingFrame

WIDTH_PX, HEIGHT_PX = 3000, 2000
EYE_PX = (1100.0, 760.0)  # middle of the near iris, upright
MM_PER_PX = 0.134


def drawn_frame(*, blur_px: float = 0.0, seed: int = 1) -> Image.Image:
    """Return a frame with two irises, fine rings around them and grain."""
    rng = np.random.default_rng(seed)
    picture = Image.new("RGB", (WIDTH_PX, HEIGHT_PX), (206, 176, 156))
    pen = ImageDraw.Draw(picture)
    for x, y in (EYE_PX, (EYE_PX[0] + 470, EYE_PX[1])):
        pen.ellipse((x - 110, y - 46, x + 110, y + 46), fill=(236, 232, 226))
        for r in range(44, 2, -3):
            shade = (60 + 2 * r, 90 + r, 110) if r % 2 else (28, 34, 44)
            pen.ellipse((x - r, y - r, x + r, y + r), fill=shade)
        pen.ellipse((x - 16, y - 16, x + 16, y + 16), fill=(12, 10, 10))
        pen.ellipse((x + 6, y - 14, x + 14, y - 6), fill=(255, 255, 255))
        for k in range(-16, 17):
            pen.line((x + k * 7, y - 44, x + k * 8, y - 92), fill=(50, 34, 26), width=2)
    if blur_px:
        around = (900, 600, 1800, 900)  # both eyes; the rest is one tone
        picture.paste(picture.crop(around).filter(ImageFilter.GaussianBlur(blur_px)), around)
    grain = np.tile(rng.normal(0, 4, (500, 500, 1)).astype(np.int16), (4, 6, 1))
    pixels = np.clip(np.asarray(picture, np.int16) + grain, 0, 255)
    return Image.fromarray(pixels.astype(np.uint8))


def with_place() -> Image.Exif:
    """Return EXIF that tells where the camera stood, as it must never be shown."""
    exif = Image.Exif()
    exif[271], exif[305] = "Where it stood", "Körper 24"
    gps = exif.get_ifd(0x8825)
    gps[1], gps[2], gps[3], gps[4] = "N", (59.0, 26.0, 13.0), "E", (24.0, 45.0, 13.0)
    return exif


def framed_sitting(builder: ModuleType, folder: Path) -> Sitting:
    """Return the sitting made by hand, its first three frames (one burst) really on disk."""
    sitting: Sitting = builder.bare_sitting()
    frames = list(sitting.frames)
    for n, blur_px in enumerate((2.4, 0.0, 4.0)):
        path = folder / f"ilves-0{n + 1}.jpg"
        picture = drawn_frame(blur_px=blur_px, seed=n)
        picture.save(path, quality=95, subsampling=0, exif=with_place())
        frames[n] = _on_disk(builder, frames[n], path, picture)
    told: Sitting = builder.told(replace(sitting, frames=tuple(frames)))
    return told


def _on_disk(
    builder: ModuleType, frame: SittingFrame, path: Path, picture: Image.Image
) -> SittingFrame:
    x, y = EYE_PX
    out = io.BytesIO()
    picture.crop((round(x) - 171, round(y) - 131, round(x) + 172, round(y) + 108)).save(
        out, "JPEG", quality=88
    )
    face = builder.face_reading(
        frame.reading.faces[0].eyes[0].blur,
        view=EyeView(jpeg=out.getvalue(), mm_per_px=MM_PER_PX),
    )
    left, right = face.face.eyes
    eyes = (replace(left, iris_px=EYE_PX), replace(right, iris_px=(x + 470, y)))
    face = replace(face, face=replace(face.face, eyes=eyes, box_px=(900.0, 400.0, 900.0, 1000.0)))
    reading: FrameReading = replace(
        frame.reading,
        path=str(path),
        sha256=hashlib.sha256(path.read_bytes()).hexdigest(),
        size_bytes=path.stat().st_size,
        mtime_ns=path.stat().st_mtime_ns,
        width_px=WIDTH_PX,
        height_px=HEIGHT_PX,
        faces=(face,),
    )
    return replace(frame, reading=reading)


def moved(sitting: Sitting, folder: Path) -> Sitting:
    """Return the sitting with its frames on disk copied to a folder of its own, to be harmed."""
    frames = list(sitting.frames)
    for n in range(3):
        path = Path(frames[n].reading.path)
        copied = folder / path.name
        copied.write_bytes(path.read_bytes())
        frames[n] = replace(frames[n], reading=replace(frames[n].reading, path=str(copied)))
    return replace(sitting, frames=tuple(frames))
