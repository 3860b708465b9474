"""Whole plans against facts of the trade, each from its stated geometry.

"Common practice": said in magazines, blogs and teaching sites, no source; sums by hand beside them.
"""

import math

import pytest

from eyeplane.plan import plan_burst, plan_sitter
from eyeplane.records import (
    BurstRequest,
    PlanChoice,
    PlanEye,
    PlanKit,
    PlanLight,
    PlanPrint,
    PlanSetting,
    PlanSitter,
    SitterPlan,
    SitterRequest,
)

KIT = PlanKit(focal_length_mm=85.0)
FLASH = PlanLight(kind="flash", guide_number_m=40.0)
OLD_CRITERION_UM = 30.0  # blur disc that shows on an 8 x 10 in print of 36 x 24 mm


def turned_head(f_number: float, yaw_deg: float, **changes: object) -> PlanSetting:
    """Return what comes of one aperture for a head and shoulders by flash: nothing moves."""
    request = SitterRequest(
        kit=KIT,
        light=PlanLight(kind="flash", guide_number_m=20.0),
        sitter=PlanSitter(mood="still"),
        choice=PlanChoice(f_number=f_number),
        framing="head-and-shoulders",
        yaw_deg=yaw_deg,
        **changes,  # type: ignore[arg-type]  # fields of the request
    )
    return plan_sitter(request).settings[0]


def eye(setting: PlanSetting, name: str) -> PlanEye:
    return next(e for e in setting.eyes if e.name == name)


@pytest.mark.parametrize(
    ("yaw_deg", "print_cm", "lost"), [(25.0, 40.0, 0.35), (25.0, 60.0, 0.1), (45.0, 40.0, 0.1)]
)
def test_wide_open_loses_the_far_eye_and_f_5_6_keeps_both(
    yaw_deg: float, print_cm: float, lost: float
) -> None:
    # Common practice. 85 mm, head and shoulders (2.3 m), focus on the near eye: by hand the far
    # iris of a head turned by 25° lies 63 mm × sin 25° = 27 mm behind, a disc of 28 um at f/1.4
    # and of 7 um at f/5.6.
    promise = PlanPrint(print_cm=print_cm)
    wide, closed = (turned_head(f, yaw_deg, promise=promise) for f in (1.4, 5.6))
    assert eye(wide, "near").share.value > 0.6
    assert eye(wide, "far").share.value < lost * eye(wide, "near").share.value
    assert eye(closed, "far").share.value > 0.9 * eye(closed, "near").share.value
    assert closed.share_both is not None
    assert closed.share_both.value > 0.85


def test_depth_of_the_far_iris() -> None:
    # By hand: 63 mm × sin 25° = 26.6 mm.
    assert eye(turned_head(2.8, 25.0), "far").depth_mm == pytest.approx(26.6, abs=1.0)


def test_background_a_metre_behind_still_blurs_at_f_5_6_in_a_head_portrait() -> None:
    # Common practice. By hand: head 380 mm high in the frame, m = 24 / 380, 85 mm from 1.43 m: a
    # pupil of 15.2 mm draws 15.2 × 1000 / 1430 = 10.6 mm there and 15.2 × .0632 × 1000 / 2430 =
    # .395 mm on the sensor, 1.6 % of the frame's height, 13 times what shows at all.
    request = SitterRequest(
        kit=KIT,
        light=FLASH,
        choice=PlanChoice(f_number=5.6),
        framing="head",
        background_mm=1000.0,
    )
    setting = plan_sitter(request).settings[0]
    assert setting.background_blur_mm == pytest.approx(10.6, rel=0.03)
    assert setting.background_blur_share == pytest.approx(0.0165, rel=0.03)
    assert setting.background_blur_share is not None
    assert setting.background_blur_share * 24_000 > 10 * OLD_CRITERION_UM


@pytest.mark.parametrize(
    ("f_number", "distance_mm", "front_share"), [(2.8, 2000.0, 0.495), (8.0, 2000.0, 0.485)]
)
def test_half_of_the_depth_lies_in_front(
    f_number: float, distance_mm: float, front_share: float
) -> None:
    # "A third in front" ×7; by hand: discs that hold a print are finer than the old criterion's 30
    # um, so the shares lie nearer to a half than .47 (85 mm f/8 2 m at 30 um).
    request = SitterRequest(
        kit=KIT, light=FLASH, choice=PlanChoice(f_number=f_number), distance_mm=distance_mm
    )
    found = plan_sitter(request).settings[0]
    assert found.depth_front_mm is not None
    assert found.depth_behind_mm is not None
    together = found.depth_front_mm + found.depth_behind_mm
    assert found.depth_front_mm / together == pytest.approx(front_share, abs=0.012)


def bright(exposure_ev: float, **changes: object) -> SitterPlan:
    request = SitterRequest(
        kit=PlanKit(focal_length_mm=85.0, highest_iso=6400.0),
        light=PlanLight(exposure_ev=exposure_ev),
        distance_mm=2000.0,
        **changes,  # type: ignore[arg-type]  # fields of the request
    )
    return plan_sitter(request)


@pytest.mark.parametrize("exposure_ev", [5.0, 8.3, 12.0, 15.0])
def test_settings_expose_by_apex(exposure_ev: float) -> None:
    # APEX (ASA PH2.5-1960): Av + Tv = Ev + log2(ISO / 100), from the marks: to the third stop
    # and to how marks are rounded.
    for setting in bright(exposure_ev).settings:
        exposed = math.log2(setting.f_number**2 / setting.shutter_s * 100 / setting.iso)
        assert exposed == pytest.approx(exposure_ev, abs=0.3)


def test_sunny_sixteen() -> None:
    # ANSI PH2.7: full sun is EV 15 at ISO 100, which is f/16 and 1/125 s.
    found = bright(15.0, choice=PlanChoice(f_number=16.0, iso=100.0)).settings[0]
    assert 1 / found.shutter_s == pytest.approx(125, rel=0.01)


def test_flash_power_by_guide_number() -> None:
    # NAVEDTRA 14209: guide number = f-number × distance; by hand: GN 40 m at 2 m is f/20 at full
    # power and ISO 100, so f/5.6 needs (5.6 / 20)² of it, 3.7 stops less.
    request = SitterRequest(
        kit=KIT,
        light=FLASH,
        choice=PlanChoice(f_number=5.6, iso=100.0),
        distance_mm=2000.0,
    )
    found = plan_sitter(request).settings[0]
    assert found.flash_power is not None
    assert math.log2(found.flash_power) == pytest.approx(2 * math.log2(5.6 / 20), abs=0.2)


@pytest.mark.parametrize(("under_ev", "least", "most"), [(3.0, 0.10, 0.14), (5.0, 0.025, 0.035)])
def test_ambient_light_leaves_a_ghost(under_ev: float, least: float, most: float) -> None:
    # By hand: 3 stops under leaves 12 % of the flash's light, 5 stops 3 %.
    camera_ev = math.log2(5.6**2 * 200)  # f/5.6, 1/200 s, ISO 100
    request = SitterRequest(
        kit=KIT,
        light=PlanLight(kind="flash", guide_number_m=40.0, exposure_ev=camera_ev - under_ev),
        choice=PlanChoice(f_number=5.6, shutter_s=1 / 200, iso=100.0),
        distance_mm=2000.0,
    )
    found = plan_sitter(request).settings[0].ghost_share
    assert found is not None
    assert least <= found <= most


def test_recomposing() -> None:
    # By hand: s (1 − cos θ), the plane behind the eye.
    found = bright(10.0).recompose
    assert found is not None
    straight_mm = 2000.0 / math.cos(math.radians(found.turn_deg))
    assert found.behind_mm == pytest.approx(
        straight_mm * (1 - math.cos(math.radians(found.turn_deg))), rel=0.05
    )


@pytest.mark.parametrize(("focal", "parts"), [(125.0, 125), (300.0, 320), (85.0, 100)])
def test_the_rule_is_marked_in_the_curve(focal: float, parts: int) -> None:
    # A camera maker's printed manual, p. 44: 125 mm 1/125; 300 mm the next faster, which in whole
    # stops is 1/500 and in thirds 1/320.
    request = SitterRequest(
        kit=PlanKit(focal_length_mm=focal), light=PlanLight(exposure_ev=12.0), distance_mm=3000.0
    )
    curve = plan_sitter(request).curve
    assert [round(1 / p.shutter_s) for p in curve if p.reciprocal] == [parts]
    motion = [p.motion_share.value for p in sorted(curve, key=lambda p: p.shutter_s)]
    assert motion == sorted(motion, reverse=True)


def test_closer_framing_asks_for_a_faster_time() -> None:
    # By hand: the sitter's line goes with the magnification; full length to head shot in thirds.
    scaling = bright(12.0, sitter=PlanSitter(age_years=4.0)).scaling
    times = {s.framing: s.shutter_s for s in scaling}
    head, full = times["head"], times["full"]
    assert head is not None
    assert full is not None
    assert 3 <= full / head <= 8


def test_grain_prints_better_than_blur() -> None:
    # Common practice ×4. Home interior, EV 6 (ANSI PH2.7: 5 to 7), 40 cm print, f/2.8.
    def share(shutter_s: float) -> float:
        choice = PlanChoice(f_number=2.8, shutter_s=shutter_s)
        return bright(6.0, choice=choice, promise=PlanPrint(print_cm=40.0)).settings[0].share.value

    assert share(1 / 160) > 1.3 * share(1 / 30)


def test_fast_flash_warns() -> None:
    # Epilepsy charities, web rule: never above three flashes a second.
    sitting = SitterRequest(kit=KIT, light=FLASH, distance_mm=2000.0)
    said = " ".join(plan_burst(BurstRequest(sitting=sitting, frames_per_s=8.0)).cautions)
    assert "three" in said
    assert "second" in said
