"""Cautions, shown only where this sitting gives cause for them."""

from eyeplane.records import Sitting

FLASH = (
    "Repeated flash can harm photosensitive people: ask before you use it, and never fire it "
    "more than three times a second."
)
FLASH_FAST = "In burst {burst} the flash fired more than three times within a second."
SEATING = (
    "When you seat a group anew: nobody leans, or stands on furniture, to reach a focus plane; "
    "a child on a stool has an adult beside it."
)


def cautions(sitting: Sitting) -> tuple[str, ...]:
    """Return the cautions that apply.

    Parameters
    ----------
    sitting : Sitting
        Measured and answered.

    Returns
    -------
    tuple of str
        Whole sentences, perhaps none.
    """
    said = []
    if any(f.reading.exposure.flash_fired for f in sitting.frames):
        said.append(FLASH)
        said += [FLASH_FAST.format(burst=number) for number in _fast_bursts(sitting)]
    if any(
        f.answer.cause in {"focus", "depth"} and sum(a.sitter for a in f.answer.faces) > 1
        for f in sitting.frames
    ):
        said.append(SEATING)
    return tuple(said)


def _fast_bursts(sitting: Sitting) -> list[int]:
    """Return the bursts in which more than three flashes fell within one second."""
    times: dict[int, list[float]] = {}
    for frame in sitting.frames:
        exposure = frame.reading.exposure
        if frame.burst is not None and exposure.flash_fired and exposure.captured_s is not None:
            times.setdefault(frame.burst, []).append(exposure.captured_s)
    return sorted(number for number, seconds in times.items() if _fast(sorted(seconds)))


def _fast(seconds: list[float]) -> bool:
    return any(late - early < 1.0 for early, late in zip(seconds, seconds[3:], strict=False))
