"""The plot of a sweep shows the numbers of its table, and says what it leaves out."""

import math
import re
from itertools import pairwise, product
from pathlib import Path
from types import ModuleType

import pytest

from eyeplane.deliver import write_sweep_plot
from eyeplane.deliver.plan_axis import marks, picked, quantity, spaced_by_factors
from eyeplane.deliver.plan_sweep import sweep_sheet
from eyeplane.errors import InputError
from eyeplane.records.sweep import Sweep

STOPS = (1.4, 2.0, 2.8, 4.0, 5.6, 8.0, 11.0)
Column = tuple[float | None, ...]


def one_input() -> Sweep:
    """Return shares and reaches by aperture, with their intervals."""
    share = (0.1, 0.3, 0.5, 0.6, 0.55, 0.5, 0.4)
    reach = tuple(100 * s for s in share)
    return Sweep(
        names=("f_number",),
        columns={
            "f_number": STOPS,
            "share": share,
            "share_low": tuple(s - 0.1 for s in share),
            "share_high": tuple(s + 0.1 for s in share),
            "reach_cm": reach,
            "reach_low_cm": tuple(0.8 * r for r in reach),
            "reach_high_cm": tuple(1.2 * r for r in reach),
        },
        settled=False,
        notes=("Found on whole stops.",),
    )


def more_inputs(*counts: int) -> Sweep:
    """Return a share over a product of inputs, with a gap in it."""
    names = ("distance_mm", "yaw_deg", "f_number")[-len(counts) :]
    values = {
        "distance_mm": tuple(1000.0 * (k + 1) for k in range(9)),
        "yaw_deg": tuple(10.0 * k for k in range(9)),
        "f_number": STOPS,
    }
    rows = list(product(*(values[n][:c] for n, c in zip(names, counts, strict=True))))
    columns: dict[str, Column] = {n: tuple(r[k] for r in rows) for k, n in enumerate(names)}
    columns["share"] = tuple(
        None if r[-1] == 4.0 and r[-2] == 10.0 else 0.9 / (1 + r[-2] / 30) for r in rows
    )
    return Sweep(names=names, columns=columns, settled=True)


def test_a_line_runs_through_the_numbers_of_the_table(reader: ModuleType) -> None:
    sweep = one_input()
    sheet = sweep_sheet(sweep)
    course = reader.shapes(sheet, ink="iris")[0].points
    top, foot = (
        next(w.at[1] for w in reader.texts(sheet) if w.text == text) - 0.35 * 3.4
        for text in ("100\u2009%", "0\u2009%")
    )
    shares = [(foot - y) / (foot - top) for _, y in course]
    assert shares == pytest.approx(sweep.columns["share"], abs=1e-3)
    xs = [x for x, _ in course]
    ratios = [math.log(b / a) for a, b in pairwise(STOPS)]
    steps = [b - a for a, b in pairwise(xs)]
    assert [s / steps[0] for s in steps] == pytest.approx([r / ratios[0] for r in ratios])


def test_the_interval_is_a_band(reader: ModuleType) -> None:
    sheet = sweep_sheet(one_input())
    bands = reader.shapes(sheet, fill="pale")
    assert len(bands) == 2  # of the share and of the reach
    assert all(len(band.points) == 2 * len(STOPS) for band in bands)


def test_two_inputs_make_a_line_each_with_its_name(reader: ModuleType) -> None:
    sheet = sweep_sheet(more_inputs(3, 7))
    told = [w.text for w in reader.texts(sheet)]
    assert {"0°", "10°", "20°"} <= set(told)
    assert "Share of frames that hold by aperture and yaw" in told
    assert reader.shapes(sheet, fill="pale") == []
    dashes = {(s.pen.ink, s.pen.dashed) for s in reader.shapes(sheet) if s.pen and not s.closed}
    assert {("iris", False), ("ink", False), ("iris", True)} <= dashes  # not by colour alone


def test_a_gap_in_the_table_is_a_gap_in_the_line(reader: ModuleType) -> None:
    whole = sweep_sheet(more_inputs(1, 7))
    parted = sweep_sheet(more_inputs(2, 7))
    runs = [len(s.points) for s in reader.shapes(parted, ink="ink") if not s.closed]
    assert [len(s.points) for s in reader.shapes(whole, ink="iris")] == [7]
    assert runs == [3, 3]


def test_lines_that_run_alike_are_one(reader: ModuleType) -> None:
    """The near eye's share does not depend on the turn of the head."""
    sweep = more_inputs(3, 7)
    alike: dict[str, Column] = {**sweep.columns, "share": (0.1, 0.3, 0.5, 0.6, 0.5, 0.4, 0.3) * 3}
    sheet = sweep_sheet(Sweep(names=sweep.names, columns=alike, settled=True))
    assert "0°, 10°, 20°" in [w.text for w in reader.texts(sheet)]
    assert reader.sticking_out(sheet) == []


def test_what_is_not_drawn_is_said(reader: ModuleType) -> None:
    told = reader.said(sweep_sheet(more_inputs(9, 8, 7)))
    assert "Of 8 values of yaw 5 are drawn; the table has all." in told
    assert "Of 9 panels 4 are drawn; the table has all." in told
    assert "distance 1.00\u2009m" in told
    assert "Found on whole stops." in reader.said(sweep_sheet(one_input()))


@pytest.mark.parametrize("counts", [(3, 7), (8, 7), (9, 8, 7)])
def test_nothing_sticks_out_or_covers_anything(reader: ModuleType, counts: tuple[int, ...]) -> None:
    for sweep in (more_inputs(*counts), one_input()):
        sheet = sweep_sheet(sweep)
        assert reader.sticking_out(sheet) == []
        assert reader.overlapping(sheet) == []


def test_a_plot_is_a_whole_file_of_true_size(tmp_path: Path) -> None:
    path = tmp_path / "sweep.svg"
    write_sweep_plot(one_input(), path)
    text = path.read_text(encoding="utf-8")
    size = re.search(r'viewBox="0 0 (\S+) (\S+)" width="(\S+)mm" height="(\S+)mm"', text)
    assert size is not None
    assert size.groups()[:2] == size.groups()[2:]
    assert 'xmlns="http://www.w3.org/2000/svg"' in text
    assert "What comes of the plan by aperture, 7 points." in text


def test_what_cannot_be_plotted_is_said(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"as \.svg"):
        write_sweep_plot(one_input(), tmp_path / "sweep.png")
    single = Sweep(names=("iso",), columns={"iso": (100.0,), "share": (0.5,)}, settled=True)
    with pytest.raises(InputError, match="nothing to plot"):
        write_sweep_plot(single, tmp_path / "sweep.svg")
    nothing = Sweep(
        names=("iso",), columns={"iso": (100.0, 200.0), "share": (None, None)}, settled=True
    )
    with pytest.raises(InputError, match="nothing to plot"):
        write_sweep_plot(nothing, tmp_path / "sweep.svg")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("column", "value", "said"),
    [
        ("f_number", 2.8, "f/2.8"),
        ("shutter_s", 1 / 320, "1/320\u2009s"),
        ("iso", 800.0, "ISO 800"),
        ("distance_mm", 2000.0, "2.00\u2009m"),
        ("yaw_deg", 25.0, "25°"),
        ("print_cm", 76.2, "76.2\u2009cm"),
        ("exposure_ev", -1.5, "EV −1.5"),
        ("share", 0.5, "50\u2009%"),
        ("age_years", 4.0, "4 years"),
        ("rows", 3.0, "3"),
    ],
)
def test_values_are_said_in_the_photographers_units(column: str, value: float, said: str) -> None:
    assert quantity(column).said(value) == said


def test_what_is_set_in_stops_is_spaced_by_factors_and_named_in_whole_stops() -> None:
    thirds = tuple(1.4 * 2 ** (k / 6) for k in range(19))
    assert spaced_by_factors("f_number", thirds)
    assert not spaced_by_factors("yaw_deg", (1.0, 60.0))
    assert len(marks("f_number", thirds)) == 7  # 1.4 to 11
    assert picked(tuple(range(100)), 5) == (0, 25, 50, 74, 99)
