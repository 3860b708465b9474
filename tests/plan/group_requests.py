"""Groups that several tests plan for."""

from eyeplane.records import (
    GroupRequest,
    PlanHand,
    PlanKit,
    PlanLight,
    PlanPrint,
    PlanSitter,
)

KIT = PlanKit(focal_length_mm=50.0)
TWO_ROWS = GroupRequest(kit=KIT, light=PlanLight(exposure_ev=9.0), distance_mm=3500.0)
# In this light, for this print, everything holds.
EASY = GroupRequest(
    kit=KIT,
    light=PlanLight(exposure_ev=13.0),
    distance_mm=3500.0,
    promise=PlanPrint(print_cm=30.0),
    sitter=PlanSitter(mood="still"),
    hand=PlanHand(support="tripod"),
)
FLASH = GroupRequest(
    kit=PlanKit(focal_length_mm=85.0),
    light=PlanLight(
        kind="flash",
        guide_number_m=40.0,
        source_size_mm=1000.0,
        source_distance_mm=3000.0,
    ),
    distance_mm=5000.0,
)
