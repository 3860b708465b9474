"""One frame from file to reading: the function that workers run.

Points are (x, y) in pixels of the upright frame, arrays [y, x].
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from eyeplane.errors import FrameError
from eyeplane.faces import find_faces
from eyeplane.imaging import LumaWindow, Picture, open_picture
from eyeplane.measure.blur import fit_blur
from eyeplane.measure.noise import Noise, likely_pitch_um, measure_noise
from eyeplane.measure.places import (
    BACKGROUND_SIDE_PX,
    EYE_WIDTH_MM,
    LANDMARK_WIDTH_MM,
    background_places,
    flat_places,
    frame_detail,
    side_for,
    window_at,
)
from eyeplane.measure.spectrum import Spectrum, window_spectrum
from eyeplane.measure.view import eye_view
from eyeplane.records import (
    Blur,
    Exposure,
    Eye,
    EyeReading,
    Face,
    FaceReading,
    FrameReading,
    Measured,
    MeasureSettings,
    ProbeReading,
    Side,
    SpotReading,
    counting_eye,
)

MEASURE_VERSION = "1"  # raise it when a reading of the same file would come out differently
SPOT_SIDES_PX = (192, 128, 96, 64)  # the first that the frame holds around the place
PROBED = frozenset(  # places with hair, lids or lips: bare skin says little and misleads
    f"{side}{name}"
    for side in ("near ", "far ", "")
    for name in ("lashes", "brow", "corner", "ear", "nose tip", "mouth")
)
FIRST_PLACES = 2  # windows on a face that are first fitted together for motion
MOTION_PLACES = 5  # and how many, unless those two say clearly that nothing moved
# Of the iris: more blur than this may hide an open eye; a trial with 9 px on irises of 26 px.
LIDS_HIDDEN_SHARE = 0.25
# Log-likelihood of the best line over the best disc above which a face may have moved: on rendered
# heads motion of 4 px and more gives 9 and more, a face that kept still seldom over 3.
STILL_GAIN = 4.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Open:
    """An opened frame with its noise."""

    picture: Picture
    noise: Noise | None

    def spectrum(self, window: LumaWindow | None) -> Spectrum | None:
        if window is None:
            return None
        return window_spectrum(window, quantization=self.picture.quantization, noise=self.noise)

    def spectrum_at(self, at_px: tuple[float, float], side_px: int) -> Spectrum | None:
        return self.spectrum(window_at(self.picture, at_px, side_px))


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
    detail = frame_detail(picture)
    smooth = [window_at(picture, at, BACKGROUND_SIDE_PX) for at in flat_places(detail)]
    noise = measure_noise(
        [window for window in smooth if window is not None],
        iso=picture.exposure.iso,
        quantization=picture.quantization,
        pitch_um=likely_pitch_um(
            picture.exposure,
            pitch_um=picture.pitch_um,
            long_edge_px=max(picture.width_px, picture.height_px),
        ),
    )
    frame = _Open(picture=picture, noise=noise)
    readings = tuple(_read_face(frame, face) for face in faces)
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
            _read_background(frame, background_places(detail, faces)) if _moved(readings) else ()
        ),
        spots=tuple(_read_spot(frame, at) for at in settings.spots_px),
    )


def _moved(faces: tuple[FaceReading, ...]) -> bool:
    """Return whether a face may be motion-blurred: only then does the background tell anything."""
    return any(f.together.kind != "none" and f.together.line_px is not None for f in faces)


def _read_background(
    frame: _Open, places: Iterable[tuple[float, float]]
) -> tuple[ProbeReading, ...]:
    return tuple(
        ProbeReading(
            name="background",
            at_px=at,
            depth_mm=None,
            depth_sd_mm=None,
            blur=_fit([frame.spectrum_at(at, BACKGROUND_SIDE_PX)], lines=True),
        )
        for at in places
    )


def _read_face(frame: _Open, face: Face) -> FaceReading:
    eye_side = _side(EYE_WIDTH_MM, face)
    side = _side(LANDMARK_WIDTH_MM, face)
    eyes = {eye.side: frame.spectrum_at(eye.iris_px, eye_side) for eye in face.eyes}
    marks = [mark for mark in face.landmarks if mark.name in PROBED]
    spectra = [(mark, frame.spectrum_at(mark.at_px, side)) for mark in marks]
    together = _fit_motion([*eyes.values(), *(s for m, s in spectra if abs(m.depth_mm) < 40.0)])
    reading = FaceReading(
        face=_unsure_of_lids(face) if _hides_lids(together, face) else face,
        eyes=(
            _read_eye(face.eyes[0], eyes, together=together),
            _read_eye(face.eyes[1], eyes, together=together),
        ),
        probes=tuple(
            ProbeReading(
                name=mark.name,
                at_px=mark.at_px,
                depth_mm=mark.depth_mm,
                depth_sd_mm=mark.depth_sd_mm,
                blur=_fit([spectrum], lines=False),
            )
            for mark, spectrum in spectra
            if spectrum is not None
        ),
        together=together,
        noise_contrast=_noise_at(frame, face),
        view=None,
    )
    shown = eye_view(frame.picture, face, side=counting_eye(reading).side)
    return replace(reading, view=shown)


def _hides_lids(together: Blur, face: Face) -> bool:
    """Return whether a face is blurred so much that open eyes may look shut."""
    size = together.line_px if together.kind == "line" else together.disc_px
    iris_px = min(eye.iris_diameter_px.value for eye in face.eyes)
    return size is not None and size.value > LIDS_HIDDEN_SHARE * iris_px


def _unsure_of_lids(face: Face) -> Face:
    """Return a face whose eyes are not called shut: a smeared iris looks like a lid."""
    left, right = (replace(eye, open=eye.open or None) for eye in face.eyes)
    return replace(face, eyes=(left, right))


def _read_eye(eye: Eye, spectra: dict[Side, Spectrum | None], *, together: Blur) -> EyeReading:
    moved = together.line_gain > STILL_GAIN
    blur = _fit([spectra[eye.side]], lines=moved)
    return EyeReading(
        side=eye.side, blur=_with_motion(blur, together) if together.kind == "line" else blur
    )


def _with_motion(blur: Blur, together: Blur) -> Blur:
    """Return an eye's blur, or the face's line where the eye alone does not show it.

    The whole face moves alike, and its many windows tell a line better than the eye's one does;
    only an eye that is blurred more than the line is long (a far eye out of focus) keeps its own.
    """
    line = together.line_px
    if blur.kind == "line" or line is None:
        return blur
    if blur.disc_px is not None and blur.disc_px.value > line.value:
        return blur
    return replace(
        blur,
        kind="line",
        size_px=line,
        angle_deg=together.line_angle_deg,
        line_px=line,
        line_angle_deg=together.line_angle_deg,
    )


def _read_spot(frame: _Open, at_px: tuple[float, float]) -> SpotReading:
    windows = (window_at(frame.picture, at_px, side) for side in SPOT_SIDES_PX)
    window = next((w for w in windows if w is not None), None)
    return SpotReading(at_px=at_px, blur=_fit([frame.spectrum(window)], lines=True))


def _fit_motion(spectra: Iterable[Spectrum | None]) -> Blur:
    """Return one blur for the places of a face that tell most: more of them where it may move."""
    usable = [s for s in spectra if s is not None]
    ranked = sorted(usable, key=lambda s: s.texture, reverse=True)
    blur = _fit(ranked[:FIRST_PLACES], lines=True)
    if blur.line_gain > STILL_GAIN:
        blur = _fit(ranked[:MOTION_PLACES], lines=True)
    return blur


def _fit(spectra: Iterable[Spectrum | None], *, lines: bool) -> Blur:
    return fit_blur([s for s in spectra if s is not None], lines=lines)


def _noise_at(frame: _Open, face: Face) -> Measured | None:
    if frame.noise is None:
        return None
    window = window_at(frame.picture, face.eyes[0].iris_px, _side(EYE_WIDTH_MM, face)) or window_at(
        frame.picture, face.eyes[1].iris_px, _side(EYE_WIDTH_MM, face)
    )
    if window is None:
        return None
    return frame.noise.contrast_at(float(np.median(window.luma)))


def _side(width_mm: float, face: Face) -> int:
    return side_for(width_mm, mm_per_px=face.mm_per_px.value)


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
