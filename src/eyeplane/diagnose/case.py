"""All that is known about one face before a cause is named."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.diagnose.beyond import beyond_evidence
from eyeplane.diagnose.colour import kit_colour, side_evidence
from eyeplane.diagnose.lens import Lens, lens_of
from eyeplane.diagnose.motion import Motion, motion_of
from eyeplane.diagnose.offset import OffsetCall, call_offset
from eyeplane.diagnose.reach import (
    PrintView,
    measured_spread,
    pixel_reach,
    reach_at,
    reach_of,
)
from eyeplane.optics import PointSpread
from eyeplane.records import (
    STANDARD_PRINT_CM,
    EyeReading,
    FaceReading,
    FrameReading,
    Learned,
    Measured,
    counting_eye,
)

SITTER_SHARE = 0.5  # faces at least this tall, relative to the largest, are sitters
GOOD_SHARE = 0.9  # a reach this close to the possible leaves nothing worth changing


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceCase:
    """One face with its reach, offset and motion worked out.

    Attributes
    ----------
    reading : FaceReading
        As measured.
    eye : EyeReading
        The eye that counts.
    view : PrintView
        The print it is judged on.
    sitter : bool
        False for a bystander.
    noise : float
        Noise contrast, 0 where unknown.
    reach_cm : Measured or None
        Of the eye that counts.
    lens : Lens or None
        None if the file does not tell enough.
    offset : OffsetCall
        Where the focus lay.
    motion : Motion or None
        The line, if there is one.
    """

    reading: FaceReading
    eye: EyeReading
    view: PrintView
    sitter: bool
    noise: float
    reach_cm: Measured | None
    lens: Lens | None
    offset: OffsetCall
    motion: Motion | None

    @property
    def spread(self) -> PointSpread:
        """Return the point spread at the eye that counts; sharp where nothing is known.

        Returns
        -------
        PointSpread
            In pixels of the frame.
        """
        return measured_spread(self.eye.blur)

    @property
    def reach_without_blur_cm(self) -> float:
        """Return the reach of these pixels with this noise and no blur.

        Returns
        -------
        float
            Reach in cm.
        """
        return reach_at(PointSpread(), self.noise, self.view)

    @property
    def reach_without_noise_cm(self) -> float:
        """Return the reach of this blur without noise.

        Returns
        -------
        float
            Reach in cm.
        """
        return reach_at(self.spread, 0.0, self.view)

    @property
    def goal_cm(self) -> float:
        """Return the print that a remedy aims at.

        The promised one, else `STANDARD_PRINT_CM` if that is not held yet; never more than
        `GOOD_SHARE` of what pixels and noise allow.

        Returns
        -------
        float
            Longest edge in cm.
        """
        return min(self._wanted_cm, GOOD_SHARE * self.reach_without_blur_cm)

    @property
    def light_goal_cm(self) -> float:
        """Return the print that less noise aims at, as `goal_cm` but with the blur as it is.

        Returns
        -------
        float
            Longest edge in cm.
        """
        return min(self._wanted_cm, GOOD_SHARE * self.reach_without_noise_cm)

    @property
    def _wanted_cm(self) -> float:
        if self.view.print_cm is not None:
            return self.view.print_cm
        held = self.reach_cm is not None and self.reach_cm.value >= STANDARD_PRINT_CM
        return math.inf if held else STANDARD_PRINT_CM

    @property
    def possible_cm(self) -> float:
        """Return what these pixels could hold at all.

        Returns
        -------
        float
            Reach in cm.
        """
        return pixel_reach(self.view)


def sitters(reading: FrameReading) -> tuple[bool, ...]:
    """Return which faces are sitters and which bystanders.

    Parameters
    ----------
    reading : FrameReading
        A measured frame.

    Returns
    -------
    tuple of bool
        In the order of the faces: True if at least `SITTER_SHARE` as tall as the tallest.
    """
    heights = [f.face.box_px[3] for f in reading.faces]
    return tuple(h >= SITTER_SHARE * max(heights) for h in heights)


def case_of(
    face: FaceReading,
    reading: FrameReading,
    view: PrintView,
    *,
    sitter: bool,
    learned: Learned | None = None,
) -> FaceCase:
    """Return everything about one face that the judgement rests on.

    Parameters
    ----------
    face : FaceReading
        One of the reading's faces.
    reading : FrameReading
        The frame.
    view : PrintView
        The print it is judged on.
    sitter : bool
        Whether this face counts.
    learned : Learned or None
        For the colours of the kit, which tell front from back.

    Returns
    -------
    FaceCase
        With reach, offset and motion.
    """
    eye = counting_eye(face)
    lens, why = lens_of(face.face, reading)
    noise = face.noise_contrast
    return FaceCase(
        reading=face,
        eye=eye,
        view=view,
        sitter=sitter,
        noise=0.0 if noise is None else max(noise.value, 0.0),
        reach_cm=reach_of(eye.blur, noise, view),
        lens=lens,
        offset=call_offset(face, lens, why, _evidence(face, reading, lens, learned)),
        motion=motion_of(face),
    )


def _evidence(
    face: FaceReading, reading: FrameReading, lens: Lens | None, learned: Learned | None
) -> Callable[[NDArray[np.float64]], NDArray[np.float64]] | None:
    """Return what else than the face's cone tells of the offset, the lens being known."""
    if lens is None:
        return None
    colour = None if learned is None else kit_colour(reading.exposure, learned)

    def evidence(offsets_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        log = beyond_evidence(face, reading.background, lens, offsets_mm)
        if colour is not None:
            log = log + side_evidence(face, lens, colour, offsets_mm)
        return log

    return evidence


def deciding_index(cases: tuple[FaceCase, ...]) -> int | None:
    """Return the face that decides for the frame.

    Parameters
    ----------
    cases : tuple of FaceCase
        All faces of the frame.

    Returns
    -------
    int or None
        The sitter that holds least; the first sitter if nobody's reach can be told; None without
        faces.
    """
    told = [i for i, c in enumerate(cases) if c.sitter and c.reach_cm is not None]
    if told:
        return min(told, key=lambda i: (_value(cases[i].reach_cm), i))
    return next((i for i, c in enumerate(cases) if c.sitter), None)


def _value(reach_cm: Measured | None) -> float:
    return float("inf") if reach_cm is None else reach_cm.value
