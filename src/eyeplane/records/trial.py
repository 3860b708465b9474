"""A guided trial: what is to be photographed, step by step, and how far it is."""

from dataclasses import dataclass
from typing import Literal

TrialKind = Literal["ladder", "dust", "glass", "focus", "chart"]
TrialSubject = Literal["sitter", "chart", ""]


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialStep:
    """One step: so many frames at one setting.

    Attributes
    ----------
    shutter_s : float or None
        Shutter time; None where it does not matter.
    f_number : float or None
        Aperture; None where it does not matter.
    frames : int
        How many, at least 1.
    """

    shutter_s: float | None = None
    f_number: float | None = None
    frames: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """What is to be photographed, from which frame on, and what for.

    Attributes
    ----------
    kind : str
        "ladder", or a check of the kit.
    subject : {"sitter", "chart", ""}
        What a ladder is shot at; empty for checks.
    after : int
        Number of the last frame in the sitting before it began.
    steps : tuple of TrialStep
        In the order in which they are shot.
    given : tuple of (str, str)
        What was typed besides, by field.
    """

    kind: TrialKind
    subject: TrialSubject
    after: int
    steps: tuple[TrialStep, ...]
    given: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialCount:
    """How far one step is.

    Attributes
    ----------
    step : TrialStep
        The step.
    counted : int
        Frames of it that count.
    lost : int
        Of those, frames lost to motion; 0 where that is not told frame by frame.
    """

    step: TrialStep
    counted: int
    lost: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialAside:
    """A frame that does not count.

    Attributes
    ----------
    number : int
        In its sitting.
    name : str
        Of its file.
    why : str
        A reason in words, without a full stop.
    """

    number: int
    name: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialState:
    """How far a trial is.

    Attributes
    ----------
    counts : tuple of TrialCount
        Step by step.
    now : int or None
        Which step to shoot now; None when all are full.
    frames : tuple of int
        Numbers of the frames that belong to it: those that count, and those that may yet.
    aside : tuple of TrialAside
        The others, latest first.
    """

    counts: tuple[TrialCount, ...]
    now: int | None
    frames: tuple[int, ...]
    aside: tuple[TrialAside, ...]
