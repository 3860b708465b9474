"""What a live sitting holds of each frame: little enough for thousands of them."""

import math
import sys
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from eyeplane.records import (
    Blur,
    Exposure,
    Eye,
    EyeReading,
    Face,
    FaceReading,
    FrameReading,
    Measured,
    SittingFrame,
)
from eyeplane.records.live import FrameRow
from eyeplane.sitting.bursts import frame_order
from eyeplane.sitting.live_steps import Packed, unpack
from eyeplane.store.sittings_frames import KeptFrame

NOTHING_LEARNED = -1  # answered with nothing that the sitting taught
_NO_BLUR = Blur(
    kind="cannot tell",
    size_px=None,
    angle_deg=None,
    disc_px=None,
    line_px=None,
    line_angle_deg=None,
    line_gain=0.0,
    sharp_gain=0.0,
)
_EYE_READINGS = (EyeReading(side="left", blur=_NO_BLUR), EyeReading(side="right", blur=_NO_BLUR))
_ANY = Measured(value=1.0, low=1.0, high=1.0)
_FACE = Face(
    box_px=(0.0, 0.0, 1.0, 1.0),
    score=0.0,
    yaw_deg=_ANY,
    pitch_deg=_ANY,
    roll_deg=_ANY,
    near=None,
    eyes=(
        Eye(side="left", iris_px=(0.0, 0.0), iris_diameter_px=_ANY, open=None),
        Eye(side="right", iris_px=(0.0, 0.0), iris_diameter_px=_ANY, open=None),
    ),
    landmarks=(),
    mm_per_px=_ANY,
    distance_mm=None,
)


@dataclass(slots=True, kw_only=True)
class Held:
    """One frame.

    Attributes
    ----------
    kept : KeptFrame
        As it is in the journal.
    row : FrameRow
        In one line.
    order : tuple
        What frames are put in order by.
    reading, first, answer : bytes
        Packed; empty where it is not there (yet): what was measured, its first answer in brief,
        and its answer.
    thin : FrameReading or None
        As much of the reading as bursts are found by.
    taught : int
        Which teaching of the sitting the answer takes into account.
    made : SittingFrame or None
        Given from outside with its answer, which stays.
    best_of_burst : bool
        Whether it is the best of its burst, also of a burst of one.
    """

    kept: KeptFrame
    row: FrameRow
    order: tuple[float, str, str]
    reading: bytes = b""
    first: bytes = b""
    answer: bytes = b""
    thin: FrameReading | None = None
    taught: int = NOTHING_LEARNED
    made: SittingFrame | None = None
    best_of_burst: bool = False

    @property
    def number(self) -> int:
        """Return its number.

        Returns
        -------
        int
            From 1.
        """
        return self.kept.number

    def load(self, reading: FrameReading, packed: bytes) -> None:
        """Take what was measured.

        Parameters
        ----------
        reading : FrameReading
            The reading.
        packed : bytes
            The same packed.
        """
        self.reading, self.thin = packed, thin_reading(reading)
        self.order = frame_order(reading)

    def unpacked(self) -> FrameReading:
        """Return what was measured.

        Returns
        -------
        FrameReading
            Its file as it is known today.
        """
        if self.made is not None:
            return self.made.reading
        reading: FrameReading = unpack(self.reading)
        return reading

    def packed(self, *, first: bool) -> Packed:
        """Return it for the steps that take whole sittings.

        Parameters
        ----------
        first : bool
            With its first answer instead of its answer.

        Returns
        -------
        Packed
            The frame.
        """
        return Packed(
            reading=self.reading,
            answer=self.first if first else self.answer,
            companions=self.kept.companions,
        )


def hold(kept: KeptFrame, row: FrameRow) -> Held:
    """Return a frame whose reading follows.

    Parameters
    ----------
    kept : KeptFrame
        As it is in the journal.
    row : FrameRow
        In one line.

    Returns
    -------
    Held
        In order by what the row says of its time.
    """
    name = kept.path.replace("\\", "/").rpartition("/")[2]
    return Held(kept=kept, row=row, order=(_time_s(row.captured_at), name.casefold(), kept.path))


def thin_reading(reading: FrameReading) -> FrameReading:
    """Return as much of a reading as bursts are found by.

    Parameters
    ----------
    reading : FrameReading
        A frame.

    Returns
    -------
    FrameReading
        With the faces' places, and of its exposure time, focal length, body and flash.
    """
    exif = reading.exposure
    return replace(
        reading,
        sha256="",
        reason="",
        exposure=Exposure(
            captured_s=exif.captured_s,
            captured_at=exif.captured_at,
            flash_fired=exif.flash_fired,
            focal_length_mm=exif.focal_length_mm,
            body=_shared(exif.body),
            body_serial=_shared(exif.body_serial),
        ),
        pitch_um=None,
        pitch_source="",
        faces=tuple(_thin(face.face.box_px) for face in reading.faces),
        background=(),
        spots=(),
        veil=None,
    )


def _thin(box_px: tuple[float, float, float, float]) -> FaceReading:
    return FaceReading(
        face=replace(_FACE, box_px=box_px),
        eyes=_EYE_READINGS,
        probes=(),
        together=_NO_BLUR,
        noise_contrast=None,
        view=None,
    )


def _shared(name: str | None) -> str | None:
    return None if name is None else sys.intern(name)


def _time_s(captured_at: str) -> float:
    """Return a time to put frames in order by until their reading is there."""
    try:
        at = datetime.fromisoformat(captured_at)
        return (at if at.tzinfo else at.replace(tzinfo=UTC)).timestamp()
    except (OverflowError, OSError, ValueError):
        return math.inf
