"""The drawings of a plan are to scale, and say at each mark what it is."""

import math
from dataclasses import replace
from itertools import pairwise
from types import ModuleType

import pytest

from eyeplane.deliver.plan_budget import budget_picture
from eyeplane.deliver.plan_curve import curve_picture
from eyeplane.deliver.plan_depth import DepthScene, depth_picture
from eyeplane.deliver.plan_group_view import group_picture, lean_words
from eyeplane.deliver.plan_lean import chance_picture, lean_picture
from eyeplane.deliver.plan_picture import Picture, lanes
from eyeplane.deliver.sheet import Disc, Letters, Shape, Sheet
from eyeplane.deliver.sheet_type import width_mm
from eyeplane.records.plans import SitterPlan

SIZES = ((45.0, 2.1), (65.0, 2.4), (95.0, 3.2), (128.0, 2.6))


def depth_of(plan: SitterPlan) -> Picture:
    return depth_picture(
        DepthScene(
            distance_mm=plan.distance_mm,
            yaw_deg=plan.request.yaw_deg,
            marks=plan.marks,
            setting=plan.settings[0],
        )
    )


def all_pictures(plans: ModuleType) -> list[Picture]:
    sitter, burst = plans.sitter_plan(), plans.burst_plan()
    return [
        depth_of(sitter),
        budget_picture(sitter.settings[0].eyes),
        budget_picture(sitter.settings[0].eyes[:1]),
        curve_picture(sitter.curve, best_s=1 / 320, print_words="60\u2009cm"),
        *(group_picture(plans.group_plan(rows, faces)) for rows, faces in ((1, 1), (2, 4), (5, 9))),
        lean_picture(burst),
        chance_picture(burst),
    ]


def bar_mm(sheet: Sheet, reader: ModuleType) -> float:
    """Return the length of the scale: the level stroke at the left of the last line."""
    level = [s.points for s in reader.shapes(sheet, ink="soft") if len(s.points) == 2]
    (x0, _), (x1, _) = max(
        (p for p in level if p[0][1] == p[1][1] and p[0][0] == 0.0), key=lambda p: p[0][1]
    )
    return float(x1 - x0)


def test_nothing_sticks_out_and_no_words_cover_others(
    plans: ModuleType, reader: ModuleType
) -> None:
    for picture in all_pictures(plans):
        for width, size in SIZES:
            sheet = picture.draw(width, size)
            assert sheet.width_mm == width
            assert reader.sticking_out(sheet) == [], picture.name
            assert reader.overlapping(sheet) == [], picture.name


def test_every_drawing_is_said_in_words(plans: ModuleType) -> None:
    for picture in all_pictures(plans):
        assert picture.spoken.endswith(".")
        assert "None" not in picture.spoken


def test_the_depth_line_is_to_scale(plans: ModuleType, reader: ModuleType) -> None:
    plan = plans.sitter_plan()
    sheet = depth_of(plan).draw(82.0, 2.4)
    per_mm = bar_mm(sheet, reader) / 20.0
    plane = reader.upright(sheet, ink="iris")
    assert len(plane) == 1
    iris = plane[0] - 4.0 * per_mm  # the plane is planned 4 mm behind the near iris
    ticks = sorted({*reader.upright(sheet, ink="ink"), *reader.upright(sheet, ink="soft")})
    named = [d for name, d in plans.MARKS if name in {"nose tip", "near lashes", "near iris"}]
    named += [d for name, d in plans.MARKS if name in {"far iris", "near ear", "far ear"}]
    assert [(x - iris) / per_mm for x in ticks] == pytest.approx(named, abs=0.01)
    band = reader.shapes(sheet, fill="pale")[0]
    xs = [x for x, _ in band.points]
    assert (min(xs) - plane[0]) / per_mm == pytest.approx(-23.0, abs=0.01)
    assert (max(xs) - plane[0]) / per_mm == pytest.approx(24.0, abs=0.01)


def test_learned_scatter_is_hatched_to_scale(plans: ModuleType, reader: ModuleType) -> None:
    """Nine in ten of a normal distribution lie within 1.645 standard deviations (any table)."""
    plan = plans.sitter_plan()
    scene = DepthScene(
        distance_mm=2000.0,
        yaw_deg=25.0,
        marks=plan.marks,
        setting=plan.settings[0],
        scatter_mm=10.0,
    )
    sheet = depth_picture(scene).draw(82.0, 2.4)
    strokes = [s for s in reader.shapes(sheet, ink="iris") if s.pen.width_mm == 0.1]
    xs = [x for s in strokes for x, _ in s.points]
    per_mm = bar_mm(sheet, reader) / 20.0
    assert (max(xs) - min(xs)) / per_mm == pytest.approx(32.9, abs=0.1)
    assert not [
        s
        for s in reader.shapes(depth_of(plan).draw(82.0, 2.4), ink="iris")
        if s.pen.width_mm == 0.1
    ]


def test_the_head_is_as_tall_as_it_is_deep_to_scale(plans: ModuleType, reader: ModuleType) -> None:
    """From 46 mm above to 74 mm below the irises, as the outline of a frame's depth line."""
    sheet = depth_of(plans.sitter_plan()).draw(82.0, 2.4)
    face = max(reader.shapes(sheet, ink="soft"), key=lambda s: len(s.points))
    ys = [y for _, y in face.points]
    assert (max(ys) - min(ys)) / (bar_mm(sheet, reader) / 20.0) == pytest.approx(120.0, abs=0.5)


def test_what_lies_outside_is_lighter_and_what_lies_far_off_is_named(
    plans: ModuleType, reader: ModuleType
) -> None:
    sheet = depth_of(plans.sitter_plan()).draw(82.0, 2.4)
    inks = {words.text: words.letters.ink for words in reader.texts(sheet)}
    assert inks["near iris"] == "ink"
    assert inks["near ear"] == "soft"
    assert "background 1.20\u2009m behind →" in inks
    assert "lens, 2.00\u2009m" in inks


def test_a_depth_without_end_fills_the_line(plans: ModuleType, reader: ModuleType) -> None:
    plan = plans.sitter_plan()
    endless = replace(plan.settings[0], depth_behind_mm=None)
    picture = depth_of(replace(plan, settings=(endless,)))
    band = reader.shapes(picture.draw(82.0, 2.4), fill="pale")[0]
    assert max(x for x, _ in band.points) == 82.0
    assert "without end" in picture.spoken


@pytest.mark.parametrize(("rows", "faces"), [(2, 4), (3, 8), (1, 6)])
def test_the_top_view_is_to_scale(
    plans: ModuleType, reader: ModuleType, rows: int, faces: int
) -> None:
    plan = plans.group_plan(rows, faces)
    sheet = group_picture(plan).draw(128.0, 2.4)
    per_mm = bar_mm(sheet, reader) / 1000.0
    heads = [s for s in reader.shapes(sheet, fill="paper") if len(s.points) == 36]
    middles = [
        (
            (min(x for x, _ in s.points) + max(x for x, _ in s.points)) / 2,
            (min(y for _, y in s.points) + max(y for _, y in s.points)) / 2,
        )
        for s in heads
    ]
    assert len(middles) == rows * faces
    axis = middles[0][1] - plan.places[0].across_mm * per_mm
    for place, (x, y) in zip(plan.places, middles, strict=True):
        assert (y - axis) / per_mm == pytest.approx(place.across_mm, abs=0.5)
        assert x / per_mm == pytest.approx(place.distance_mm + 80.0, abs=0.5)  # eyes to mid-head
    plane = reader.upright(sheet, ink="iris")
    assert plane[0] / per_mm == pytest.approx(plan.focus_distance_mm, abs=0.5)
    band = reader.shapes(sheet, fill="pale")[0]
    xs = [x / per_mm for x, _ in band.points]
    assert min(xs) == pytest.approx(plan.focus_distance_mm - 170.0, abs=0.5)
    assert max(xs) == pytest.approx(plan.focus_distance_mm + 190.0, abs=0.5)


def test_arrows_are_as_long_as_the_lean_and_end_in_the_depth(
    plans: ModuleType, reader: ModuleType
) -> None:
    plan = plans.group_plan(2, 4)
    sheet = group_picture(plan).draw(128.0, 2.4)
    per_mm = bar_mm(sheet, reader) / 1000.0
    arrows = [
        s.points
        for s in reader.shapes(sheet, ink="ink")
        if len(s.points) == 2 and s.pen.width_mm == 0.3
    ]
    assert len(arrows) == 8
    for place, ((x0, _), (x1, _)) in zip(plan.places, arrows, strict=True):
        assert x0 / per_mm == pytest.approx(place.distance_mm, abs=0.5)
        assert (x0 - x1) / per_mm == pytest.approx(place.lean_mm, abs=0.5)
    told = reader.said(sheet)
    assert "lean 8\u2009cm back" in told
    assert "lean 17\u2009cm forward" in told
    assert lean_words(0.0) == "as seated"


def test_who_is_out_is_told_by_the_outline_not_by_a_colour(
    plans: ModuleType, reader: ModuleType
) -> None:
    sheet = group_picture(plans.group_plan(3, 4, lean=False)).draw(128.0, 2.4)
    heads = [s for s in reader.shapes(sheet, fill="paper") if len(s.points) == 36]
    inside = [p.inside for p in plans.group_plan(3, 4, lean=False).places]
    assert [not s.pen.dashed for s in heads] == inside
    assert "broken outline: out of the depth of field" in reader.said(sheet)


def test_the_edges_of_the_frame_are_those_of_a_50_mm_lens(
    plans: ModuleType, reader: ModuleType
) -> None:
    """50 mm on 36 mm: 39.6 degrees across at infinity, from lens makers' tables (from memory)."""
    plan = plans.group_plan(1, 2, front_mm=50_000.0)
    sheet = group_picture(plan).draw(128.0, 2.4)
    edges = [
        s.points
        for s in reader.shapes(sheet, ink="hair")
        if len(s.points) == 2 and s.points[0][0] == 0.0
    ]
    assert len(edges) == 2
    slopes = [(p[1][1] - p[0][1]) / (p[1][0] - p[0][0]) for p in edges]
    spread_deg = math.degrees(math.atan(slopes[1]) - math.atan(slopes[0]))
    assert spread_deg == pytest.approx(39.6, abs=0.1)


def test_a_stop_of_shutter_takes_the_same_room_everywhere(
    plans: ModuleType, reader: ModuleType
) -> None:
    plan = plans.sitter_plan()
    sheet = curve_picture(plan.curve, best_s=1 / 320, print_words="60\u2009cm").draw(95.0, 2.4)
    course = [p for s in reader.shapes(sheet, ink="iris") if not s.closed for p in s.points]
    xs = sorted({round(x, 6) for x, _ in course})
    steps = [b - a for a, b in pairwise(xs)]
    assert len(xs) == len(plan.curve)
    assert max(steps) - min(steps) < 1e-3
    ys = [y for _, y in course]
    heights = {round(p.share.value, 4): None for p in plan.curve}
    top, foot = (
        next(w.at[1] for w in reader.texts(sheet) if w.text == text)
        for text in ("100\u2009%", "0\u2009%")
    )
    for point in plan.curve:
        y = foot - point.share.value * (foot - top) - 0.35 * 2.4
        assert min(abs(y - other) for other in ys) < 1e-3
    assert heights


def test_the_reciprocal_rule_is_marked_as_such(plans: ModuleType, reader: ModuleType) -> None:
    plan = plans.sitter_plan()
    picture = curve_picture(plan.curve, best_s=1 / 320, print_words="60\u2009cm")
    sheet = picture.draw(95.0, 2.4)
    told = reader.said(sheet)
    assert "reciprocal rule 1/80\u2009s" in told
    assert "motion alone" in told
    assert "hold 60\u2009cm" in told
    assert "The reciprocal rule names 1/80\u2009s." in picture.spoken
    rule = reader.upright(sheet, ink="soft")
    assert len({round(x, 3) for x in rule if x > 10}) >= 1


def test_what_the_limits_forbid_is_broken(plans: ModuleType, reader: ModuleType) -> None:
    plan = plans.sitter_plan()
    sheet = curve_picture(plan.curve, best_s=1 / 320, print_words="60\u2009cm").draw(95.0, 2.4)
    courses = [s for s in reader.shapes(sheet, ink="iris") if not s.closed]
    assert [s.pen.dashed for s in courses] == [True, False]  # the first two times are forbidden


def test_bars_are_as_long_as_their_blur_at_one_scale(plans: ModuleType, reader: ModuleType) -> None:
    eyes = plans.sitter_plan().settings[0].eyes
    sheet = budget_picture(eyes).draw(128.0, 2.4)
    bars = [
        max(x for x, _ in s.points) - min(x for x, _ in s.points)
        for s in reader.shapes(sheet, fill="iris")
    ]
    near = {p.cause: p.blur_um for p in eyes[0].parts if p.blur_um is not None}
    order = [p.cause for p in eyes[0].parts if p.blur_um is not None]
    far = {p.cause: p.blur_um for p in eyes[1].parts}
    wanted = [near[cause] for cause in order] + [far[cause] for cause in order]
    per_um = bars[0] / wanted[0]
    assert [bar / per_um for bar in bars] == pytest.approx(wanted, abs=0.01)


def test_a_part_tells_the_reach_it_costs(plans: ModuleType, reader: ModuleType) -> None:
    """Without the sitter's movement the near eye would reach 92 cm instead of 71: 21 cm."""
    told = reader.said(budget_picture(plans.sitter_plan().settings[0].eyes[:1]).draw(95.0, 2.4))
    assert "21\u2009cm" in told
    assert "14\u2009µm" in told
    assert "near eye: reach 70\u2009cm (38–100)" in told  # rounded down: nothing is over-promised


def test_a_sweep_shows_every_frame_where_its_plane_lies(
    plans: ModuleType, reader: ModuleType
) -> None:
    plan = plans.burst_plan()
    sheet = lean_picture(plan).draw(82.0, 2.4)
    planes = reader.upright(sheet, ink="iris")
    per_mm = bar_mm(sheet, reader) / 10.0
    assert len(planes) == 12
    assert (planes[-1] - planes[0]) / per_mm == pytest.approx(54.0, abs=0.01)
    iris = reader.upright(sheet, ink="ink")[0]
    assert (planes[0] - iris) / per_mm == pytest.approx(-24.0, abs=0.01)


def test_the_planned_number_of_frames_is_the_largest_dot(plans: ModuleType) -> None:
    sheet = chance_picture(plans.burst_plan()).draw(65.0, 2.4)
    dots = [m for m in sheet.marks if isinstance(m, Disc)]
    assert len(dots) == 7
    chosen = max(range(7), key=lambda k: dots[k].radius_mm)
    assert plans.burst_plan().steps[chosen].frames == 12
    assert isinstance(sheet.marks[0], Shape)


def test_labels_stay_in_order_and_apart() -> None:
    letters = Letters(size_mm=2.4)
    wanted = [("nose tip", 10.0), ("near lashes", 11.0), ("near iris", 12.0), ("far iris", 13.0)]
    placed = lanes(wanted, letters, (0.0, 80.0))
    for one, other in pairwise(placed):
        gap = other.x_mm - one.x_mm
        assert gap >= (width_mm(one.text, letters) + width_mm(other.text, letters)) / 2
    assert {label.lane for label in placed} == {0}
    assert {label.lane for label in lanes(wanted, letters, (0.0, 25.0))} == {0, 1}
