"""What can be dragged lies where it is drawn, and is worth what the world says."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.deliver import plan_builder

from eyeplane.deliver.plan_drag import Drawing, Handle, View
from eyeplane.deliver.plan_drawings import drawings_of, view_of
from eyeplane.deliver.plan_group_view import group_picture
from eyeplane.deliver.sheet import Shape
from eyeplane.records import Measured
from eyeplane.records.plans import GroupPlan, SitterPlan

WIDTH_MM = 95.0


def sitter(bias_mm: float | None = None) -> SitterPlan:
    """Return a plan with a wall, its focus off by some mm."""
    plan = plan_builder.sitter_plan()
    bias = None if bias_mm is None else Measured(value=bias_mm, low=bias_mm - 1, high=bias_mm + 1)
    kit = replace(plan.request.kit, focus_bias_mm=bias)
    return replace(plan, request=replace(plan.request, kit=kit, background_mm=1200.0))


def drawn(plan: SitterPlan | GroupPlan, views: dict[str, View] | None = None) -> dict[str, Drawing]:
    distance = plan.distance_mm if isinstance(plan, SitterPlan) else None
    return drawings_of(plan, distance_mm=distance, views=views or {})


def handle(drawing: Drawing, what: str) -> Handle:
    return next(one for one in drawing.handles if one.what == what)


def upright_lines(drawing: Drawing, ink: str) -> list[float]:
    """Return where upright lines of an ink stand."""
    return [
        mark.points[0][0]
        for mark in drawing.sheet.marks
        if isinstance(mark, Shape)
        and mark.pen is not None
        and mark.pen.ink == ink
        and len(mark.points) == 2
        and mark.points[0][0] == mark.points[1][0]
    ]


@pytest.mark.parametrize("bias_mm", [None, -30.0, 55.0])
def test_the_plane_is_held_where_it_is_drawn(bias_mm: float | None) -> None:
    drawing = drawn(sitter(bias_mm))["depth"]
    plane = handle(drawing, "plane")
    assert any(abs(x - plane.x_mm) < 1e-9 for x in upright_lines(drawing, "iris"))
    put = plan_builder.sitter_plan().settings[0].focus_from_near_iris_mm
    assert plane.x_mm == pytest.approx(drawing.view.x_mm(put + (bias_mm or 0.0)))
    assert plane.value_mm == (bias_mm or 0.0)


def test_where_the_focus_lands_says_what_of_the_head_is_inside() -> None:
    on_eye, behind = drawn(sitter())["depth"].spoken, drawn(sitter(100.0))["depth"].spoken
    assert "near iris on the iris, outside" not in on_eye
    assert "near iris, outside" not in on_eye
    assert "far ear 138\u2009mm behind, outside" in on_eye
    assert "focus plane 104\u2009mm behind" in behind
    assert "near iris, outside" in behind
    assert "near ear 88\u2009mm behind, far ear" in behind


@given(st.floats(-400.0, 400.0), st.floats(0.01, 3.0), st.floats(-1e4, 1e4))
def test_dragging_goes_there_and_back(shift_mm: float, scale: float, start_mm: float) -> None:
    view = View(start_mm=start_mm, scale=scale)
    moved = view.x_mm(100.0 + shift_mm) - view.x_mm(100.0)
    assert moved / view.scale == pytest.approx(shift_mm, abs=1e-6)


def test_the_rear_row_moves_the_rows_as_far_as_it_is_dragged() -> None:
    plan = plan_builder.group_plan()
    rows = plan.request.rows
    row = handle(drawn(plan)["group"], "row")
    world_mm = 300.0  # dragged so far
    spacing = row.value_mm + world_mm * row.per_ratio
    rear_before = plan.request.distance_mm + (rows - 1) * plan.request.row_spacing_mm
    assert plan.request.distance_mm + (rows - 1) * spacing == pytest.approx(rear_before + world_mm)


def test_the_camera_dragged_back_is_farther_off() -> None:
    for drawing in (drawn(sitter())["set"], drawn(plan_builder.group_plan())["group"]):
        camera = handle(drawing, "camera")
        assert camera.x_mm == pytest.approx(drawing.view.x_mm(0.0))
        assert camera.value_mm + -500.0 * camera.per_ratio == camera.value_mm + 500.0


def test_the_wall_is_held_where_it_is_drawn_and_only_where_there_is_one() -> None:
    plan = sitter()
    drawing = drawn(plan)["set"]
    wall = handle(drawing, "wall")
    assert any(abs(x - wall.x_mm) < 1e-9 for x in upright_lines(drawing, "soft"))
    assert wall.x_mm == pytest.approx(drawing.view.x_mm(plan.distance_mm + 1200.0))
    bare = replace(plan, request=replace(plan.request, background_mm=None))
    assert [one.what for one in drawn(bare)["set"].handles] == ["camera"]


@pytest.mark.parametrize("name", ["depth", "set"])
def test_a_held_view_keeps_the_world_still(name: str) -> None:
    first = drawn(sitter())[name]
    again = drawn(sitter(40.0), {name: first.view})[name]
    assert again.view == first.view
    free = drawn(sitter(-150.0))["depth"].view
    assert free != drawn(sitter())["depth"].view  # without it the drawing makes room


def test_a_held_view_of_a_group_keeps_its_scale_while_the_camera_goes() -> None:
    plan = plan_builder.group_plan()
    first = drawn(plan)["group"]
    held = replace(first.view, start_mm=first.view.start_mm + 250.0)
    nearer = replace(plan, request=replace(plan.request, distance_mm=plan.request.distance_mm))
    moved = drawn(nearer, {"group": held})["group"]
    assert moved.view == held
    gap = handle(first, "plane").x_mm - handle(moved, "plane").x_mm
    assert gap == pytest.approx(250.0 * held.scale)


def test_the_card_draws_a_group_from_its_lens_on() -> None:
    sheet = group_picture(plan_builder.group_plan()).draw(WIDTH_MM, 3.2)
    lens = [m for m in sheet.marks if isinstance(m, Shape) and m.closed and len(m.points) == 3]
    assert min(x for mark in lens for x, _ in mark.points) == 0.0


@pytest.mark.parametrize(
    "text", ["", "1", "a,b", "1,2,3", "nan,1", "0,0", "0,-1", "1e9,1", "0,inf", "inf,1", "0,1e9"]
)
def test_a_view_that_is_none_is_none(text: str) -> None:
    assert view_of(text) is None


@given(st.floats(-1e5, 1e5), st.floats(0.001, 5.0))
def test_a_view_comes_back_as_it_was_sent(start_mm: float, scale: float) -> None:
    assert view_of(f"{start_mm!r},{scale!r}") == View(start_mm=start_mm, scale=scale)


@given(st.floats(400.0, 20_000.0), st.floats(0.0, 90.0), st.floats(-190.0, 190.0))
def test_any_set_can_be_drawn(distance_mm: float, yaw_deg: float, bias_mm: float) -> None:
    plan = replace(sitter(bias_mm), distance_mm=distance_mm)
    plan = replace(plan, request=replace(plan.request, yaw_deg=yaw_deg))
    for drawing in drawn(plan).values():
        assert 0 < drawing.head_mm < drawing.axis_mm < drawing.foot_mm < drawing.sheet.height_mm
        for one in drawing.handles:
            assert one.spoken
            assert one.least_mm < one.most_mm
