"""Frozen records that all layers exchange; units end their names, points are (x, y).

Those of measured frames are loaded when they are first asked for: a plan is quick to start and
needs none of them.
"""

from importlib import import_module
from typing import TYPE_CHECKING

from eyeplane.records.exposure import Exposure
from eyeplane.records.measured import Measured
from eyeplane.records.plain import from_plain, plain_measured, plain_number, to_plain
from eyeplane.records.plan import (
    BurstRequest,
    Eyes,
    Framing,
    GroupRequest,
    LightKind,
    Mood,
    PlanChoice,
    PlanHand,
    PlanKit,
    PlanLight,
    PlanPrint,
    PlanSitter,
    SitterRequest,
    Support,
)
from eyeplane.records.planned import (
    FramesNeeded,
    LightQuality,
    LightWay,
    PlanEye,
    PlanMark,
    PlanPart,
    PlanSetting,
    Recompose,
    ScaledShutter,
    ShutterPoint,
)
from eyeplane.records.plans import (
    BurstPlan,
    BurstStep,
    GroupPlace,
    GroupPlan,
    GroupRow,
    GroupStop,
    SitterPlan,
)
from eyeplane.records.settings import (
    MEASURE_VERSION,
    PIXEL_LIMIT,
    STANDARD_PRINT_CM,
    STANDARD_VIEWING_CM,
    MeasureSettings,
    Viewing,
)
from eyeplane.records.sweep import Sweep

if TYPE_CHECKING:
    from eyeplane.records.answer import (
        BudgetPart,
        Cause,
        CauseChance,
        DepthMark,
        FaceAnswer,
        Finding,
        FindingKind,
        FrameAnswer,
        LightSource,
    )
    from eyeplane.records.check_json import check_json, check_schema
    from eyeplane.records.face import Eye, Face, Landmark, Side
    from eyeplane.records.kit_against import (
        AgainstHabit,
        AgainstKit,
        AgainstPart,
        AgainstPoint,
        AgainstPrint,
        AgainstResult,
        AgainstWay,
        SeenFrom,
    )
    from eyeplane.records.kit_chart import (
        ChartAperture,
        ChartFault,
        ChartFrame,
        ChartPlace,
        ChartResult,
    )
    from eyeplane.records.kit_dust import (
        DustAperture,
        DustAtWork,
        DustCrop,
        DustGone,
        DustLeftOut,
        DustLimit,
        DustPlace,
        DustResult,
        DustShadow,
    )
    from eyeplane.records.kit_focus import (
        CarriedFocus,
        FocusPoint,
        FocusTargetResult,
        TargetFrame,
        TargetGroup,
        TargetShift,
    )
    from eyeplane.records.kit_glass import (
        GlassHalo,
        GlassKept,
        GlassResult,
        GlassSmudge,
        GlassStreak,
        GlassZone,
    )
    from eyeplane.records.ladder import (
        LadderCarried,
        LadderFrame,
        LadderLimit,
        LadderMore,
        LadderPart,
        LadderPoint,
        LadderResult,
        LadderStep,
    )
    from eyeplane.records.learned import KitColour, Learned
    from eyeplane.records.lessons import (
        LearnedCounts,
        LearnedExport,
        LearnedFocus,
        LearnedNumbers,
        LearnedShake,
        LearnedSitter,
        Lesson,
        SittingLabels,
    )
    from eyeplane.records.printed import (
        PrintedEdge,
        PrintedMark,
        PrintedPatch,
        PrintedSheet,
        PrintedWords,
    )
    from eyeplane.records.reading import (
        Blur,
        BlurKind,
        Catchlight,
        ColourBlur,
        EyeReading,
        EyeView,
        FaceReading,
        FrameReading,
        FrameStatus,
        Ghost,
        ProbeReading,
        SpotReading,
        Veil,
        counting_eye,
    )
    from eyeplane.records.sitting import (
        CauseCount,
        Change,
        Habit,
        HabitKind,
        KitFocus,
        Sitting,
        SittingFrame,
        SittingTally,
    )

__all__ = [
    "MEASURE_VERSION",
    "PIXEL_LIMIT",
    "STANDARD_PRINT_CM",
    "STANDARD_VIEWING_CM",
    "AgainstHabit",
    "AgainstKit",
    "AgainstPart",
    "AgainstPoint",
    "AgainstPrint",
    "AgainstResult",
    "AgainstWay",
    "Blur",
    "BlurKind",
    "BudgetPart",
    "BurstPlan",
    "BurstRequest",
    "BurstStep",
    "CarriedFocus",
    "Catchlight",
    "Cause",
    "CauseChance",
    "CauseCount",
    "Change",
    "ChartAperture",
    "ChartFault",
    "ChartFrame",
    "ChartPlace",
    "ChartResult",
    "ColourBlur",
    "DepthMark",
    "DustAperture",
    "DustAtWork",
    "DustCrop",
    "DustGone",
    "DustLeftOut",
    "DustLimit",
    "DustPlace",
    "DustResult",
    "DustShadow",
    "Exposure",
    "Eye",
    "EyeReading",
    "EyeView",
    "Eyes",
    "Face",
    "FaceAnswer",
    "FaceReading",
    "Finding",
    "FindingKind",
    "FocusPoint",
    "FocusTargetResult",
    "FrameAnswer",
    "FrameReading",
    "FrameStatus",
    "FramesNeeded",
    "Framing",
    "Ghost",
    "GlassHalo",
    "GlassKept",
    "GlassResult",
    "GlassSmudge",
    "GlassStreak",
    "GlassZone",
    "GroupPlace",
    "GroupPlan",
    "GroupRequest",
    "GroupRow",
    "GroupStop",
    "Habit",
    "HabitKind",
    "KitColour",
    "KitFocus",
    "LadderCarried",
    "LadderFrame",
    "LadderLimit",
    "LadderMore",
    "LadderPart",
    "LadderPoint",
    "LadderResult",
    "LadderStep",
    "Landmark",
    "Learned",
    "LearnedCounts",
    "LearnedExport",
    "LearnedFocus",
    "LearnedNumbers",
    "LearnedShake",
    "LearnedSitter",
    "Lesson",
    "LightKind",
    "LightQuality",
    "LightSource",
    "LightWay",
    "MeasureSettings",
    "Measured",
    "Mood",
    "PlanChoice",
    "PlanEye",
    "PlanHand",
    "PlanKit",
    "PlanLight",
    "PlanMark",
    "PlanPart",
    "PlanPrint",
    "PlanSetting",
    "PlanSitter",
    "PrintedEdge",
    "PrintedMark",
    "PrintedPatch",
    "PrintedSheet",
    "PrintedWords",
    "ProbeReading",
    "Recompose",
    "ScaledShutter",
    "SeenFrom",
    "ShutterPoint",
    "Side",
    "SitterPlan",
    "SitterRequest",
    "Sitting",
    "SittingFrame",
    "SittingLabels",
    "SittingTally",
    "SpotReading",
    "Support",
    "Sweep",
    "TargetFrame",
    "TargetGroup",
    "TargetShift",
    "Veil",
    "Viewing",
    "check_json",
    "check_schema",
    "counting_eye",
    "from_plain",
    "plain_measured",
    "plain_number",
    "to_plain",
]
_LATER = {
    "answer": (
        "BudgetPart Cause CauseChance DepthMark FaceAnswer Finding FindingKind "
        "FrameAnswer LightSource"
    ),
    "face": "Eye Face Landmark Side",
    "check_json": "check_json check_schema",
    "kit_against": (
        "AgainstHabit AgainstKit AgainstPart AgainstPoint AgainstPrint AgainstResult "
        "AgainstWay SeenFrom"
    ),
    "kit_chart": "ChartAperture ChartFault ChartFrame ChartPlace ChartResult",
    "kit_dust": (
        "DustAperture DustAtWork DustCrop DustGone DustLeftOut DustLimit DustPlace "
        "DustResult DustShadow"
    ),
    "kit_focus": "CarriedFocus FocusPoint FocusTargetResult TargetFrame TargetGroup TargetShift",
    "kit_glass": "GlassHalo GlassKept GlassResult GlassSmudge GlassStreak GlassZone",
    "ladder": (
        "LadderCarried LadderFrame LadderLimit LadderMore LadderPart LadderPoint "
        "LadderResult LadderStep"
    ),
    "lessons": (
        "LearnedCounts LearnedExport LearnedFocus LearnedNumbers LearnedShake "
        "LearnedSitter Lesson SittingLabels"
    ),
    "printed": "PrintedEdge PrintedMark PrintedPatch PrintedSheet PrintedWords",
    "learned": "KitColour Learned",
    "reading": (
        "Blur BlurKind Catchlight ColourBlur EyeReading EyeView FaceReading "
        "FrameReading FrameStatus Ghost ProbeReading SpotReading Veil counting_eye"
    ),
    "sitting": "CauseCount Change Habit HabitKind KitFocus Sitting SittingFrame SittingTally",
}
_HOMES = {name: module for module, names in _LATER.items() for name in names.split()}


if not TYPE_CHECKING:  # else a type checker would take any name for one of this layer

    def __getattr__(name: str) -> object:
        """Return a record of measured frames from its module."""
        if name not in _HOMES:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)

    def __dir__() -> list[str]:
        """Return all public names, loaded or not."""
        return __all__
