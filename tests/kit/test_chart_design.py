"""Our chart: what ISO 12233 asks of edges, room around them, and marks that no corner hides."""

import itertools
import math
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.kit.coverage import coverage

from eyeplane.deliver.sheet import Letters
from eyeplane.deliver.sheet_type import width_mm
from eyeplane.errors import InputError
from eyeplane.kit.chart_design import MARGIN_MM, TILT_DEG, chart_sheet, grey_patches
from eyeplane.kit.fiducials import CELLS, NUMBERS
from eyeplane.records.printed import PAPERS_MM

PAPERS = pytest.mark.parametrize("paper", PAPERS_MM)


@cache
def drawn(paper: str) -> NDArray[np.float64]:
    """Return a sheet's ink as a picture [y, x], 4 px a mm, 1 where the paper is bare."""
    sheet = chart_sheet(paper)
    picture = np.ones((round(sheet.height_mm * 4), round(sheet.width_mm * 4)))
    for patch in sheet.patches:
        ring = np.array(patch.corners_mm) * 4
        low, end = np.floor(ring.min(axis=0)).astype(int), np.ceil(ring.max(axis=0)).astype(int)
        part = picture[low[1] : end[1], low[0] : end[0]]
        part += coverage(ring - low, *(end - low)) * (patch.level - part)
    return np.asarray(picture.round(9))


@PAPERS
def test_a_chart_lies_on_its_side_on_its_paper(paper: str) -> None:
    sheet = chart_sheet(paper)
    assert (sheet.height_mm, sheet.width_mm) == PAPERS_MM[paper]
    assert sheet.kind == "chart"
    assert sheet.paper == paper


@PAPERS
def test_no_ink_comes_where_printers_cannot_print(paper: str) -> None:
    """6 mm on all sides: common practice of office printers, no source."""
    sheet = chart_sheet(paper)
    ink = np.array([corner for patch in sheet.patches for corner in patch.corners_mm])
    assert ink.min() >= MARGIN_MM - 1e-9 >= 6
    assert np.all(ink.max(axis=0) <= (sheet.width_mm - 6, sheet.height_mm - 6))
    assert all(words.at_mm[0] > 6 for words in sheet.words)


@PAPERS
def test_edges_slant_by_five_degrees_both_ways_in_both_directions(paper: str) -> None:
    """ISO 12233:2017 (from memory): slanted edges of about 5° near upright and near level."""
    sheet = chart_sheet(paper)
    slants = []
    for edge in sheet.edges:
        across, down = np.subtract(edge.to_mm, edge.from_mm)
        slants.append(round(math.degrees(math.atan2(down, across)) % 180, 6))
        assert np.dot(edge.dark_mm, (across, down)) == pytest.approx(0, abs=1e-9)
        assert np.hypot(*edge.dark_mm) == pytest.approx(1)
    found = sorted(set(slants))
    assert found == pytest.approx([TILT_DEG, 90 - TILT_DEG, 90 + TILT_DEG, 180 - TILT_DEG])
    assert all(slants.count(slant) == 24 for slant in slants)


@PAPERS
def test_a_sheet_hung_crooked_by_five_degrees_keeps_half_its_edges(paper: str) -> None:
    leans = {}
    for edge in chart_sheet(paper).edges:
        across, down = np.subtract(edge.to_mm, edge.from_mm)
        lean = math.degrees(math.atan2(down, across)) % 90
        leans[edge.square] = lean if lean < 45 else lean - 90
    assert sum(abs(lean + 5) > 4 for lean in leans.values()) == len(leans) / 2


@PAPERS
def test_an_edge_has_ink_on_its_dark_side_and_bare_paper_on_the_other(paper: str) -> None:
    """5 mm deep on either side: 70 px where A4 fills 24 megapixels; room for any blur we tell."""
    sheet = chart_sheet(paper)
    picture = drawn(paper)
    for edge in sheet.edges:
        start, end = np.array(edge.from_mm), np.array(edge.to_mm)
        dark = np.array(edge.dark_mm)
        assert np.hypot(*(end - start)) > 18
        for share in np.linspace(0, 1, 15):
            for depth in np.arange(0.6, 5.01, 0.4):
                for side, light in ((dark, 0.0), (-dark, 1.0)):
                    x, y = start + share * (end - start) + depth * side
                    assert picture[int(y * 4), int(x * 4)] == light, (edge, share, depth)


@PAPERS
def test_words_keep_off_the_edges_and_the_marks(paper: str) -> None:
    sheet = chart_sheet(paper)
    ink = [np.array(p.corners_mm) for p in sheet.patches]
    for words in sheet.words:
        x, y = words.at_mm
        wide = width_mm(words.text, Letters(size_mm=words.size_mm))
        box = (x - 2.5, y - words.size_mm - 1.0, x + wide + 2.5, y + 1.5)
        assert x + wide < sheet.width_mm - 6
        for ring in ink:
            small = np.ptp(ring, axis=0).min() < 4  # strokes of the ruler
            apart = (
                ring[:, 0].min() > box[2] or ring[:, 0].max() < box[0]
                or ring[:, 1].min() > box[3] or ring[:, 1].max() < box[1]
            )  # fmt: skip
            assert apart or small, words.text


@PAPERS
def test_marks_have_bare_paper_around_them(paper: str) -> None:
    sheet = chart_sheet(paper)
    picture = drawn(paper)
    for mark in sheet.marks:
        (left, top), _, (right, bottom), _ = mark.corners_mm
        cell = (right - left) / CELLS
        box = picture[
            int((top - cell) * 4) : int((bottom + cell) * 4),
            int((left - cell) * 4) : int((right + cell) * 4),
        ].copy()
        edge = int(cell * 4) - 1
        assert np.all(box[:edge] == 1)
        assert np.all(box[-edge:] == 1)
        assert np.all(box[:, :edge] == 1)
        assert np.all(box[:, -edge:] == 1)


def test_no_two_sheets_share_a_mark() -> None:
    seen = [mark.number for paper in PAPERS_MM for mark in chart_sheet(paper).marks]
    assert len(seen) == len(set(seen)) == 60
    for paper in PAPERS_MM:
        first = NUMBERS["chart", paper]
        assert [m.number for m in chart_sheet(paper).marks] == list(range(first, first + 20))


@PAPERS
def test_any_quarter_that_is_hidden_leaves_marks_far_apart(paper: str) -> None:
    sheet = chart_sheet(paper)
    middles = np.array([np.mean(m.corners_mm, axis=0) for m in sheet.marks])
    share = middles / (sheet.width_mm, sheet.height_mm)
    for right, low in itertools.product((False, True), repeat=2):
        hidden = ((share[:, 0] > 0.5) == right) & ((share[:, 1] > 0.5) == low)
        left = share[~hidden]
        assert len(left) >= 12
        assert np.all(np.ptp(left, axis=0) > 0.75)


@PAPERS
def test_the_ruler_is_as_long_as_it_says(paper: str) -> None:
    sheet = chart_sheet(paper)
    (x0, y0), (x1, y1) = sheet.ruler_mm
    said = next(words.text for words in sheet.words if "This line is" in words.text)
    assert f"This line is {x1 - x0:.0f} mm long" in said
    assert (x1 - x0) % 10 == 0
    assert y0 == y1
    strokes = [np.array(p.corners_mm) for p in sheet.patches]
    near = [s for s in strokes if np.ptp(s, axis=0).min() < 0.5]
    assert min(s[:, 0].min() for s in near) == pytest.approx(x0)
    assert max(s[:, 0].max() for s in near) == pytest.approx(x1)


@PAPERS
def test_the_sheet_names_its_paper(paper: str) -> None:
    assert any(words.text.endswith(f"· {paper}") for words in chart_sheet(paper).words)


@PAPERS
def test_the_greys_go_from_ink_to_paper(paper: str) -> None:
    levels = [patch.level for patch in grey_patches(chart_sheet(paper))]
    assert levels == sorted(levels)
    assert (levels[0], levels[-1]) == (0.0, 1.0)
    assert len(levels) == 6


def test_another_paper_is_refused_with_the_ones_there_are() -> None:
    with pytest.raises(InputError, match="A4, A3, Letter"):
        chart_sheet("A5")
