"""Light, people, learned numbers and ranges as they may be typed."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.asked.plan_values import whole
from eyeplane.asked.spans import even_values, mark_values, ratio_values, read_span, whole_values
from eyeplane.asked.typed import learned, read_light, read_who, size_of
from eyeplane.asked.units import f_number, length_mm, speed_mm_per_s, time_s
from eyeplane.light import F_NUMBERS, SHUTTER_TIMES_S


@pytest.mark.parametrize(
    ("text", "flash", "measure", "amount"),
    [
        ("800 lx", False, "lux", 800.0),
        ("800lux", False, "lux", 800.0),
        ("800 LUX", False, "lux", 800.0),
        ("100 fc", False, "lux", 1076.391),  # lumens on a square foot of 0.09290304 m²
        ("EV 9", False, "ev", 9.0),
        ("EV9", False, "ev", 9.0),
        ("200 cd/m2", False, "cd_per_m2", 200.0),
        ("200 cd/m²", False, "cd_per_m2", 200.0),
        ("f/4 1/125 ISO 200", False, "meter", 4.0),
        ("f/4 at 1/125", False, "meter", 4.0),
        ("flash GN 40", True, "guide_number_m", 40.0),
        ("GN 40", True, "guide_number_m", 40.0),
        ("flash GN40 m", True, "guide_number_m", 40.0),
        ("flash GN 131 ft", True, "guide_number_m", 39.93),  # 131 × 0.3048
        ("flash GN 56 ISO 200", True, "guide_number_m", 39.6),  # a stop: over the root of two
        ("flash 400 Ws softbox", True, "energy_ws", 400.0),
        ("flash 400Ws", True, "energy_ws", 400.0),
        ("flash 250 J umbrella", True, "energy_ws", 250.0),
        ("flash f/8", True, "meter", 8.0),
        ("flash f/11 ISO 200", True, "meter", 11.0),
    ],
)
def test_light(text: str, flash: bool, measure: str, amount: float) -> None:  # noqa: FBT001
    light = read_light(text)
    assert (light.flash, light.measure) == (flash, measure)
    assert light.amount == pytest.approx(amount, rel=1e-3)


def test_what_stands_beside_the_amount() -> None:
    reading = read_light("f/4 1/125 ISO 200")
    assert (reading.shutter_s, reading.iso) == (0.008, 200.0)
    assert read_light("flash 400 Ws hot-shoe head").modifier == "hot-shoe head"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("800", "'800' is no light: give '800 lx', 'EV 9'"),
        ("bright", "'bright' is no light"),
        ("0 lx", "give more than nothing"),
        ("f/4", "lacks the shutter time"),
        ("f/4 bright", "is no reading of a light meter"),
        ("flash", "'flash' is no flash: give 'flash GN 40'"),
        ("flash GN 0", "is no flash"),
        ("flash GN 40 yd", "is no flash"),
        ("EV", "is no exposure value"),
        ("800 kg", "is no light"),
    ],
)
def test_no_light(text: str, said: str) -> None:
    with pytest.raises(ValueError, match=r"\S") as caught:
        read_light(text)
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("text", "age_years", "mood"),
    [
        ("adult", None, ""),
        ("adult 40", None, ""),
        ("child 4", 4.0, ""),
        ("Child 4.5", 4.5, ""),
        ("child 18 months", 1.5, ""),
        ("4 years", 4.0, ""),
        ("toddler", 2.0, "toddling"),
        ("toddler 3", 3.0, "toddling"),
        ("newborn", 0.0, ""),
        ("child 18", None, ""),
    ],
)
def test_who(text: str, age_years: float | None, mood: str) -> None:
    who = read_who(text)
    assert (who.age_years, who.mood) == (age_years, mood)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("bob", "does not say who sits: give adult, 'child 4'"),
        ("child", "give the age too, like 'child 4'"),
        ("4", "does not say who sits"),
        ("child 400", "is no age: give 0 to 120 years"),
    ],
)
def test_nobody(text: str, said: str) -> None:
    with pytest.raises(ValueError, match=r"\S") as caught:
        read_who(text)
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("text", "value", "interval"),
    [
        ("14mm", 14.0, None),
        ("-5mm", -5.0, None),
        ("14 mm behind (11–17)", 14.0, (11.0, 17.0)),
        ("14 mm in front (11-17)", -14.0, (-17.0, -11.0)),
        ("-12mm (-14 to -10)", -12.0, (-14.0, -10.0)),
        ("1.4cm (1.1-1.7)", 14.0, (11.0, 17.0)),
    ],
)
def test_learned_numbers(text: str, value: float, interval: tuple[float, float] | None) -> None:
    one = learned(length_mm)(text)
    assert one.value == pytest.approx(value)
    assert one.interval == (None if interval is None else pytest.approx(interval))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("15 mm/s (20-80)", "lies outside its interval"),
        ("15 mm/s (20)", "is no interval"),
        ("15 (2-80)", "has no unit"),
        ("15 mm/s (2-80", "is no number with its interval"),
    ],
)
def test_bad_intervals(text: str, said: str) -> None:
    with pytest.raises(ValueError, match=r"\S") as caught:
        learned(speed_mm_per_s)(text)
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("text", "ends", "step", "points"),
    [
        ("1m..4m", (1000.0, 4000.0), None, None),
        ("1..4m", (1000.0, 4000.0), None, None),
        ("1m…4m", (1000.0, 4000.0), None, None),
        ("4m..1m by 50cm", (4000.0, 1000.0), 500.0, None),
        ("1m..4m in 7", (1000.0, 4000.0), None, 7),
        ("-20mm..20mm", (-20.0, 20.0), None, None),
    ],
)
def test_ranges_of_lengths(
    text: str, ends: tuple[float, float], step: float | None, points: int | None
) -> None:
    span = read_span(text, length_mm)
    assert ((span.low, span.high), span.step, span.points) == (ends, step, points)


def test_an_end_borrows_the_words_of_the_other() -> None:
    assert [size_of(e) for e in _ends("EV 5..10", read_light)] == [5.0, 10.0]
    assert [size_of(e) for e in _ends("200..1600 lx", read_light)] == [200.0, 1600.0]
    assert [size_of(e) for e in _ends("flash GN 20..56", read_light)] == [20.0, 56.0]
    assert [size_of(e) for e in _ends("child 2..8", read_who)] == [2.0, 8.0]
    assert read_span("EV 5..10 by 1", read_light).step == 1.0
    assert _ends("f/1.4..8", f_number) == [1.4, 8.0]


def _ends(text: str, read: Callable[[str], object]) -> list[object]:
    span = read_span(text, read)
    return [span.low, span.high]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1m..", "a range needs two ends"),
        ("..4m", "a range needs two ends"),
        ("1..4", "has no unit"),
        ("1m..4kg", "no unit for a length"),
        ("1m..4m by x", "'x' is no step"),
        ("1m..4m in 1", "'1' is no count of points: give 2 to 10000"),
        ("1m..4m in 1e9", "is no count of points"),
    ],
)
def test_bad_ranges(text: str, said: str) -> None:
    with pytest.raises(ValueError, match=r"\S") as caught:
        read_span(text, length_mm)
    assert said in str(caught.value)


def test_apertures_and_times_go_by_the_cameras_third_stops() -> None:
    span = read_span("f/1.4..f/2.8", f_number)
    marks = tuple(map(float, F_NUMBERS))
    assert mark_values((1.4, 2.8), span, marks) == (1.4, 1.6, 1.8, 2.0, 2.2, 2.5, 2.8)
    times = mark_values((1 / 60, 1 / 125), read_span("1/60..1/125", time_s), SHUTTER_TIMES_S)
    assert [round(1 / t) for t in times] == [60, 80, 100, 125]
    assert mark_values((1.75, 1.76), span, marks) == (1.75, 1.76)  # no mark lies between


def test_rows_go_by_whole_numbers() -> None:
    assert whole_values((1.0, 4.0), read_span("1..4", whole)) == (1.0, 2.0, 3.0, 4.0)
    assert whole_values((8.0, 2.0), read_span("8..2 by 3", whole)) == (8.0, 5.0, 2.0)
    assert whole_values((1.0, 4.0), read_span("1..4 in 7", whole)) == (1.0, 2.0, 3.0, 4.0)


def test_steps_and_counts() -> None:
    span = read_span("1m..4m by 50cm", length_mm)
    assert even_values((1000.0, 4000.0), span) == pytest.approx([1000 + 500 * n for n in range(7)])
    back = read_span("4m..1m by 50cm", length_mm)
    assert even_values((4000.0, 1000.0), back)[:2] == (4000.0, 3500.0)
    seven = read_span("100 lx..800 lx in 4", read_light)
    assert ratio_values((100.0, 800.0), seven) == pytest.approx([100, 200, 400, 800])
    with pytest.raises(ValueError, match="more than 10000 points"):
        even_values((1.0, 1e6), read_span("1mm..1000m by 1mm", length_mm))


@given(st.floats(1, 1e4), st.floats(1, 1e4), st.integers(2, 40))
def test_both_ends_are_in_every_range(low: float, high: float, count: int) -> None:
    span = read_span(f"1mm..2mm in {count}", length_mm)
    for values in (even_values((low, high), span), ratio_values((low, high), span)):
        assert len(values) == count
        assert values[0] == pytest.approx(low)
        assert values[-1] == pytest.approx(high)
