"""What sliders step through: texts that their options take, in order, at the value that holds."""

from itertools import pairwise
from pathlib import Path

import pytest

from eyeplane.asked.plan_asking import Asked, ask
from eyeplane.asked.plan_entered import entered
from eyeplane.asked.plan_request import PlanKind
from eyeplane.asked.plan_scene_options import TABLES
from eyeplane.asked.plan_steps import steps
from eyeplane.asked.typed import LightGiven, size_of
from eyeplane.light import F_NUMBERS, SHUTTER_TIMES_S

SLIDERS: dict[PlanKind, tuple[str, ...]] = {
    "sitter": ("f-number", "shutter", "iso", "distance", "focal-length", "background", "print-cm"),
    "group": ("f-number", "distance", "row-spacing", "focal-length"),
    "burst": ("lean", "distance", "f-number"),
}
LIGHTS = (
    *("800 lx", "75 fc", "EV 9", "200 cd/m2", "f/4 1/125 ISO 200", "flash GN 40"),
    *("flash 400 Ws softbox", "flash f/8", "flash 300 Ws"),
)


def asked(kind: PlanKind, **words: str) -> Asked:
    """Return what holds after some fields were filled."""
    said = entered(kind, [(name.replace("_", "-"), text) for name, text in words.items()])
    assert said.wrong == {}
    return ask(kind, said.typed, said.named, store=Path("/nowhere/none.sqlite3"))


@pytest.mark.parametrize(("kind", "name"), [(k, n) for k, names in SLIDERS.items() for n in names])
@pytest.mark.parametrize("unit", ["cm", "inch"])
def test_every_step_can_be_typed_and_they_rise(kind: PlanKind, name: str, unit: str) -> None:
    inches = unit == "inch"
    given = asked(kind).given
    found = steps(name, given, None, inches=inches)
    assert found is not None
    option = next(one for one in TABLES[kind] if one.name == name)
    values = [size_of(option.typed(text).value) for text in found.texts]
    assert None not in values
    numbers = [float(v) for v in values if v is not None]
    assert all(a < b for a, b in pairwise(numbers))
    for k in (0, len(numbers) // 2, len(numbers) - 1):
        again = steps(name, given, numbers[k], inches=inches)
        assert again is not None
        assert again.at == k


@pytest.mark.parametrize("text", LIGHTS)
def test_light_stays_of_its_kind_a_third_of_a_stop_a_step(text: str) -> None:
    given = asked("sitter", light=text).given
    found = steps("light", given, None)
    assert found is not None
    option = next(one for one in TABLES["sitter"] if one.name == "light")
    lights = [option.typed(step).value for step in found.texts]
    said = given["light"]
    assert isinstance(said, LightGiven)
    for light in lights:
        assert isinstance(light, LightGiven)
        assert (light.flash, light.measure, light.modifier) == (
            said.flash,
            said.measure,
            said.modifier,
        )
    amounts = [light.amount for light in lights if isinstance(light, LightGiven)]
    assert sorted(amounts) == amounts
    nearest = amounts[found.at]
    assert abs(nearest - said.amount) <= 0.17 * abs(said.amount)


def test_marks_stay_within_the_limits() -> None:
    given = asked("sitter", widest="f/2.8", smallest="f/11", fastest="1/1000", slowest="1/60").given
    apertures = steps("f-number", given, None)
    times = steps("shutter", given, None)
    assert apertures is not None
    assert times is not None
    assert (apertures.texts[0], apertures.texts[-1]) == ("f/2.8", "f/11")
    assert (times.texts[0], times.texts[-1]) == ("1/1000", "1/60")
    assert len(apertures.texts) == sum(2.8 <= f <= 11 for f in F_NUMBERS)
    assert len(times.texts) == sum(0.000999 <= t <= 1 / 59 for t in SHUTTER_TIMES_S)


def test_no_flash_is_offered_times_that_it_cannot_light() -> None:
    flash = steps("shutter", asked("sitter", light="flash GN 40").given, None)
    pulsed = steps(
        "shutter", asked("sitter", light="flash GN 40", high_speed_sync="yes").given, None
    )
    assert flash is not None
    assert pulsed is not None
    assert flash.texts[0] == "1/200"
    assert pulsed.texts[0] == "1/8000"


def test_what_has_no_slider_has_none() -> None:
    assert steps("sensor", asked("sitter").given, None) is None
