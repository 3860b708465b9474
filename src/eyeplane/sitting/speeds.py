"""How fast sitters move and hands shake, over all frames: also those that show no motion."""

from collections.abc import Sequence

from eyeplane.diagnose.motion import flash_alone, shake_rate_deg_per_s
from eyeplane.learn.speeds import Mover, Speed
from eyeplane.records import FaceAnswer, FaceReading, SittingFrame, counting_eye
from eyeplane.sitting.lines import short_cause

# A line may be this much longer than the upper end of a disc's size and still be called no line;
# lines of equal blur are 1.17 times as long as discs (half contrast at 0.705 and 0.603).
LINE_OVER_DISC = 1.2
# Shorter lines are not told from discs: measured on rendered heads. A sharper eye says no more: its
# size holds the line already, so to call it the line's limit would count the line twice.
TOLD_PX = 5.0


def speeds_of(frames: Sequence[SittingFrame], mover: Mover) -> tuple[Speed, ...]:
    """Return what each frame tells about the speed of the sitter or of the camera.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.
    mover : {"sitter", "shake"}
        Whose motion. Lines whose owner could not be told count for whoever moves more often in
        this sitting, and are left out for the other. Where a line is known to be the other's, the
        mover moved by no more than that: a limit, else slow movers would count for too little.

    Returns
    -------
    tuple of Speed
        Of the deciding face of each frame with a shutter time. Frames lit by flash alone are left
        out, since there the shutter does not end the exposure.
    """
    unknown = _mostly(frames) == mover
    found = []
    for number, frame in enumerate(frames):
        exif, deciding = frame.reading.exposure, frame.answer.deciding
        if frame.burst is None or deciding is None or not exif.exposure_time_s:
            continue
        if flash_alone(exif):
            continue
        face, said = frame.reading.faces[deciding], frame.answer.faces[deciding]
        share = _unit_share(frame, face, mover)
        length = _length_px(face, said, mover, unknown=unknown)
        if share is None or length is None:
            continue
        found.append(
            Speed(
                number=number,
                burst=frame.burst,
                value=length[0] * share / exif.exposure_time_s,
                seen=length[1],
                unit_per_px=share,
            )
        )
    return tuple(found)


def mostly_owned(frames: Sequence[SittingFrame], speeds: Sequence[Speed], mover: Mover) -> bool:
    """Return whether most of the motion that was seen is known to be the mover's.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.
    speeds : sequence of Speed
        Of these frames.
    mover : {"sitter", "shake"}
        Whose motion.

    Returns
    -------
    bool
        False where more of it could be anybody's, or none was seen.
    """
    causes = [short_cause(frames[one.number].answer) for one in speeds if one.seen]
    return causes.count(mover) > causes.count("motion")


def _mostly(frames: Sequence[SittingFrame]) -> Mover | None:
    causes = [short_cause(frame.answer) for frame in frames if frame.burst is not None]
    sitter, shake = causes.count("sitter"), causes.count("shake")
    if sitter == shake:
        return "sitter" if sitter or "motion" in causes else None
    return "sitter" if sitter > shake else "shake"


def _unit_share(frame: SittingFrame, face: FaceReading, mover: Mover) -> float | None:
    """Return what one pixel is in the mover's unit."""
    if mover == "sitter":
        return face.face.mm_per_px.value
    focal, pitch = frame.reading.exposure.focal_length_mm, frame.reading.pitch_um
    if not focal or pitch is None:
        return None
    return shake_rate_deg_per_s(length_mm=pitch.value / 1000.0, focal_length_mm=focal, time_s=1.0)


def _length_px(
    face: FaceReading, said: FaceAnswer, mover: Mover, *, unknown: bool
) -> tuple[float, bool] | None:
    """Return the line's length and True, or the longest that would not show and False."""
    if said.motion_mm is not None:
        known = said.cause in ("sitter", "shake")
        if said.cause == mover or (not known and unknown):
            return said.motion_mm.value / face.face.mm_per_px.value, True
        if not known:
            return None
        return max(said.motion_mm.high / face.face.mm_per_px.value, TOLD_PX), False
    size = counting_eye(face).blur.size_px
    if size is None:
        return None
    return max(LINE_OVER_DISC * size.high, TOLD_PX), False
