"""Depths of the head: order, sources, children."""

import pytest

from eyeplane.people import (
    HEAD_DEPTHS,
    BodyMeasure,
    head_depth,
)


def test_order_from_nose_to_ear() -> None:
    order = ["nose tip", "mouth", "brow", "cornea", "iris", "outer eye corner", "orbit rim", "ear"]
    depths = [HEAD_DEPTHS[name].mean_mm for name in order]
    assert depths == sorted(depths)
    assert HEAD_DEPTHS["lash tips"].mean_mm < HEAD_DEPTHS["lash roots"].mean_mm


@pytest.mark.parametrize("name", HEAD_DEPTHS)
def test_every_measure_has_source_and_spread(name: str) -> None:
    measure = HEAD_DEPTHS[name]
    assert isinstance(measure, BodyMeasure)
    assert measure.source
    assert measure.sd_mm > 0 or name == "iris"


def test_children_have_wider_relative_spread() -> None:
    adult, child = head_depth("ear"), head_depth("ear", age_years=4)
    assert child.sd_mm / child.mean_mm > adult.sd_mm / adult.mean_mm
    assert head_depth("ear", age_years=30) == adult
