"""One sitter before a lens of 85 mm, for tests of the sums."""

from dataclasses import replace

from eyeplane.people import camera_sway, focus_error, hand_speed, sitter_speed
from eyeplane.plan.scene import Scene
from eyeplane.records import PlanKit, PlanPrint

KIT = PlanKit(focal_length_mm=85.0)
PROMISE = PlanPrint(print_cm=60.0)
SCENE = Scene(
    kit=KIT,
    promise=PROMISE,
    eyes_mm=(2000.0, 2026.5, 2000.0),
    person=(0, 0, 0),
    focus=focus_error(magnification=85.0 / 1915.0),
    hand=hand_speed(),
    sway=camera_sway(),
    sitters=sitter_speed(),
)


def two_eyes() -> Scene:
    return replace(SCENE, eyes_mm=SCENE.eyes_mm[:2], person=(0, 0))
