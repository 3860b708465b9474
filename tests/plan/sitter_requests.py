"""One sitter to plan for, in the light of a bright room, for tests."""

from eyeplane.records import PlanKit, PlanLight, PlanPrint, SitterRequest

KIT = PlanKit(focal_length_mm=85.0)
ROOM = PlanLight(exposure_ev=8.0)
FLASH = PlanLight(kind="flash", guide_number_m=40.0, exposure_ev=5.0)
HEAD = SitterRequest(
    kit=KIT,
    light=ROOM,
    promise=PlanPrint(print_cm=60.0),
    framing="head-and-shoulders",
    yaw_deg=25.0,
    background_mm=1200.0,
)
