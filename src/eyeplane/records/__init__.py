"""Frozen records that all layers exchange; units end their names, points are (x, y)."""

from eyeplane.records.answer import BudgetPart, Cause, DepthMark, FaceAnswer, FrameAnswer
from eyeplane.records.exposure import Exposure
from eyeplane.records.face import Eye, Face, Landmark, Side
from eyeplane.records.measured import Measured
from eyeplane.records.plain import from_plain, to_plain
from eyeplane.records.reading import (
    Blur,
    BlurKind,
    EyeReading,
    EyeView,
    FaceReading,
    FrameReading,
    FrameStatus,
    ProbeReading,
    SpotReading,
    counting_eye,
)
from eyeplane.records.settings import (
    PIXEL_LIMIT,
    STANDARD_PRINT_CM,
    STANDARD_VIEWING_CM,
    MeasureSettings,
    Viewing,
)
from eyeplane.records.sitting import CauseCount, Sitting, SittingFrame

__all__ = [
    "PIXEL_LIMIT",
    "STANDARD_PRINT_CM",
    "STANDARD_VIEWING_CM",
    "Blur",
    "BlurKind",
    "BudgetPart",
    "Cause",
    "CauseCount",
    "DepthMark",
    "Exposure",
    "Eye",
    "EyeReading",
    "EyeView",
    "Face",
    "FaceAnswer",
    "FaceReading",
    "FrameAnswer",
    "FrameReading",
    "FrameStatus",
    "Landmark",
    "MeasureSettings",
    "Measured",
    "ProbeReading",
    "Side",
    "Sitting",
    "SittingFrame",
    "SpotReading",
    "Viewing",
    "counting_eye",
    "from_plain",
    "to_plain",
]
