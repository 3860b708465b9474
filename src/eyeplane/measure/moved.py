"""What is looked at besides where a face may have moved: hair, clothes, background, ghosts.

Points are (x, y) in pixels of the upright frame.
"""

from collections.abc import Sequence
from dataclasses import replace

from eyeplane.measure.blur import fit_blur
from eyeplane.measure.ghost import fit_ghost
from eyeplane.measure.opened import OpenFrame
from eyeplane.measure.people_places import person_places, person_side, spread_places
from eyeplane.measure.places import BACKGROUND_SIDE_PX
from eyeplane.measure.spectrum import Spectrum
from eyeplane.records import Face, FaceReading, ProbeReading

# On faces with fewer pixels windows overlap, and lids or stubble pass for a ghost: found once among
# 14 still faces of 0.4 to 1.4 mm a pixel, never among 100 rendered ones of 0.08 to 0.21.
GHOST_MM_PER_PX = 0.25
GHOST_WINDOWS = 5  # most textured ones of a face


def with_places(
    frame: OpenFrame, reading: FaceReading, others: Sequence[Face], *, lines: bool = True
) -> FaceReading:
    """Return a face with the blur of its hair and clothes.

    Parameters
    ----------
    frame : OpenFrame
        The frame.
    reading : FaceReading
        One face.
    others : sequence of Face
        The other people: clothes are not looked for on their heads.
    lines : bool
        Whether motion is looked for, which takes ten times longer.

    Returns
    -------
    FaceReading
        With "hair" and "clothes" among its probes, depth None, where there is texture.
    """
    added = frame.abreast.map(
        lambda place: _probe(frame, *place, person_side(place[0], reading.face), lines=lines),
        person_places(frame.detail, reading.face, others),
    )
    return replace(reading, probes=(*reading.probes, *added))


def spread_background(
    frame: OpenFrame, faces: Sequence[Face], *, lines: bool = True
) -> tuple[ProbeReading, ...]:
    """Return the blur of background places far apart.

    Parameters
    ----------
    frame : OpenFrame
        The frame.
    faces : sequence of Face
        The people in it.
    lines : bool
        Whether motion is looked for, which takes ten times longer.

    Returns
    -------
    tuple of ProbeReading
        Up to six, named "background".
    """
    places = spread_places(frame.detail, faces)
    found = frame.abreast.map(
        lambda at: _probe(frame, "background", at, BACKGROUND_SIDE_PX, lines=lines), places
    )
    return tuple(found)


def with_ghost(
    reading: FaceReading, spectra: Sequence[Spectrum], *, flash_fired: bool | None
) -> FaceReading:
    """Return a face with the ghost beside it, if flash may have frozen it.

    Parameters
    ----------
    reading : FaceReading
        One face.
    spectra : sequence of Spectrum
        Of its eyes and landmarks.
    flash_fired : bool or None
        By EXIF; None where the file does not say.

    Returns
    -------
    FaceReading
        Unchanged without flash, on small faces, and where no ghost is told.
    """
    if flash_fired is False or reading.face.mm_per_px.value > GHOST_MM_PER_PX:
        return reading
    ranked = sorted(spectra, key=lambda s: s.texture, reverse=True)
    return replace(reading, ghost=fit_ghost(ranked[:GHOST_WINDOWS], reading.together))


def _probe(
    frame: OpenFrame, name: str, at_px: tuple[float, float], side_px: int, *, lines: bool
) -> ProbeReading:
    spectrum = frame.spectrum_at(at_px, side_px)
    return ProbeReading(
        name=name,
        at_px=at_px,
        depth_mm=None,
        depth_sd_mm=None,
        blur=fit_blur([] if spectrum is None else [spectrum], lines=lines, abreast=frame.abreast),
    )
