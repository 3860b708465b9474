"""The steps by which a sitting is answered, on packed frames: in this process or in a helper.

Packed, a frame takes a tenth of the memory: thousands stay at hand, and go to helpers as they are.
"""

import pickle
import zlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from eyeplane.diagnose import answer_frame
from eyeplane.records import (
    FrameAnswer,
    FrameReading,
    Learned,
    Sitting,
    SittingFrame,
    Viewing,
)
from eyeplane.sitting.lessons import keep_lessons
from eyeplane.sitting.run import Taken, learned_of, put_together


@dataclass(frozen=True, slots=True, kw_only=True)
class Packed:
    """A frame with its answer, packed.

    Attributes
    ----------
    reading, answer : bytes
        By `pack`; never from outside this program.
    companions : tuple of str
        Further files of the same exposure.
    """

    reading: bytes
    answer: bytes
    companions: tuple[str, ...]


def pack(record: FrameReading | FrameAnswer) -> bytes:
    """Return a record packed.

    Parameters
    ----------
    record : FrameReading or FrameAnswer
        Any.

    Returns
    -------
    bytes
        For `unpack`.
    """
    return zlib.compress(pickle.dumps(record, protocol=5), 1)


def unpack(packed: bytes) -> Any:  # noqa: ANN401  what was packed
    """Return what was packed.

    Parameters
    ----------
    packed : bytes
        By `pack`, in this program or its helpers.

    Returns
    -------
    FrameReading or FrameAnswer
        The record.
    """
    return pickle.loads(zlib.decompress(packed))  # noqa: S301  packed by ourselves, never stored


def answer_packed(
    readings: Sequence[bytes], viewing: Viewing, learned: Learned | None
) -> list[bytes]:
    """Return the answers of some frames.

    Parameters
    ----------
    readings : sequence of bytes
        Packed.
    viewing : Viewing
        For which print and from where.
    learned : Learned or None
        What the sitting taught; None: their first answers, in brief.

    Returns
    -------
    list of bytes
        Packed, in the same order.
    """
    return [
        pack(answer_frame(unpack(one), viewing, learned, brief=learned is None)) for one in readings
    ]


def learn_packed(frames: Sequence[Packed], viewing: Viewing) -> Learned:
    """Return what a sitting's own frames teach.

    Parameters
    ----------
    frames : sequence of Packed
        In order of time, with their first answers.
    viewing : Viewing
        For which print.

    Returns
    -------
    Learned
        As `make_sitting` learns it.
    """
    ordered, answers = _unpacked(frames)
    return learned_of(ordered, answers, viewing)


def sum_up_packed(frames: Sequence[Packed], viewing: Viewing, name: str) -> Sitting:
    """Return what is said of a whole sitting.

    Parameters
    ----------
    frames : sequence of Packed
        In order of time, with their answers.
    viewing : Viewing
        For which print and from where.
    name : str
        What the sitting is called.

    Returns
    -------
    Sitting
        Without its frames.
    """
    ordered, answers = _unpacked(frames)
    return replace(put_together(ordered, answers, viewing=viewing, name=name), frames=())


def _unpacked(frames: Sequence[Packed]) -> tuple[list[Taken], list[FrameAnswer]]:
    ordered = [(unpack(one.reading), one.companions) for one in frames]
    return ordered, [unpack(one.answer) for one in frames]


def keep_lessons_packed(frames: Sequence[Packed], bursts: Sequence[int | None], path: Path) -> None:
    """Keep what a sitting's frames teach for all sittings to come.

    Parameters
    ----------
    frames : sequence of Packed
        In order of time, with their answers.
    bursts : sequence of int or None
        The burst of each.
    path : Path
        The store.

    Notes
    -----
    Never fails, as `keep_lessons`.
    """
    ordered, answers = _unpacked(frames)
    shown = [
        SittingFrame(
            reading=reading,
            answer=answer,
            companions=companions,
            burst=burst,
            best_of_burst=False,
        )
        for (reading, companions), answer, burst in zip(ordered, answers, bursts, strict=True)
    ]
    keep_lessons(shown, path)
