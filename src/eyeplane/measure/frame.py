"""One frame from file to reading: the function that workers run.

Points are (x, y) in pixels of the upright frame, arrays [y, x].
"""

from collections.abc import Sequence
from functools import partial
from pathlib import Path

from eyeplane.errors import FrameError
from eyeplane.faces import find_faces
from eyeplane.imaging import Picture, open_picture
from eyeplane.measure.abreast import Abreast, abreast
from eyeplane.measure.blur import fit_blur
from eyeplane.measure.capture import Capture, capture_of
from eyeplane.measure.face import FaceWindows, face_windows, motion_together, moved, read_face
from eyeplane.measure.moved import spread_background, with_ghost, with_places
from eyeplane.measure.opened import OpenFrame, open_for_measuring
from eyeplane.measure.places import SMALL_EDGE_PX, window_at
from eyeplane.measure.veil import read_veil
from eyeplane.records import (
    Exposure,
    FaceReading,
    FrameReading,
    MeasureSettings,
    SpotReading,
    counting_eye,
)

SPOT_SIDES_PX = (192, 128, 96, 64)  # the first that the frame holds around the place


def measure_frame(path: str, settings: MeasureSettings, *, threads: int = 1) -> FrameReading:
    """Return all that can be measured in one frame.

    Parameters
    ----------
    path : str
        The frame's file.
    settings : MeasureSettings
        What to measure.
    threads : int
        How many work on it, for a frame that somebody waits for: where many frames wait, one each
        in as many processes is faster. The reading is the same to the last bit.

    Returns
    -------
    FrameReading
        With status "unreadable" and the reason where the file cannot be read; never an exception
        for a bad file.
    """
    try:
        picture = open_picture(Path(path), settings=settings)
    except FrameError as error:
        return _unreadable(path, error)
    with abreast(threads) as together:
        return _measured(path, settings, picture, together)


def _measured(
    path: str, settings: MeasureSettings, picture: Picture, together: Abreast
) -> FrameReading:
    picture.rgb_small(SMALL_EDGE_PX)  # once: faces, detail and veil are all looked for in it
    faces, frame, veil = together.calls(
        partial(find_faces, picture),
        partial(open_for_measuring, picture, abreast=together),
        partial(read_veil, picture),
    )
    windows = [face_windows(frame, face) for face in faces]
    motions = [motion_together(found, abreast=together) for found in windows]
    # Lines bend the fall of a spectrum as sharpening does: then only what is usual is known.
    still = not any(moved(blur) for blur in motions)
    capture = (
        capture_of([s for w in windows for s in w.spectra], abreast=together)
        if still
        else Capture()
    )
    readings = tuple(
        read_face(frame, found, together=blur, capture=capture)
        for found, blur in zip(windows, motions, strict=True)
    )
    # Sharp faces need no comparison; soft ones ask what is sharp instead, moved ones who moved.
    soft = not still or any(counting_eye(r).blur.kind != "none" for r in readings)
    if soft:
        readings = _with_places(frame, windows, readings, lines=not still)
    readings = _with_ghosts(frame, windows, readings)
    return FrameReading(
        path=path,
        sha256=picture.sha256,
        size_bytes=picture.size_bytes,
        mtime_ns=picture.mtime_ns,
        status="measured" if faces else "nobody",
        reason="",
        width_px=picture.width_px,
        height_px=picture.height_px,
        exposure=picture.exposure,
        pitch_um=picture.pitch_um,
        pitch_source=picture.pitch_source,
        faces=readings,
        background=spread_background(frame, faces, lines=not still) if soft else (),
        spots=tuple(_read_spot(frame, at) for at in settings.spots_px),
        veil=veil,
    )


def _with_places(
    frame: OpenFrame,
    windows: Sequence[FaceWindows],
    readings: Sequence[FaceReading],
    *,
    lines: bool,
) -> tuple[FaceReading, ...]:
    """Return faces with their hair and clothes."""
    faces = [found.face for found in windows]
    return tuple(
        with_places(frame, reading, faces[:i] + faces[i + 1 :], lines=lines)
        for i, reading in enumerate(readings)
    )


def _with_ghosts(
    frame: OpenFrame, windows: Sequence[FaceWindows], readings: Sequence[FaceReading]
) -> tuple[FaceReading, ...]:
    """Return faces with the ghost beside what flash froze: its core may look sharp."""
    flash = frame.picture.exposure.flash_fired
    return tuple(
        with_ghost(reading, found.spectra, flash_fired=flash)
        if flash or moved(reading.together)
        else reading
        for found, reading in zip(windows, readings, strict=True)
    )


def _read_spot(frame: OpenFrame, at_px: tuple[float, float]) -> SpotReading:
    windows = (window_at(frame.picture, at_px, side) for side in SPOT_SIDES_PX)
    window = next((w for w in windows if w is not None), None)
    spectrum = frame.spectrum(window)
    return SpotReading(at_px=at_px, blur=fit_blur([] if spectrum is None else [spectrum]))


def _unreadable(path: str, error: FrameError) -> FrameReading:
    size_bytes, mtime_ns = 0, 0
    try:
        status = Path(path).stat()
        size_bytes, mtime_ns = status.st_size, status.st_mtime_ns
    except OSError:
        pass  # then not even its size can be told; the reason says why
    return FrameReading(
        path=path,
        sha256="",
        size_bytes=size_bytes,
        mtime_ns=mtime_ns,
        status="unreadable",
        reason=f"{error.what}. {error.hint}.",
        width_px=0,
        height_px=0,
        exposure=Exposure(),
        pitch_um=None,
        pitch_source="",
        faces=(),
        background=(),
        spots=(),
    )
