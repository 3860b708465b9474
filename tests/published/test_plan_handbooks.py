"""What planning rests on, against handbooks and hand sums: depth, motion, hands, pixels, glass.

Sources beside each test. "Trade" is common practice, no source, worked out by hand.
"""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import optimize
from tests.published.test_optics_thin_lens import CIRCLE_UM, FT, PORTRAITS

from eyeplane.optics import Spreads, blur_limits, magnification, reaches_cm
from eyeplane.optics.kit_blur import diffraction_um
from eyeplane.people.hands import hand_speed
from eyeplane.plan.blurs import disc_um, image_distance_mm
from eyeplane.plan.hold import base_spreads
from eyeplane.records import PlanKit

Reaches = NDArray[np.float64]


def limits_mm(
    *, focal_mm: float, f_number: float, focus_mm: float, circle_um: float
) -> tuple[float, float]:
    """Return where the planned disc reaches a circle before and behind the focus plane."""

    def over(eye_mm: float) -> float:
        found = disc_um(
            focal_length_mm=focal_mm, f_number=f_number, focus_mm=focus_mm, eye_mm=eye_mm
        )
        return float(found) - circle_um

    near = optimize.brentq(over, 0.5 * focus_mm, focus_mm, xtol=1e-6)
    far = optimize.brentq(over, focus_mm, 2 * focus_mm, xtol=1e-6)
    return float(near), float(far)


def test_planned_disc_has_the_handbook_s_limits() -> None:
    # Photography (Basic), NAVEDTRA 14209, US Navy, 1993, ch. 1: 6.1 in (155 mm), f/2.8, focused at
    # 10 ft: sharp from 9.8 to 10.2 ft.
    near, far = limits_mm(focal_mm=155, f_number=2.8, focus_mm=10 * FT, circle_um=CIRCLE_UM)
    assert near / FT == pytest.approx(9.8, abs=0.05)
    assert far / FT == pytest.approx(10.2, abs=0.05)


def test_planned_disc_at_the_hyperfocal_distance() -> None:
    # The same page, 554 ft; US Army subcourse SS0507, 20.8 ft: far things have just the circle.
    for focal_mm, f_number, far_from_ft in ((155.0, 2.8, 554.0), (50.8, 8.0, 20.8)):
        found = disc_um(
            focal_length_mm=focal_mm, f_number=f_number, focus_mm=far_from_ft * FT, eye_mm=1e12
        )
        assert found == pytest.approx(CIRCLE_UM, rel=0.012)  # + f left out there, and rounding


@pytest.mark.parametrize("row", PORTRAITS, ids=lambda r: f"{r[0]}mm-f{r[1]}")
def test_planned_disc_has_the_limits_of_portraits(row: tuple[float, ...]) -> None:
    # Root of the ray-traced blur, circle 30 um, as for `depth_of_field_mm`.
    focal, f_number, distance, near, far, *_ = row
    found = limits_mm(focal_mm=focal, f_number=f_number, focus_mm=distance, circle_um=30)
    assert found == pytest.approx((near, far), abs=0.01)


def test_half_of_the_depth_lies_in_front() -> None:
    # Trade says a third. By the sums: .49 to .50 for 85-200 mm at 1.5-5 m and portrait apertures,
    # .47 at 85 mm f/8 2 m; a third only at a third of the hyperfocal distance (50 mm f/8: 3.5 m;
    # 85 mm f/5.6: 14 m).
    def front_share(focal_mm: float, f_number: float, focus_mm: float) -> float:
        near, far = limits_mm(focal_mm=focal_mm, f_number=f_number, focus_mm=focus_mm, circle_um=30)
        return (focus_mm - near) / (far - near)

    for focal, f_number, focus in ((85, 1.4, 1500), (85, 2.8, 2000), (135, 2.8, 3000)):
        assert 0.485 <= front_share(focal, f_number, focus) <= 0.5
    assert front_share(200, 2.8, 5000) == pytest.approx(0.49, abs=0.01)
    assert front_share(85, 8, 2000) == pytest.approx(0.47, abs=0.005)
    assert front_share(50, 8, 3500) == pytest.approx(1 / 3, abs=0.005)
    assert front_share(85, 5.6, 14_333) == pytest.approx(1 / 3, abs=0.005)


# NAVEDTRA 14209, table 4-2: 5 mph (2.235 m/s) across the axis, by distance in feet (presumed; the
# copy's columns are flattened): 1/500 at 12, 1/250 at 25, 1/125 at 50, 1/60 at 100.
ACROSS = {12: 500, 25: 250, 50: 125, 100: 60}
WALKING_MM_PER_S = 2235.0


def line_um(*, focal_mm: float, distance_mm: float, speed_mm_per_s: float, time_s: float) -> float:
    """Return the line that a speed across the axis draws in focus."""
    m = magnification(focal_length_mm=focal_mm, subject_distance_mm=distance_mm)
    return 1000 * m * speed_mm_per_s * time_s


def test_action_stopping_table_asks_one_line_at_all_distances() -> None:
    lines = [
        line_um(
            focal_mm=50, distance_mm=feet * FT, speed_mm_per_s=WALKING_MM_PER_S, time_s=1 / parts
        )
        for feet, parts in ACROSS.items()
    ]
    # By hand: 62 um at 12 ft. The table's times double as the distance does, to whole shutter
    # marks, and so do ours.
    assert lines[0] == pytest.approx(62, abs=0.5)
    for one, other in pairwise(lines):
        assert other == pytest.approx(one, rel=0.06)


def test_towards_the_camera_asks_a_quarter_of_the_time() -> None:
    # Same table: towards or away four times as long, diagonally twice. Towards the camera a point
    # h beside the axis on the sensor runs outwards with h v / s: at the edge of the frame's height
    # (12 mm) that is a quarter of the line across. Diagonally cos 45° makes 1.41, half a stop: the
    # table rounds that to a whole one.
    towards_um = 1000 * 12.0 * WALKING_MM_PER_S / (12 * FT) / 500
    across_um = line_um(
        focal_mm=50, distance_mm=12 * FT, speed_mm_per_s=WALKING_MM_PER_S, time_s=1 / 500
    )
    assert across_um / towards_um == pytest.approx(4, rel=0.06)
    assert 1 / math.cos(math.radians(45)) == pytest.approx(2, rel=0.3)


# Trade, by hand, for one pixel of 4.4 um: speed, focal length, distance, and 1 / time.
ONE_PIXEL = [
    (10, 85, 2000, 100),
    (50, 85, 2000, 500),
    (500, 85, 2000, 5000),
    (10, 50, 3000, 40),
    (50, 50, 3000, 190),
    (500, 50, 3000, 1900),
]


@pytest.mark.parametrize(("speed", "focal", "distance", "parts"), ONE_PIXEL)
def test_time_for_one_pixel(speed: float, focal: float, distance: float, parts: float) -> None:
    found = line_um(focal_mm=focal, distance_mm=distance, speed_mm_per_s=speed, time_s=1 / parts)
    assert found == pytest.approx(4.4, rel=0.04)  # the trade's numbers are rounded


def share_within(line_um_: float, *, focal_mm: float, time_s: float) -> float:
    """Return the share of frames that a hand draws shorter than a line, sitter far away."""
    hand = hand_speed()
    limit = math.degrees(line_um_ / 1000 / focal_mm) / time_s
    z = math.log(limit / hand.median_deg_per_s) / hand.log_sd
    return 0.5 * math.erfc(-z / math.sqrt(2))


@pytest.mark.parametrize("focal", [35, 50, 85, 135, 200])
def test_reciprocal_rule_holds_five_frames_in_six(focal: float) -> None:
    # Trade: 1/f; "5 of 6 sharp: that is your time" (a tutor, 2012). At 1/f the rule's 30 um are
    # 1.719 deg/s and the 63 um of AS ISO 20954-1:2019, 3.5, are 3.610 deg/s, whatever the lens.
    assert share_within(30, focal_mm=focal, time_s=1 / focal) == pytest.approx(5 / 6, abs=0.03)
    assert share_within(63, focal_mm=focal, time_s=1 / focal) == pytest.approx(29 / 30, abs=0.02)


def test_reciprocal_rule_counts_the_racked_out_lens() -> None:
    # By hand: what a turn is multiplied with is f (1 + m), 4 % more than f in a head portrait.
    image_mm = image_distance_mm(PlanKit(focal_length_mm=85), focus_mm=2000)
    assert image_mm / 85 == pytest.approx(1 + 85 / 1915, abs=1e-9)


@pytest.mark.parametrize("megapixels", [24, 45, 61])
def test_pixels_ask_for_time_only_where_the_print_grows(megapixels: float) -> None:
    # Trade: "1/f is enough" against "faster for many pixels". By hand: looked at pixel by pixel
    # the time goes with √(MP / 12), 24 MP 1.4, 45 MP 1.9, 61 MP 2.3; for one print no factor.
    edges_px = np.array([6000 * math.sqrt(mp / 24) for mp in (12, megapixels)])
    pitches_um = 36_000 / edges_px
    same_pixels = blur_limits(Spreads(), px_per_deg=[87.27, 87.27]).line_px * pitches_um
    by_hand = {24: 1.41, 45: 1.94, 61: 2.25}[int(megapixels)]
    assert same_pixels[0] / same_pixels[1] == pytest.approx(by_hand, abs=0.006)
    # 40 cm from 50 cm: px per degree go with the pixels.
    same_print = blur_limits(Spreads(), px_per_deg=edges_px / 40 * 50 * math.radians(1)).line_px
    assert same_print * pitches_um == pytest.approx(same_print[1] * pitches_um[1], rel=0.12)


def clear_reaches_cm(kit: PlanKit, f_numbers: Reaches, discs_um: Reaches | float = 0.0) -> Reaches:
    """Return the reach of glass, diffraction and pixels with discs: no motion, no noise."""
    base = base_spreads(kit, f_numbers, 100.0)
    return reaches_cm(
        replace(base, disc_px=np.asarray(discs_um) / kit.pitch_um, noise_contrast=0.0),
        long_edge_px=kit.long_edge_px,
        viewing_cm=50,
    )


@pytest.mark.parametrize("widest", [1.4, 1.8])
@pytest.mark.parametrize("edge_px", [6000, 9504])
def test_sharpest_aperture_lies_one_and_a_half_to_two_stops_from_wide_open(
    widest: float, edge_px: int
) -> None:
    # Children's Portrait Photography Handbook: 1½ to 2 stops from wide open; Guide to Head and
    # Shoulders Portrait Photography: two stops from either end. To a third of a stop; an aperture
    # that holds within a hundredth as much counts as sharpest.
    kit = PlanKit(
        focal_length_mm=85,
        widest_f_number=widest,
        long_edge_px=edge_px,
        short_edge_px=edge_px * 2 // 3,
    )
    stops = np.arange(22) / 3
    reaches = clear_reaches_cm(kit, widest * 2 ** (stops / 2))
    sharpest = stops[reaches >= 0.99 * reaches.max()]
    assert ((sharpest >= 1.5 - 1 / 3) & (sharpest <= 2 + 1 / 3)).any()
    assert reaches[0] < 0.8 * reaches.max()
    assert reaches[stops >= 6].max() < 0.8 * reaches.max()


def test_diffraction_disc_of_the_trade() -> None:
    # By hand, 2.44 λ N: f/8 11 um, f/11 15, f/16 21.
    assert 2.44 * diffraction_um([8, 11, 16]) == pytest.approx([11, 15, 21], abs=0.5)


def rows_reach_cm(*, focal_mm: float, rows: int) -> Reaches:
    """Return the reach at the first and last row at f/5.6, 8, 11 and 16: nobody moves.

    Rows 60 cm apart from 3.5 m on, the plane where both ends are blurred alike.
    """
    f_numbers = np.array([5.6, 8, 11, 16])
    plane = 2 / (1 / 3500 + 1 / (3500 + 600 * (rows - 1)))
    kit = PlanKit(focal_length_mm=focal_mm)
    return clear_reaches_cm(
        kit,
        f_numbers,
        disc_um(focal_length_mm=focal_mm, f_number=f_numbers, focus_mm=plane, eye_mm=3500),
    )


@pytest.mark.parametrize(("focal_mm", "rows"), [(85, 2), (50, 5)])
def test_missed_depth_costs_more_than_diffraction_up_to_f_11(focal_mm: float, rows: int) -> None:
    # Trade: "never past f/8" against f/16 for groups. By the sums missed depth costs more up to
    # f/11: the reach at the end rows rises to there, and falls from there to f/16.
    reach = rows_reach_cm(focal_mm=focal_mm, rows=rows)
    assert reach[0] < reach[1] < reach[2] > reach[3]


def test_never_past_f_8_is_right_for_two_rows_with_a_short_lens() -> None:
    # The other side of the same saying: 50 mm and 60 cm of depth are no reason to close down
    # beyond f/8, and at f/16 a third of the reach or more is gone.
    reach = rows_reach_cm(focal_mm=50, rows=2)
    assert reach[1] > reach[2] > reach[3]
    assert reach[3] / reach[1] < 0.75
