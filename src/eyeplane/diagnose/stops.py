"""Apertures that would have held several eyes at once: as focused, and with the focus between."""

from collections.abc import Callable, Sequence

from eyeplane.diagnose.case import GOOD_SHARE, FaceCase
from eyeplane.diagnose.reach import holds
from eyeplane.diagnose.remedy import SMALLEST_STOP, STEP
from eyeplane.diagnose.signs import WAVELENGTH_UM
from eyeplane.light import F_NUMBERS
from eyeplane.optics import PointSpread, blur_circle_um, focus_between_mm
from eyeplane.records import STANDARD_PRINT_CM, FrameReading

# Where nothing was promised a group is held against no more than this share of what the pixels
# hold: nearer to it every trace of blur, even diffraction, counts as out. Our own.
UNPROMISED_SHARE = 0.7


def aim_cm(case: FaceCase) -> float:
    """Return the print that all eyes of a frame are held against.

    Parameters
    ----------
    case : FaceCase
        One face.

    Returns
    -------
    float
        The promised print, else `STANDARD_PRINT_CM`; never more than pixels and noise allow.
    """
    free = case.reach_without_blur_cm
    if case.view.print_cm is not None:
        return min(case.view.print_cm, GOOD_SHARE * free)
    return min(STANDARD_PRINT_CM, UNPROMISED_SHARE * free)


def stop_as_focused(discs: Sequence[tuple[FaceCase, float]], reading: FrameReading) -> float | None:
    """Return the widest aperture that would have held several discs where the focus lay.

    Parameters
    ----------
    discs : sequence of (FaceCase, float)
        Each eye's face and its disc as shot, in px.
    reading : FrameReading
        For f-number and pitch.

    Returns
    -------
    float or None
        A third-stop f-number smaller in aperture than the one used; None if the file does not
        say the aperture, or none down to f/16 would do, diffraction included.

    Notes
    -----
    At a fixed focus the disc goes with 1 / f-number. What diffraction there was lies in the disc
    as measured; only what the smaller aperture adds is added.
    """
    used, pitch = reading.exposure.f_number, reading.pitch_um
    if not used:
        return None

    def spread(disc_px: float, f_number: float) -> PointSpread:
        airy = 0.0 if pitch is None else _added_airy_px(f_number, used, pitch.value)
        return PointSpread(disc_px=disc_px * used / f_number, airy_px=airy)

    def held(f_number: float) -> bool:
        return all(
            holds(spread(px, f_number), case.noise, case.view, aim_cm(case)) for case, px in discs
        )

    return _first_stop(held, above=used * STEP)


def stop_with_focus_between(
    eyes: Sequence[tuple[FaceCase, float]], reading: FrameReading
) -> float | None:
    """Return the widest aperture that would have held all eyes with the focus between them.

    Parameters
    ----------
    eyes : sequence of (FaceCase, float)
        Each eye's face, with its lens, and its distance from the lens in mm.
    reading : FrameReading
        For the aperture used.

    Returns
    -------
    float or None
        The aperture used, or a third-stop one smaller than it; None if a lens is not known or none
        down to f/16 would do.

    Notes
    -----
    The plane lies where nearest and farthest are blurred alike, at their harmonic mean; each disc
    is the exact thin lens's, and diffraction is what the smaller aperture adds.
    """
    used = reading.exposure.f_number
    if not used or not eyes or any(case.lens is None for case, _ in eyes):
        return None
    distances = [eye for _, eye in eyes]
    focus_mm = focus_between_mm(near_mm=min(distances), far_mm=max(distances))

    def held(f_number: float) -> bool:
        return all(
            holds(spread_at(case, f_number, focus_mm, eye), case.noise, case.view, aim_cm(case))
            for case, eye in eyes
        )

    return used if held(used) else _first_stop(held, above=used * STEP)


def spread_at(case: FaceCase, f_number: float, focus_mm: float, eye_mm: float) -> PointSpread:
    """Return the point spread at an eye: exact thin-lens disc, and the diffraction that is added.

    Parameters
    ----------
    case : FaceCase
        For lens, pitch and the aperture used, whose diffraction counts as the capture's own.
    f_number : float
        The aperture, > 0.
    focus_mm, eye_mm : float
        Distances from the lens, > focal length.

    Returns
    -------
    PointSpread
        In px; sharp without a lens.
    """
    lens = case.lens
    if lens is None:
        return PointSpread()
    disc_um = blur_circle_um(
        focal_length_mm=lens.focal_length_mm,
        f_number=f_number,
        focus_distance_mm=focus_mm,
        subject_distance_mm=eye_mm,
    )
    pitch_um = lens.pitch_um.value
    airy = _added_airy_px(f_number, lens.f_number, pitch_um)
    return PointSpread(disc_px=disc_um / pitch_um, airy_px=airy)


def _added_airy_px(f_number: float, used_f_number: float, pitch_um: float) -> float:
    """Return what a smaller aperture adds to the diffraction that the frame has anyway."""
    return WAVELENGTH_UM * max(f_number - used_f_number, 0.0) / pitch_um


def _first_stop(held: Callable[[float], bool], *, above: float) -> float | None:
    usable = (n for n in F_NUMBERS if above <= n <= SMALLEST_STOP)
    return next((n for n in usable if held(n)), None)
