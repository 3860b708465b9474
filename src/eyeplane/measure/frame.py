"""One frame from file to reading: the function that workers run.

Points are (x, y) in pixels of the upright frame, arrays [y, x].
"""

from collections.abc import Iterable
from pathlib import Path

from eyeplane.errors import FrameError
from eyeplane.faces import find_faces
from eyeplane.imaging import open_picture
from eyeplane.measure.blur import fit_blur
from eyeplane.measure.capture import Capture, capture_of
from eyeplane.measure.face import face_windows, motion_together, moved, read_face
from eyeplane.measure.opened import OpenFrame, open_for_measuring
from eyeplane.measure.places import BACKGROUND_SIDE_PX, background_places, window_at
from eyeplane.records import (
    Exposure,
    FaceReading,
    FrameReading,
    MeasureSettings,
    ProbeReading,
    SpotReading,
)

MEASURE_VERSION = "2"  # raise it when a reading of the same file would come out differently
SPOT_SIDES_PX = (192, 128, 96, 64)  # the first that the frame holds around the place


def measure_frame(path: str, settings: MeasureSettings) -> FrameReading:
    """Return all that can be measured in one frame.

    Parameters
    ----------
    path : str
        The frame's file.
    settings : MeasureSettings
        What to measure.

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
    faces = find_faces(picture)
    frame = open_for_measuring(picture)
    windows = [face_windows(frame, face) for face in faces]
    motions = [motion_together(found) for found in windows]
    # Lines bend the fall of a spectrum as sharpening does: then only what is usual is known.
    still = not any(moved(blur) for blur in motions)
    capture = capture_of([s for w in windows for s in w.spectra]) if still else Capture()
    readings = tuple(
        read_face(frame, found, together=blur, capture=capture)
        for found, blur in zip(windows, motions, strict=True)
    )
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
        background=(
            _read_background(frame, background_places(frame.detail, faces))
            if _may_have_moved(readings)
            else ()
        ),
        spots=tuple(_read_spot(frame, at) for at in settings.spots_px),
    )


def _may_have_moved(faces: tuple[FaceReading, ...]) -> bool:
    """Return whether a face may be motion-blurred: only then does the background tell anything."""
    return any(f.together.kind != "none" and f.together.line_px is not None for f in faces)


def _read_background(
    frame: OpenFrame, places: Iterable[tuple[float, float]]
) -> tuple[ProbeReading, ...]:
    return tuple(
        ProbeReading(
            name="background",
            at_px=at,
            depth_mm=None,
            depth_sd_mm=None,
            blur=fit_blur(frame.spectra_at([at], BACKGROUND_SIDE_PX)),
        )
        for at in places
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
