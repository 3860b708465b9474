"""What a frame plainly shows: small apertures, sharp neighbours, soft far eyes, the backdrop."""

from collections.abc import Sequence

from eyeplane.diagnose.case import FaceCase
from eyeplane.diagnose.reach import measured_spread, other_eye, reach_at, spread_of
from eyeplane.records import FrameReading

# Equal contrast at half modulation: disc c nu = 0.70508, diffraction lambda N nu = 0.40397.
AIRY_TO_DISC = 0.70508 / 0.40397
WAVELENGTH_UM = 0.55  # middle of the eye's response to daylight, CIE 1924
SMALL_APERTURE = 8.0  # f-number from which an aperture is called small; common practice, no source
DIFFRACTION_SHARE = 0.7  # diffraction making this much of the disc explains it
GLASS_POSSIBLE = 0.1  # probability of a floor that no plane explains, from which it may be glass
GLASS_ALIKE = 1.4  # background and face as soft as each other within this ratio
OTHER_SHARP_RATIO = 1.5  # another sitter holding this much more: the depth did not reach both
FAR_EYE_SHARE = 0.6  # far eye holding less than this of the near eye's reach is worth a word


def diffraction_px(reading: FrameReading) -> float | None:
    """Return the disc that softens as much as diffraction does.

    Parameters
    ----------
    reading : FrameReading
        Its aperture and pixel pitch.

    Returns
    -------
    float or None
        Diameter in px with the same half-contrast frequency, 1.745 λN; None without EXIF.
    """
    f_number, pitch = reading.exposure.f_number, reading.pitch_um
    if not f_number or pitch is None or pitch.value <= 0:
        return None
    return AIRY_TO_DISC * WAVELENGTH_UM * f_number / pitch.value


def diffraction_explains(case: FaceCase, reading: FrameReading) -> bool:
    """Return whether the small aperture alone makes most of the disc.

    Parameters
    ----------
    case : FaceCase
        One face.
    reading : FrameReading
        For aperture and pitch.

    Returns
    -------
    bool
        False without EXIF, and at apertures that nobody calls small: on tiny pixels diffraction
        shows from the widest on, and there is nothing to open.
    """
    disc, size = diffraction_px(reading), case.eye.blur.size_px
    if (reading.exposure.f_number or 0.0) < SMALL_APERTURE:
        return False
    return disc is not None and size is not None and disc >= DIFFRACTION_SHARE * size.value


def far_eye_reach(case: FaceCase) -> float | None:
    """Return the reach of the eye that does not count.

    Parameters
    ----------
    case : FaceCase
        One face.

    Returns
    -------
    float or None
        In cm; None if that eye is closed or has no size.
    """
    eye = other_eye(case.reading)
    shut = any(e.side == eye.side and e.open is False for e in case.reading.face.eyes)
    if shut or eye.blur.size_px is None:
        return None
    return reach_at(measured_spread(eye.blur), case.noise, case.view)


def far_eye_soft(case: FaceCase) -> bool:
    """Return whether the far eye surely holds much less than the near one.

    Parameters
    ----------
    case : FaceCase
        One face.

    Returns
    -------
    bool
        Only for a disc at the far eye whose low end still costs the reach, and only if one eye
        is known to be nearer.
    """
    far = other_eye(case.reading).blur
    reach = far_eye_reach(case)
    if case.reading.face.near is None or reach is None or case.reach_cm is None:
        return False
    if far.kind != "disc" or far.size_px is None:
        return False
    best = reach_at(spread_of("disc", max(far.size_px.low, 0.0)), case.noise, case.view)
    return best < FAR_EYE_SHARE * case.reach_cm.value


def sharp_sitters(case: FaceCase, others: Sequence[FaceCase]) -> tuple[FaceCase, ...]:
    """Return the other sitters who are in focus while this one is not.

    Parameters
    ----------
    case : FaceCase
        The soft face.
    others : sequence of FaceCase
        Other sitters.

    Returns
    -------
    tuple of FaceCase
        Those whose low reach is `OTHER_SHARP_RATIO` times this one's, without an offset that is
        called and without motion, and near to the possible.
    """
    if case.reach_cm is None:
        return ()
    return tuple(
        c
        for c in others
        if c.reach_cm is not None
        and c.motion is None
        and c.reach_cm.low >= OTHER_SHARP_RATIO * case.reach_cm.value
        and c.reach_cm.value >= FAR_EYE_SHARE * c.reach_without_blur_cm
    )


def glass_possible(case: FaceCase, reading: FrameReading) -> bool:
    """Return whether glass softens as likely as a far focus plane does.

    Parameters
    ----------
    case : FaceCase
        One face.
    reading : FrameReading
        For its background.

    Returns
    -------
    bool
        True if the background is as soft as the face, no side is called, and a floor that no
        plane explains is not improbable.
    """
    fit = case.offset.fit
    if fit is None or case.offset.side or not background_alike(case, reading):
        return False
    return fit.glass >= GLASS_POSSIBLE


def background_alike(case: FaceCase, reading: FrameReading) -> bool | None:
    """Return whether the background is as soft as the face.

    Parameters
    ----------
    case : FaceCase
        One face.
    reading : FrameReading
        For its background.

    Returns
    -------
    bool or None
        None without a background of known size, or where the lens is not known.
    """
    fit, size = case.offset.fit, case.eye.blur.size_px
    if fit is None or size is None or not fit.lens_known:
        return None
    ratios = [
        max(p.blur.size_px.value, 0.1) / max(size.value, 0.1)
        for p in reading.background
        if p.blur.size_px is not None and p.blur.kind != "line"
    ]
    return all(1 / GLASS_ALIKE <= r <= GLASS_ALIKE for r in ratios) if ratios else None
