"""The budget: blur at the counting eye part by part, and the reach without each part."""

import math
from dataclasses import replace

from eyeplane.diagnose.case import FaceCase
from eyeplane.diagnose.cause import diffraction_px
from eyeplane.diagnose.reach import reach_at, reach_without_pixels
from eyeplane.records import BudgetPart, Cause, FrameReading, Measured

MOTIONS = ("shake", "sitter", "motion")


def budget_of(case: FaceCase, cause: Cause, reading: FrameReading) -> tuple[BudgetPart, ...]:
    """Return the parts of the blur at the eye, the one that costs most reach first.

    Parameters
    ----------
    case : FaceCase
        One face.
    cause : str
        What `cause_of` said: it names the disc or the line.
    reading : FrameReading
        For aperture and pixel pitch.

    Returns
    -------
    tuple of BudgetPart
        Main blur (focus, depth, glass, a motion, or "cannot tell"), diffraction, noise, pixels.
        Empty if the eye's blur has no size.

    Notes
    -----
    The measured disc holds focus, glass and diffraction together; taking one part out leaves
    the square root of the difference of squares, as for independent spreads.
    """
    if case.eye.blur.size_px is None or case.reach_cm is None:
        return ()
    parts = [_main_part(case, cause, reading)]
    diffraction = diffraction_px(reading)
    if diffraction is not None:
        parts.append(_diffraction_part(case, diffraction, reading))
    parts.append(
        BudgetPart(
            cause="noise",
            blur_um=None,
            blur_px=None,
            reach_without_cm=case.reach_without_noise_cm,
        )
    )
    one = Measured(value=1.0, low=1.0, high=1.0)
    parts.append(
        BudgetPart(
            cause="pixels",
            blur_um=in_um(one, reading),
            blur_px=one,
            reach_without_cm=reach_without_pixels(case.spread, case.noise, case.view),
        )
    )
    return tuple(sorted(parts, key=lambda p: -(p.reach_without_cm or 0.0)))


def in_um(size_px: Measured, reading: FrameReading) -> Measured | None:
    """Return a length on the sensor.

    Parameters
    ----------
    size_px : Measured
        In pixels.
    reading : FrameReading
        For the pixel pitch.

    Returns
    -------
    Measured or None
        In micrometres; None without a pitch.
    """
    pitch = reading.pitch_um
    return None if pitch is None else times(size_px, pitch)


def times(first: Measured, second: Measured) -> Measured:
    """Return the product of two measured numbers, both >= 0.

    Parameters
    ----------
    first, second : Measured
        Independent of each other.

    Returns
    -------
    Measured
        Relative half widths added in quadrature on either side.
    """
    value = first.value * second.value
    if value <= 0:
        high = first.high * second.high
        return Measured(value=max(value, 0.0), low=0.0, high=max(high, value, 0.0))
    down = math.hypot(1 - first.low / first.value, 1 - second.low / second.value)
    up = math.hypot(first.high / first.value - 1, second.high / second.value - 1)
    return Measured(value=value, low=max(value * (1 - down), 0.0), high=value * (1 + up))


def _main_part(case: FaceCase, cause: Cause, reading: FrameReading) -> BudgetPart:
    size = case.eye.blur.size_px or Measured(value=0.0, low=0.0, high=0.0)
    name = cause
    if case.eye.blur.kind != "line" and cause in (*MOTIONS, "noise", "pixels", "none"):
        # The disc at the eye is not the cause; it is still a part, and most likely the focus.
        moved = case.motion is not None or cause in MOTIONS
        name = "cannot tell" if moved else "focus"
    elif case.eye.blur.kind == "line" and cause not in MOTIONS:
        name = "motion" if case.motion is not None else "cannot tell"
    fit = case.offset.fit
    gone_px = size.value
    if name in ("focus", "depth") and fit is not None and fit.lens_known:
        value = min(fit.focus_px.value, size.value)
        # What the plane may explain within its interval is not left over as another blur.
        gone_px = min(max(fit.focus_px.high, value), size.value)
        size = Measured(value=value, low=min(fit.focus_px.low, value), high=max(size.high, value))
    return BudgetPart(
        cause=name,
        blur_um=in_um(size, reading),
        blur_px=size,
        reach_without_cm=_reach_without(case, gone_px),
    )


def _diffraction_part(case: FaceCase, disc_px: float, reading: FrameReading) -> BudgetPart:
    size = Measured(value=disc_px, low=disc_px, high=disc_px)
    return BudgetPart(
        cause="diffraction",
        blur_um=in_um(size, reading),
        blur_px=size,
        reach_without_cm=_reach_without(case, disc_px) if case.eye.blur.kind != "line" else None,
    )


def _reach_without(case: FaceCase, part_px: float) -> float:
    """Return the reach with a part taken out of the measured spread."""
    spread = case.spread
    if spread.line_px > 0:
        left = replace(spread, line_px=math.sqrt(max(spread.line_px**2 - part_px**2, 0.0)))
    else:
        left = replace(spread, disc_px=math.sqrt(max(spread.disc_px**2 - part_px**2, 0.0)))
    return reach_at(left, case.noise, case.view)
