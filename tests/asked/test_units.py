"""Every unit that may be typed, and one sentence for each that may not."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.asked import units

# Inches and feet are exact by definition: 25.4 mm and 304.8 mm (international yard and pound
# agreement, 1959). A foot-candle is a lumen on a square foot.
LENGTHS = [
    ("85mm", 85.0),
    ("85 mm", 85.0),
    ("8.5cm", 85.0),
    ("8,5 cm", 85.0),
    ("2.0m", 2000.0),
    ("2 M", 2000.0),
    ("6ft", 1828.8),
    ("6'", 1828.8),
    ("6ft 2in", 1879.6),
    ("6' 2\"", 1879.6),
    ("6′2″", 1879.6),
    ("24in", 609.6),
    ('24"', 609.6),
    ("-20mm", -20.0),
    ("−20mm", -20.0),
    ("0,004m", 4.0),
    ("1,8288m", 1828.8),
]
TIMES = [
    ("1/250", 0.004),
    ("1/250s", 0.004),
    ("1/250 s", 0.004),
    ("1/2.5", 0.4),
    ("0.5s", 0.5),
    ("0.5", 0.5),
    ("4ms", 0.004),
    ("2 sec", 2.0),
]
OTHERS: list[tuple[Callable[[str], float], str, float]] = [
    (units.f_number, "f/2.8", 2.8),
    (units.f_number, "F/2.8", 2.8),
    (units.f_number, "f2.8", 2.8),
    (units.f_number, "2.8", 2.8),
    (units.f_number, "f/2,8", 2.8),
    (units.iso_speed, "400", 400.0),
    (units.iso_speed, "ISO 400", 400.0),
    (units.iso_speed, "iso400", 400.0),
    (units.exposure_value_ev, "EV 9", 9.0),
    (units.exposure_value_ev, "EV9", 9.0),
    (units.exposure_value_ev, "9 EV", 9.0),
    (units.exposure_value_ev, "EV -1.5", -1.5),
    (units.angle_deg, "25", 25.0),
    (units.angle_deg, "25deg", 25.0),
    (units.angle_deg, "25°", 25.0),
    (units.stop_count_ev, "3", 3.0),
    (units.stop_count_ev, "3 stops", 3.0),
    (units.stop_count_ev, "1 stop", 1.0),
    (units.speed_mm_per_s, "15 mm/s", 15.0),
    (units.speed_mm_per_s, "4cm/s", 40.0),
    (units.speed_mm_per_s, "0.5 m/s", 500.0),
    (units.micrometres_um, "4 um", 4.0),
    (units.micrometres_um, "4 µm", 4.0),
    (units.micrometres_um, "4", 4.0),
    (units.rate_per_s, "8", 8.0),
    (units.rate_per_s, "8/s", 8.0),
    (units.share, "95%", 0.95),
    (units.share, "0.95", 0.95),
]


@pytest.mark.parametrize(("text", "size_mm"), LENGTHS)
def test_lengths(text: str, size_mm: float) -> None:
    assert units.length_mm(text) == pytest.approx(size_mm, rel=1e-12)


@pytest.mark.parametrize(("text", "seconds_s"), TIMES)
def test_times(text: str, seconds_s: float) -> None:
    assert units.time_s(text) == pytest.approx(seconds_s, rel=1e-12)


@pytest.mark.parametrize(("read", "text", "value"), OTHERS)
def test_all_others(read: Callable[[str], float], text: str, value: float) -> None:
    assert read(text) == pytest.approx(value, rel=1e-12)


def test_pairs_of_sides() -> None:
    for text in ("36x24", "24x36", "36 x 24 mm", "36×24mm"):
        assert units.sides(text, "sensor", "36x24") == (36.0, 24.0)


@pytest.mark.parametrize(
    ("read", "text", "said"),
    [
        (units.length_mm, "2", "'2' has no unit: give it one, like 85mm, 2.0m or 6ft 2in"),
        (units.length_mm, "2kg", "'kg' is no unit for a length"),
        (units.length_mm, "far", "'far' is no length: give 85mm, 2.0m or 6ft 2in"),
        (units.length_mm, "6,000mm", "can be read in two ways"),  # thousands, or six? not guessed
        (units.time_s, "1/0", "'1/0' is no time"),
        (units.time_s, "1/250m", "'1/250m' is no time: give 1/250, 0.5s or 4ms"),
        (units.time_s, "0s", "give more than nothing"),
        (units.time_s, "2min", "'min' is no unit for a time"),
        (units.f_number, "f/0", "'f/0' is no aperture: give more than nothing"),
        (units.f_number, "wide", "'wide' is no aperture: give f/2.8 or 2.8"),
        (units.f_number, "2.8mm", "is no aperture"),
        (units.iso_speed, "fast", "'fast' is no ISO: give 400 or ISO 400"),
        (units.iso_speed, "-100", "give more than nothing"),
        (units.exposure_value_ev, "9", "'9' is no exposure value: give 'EV 9'"),
        (units.angle_deg, "25mm", "'mm' is no unit for an angle"),
        (units.speed_mm_per_s, "15mm", "'mm' is no unit for a speed"),
        (units.speed_mm_per_s, "15", "'15' has no unit"),
        (units.micrometres_um, "4mm", "'mm' is no unit for a blur on the sensor"),
        (units.share, "95dB", "'db' is no unit for a share"),
    ],
)
def test_what_is_none_is_said_in_one_sentence(
    read: Callable[[str], float], text: str, said: str
) -> None:
    with pytest.raises(ValueError, match=r"\S") as caught:
        read(text)
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


@given(st.floats(0.001, 1e6), st.sampled_from(sorted(units.MM)))
def test_a_length_comes_back_in_every_unit(size_mm: float, unit: str) -> None:
    typed = f"{size_mm / units.MM[unit]:.12f}{unit}"
    assert units.length_mm(typed) == pytest.approx(size_mm, rel=1e-6, abs=1e-6)


@given(st.integers(0, 30), st.integers(0, 11))
def test_feet_and_inches_add_up(feet: int, inches: int) -> None:
    both = units.length_mm(f"{feet}ft {inches}in")
    assert both == pytest.approx(units.length_mm(f"{12 * feet + inches}in"))


@given(st.text(max_size=12))
def test_no_text_ever_breaks_a_reader(text: str) -> None:
    for read in (units.length_mm, units.time_s, units.f_number, units.iso_speed, units.share):
        try:
            assert isinstance(read(text), float)
        except ValueError as error:
            assert str(error)  # noqa: PT017  either is right


def test_a_comma_before_three_digits_is_not_guessed_at() -> None:
    with pytest.raises(ValueError, match="'1,500m' can be read in two ways"):
        units.length_mm("1,500m")
