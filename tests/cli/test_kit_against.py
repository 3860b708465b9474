"""`eyeplane kit against`: kits as they are named, prints sold, and bad input."""

import json
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st
from tests.deliver.chart_builder import reading

from eyeplane.asked.prints_sold import sold_sizes_cm
from eyeplane.cli import main
from eyeplane.cli.kit_against_sides import named_side
from eyeplane.errors import InputError
from eyeplane.records import to_plain
from eyeplane.store import KitLog, Memory

A, B = "24 MP, f/2.8, glass 5 um", "60 MP, f/1.4, glass 1.5 um"


@pytest.fixture
def store(tmp_path: Path) -> Path:
    return tmp_path / "s.sqlite3"


def run(store: Path, *arguments: str) -> tuple[int, str]:
    result = CliRunner().invoke(main, ["kit", "against", *arguments, "--store", str(store)])
    return result.exit_code, " ".join(result.output.replace("\u2009", " ").split())


def told(store: Path, *arguments: str) -> dict[str, Any]:
    result = CliRunner().invoke(
        main, ["kit", "against", *arguments, "--store", str(store), "--json", "-"]
    )
    assert result.exit_code == 0, result.output
    found: dict[str, Any] = json.loads(result.output)
    return found


def test_two_kits_by_their_numbers(store: Path) -> None:
    status, text = run(store, A, B, "--sells", "20x30,60x90", "--f-number", "4")
    assert status == 0
    assert "The difference is seen on 60 × 90 cm, not on 20 × 30 cm." in text
    assert "Assumed of A: sensor 36x24." in text
    assert "Remembered as the prints you sell: 20x30,60x90." in text


def test_prints_sold_are_remembered_replaced_and_forgotten(store: Path) -> None:
    assert told(store, A, B)["verdict"] == "nothing sold named"
    assert not store.exists()  # asking by numbers alone leaves nothing behind
    assert told(store, A, B, "--sells", "8x10in")["ways"][0]["sold"][0]["long_cm"] == 25.4
    assert [one["long_cm"] for one in told(store, A, B)["ways"][0]["sold"]] == [25.4]
    told(store, A, B, "--sells", "30x40")
    assert [one["long_cm"] for one in told(store, A, B)["ways"][0]["sold"]] == [40.0]
    told(store, A, B, "--sells", "none")
    assert told(store, A, B)["ways"][0]["sold"] == []


def test_a_remembered_kit_with_other_pixels(store: Path) -> None:
    with Memory(store) as memory:
        texts = {"pixels": "24 MP", "widest": "f/2.8", "sensor": "23.5x15.6"}
        memory.remember("kit", "Studio", texts, today=date(2026, 1, 2))
    found = told(store, "studio", "studio, 45 MP")
    assert found["a"]["name"] == "Studio"
    assert found["a"]["sensor_long_mm"] == found["b"]["sensor_long_mm"] == 23.5
    assert found["b"]["long_edge_px"] > 1.3 * found["a"]["long_edge_px"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("24 MP, f/2.8", {"widest_f_number": 2.8, "long_edge_px": 6000}),
        ("6240x4160, 23.5x15.6, 56mm", {"sensor_long_mm": 23.5, "focal_length_mm": 56.0}),
        ("pixels 45 MP; base iso 64; glass 3 um", {"base_iso": 64.0, "glass_um": 3.0}),
        ("20 megapixels, focal-length 50mm, smallest f/22", {"smallest_f_number": 22.0}),
    ],
)
def test_descriptions(store: Path, text: str, expected: dict[str, float]) -> None:
    side = named_side("A", text, store).side
    assert side is not None
    assert {name: getattr(side.kit, name) for name in expected} == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("30x40,40x60", ((40.0, 30.0), (60.0, 40.0))),
        ("60x40, 40 × 60", ((60.0, 40.0),)),
        ("8x10in; 16x20 in", ((25.4, 20.32), (50.8, 40.64))),
        ('11x14"', ((35.56, 27.94),)),
        ("300x400mm", ((40.0, 30.0),)),
    ],
)
def test_print_sizes(text: str, expected: tuple[tuple[float, float], ...]) -> None:
    assert sold_sizes_cm(text) == expected


@given(st.lists(st.tuples(st.integers(3, 200), st.integers(3, 200)), min_size=1, max_size=8))
def test_print_sizes_in_any_order_are_the_same(sizes: list[tuple[int, int]]) -> None:
    text = ",".join(f"{a}x{b}" for a, b in sizes)
    turned = ",".join(f"{b}x{a}" for a, b in reversed(sizes))
    assert sold_sizes_cm(text) == sold_sizes_cm(turned)


@pytest.mark.parametrize(
    "text", ["", "big", "30", "30x", "0x10", "8x10in,30x40", "1x900", "30x40" * 9]
)
def test_what_is_no_print_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="Give sizes in cm"):
        sold_sizes_cm(text)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((A, A), "A and B are both"),
        (("f/2.8", B), "nothing says how many pixels 'f/2.8' has. Add them, like 'f/2.8, 24 MP'"),
        (("my best one", B), "'my best one' is no kit that is remembered, no description"),
        (("photos/none", B), "photos/none is not there"),
        (("24 MP, shiny", B), "'shiny' says nothing of a kit"),
        (("24 MP, 45 MP", B), "its pixels is given twice"),
        (("24 MP, widest f/2..4", B), "is a range"),
        (("24 MP, 0.5x0.5 mm", B), "out of bounds"),
        ((A, B, "--f-number", "1.4"), "cannot be looked at with A"),
        ((A, B, "--light", "flash GN 40"), "Give --iso instead"),
        ((A, B, "--kit", "mine"), "two kits are held against each other here"),
        ((A, B, "--sells", "big"), "'big' is no print size"),
        ((A, B, "--viewing-cm", "far"), "is no distance"),
        (("", B), "names no kit"),
    ],
)
def test_bad_input_is_one_sentence_and_status_2(
    store: Path, arguments: tuple[str, ...], said: str
) -> None:
    status, text = run(store, *arguments)
    assert status == 2
    assert said in text
    assert "Traceback" not in text


def test_unknown_kits_are_answered_with_the_known_ones(store: Path) -> None:
    with Memory(store) as memory:
        memory.remember("kit", "Studio", {"pixels": "24 MP"}, today=date(2026, 1, 2))
    status, text = run(store, "stodio", B)
    assert status == 2
    assert "remembered are Studio" in text


def test_a_kit_whose_chart_was_shot_needs_no_other_numbers(store: Path) -> None:
    with KitLog(store) as log:
        log.keep("chart", "Studio", datetime(2026, 5, 4, tzinfo=UTC), to_plain(reading()))
    status, text = run(store, "studio", B)
    assert status == 0, text
    assert "A's pixels are those of its chart's frames, 6000x4000." in text
    assert "36 × 24 mm, lens by its chart" in text
    # What was typed or remembered goes before.
    with Memory(store) as memory:
        memory.remember("kit", "Studio", {"sensor": "35.8x23.9"}, today=date(2026, 1, 2))
    assert told(store, "studio", B)["a"]["sensor_long_mm"] == 35.8
    assert told(store, "studio, 45 MP", B)["a"]["long_edge_px"] > 8000
    assert "chart's frames" not in run(store, "studio, 45 MP", B)[1]


def test_what_costs_more_than_the_kit_is_said_where_it_is_known(store: Path) -> None:
    kit = "24 MP, f/1.8, glass 2 um"
    habits = f"{kit}, focus-bias 14 mm behind, focus-spread 12 mm"
    found = told(store, habits, B, "--f-number", "2")
    assert found["habit"]["part"] == "focus"
    assert found["habit"]["a_without_cm"] > 1.1 * found["habit"]["a_reach_cm"]["value"]
    assert told(store, kit, B, "--f-number", "2")["habit"] is None


def test_frames_of_nobody_are_refused(store: Path, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    status, text = run(store, str(tmp_path / "empty"), B)
    assert status == 2
    assert "Traceback" not in text


def test_the_page_is_written(store: Path, tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    status, _ = run(store, A, B, "--page", str(page), "--sells", "30x40")
    assert status == 0
    assert "One kit against another" in page.read_text("utf-8")
