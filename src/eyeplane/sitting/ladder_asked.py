"""What a ladder is asked, and what its frames must have in common."""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from eyeplane.errors import InputError
from eyeplane.learn.kit_names import kit_name
from eyeplane.light.camera_words import shutter
from eyeplane.records import STANDARD_PRINT_CM, STANDARD_VIEWING_CM, FrameReading, SittingFrame
from eyeplane.records.said import count_word, listed
from eyeplane.sitting.bursts import FOCAL_RATIO
from eyeplane.sitting.offsets import kit_of

SHOOT = (
    "Shoot the same framing at 1/500, 1/250, 1/125, 1/60, 1/30 and 1/15 s, three to ten frames "
    "each, with one body and one lens at one focal length, in steady light without flash"
)
FRAMING_RATIO = 1.3  # a face larger or smaller by this is another framing, as for bursts
SIZE_RATIO = 1.02  # frames whose long edges differ by more are of another size
MOST_ASTRAY = 0.2  # more frames than this framed otherwise: two ladders in one folder; no source
FEWEST_SHARED = 2  # frames from which a middle framing is told


@dataclass(frozen=True, slots=True, kw_only=True)
class LadderAsked:
    """What is asked of a ladder.

    Attributes
    ----------
    prints_cm : tuple of float
        Longest edges of prints, the deciding one first.
    viewing_cm : float
        From where they are looked at.
    wanted_share : float
        Share of the frames whose limit matters most.
    stabiliser : str
        How the stabiliser was set; empty if not said.
    sitter : str
        The photographer's own label of who sat.
    name : str
        What the ladder is called; empty: as its folder.
    """

    prints_cm: tuple[float, ...] = (STANDARD_PRINT_CM,)
    viewing_cm: float = STANDARD_VIEWING_CM
    wanted_share: float = 0.9
    stabiliser: str = ""
    sitter: str = ""
    name: str = ""

    def __post_init__(self) -> None:
        if not self.prints_cm or not min(*self.prints_cm, self.viewing_cm) > 0:
            raise InputError(
                f"prints of {self.prints_cm} cm seen from {self.viewing_cm:g} cm do not exist",
                where="LadderAsked",
                hint="Give one print or more, and lengths above 0",
            )
        if not 0.0 < self.wanted_share < 1.0:
            raise InputError(
                f"a limit for {self.wanted_share:g} of the frames does not exist",
                where="wanted_share",
                hint="Give a share between 0 and 1, such as 0.9",
            )

    @property
    def print_cm(self) -> float:
        """Return the print that decides.

        Returns
        -------
        float
            Its longest edge.
        """
        return self.prints_cm[0]


def check_alike(readings: Sequence[FrameReading], *, where: str) -> None:
    """Refuse frames that are not of one kit at one focal length.

    Parameters
    ----------
    readings : sequence of FrameReading
        Those that could be read, at least one.
    where : str
        Their folder.

    Raises
    ------
    InputError
        For several kits, focal lengths, or sizes of frame, with how many frames are of each.
    """
    kits = Counter(kit_of(reading.exposure) for reading in readings)
    if len(kits) > 1:
        names = _counted(kits, kit_name)
        raise InputError(
            f"these frames are of {count_word(len(kits))} kits: {names}",
            where=where,
            hint="A ladder is of one body with one lens: give the frames of one of them",
        )
    lengths = _lengths(readings)
    if len(lengths) > 1:
        raise InputError(
            f"these frames are at {count_word(len(lengths))} focal lengths: "
            f"{_counted(lengths, _mm)}",
            where=where,
            hint="Set the zoom once and leave it: give the frames of one focal length",
        )
    edges = Counter(max(r.width_px, r.height_px) for r in readings)
    if max(edges) > SIZE_RATIO * min(edges):
        raise InputError(
            f"these frames are of different size: {_counted(edges, _px)}",
            where=where,
            hint="Give frames as they came from the camera, none of them cropped",
        )


def framed_otherwise(frames: Sequence[SittingFrame], *, where: str) -> frozenset[int]:
    """Return frames whose sitter is much larger or smaller than in most.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.
    where : str
        Their folder.

    Returns
    -------
    frozenset of int
        Their numbers.

    Raises
    ------
    InputError
        If that is so of more than a fifth of the frames.
    """
    scales = {
        number: frame.reading.faces[frame.answer.deciding].face.mm_per_px.value
        for number, frame in enumerate(frames)
        if frame.answer.deciding is not None and frame.reading.faces
    }
    if len(scales) < FEWEST_SHARED:
        return frozenset()
    logs = np.log(list(scales.values()))
    middle = max(logs, key=lambda one: (np.sum(np.abs(logs - one) <= np.log(FRAMING_RATIO)), -one))
    astray = {n for n, s in scales.items() if abs(np.log(s) - middle) > np.log(FRAMING_RATIO)}
    if len(astray) > MOST_ASTRAY * len(scales):
        ratio = float(np.exp(logs.max() - logs.min()))
        raise InputError(
            f"the sitter is up to {ratio:.1f} times larger in some of these frames than in others",
            where=where,
            hint="A ladder keeps its framing: shoot all steps from one place, or give one framing",
        )
    return frozenset(astray)


def no_frames_left(reasons: Sequence[str], *, where: str) -> InputError:
    """Return the error for a ladder of which no frame counts.

    Parameters
    ----------
    reasons : sequence of str
        Why each frame was left out; none where there was no frame.
    where : str
        Its folder.

    Returns
    -------
    InputError
        With the commonest reasons.
    """
    if not reasons:
        return InputError("no frames were found there", where=where, hint=SHOOT)
    counts = Counter(reasons)
    said = "; ".join(f"{count} × {reason}" for reason, count in counts.most_common(3))
    return InputError(
        f"not one of these {len(reasons)} frames counts ({said})"
        if len(reasons) > 1
        else f"this one frame does not count ({said})",
        where=where,
        hint=SHOOT,
    )


def times_words(times_s: Sequence[float]) -> str:
    """Return shutter times in a row.

    Parameters
    ----------
    times_s : sequence of float
        One or more.

    Returns
    -------
    str
        "1/60 s", "1/125 and 1/60 s".
    """
    texts = [shutter(t) for t in times_s]
    return listed([t.split("\u2009")[0] for t in texts[:-1]] + texts[-1:])


def _lengths(readings: Sequence[FrameReading]) -> Counter[float]:
    found: Counter[float] = Counter()
    for reading in sorted(readings, key=lambda r: r.exposure.focal_length_mm or 0.0):
        length = reading.exposure.focal_length_mm
        if not length:
            continue
        near = next((one for one in found if length <= FOCAL_RATIO * one), length)
        found[near] += 1
    return found


def _counted(counts: Counter, said: Callable[..., str]) -> str:  # type: ignore[type-arg]  # of any
    return listed([f"{said(one)} ({count})" for one, count in counts.most_common(4)])


def _mm(length_mm: float) -> str:
    return f"{length_mm:g}\u2009mm"


def _px(edge_px: int) -> str:
    return f"{edge_px}\u2009px"
