"""One face: blur at its eyes and at places of known depth, and the motion of all of it.

Points are (x, y) in pixels of the upright frame, arrays [y, x].
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from eyeplane.faces import glasses_place, wears_glasses
from eyeplane.measure.abreast import ALONE, Abreast
from eyeplane.measure.blur import fit_blur
from eyeplane.measure.capture import Capture
from eyeplane.measure.catchlight import read_catchlights
from eyeplane.measure.opened import OpenFrame
from eyeplane.measure.places import EYE_WIDTH_MM, LANDMARK_WIDTH_MM, side_for, window_at
from eyeplane.measure.spectrum import Spectrum
from eyeplane.measure.tint import colour_at
from eyeplane.measure.view import eye_view
from eyeplane.records import (
    Blur,
    Eye,
    EyeReading,
    Face,
    FaceReading,
    Landmark,
    ProbeReading,
    Side,
    counting_eye,
)

PROBED = frozenset(  # places with hair, lids or lips: bare skin says little and misleads
    f"{side}{name}"
    for side in ("near ", "far ", "")
    for name in ("lashes", "brow", "corner", "ear", "nose tip", "mouth")
)
FIRST_PLACES = 2  # windows on a face that are first fitted together for motion
MOTION_PLACES = 8  # and how many, unless those two say clearly that nothing moved
MOTION_DEPTH_MM = 40.0  # places farther off than this may be out of focus beside a line
# Of the iris: more blur than this may hide an open eye; a trial with 9 px on irises of 26 px.
LIDS_HIDDEN_SHARE = 0.25
# Places whose colours are read besides the eyes': those with most detail, at other depths.
COLOURED = frozenset({"near brow", "near ear"})
# Log-likelihood of the best line over the best disc above which a face may have moved: on rendered
# heads motion of 4 px and more gives 9 and more, a face that kept still seldom over 3.
STILL_GAIN = 4.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FaceWindows:
    """A face with the windows that tell of it.

    Attributes
    ----------
    face : Face
        Where it is.
    eyes : mapping
        Window on each eye, None where there is none.
    marks : tuple of (Landmark, Spectrum)
        Windows at its landmarks, and at the glasses if they are worn.
    glasses : bool or None
        Whether they are; None where it cannot be told.
    """

    face: Face
    eyes: Mapping[Side, Spectrum | None]
    marks: tuple[tuple[Landmark, Spectrum], ...]
    glasses: bool | None

    @property
    def spectra(self) -> list[Spectrum]:
        """Return all windows.

        Returns
        -------
        list of Spectrum
            Eyes first.
        """
        return [s for s in self.eyes.values() if s is not None] + [s for _, s in self.marks]


def face_windows(frame: OpenFrame, face: Face) -> FaceWindows:
    """Return the windows on a face.

    Parameters
    ----------
    frame : OpenFrame
        The frame.
    face : Face
        Where to look.

    Returns
    -------
    FaceWindows
        Without those that the frame cuts or that are dark or clipped.
    """
    eye_side, side = _side(EYE_WIDTH_MM, face), _side(LANDMARK_WIDTH_MM, face)
    marks = [mark for mark in face.landmarks if mark.name in PROBED]
    places = [(eye.iris_px, eye_side) for eye in face.eyes]
    places += [(mark.at_px, side) for mark in marks]
    worn, *spectra = frame.abreast.calls(
        partial(wears_glasses, frame.picture, face),
        *(partial(frame.spectrum_at, *place) for place in places),
    )
    if worn:
        marks.append(glasses_place(face))
        spectra.append(frame.spectrum_at(marks[-1].at_px, side))
    return FaceWindows(
        face=face,
        eyes=dict(zip((eye.side for eye in face.eyes), spectra, strict=False)),
        marks=tuple((m, s) for m, s in zip(marks, spectra[2:], strict=True) if s is not None),
        glasses=worn,
    )


def motion_together(windows: FaceWindows, *, abreast: Abreast = ALONE) -> Blur:
    """Return one blur for the places of a face that tell most: more of them where it may move.

    Parameters
    ----------
    windows : FaceWindows
        A face.
    abreast : Abreast
        Who works on them.

    Returns
    -------
    Blur
        With lines considered.
    """
    near = [s for mark, s in windows.marks if abs(mark.depth_mm) < MOTION_DEPTH_MM]
    usable = [s for s in windows.eyes.values() if s is not None] + near
    ranked = sorted(usable, key=lambda s: s.texture, reverse=True)
    blur = fit_blur(ranked[:FIRST_PLACES], abreast=abreast)
    if moved(blur):
        blur = fit_blur(ranked[:MOTION_PLACES], abreast=abreast)
    return blur


def moved(blur: Blur) -> bool:
    """Return whether motion is not excluded.

    Parameters
    ----------
    blur : Blur
        Of a face's windows together.

    Returns
    -------
    bool
        True from `STILL_GAIN` on.
    """
    return blur.line_gain > STILL_GAIN


def read_face(
    frame: OpenFrame, windows: FaceWindows, *, together: Blur, capture: Capture
) -> FaceReading:
    """Return all that is measured on one face.

    Parameters
    ----------
    frame : OpenFrame
        The frame.
    windows : FaceWindows
        The face's windows.
    together : Blur
        Its motion.
    capture : Capture
        How soft the capture itself is.

    Returns
    -------
    FaceReading
        With the near eye cut out for showing.
    """
    face = windows.face
    left, right, *probes = frame.abreast.calls(
        *(
            partial(_read_eye, frame, eye, windows, together=together, capture=capture)
            for eye in face.eyes
        ),
        *(partial(_read_mark, frame, face, m, s, capture) for m, s in windows.marks),
    )
    reading = FaceReading(
        face=_unsure_of_lids(face) if _hides_lids(together, face) else face,
        eyes=(left, right),
        probes=tuple(probes),
        together=together,
        noise_contrast=None,
        view=None,
    )
    level = _level(frame, face)
    if level is not None and frame.noise is not None:
        reading = replace(reading, noise_contrast=frame.noise.contrast_at(level))
    shown = eye_view(frame.picture, face, side=counting_eye(reading).side)
    return replace(reading, view=shown, level=level, glasses=windows.glasses)


def _read_mark(
    frame: OpenFrame, face: Face, mark: Landmark, spectrum: Spectrum, capture: Capture
) -> ProbeReading:
    blur = fit_blur([capture.of(spectrum)], lines=False)
    coloured = mark.name in COLOURED
    side = _side(LANDMARK_WIDTH_MM, face)
    return ProbeReading(
        name=mark.name,
        at_px=mark.at_px,
        depth_mm=mark.depth_mm,
        depth_sd_mm=mark.depth_sd_mm,
        blur=blur,
        colour=colour_at(frame, mark.at_px, side, blur=blur) if coloured else None,
    )


def _read_eye(
    frame: OpenFrame, eye: Eye, windows: FaceWindows, *, together: Blur, capture: Capture
) -> EyeReading:
    spectrum = windows.eyes[eye.side]
    spectra = [] if spectrum is None else [capture.of(spectrum)]
    blur = fit_blur(spectra, lines=moved(together), abreast=frame.abreast)
    if together.kind == "line":
        blur = _with_motion(blur, together)
    face = windows.face
    return EyeReading(
        side=eye.side,
        blur=blur,
        colour=colour_at(frame, eye.iris_px, _side(EYE_WIDTH_MM, face), blur=blur),
        catchlights=read_catchlights(
            frame.picture,
            eye,
            blur,
            mm_per_px=face.mm_per_px.value,
            roll_deg=face.roll_deg.value,
        ),
    )


def _with_motion(blur: Blur, together: Blur) -> Blur:
    """Return an eye's blur, or the face's line where the eye shows it less clearly.

    The whole face moves alike, and its many windows tell a line better than the eye's one does;
    only an eye that is blurred more than the line is long (a far eye out of focus) keeps its own.
    """
    line = together.line_px
    if line is None or (blur.kind == "line" and blur.line_gain >= together.line_gain):
        return blur
    if blur.kind != "line" and blur.disc_px is not None and blur.disc_px.value > line.value:
        return blur
    return replace(
        blur,
        kind="line",
        size_px=line,
        angle_deg=together.line_angle_deg,
        line_px=line,
        line_angle_deg=together.line_angle_deg,
        disc_beside_px=together.disc_beside_px,
    )


def _hides_lids(together: Blur, face: Face) -> bool:
    """Return whether a face is blurred so much that open eyes may look shut."""
    size = together.line_px if together.kind == "line" else together.disc_px
    iris_px = min(eye.iris_diameter_px.value for eye in face.eyes)
    return size is not None and size.value > LIDS_HIDDEN_SHARE * iris_px


def _unsure_of_lids(face: Face) -> Face:
    """Return a face whose eyes are not called shut: a smeared iris looks like a lid."""
    left, right = (replace(eye, open=eye.open or None) for eye in face.eyes)
    return replace(face, eyes=(left, right))


def _level(frame: OpenFrame, face: Face) -> float | None:
    """Return the median linear luma at the first eye that the frame does not cut."""
    side = _side(EYE_WIDTH_MM, face)
    windows = (window_at(frame.picture, eye.iris_px, side) for eye in face.eyes)
    window = next((w for w in windows if w is not None), None)
    return None if window is None else float(np.median(window.luma))


def _side(width_mm: float, face: Face) -> int:
    return side_for(width_mm, mm_per_px=face.mm_per_px.value)
