"""Settings at each point of a sweep against the candidates of one plan."""

import dataclasses

import numpy as np
import pytest

from eyeplane.plan.candidates import candidates
from eyeplane.plan.scene import Settings
from eyeplane.plan.sweep_points import points_of
from eyeplane.plan.sweep_settings import settled_settings
from eyeplane.records import PlanChoice, PlanKit, PlanLight, SitterRequest

KIT = PlanKit(focal_length_mm=85.0)
LIGHTS = {
    "room": PlanLight(exposure_ev=9.0),
    "flash in the dark": PlanLight(kind="flash", guide_number_m=30.0),
    "flash in a lit room": PlanLight(kind="flash", guide_number_m=30.0, exposure_ev=9.0),
    "flash on a stand": PlanLight(kind="flash", guide_number_m=30.0, flash_distance_mm=1200.0),
    "pulsed flash": PlanLight(
        kind="flash",
        guide_number_m=60.0,
        exposure_ev=8.0,
        high_speed_sync=True,
        full_power_s=1 / 400,
    ),
}


@pytest.mark.parametrize("name", LIGHTS)
def test_settled_settings_are_the_candidates_of_one_plan(name: str) -> None:
    request = SitterRequest(
        kit=KIT,
        light=LIGHTS[name],
        distance_mm=2000.0,
        choice=PlanChoice(f_number=4.0, shutter_s=1 / 125, iso=200.0),
    )
    times = (1 / 60, 1 / 200) if name != "pulsed flash" else (1 / 200, 1 / 500)
    points = points_of(request, {"shutter_s": times, "iso": (200.0, 400.0), "f_number": (4.0, 5.6)})
    found = settled_settings(points, np.full(len(points), 2000.0))
    assert found.valid.any()
    for k in np.flatnonzero(found.valid).tolist():
        choice = PlanChoice(**{n: float(points.columns[n][k]) for n in points.columns})
        alone = candidates(KIT, request.light, choice, distance_mm=2000.0)
        for part in Settings.__slots__:
            expected = getattr(alone.settings, part)[0]
            told = getattr(found.settings, part)[k]
            assert told == pytest.approx(expected, nan_ok=True), part
        assert found.off_ev[k] == pytest.approx(alone.off_ev, abs=1e-9)


def test_flash_faster_than_sync_and_settings_past_the_limits_are_not_valid() -> None:
    request = SitterRequest(
        kit=dataclasses.replace(KIT, smallest_f_number=8.0),
        light=LIGHTS["flash in the dark"],
        distance_mm=2000.0,
        choice=PlanChoice(f_number=4.0, shutter_s=1 / 125, iso=200.0),
    )
    points = points_of(request, {"shutter_s": (1 / 500, 1 / 125), "f_number": (4.0, 11.0)})
    found = settled_settings(points, np.full(4, 2000.0))
    assert found.valid.tolist() == [False, False, True, False]
    assert "flash sync" in found.why
    assert "limits" in found.why
