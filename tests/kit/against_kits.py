"""Kits for the tests of one kit against another."""

import math
from typing import Any

import numpy as np

from eyeplane.kit.against import Asked, compare_kits
from eyeplane.kit.against_sides import Exposing, KitSide
from eyeplane.records import PlanKit
from eyeplane.records.kit_against import AgainstResult

FULL, SMALL = (36.0, 24.0), (24.0, 16.0)
SOLD_CM = ((30.0, 20.0), (60.0, 40.0), (90.0, 60.0), (150.0, 100.0))


def kit_side(
    name: str,
    megapixels: float,
    *,
    sensor_mm: tuple[float, float] = FULL,
    **more: Any,  # noqa: ANN401
) -> KitSide:
    """Return a kit of so many pixels in the shape of its sensor."""
    long_mm, short_mm = sensor_mm
    long_px = round(math.sqrt(megapixels * 1e6 * long_mm / short_mm))
    chart = more.pop("chart", ())
    kit = PlanKit(
        focal_length_mm=85.0,
        sensor_long_mm=long_mm,
        sensor_short_mm=short_mm,
        long_edge_px=long_px,
        short_edge_px=round(long_px * short_mm / long_mm),
        **more,
    )
    return KitSide(name=name, kit=kit, glass=chart)


def compared(
    a: KitSide,
    b: KitSide,
    *,
    iso: float | None = 100.0,
    ev: float = 9.0,
    **more: Any,  # noqa: ANN401
) -> AgainstResult:
    """Return one kit against another in even light."""
    # more: fields of `Asked`
    asked = Asked(exposing=Exposing(exposure_ev=ev, shutter_s=1 / 250, iso=iso), **more)
    return compare_kits(a, b, asked, np.random.default_rng(7))
