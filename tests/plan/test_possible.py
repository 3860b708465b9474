"""Nonsense is refused in one sentence, whichever number of a request it is."""

import dataclasses
import math
from dataclasses import replace
from typing import Any

import pytest
from tests.plan.group_requests import TWO_ROWS
from tests.plan.sitter_requests import FLASH, HEAD, KIT

from eyeplane.errors import InputError
from eyeplane.plan.group import plan_group
from eyeplane.plan.possible import KIT_BOUNDS, LIGHT_BOUNDS, PRINT_BOUNDS
from eyeplane.plan.sitter import plan_sitter
from eyeplane.records import (
    GroupRequest,
    Measured,
    PlanHand,
    PlanKit,
    PlanLight,
    PlanPrint,
    PlanSitter,
    SitterRequest,
)

LIT = replace(HEAD, light=replace(FLASH, flash_distance_mm=1500.0))
OPEN = {"kind", "high_speed_sync", "exposure_ev", "field_radius_mm"}


def with_part(part: str, name: str, value: float) -> SitterRequest:
    changed: Any = {part: replace(getattr(LIT, part), **{name: value})}
    return replace(LIT, **changed)


NONSENSE = (math.nan, math.inf, -math.inf, -1.0, 1e300, 1e-300)
NUMBERS = [
    (part, name, value)
    for part, bounds in (("kit", KIT_BOUNDS), ("light", LIGHT_BOUNDS), ("promise", PRINT_BOUNDS))
    for name, (least, _) in bounds.items()
    for value in NONSENSE
    if not (least == 0 and value == 1e-300)  # next to nothing is nothing there
]


@pytest.mark.parametrize(("part", "name", "value"), NUMBERS)
def test_no_number_may_be_nonsense(part: str, name: str, value: float) -> None:
    with pytest.raises(InputError) as caught:
        plan_sitter(with_part(part, name, value))
    assert caught.value.hint


@pytest.mark.parametrize("value", [math.nan, math.inf, 0.0, 1.0])
def test_no_field_bends_to_nothing(value: float) -> None:
    with pytest.raises(InputError, match="field radius"):
        plan_sitter(with_part("kit", "field_radius_mm", value))


@pytest.mark.parametrize("value", [math.nan, math.inf, 1e300])
def test_nothing_is_farther_than_far(value: float) -> None:
    with pytest.raises(InputError):
        plan_sitter(replace(HEAD, framing=None, distance_mm=value))
    with pytest.raises(InputError):
        plan_sitter(replace(HEAD, background_mm=value))


def test_no_light_is_brighter_than_bright() -> None:
    for value in (1e9, -1e9):
        with pytest.raises(InputError):
            plan_sitter(replace(HEAD, light=PlanLight(exposure_ev=value)))


@pytest.mark.parametrize(("value", "low"), [(0.0, 0.0), (0.0, -1.0), (1e-300, 0.0)])
def test_learned_sizes_are_above_nothing(value: float, low: float) -> None:
    nothing = Measured(value=value, low=low, high=value)
    for wrong in (
        replace(HEAD, kit=replace(KIT, focus_spread_mm=nothing)),
        replace(HEAD, sitter=PlanSitter(speed_mm_per_s=nothing)),
        replace(HEAD, hand=PlanHand(shake_deg_per_s=nothing)),
    ):
        with pytest.raises(InputError, match="cannot be"):
            plan_sitter(wrong)


@pytest.mark.parametrize("ends", [(-1.0, 2.0), (0.0, 1e4), (0.0, math.nan)])
def test_an_interval_of_glass_is_one_that_can_be(ends: tuple[float, float]) -> None:
    for name in ("glass_range_um", "glass_wide_range_um"):
        with pytest.raises(InputError, match="cannot be"):
            plan_sitter(replace(HEAD, kit=replace(KIT, **{name: ends})))  # type: ignore[arg-type]  # by name


NOTHING = Measured(value=0.0, low=0.0, high=0.0)


@pytest.mark.parametrize(
    "wrong",
    [
        replace(TWO_ROWS, kit=replace(TWO_ROWS.kit, sensor_long_mm=math.nan)),
        replace(TWO_ROWS, kit=replace(TWO_ROWS.kit, focus_spread_mm=NOTHING)),
        replace(TWO_ROWS, promise=PlanPrint(print_cm=0.0)),
        replace(TWO_ROWS, promise=PlanPrint(print_cm=60.0, viewing_cm=math.inf)),
        replace(TWO_ROWS, sitter=PlanSitter(speed_mm_per_s=NOTHING)),
        replace(TWO_ROWS, hand=PlanHand(shake_deg_per_s=NOTHING)),
        replace(TWO_ROWS, light=PlanLight(exposure_ev=math.nan)),
        replace(TWO_ROWS, distance_mm=1e9),
        replace(TWO_ROWS, distance_mm=math.nan),
    ],
)
def test_groups_are_refused_the_same_nonsense(wrong: GroupRequest) -> None:
    with pytest.raises(InputError) as caught:
        plan_group(wrong)
    assert caught.value.hint


def test_every_number_of_kit_and_light_is_looked_at() -> None:
    limits = {"fastest_s", "slowest_s", "base_iso", "highest_iso"}  # of the axes
    learned = {"focus_bias_mm", "focus_spread_mm", "glass_range_um", "glass_wide_range_um"}
    names = {field.name for field in dataclasses.fields(PlanKit)}
    assert names == KIT_BOUNDS.keys() | limits | learned | {"field_radius_mm"}
    assert {field.name for field in dataclasses.fields(PlanLight)} == LIGHT_BOUNDS.keys() | (
        OPEN - {"field_radius_mm"}
    )


def test_what_is_odd_but_possible_is_planned() -> None:
    assert plan_sitter(replace(HEAD, kit=replace(KIT, near_limit_mm=1.0))).settings
    none = Measured(value=0.0, low=-1.0, high=1.0)
    assert plan_sitter(replace(HEAD, kit=replace(KIT, focus_bias_mm=none))).settings
