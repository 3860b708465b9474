"""What else a motion tells: a ghost beside what flash froze, and a camera that was turned."""

import math

from eyeplane.diagnose import words
from eyeplane.diagnose.rotation import Rotation, rotation_of
from eyeplane.light import SHUTTER_PARTS
from eyeplane.records import FaceReading, Finding, FrameReading, Ghost

# Steady light five stops under the flash leaves a ghost of 1/33, 3 %, which no one sees; three
# stops leave 12 %: sums of the trade.
GHOST_GONE = 1 / 32
SYNC_S = 1 / 160  # focal-plane shutters sync at 1/160 to 1/250 s: common practice, no source
FAR_CENTRE = 1.0  # of the frame's diagonal beyond its middle: then the push says more than the turn
WIDE = 1.5  # an interval whose ends differ by more than this factor is said as two numbers
ASK_FIRST = "Ask first: repeated flash can harm photosensitive people."


def motion_findings(face: FaceReading, reading: FrameReading) -> tuple[Finding, ...]:
    """Return what a motion tells besides its length.

    Parameters
    ----------
    face : FaceReading
        One face.
    reading : FrameReading
        Its frame, for places elsewhere and EXIF.

    Returns
    -------
    tuple of Finding
        Kinds "ghost" (of this face) and "rotation" (of the camera); empty where neither is seen.
    """
    return (*ghost_findings(face, reading), *rotation_findings(reading))


def ghost_findings(face: FaceReading, reading: FrameReading) -> tuple[Finding, ...]:
    """Return the ghost beside a face that flash froze.

    Parameters
    ----------
    face : FaceReading
        One face.
    reading : FrameReading
        For the shutter time, and whether a flash fired at all.

    Returns
    -------
    tuple of Finding
        One, or none.
    """
    ghost = face.ghost
    if ghost is None or reading.exposure.flash_fired is False:
        return ()
    eye = "near eye" if face.face.near is not None else "eye"
    share = f"{100 * (1 - ghost.core_share.value):.0f}{words.THIN}% of the light"
    length = _length(ghost)
    way = words.direction(ghost.angle_deg)
    time_s = reading.exposure.exposure_time_s
    let_in = "" if not time_s else f": {words.shutter(time_s)} let it in"
    text = (
        f"Flash froze the {eye}, but steady light drew a ghost of {length} beside it, {way}, "
        f"with {share}{let_in}."
    )
    return (Finding(kind="ghost", text=text, advice=_ghost_advice(ghost, time_s)),)


def _length(ghost: Ghost) -> str:
    """Return the ghost's length, as two numbers where it is told within a factor of 1.5 only."""
    length = ghost.length_px
    if length.high > WIDE * length.low:
        return f"{length.low:.0f} to {words.px(length.high)}"
    return words.px(length.value)


def _ghost_advice(ghost: Ghost, time_s: float | None) -> str:
    """Return the one thing to change: the time while flash syncs, then the room's light."""
    share = ghost.core_share.value
    factor = (1 - share) / max(share, 0.05) / GHOST_GONE
    test = "without the flash the same settings should give a black frame"
    if not time_s:
        return f"Use a shorter shutter time, up to your flash sync, or less room light: {test}."
    if time_s / factor >= SYNC_S:
        short_s = next(1 / p for p in SHUTTER_PARTS if 1 / p <= time_s / factor)
        return f"Use {words.shutter(short_s)}: {test}."
    if time_s >= 2 * SYNC_S:
        left = math.ceil(math.log2(factor * SYNC_S / time_s))
        stops = _stops(left)
        return f"Use {words.shutter(SYNC_S)} and {stops} less room light: {test}."
    stops = _stops(math.ceil(math.log2(factor)))
    return (
        f"Take {stops} of room light away, or close the aperture by {stops} and give as much more "
        f"flash: {test}. {ASK_FIRST}"
    )


def _stops(count: int) -> str:
    return f"{words.count_word(count)} stop{'s' if count > 1 else ''}"


def rotation_findings(reading: FrameReading) -> tuple[Finding, ...]:
    """Return the camera's turn about the lens axis.

    Parameters
    ----------
    reading : FrameReading
        A frame.

    Returns
    -------
    tuple of Finding
        One, or none.
    """
    found = rotation_of(reading)
    if found is None:
        return ()
    time_s = reading.exposure.exposure_time_s
    during = "" if not time_s else f" during {words.shutter(time_s)}"
    pushed = " and was pushed besides" if _far(found, reading) else ""
    text = (
        f"The camera turned about the lens axis by {_degrees(found)}{during}{pushed}: "
        "so it does when the finger presses the button."
    )
    advice = "Squeeze the button, or use a remote release or the self-timer."
    return (Finding(kind="rotation", text=text, advice=advice),)


def _degrees(found: Rotation) -> str:
    """Return the turn with its interval where that is wide."""
    turned = found.turned_deg
    if turned.high - turned.low > 0.5 * turned.value:
        return f"{turned.low:.1f} to {turned.high:.1f}°"
    return f"{turned.value:.1f}°" if turned.value >= 0.95 else f"{turned.value:.2f}°"


def _far(found: Rotation, reading: FrameReading) -> bool:
    middle = (reading.width_px / 2, reading.height_px / 2)
    diagonal = math.hypot(reading.width_px, reading.height_px)
    return math.dist(found.centre_px, middle) > FAR_CENTRE * diagonal
