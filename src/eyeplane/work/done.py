"""What came of a frame that was handed to a measuring process."""

from dataclasses import dataclass

from eyeplane.records import FrameReading
from eyeplane.work.unreadable import unreadable_frame


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """One frame that came back.

    Attributes
    ----------
    path : str
        As handed in.
    reading : FrameReading
        What was measured, or why nothing was.
    took_s : float
        From handing out to coming back.
    lost : bool
        True if the measuring process died or was stopped on this frame.
    """

    path: str
    reading: FrameReading
    took_s: float
    lost: bool


def done_with(path: str, answer: FrameReading | str, took_s: float) -> Done:
    """Return what came of a frame whose process answered.

    Parameters
    ----------
    path : str
        The frame.
    answer : FrameReading or str
        Its reading, or the error's kind and message.
    took_s : float
        From handing out to coming back.

    Returns
    -------
    Done
        With a reading in any case.
    """
    if isinstance(answer, str):
        reason = f"measuring it ended in an error ({answer}). Please report it."
        answer = unreadable_frame(path, reason)
    return Done(path=path, reading=answer, took_s=took_s, lost=False)


def died_on(path: str, ending: str) -> Done:
    """Return what came of a frame on which its process died twice.

    Parameters
    ----------
    path : str
        The frame.
    ending : str
        How it died, in words.

    Returns
    -------
    Done
        Unreadable, with the reason.
    """
    reason = (
        f"the file makes the decoder crash ({ending}), twice. "
        "Copy it from the card again, or export it anew."
    )
    return Done(path=path, reading=unreadable_frame(path, reason), took_s=0.0, lost=True)


def too_late(path: str, limit_s: float) -> Done:
    """Return what came of a frame that took too long.

    Parameters
    ----------
    path : str
        The frame.
    limit_s : float
        The time it had.

    Returns
    -------
    Done
        Unreadable, with the reason.
    """
    reason = (
        f"measuring took longer than {limit_s:g} s and was stopped. "
        "Measure it anew (--again) on a quiet machine to try once more."
    )
    return Done(path=path, reading=unreadable_frame(path, reason), took_s=limit_s, lost=True)
