"""Scenes to test plans on."""

from dataclasses import replace

from eyeplane.people.aim import FocusError
from eyeplane.people.hands import HandSpeed, camera_sway, hand_speed
from eyeplane.people.speeds import SitterSpeed, sitter_speed
from eyeplane.plan.scene import Scene
from eyeplane.records import PlanKit, PlanPrint

KIT = PlanKit(focal_length_mm=85)
EXACT = FocusError(
    bias_mm=0, spread_mm=1e-6, unsure_log_sd=0, miss_share=0, miss_mm=40, source="made up"
)
STEADY = HandSpeed(median_deg_per_s=1e-9, log_sd=0.1, unsure_log_sd=0, source="made up")
STILL = SitterSpeed(median_mm_per_s=1e-9, log_sd=0.1, unsure_log_sd=0, source="made up")

NOTHING_MOVES = Scene(
    kit=KIT,
    promise=PlanPrint(),
    eyes_mm=(2000.0,),
    person=(0,),
    focus=EXACT,
    hand=STEADY,
    sway=STILL,
    sitters=((1.0, STILL),),
)


def usual_scene(*eyes_mm: float) -> Scene:
    """Return one head before a usual photographer."""
    return replace(
        NOTHING_MOVES,
        eyes_mm=eyes_mm or (2000.0,),
        person=(0,) * max(1, len(eyes_mm)),
        focus=FocusError(
            bias_mm=0, spread_mm=7, unsure_log_sd=0.3, miss_share=0.1, miss_mm=40, source="made up"
        ),
        hand=hand_speed(),
        sway=camera_sway(),
        sitters=sitter_speed(mood="still"),
    )
