"""A ladder's limit carried over to other focal lengths and prints."""

from collections.abc import Sequence

from eyeplane.records import FrameReading, Measured
from eyeplane.records.ladder import LadderCarried, LadderPart
from eyeplane.sitting.ladder_asked import LadderAsked
from eyeplane.sitting.ladder_parts import limit_for
from eyeplane.sitting.ladder_units import print_limits, rule_s

FOCAL_LENGTHS_MM = (35.0, 50.0, 85.0, 105.0, 135.0, 200.0)  # common for portraits: trade
NEAR_RATIO = 1.02  # focal lengths nearer than this are one, as for bursts


def carried_limits(
    reading: FrameReading, parts: Sequence[LadderPart], asked: LadderAsked
) -> tuple[LadderCarried, ...]:
    """Return the wanted limit of shake at common focal lengths and at the prints asked for.

    Parameters
    ----------
    reading : FrameReading
        A frame of the ladder: its focal length and pixels.
    parts : sequence of LadderPart
        Of one mover each.
    asked : LadderAsked
        Prints, viewer, share.

    Returns
    -------
    tuple of LadderCarried
        By print, then focal length; of this lens alone for the sitter's own motion, which no
        focal length changes at the same framing. Empty where nothing is bounded from below.

    Notes
    -----
    The camera turns alike whatever the lens, so the time goes as the line that the print takes
    over the focal length. It also goes as the print's line for the sitter. Both take a motion that
    is even over the exposure: a hand that trembles to and fro leaves shorter lines at long times.
    """
    own, rule = reading.exposure.focal_length_mm, rule_s(reading)
    if not own or rule is None:
        return ()
    lines = [
        (p, print_limits(reading, print_cm=p, viewing_cm=asked.viewing_cm).line_px)
        for p in asked.prints_cm
    ]
    return tuple(
        LadderCarried(
            mover=part.mover,
            focal_length_mm=focal_mm,
            print_cm=print_cm,
            shutter_s=_scaled(limit.shutter_s, line_px / lines[0][1] * own / focal_mm),
            least_s=None
            if limit.least_s is None
            else limit.least_s * line_px / lines[0][1] * own / focal_mm,
            rule_s=rule * own / focal_mm,
        )
        for part in parts
        for limit in (limit_for(part, asked.wanted_share),)
        if limit.shutter_s is not None or limit.least_s is not None
        for print_cm, line_px in lines
        if line_px > 0
        for focal_mm in (_lengths(own) if part.mover == "shake" else (own,))
    )


def _lengths(own_mm: float) -> tuple[float, ...]:
    """Return common focal lengths, and the lens's own instead of one next to it."""
    others = [f for f in FOCAL_LENGTHS_MM if max(f, own_mm) / min(f, own_mm) > NEAR_RATIO]
    return tuple(sorted((*others, own_mm)))


def _scaled(time_s: Measured | None, ratio: float) -> Measured | None:
    if time_s is None:
        return None
    low, value, high = (ratio * t for t in (time_s.low, time_s.value, time_s.high))
    return Measured(value=value, low=low, high=high)
