"""The focus target: every edge and mark lies where the record says, for every paper."""

import math

import numpy as np
import pytest
from tests.kit.coverage import coverage

from eyeplane.deliver.sheet import Letters
from eyeplane.deliver.sheet_type import width_mm
from eyeplane.errors import InputError
from eyeplane.kit.fiducials import NUMBERS
from eyeplane.kit.focus_design import RULER_MM, focus_sheet
from eyeplane.kit.focus_layout import FORWARD, WINGS, focus_layout
from eyeplane.records.printed import PAPERS_MM, PrintedSheet

PAPERS = tuple(PAPERS_MM)
PER_MM = 10


@pytest.fixture(scope="module", params=PAPERS)
def printed(request: pytest.FixtureRequest) -> tuple[PrintedSheet, np.ndarray]:
    """Return a sheet and its ink as printed, 10 dots a mm."""
    sheet = focus_sheet(request.param)
    wide, high = round(sheet.width_mm * PER_MM), round(sheet.height_mm * PER_MM)
    page = np.ones((high, wide))
    for patch in sheet.patches:
        corners = np.array(patch.corners_mm) * PER_MM
        low = np.maximum(np.floor(corners.min(axis=0)).astype(int), 0)
        end = np.minimum(np.ceil(corners.max(axis=0)).astype(int), (wide, high))
        part = page[low[1] : end[1], low[0] : end[0]]
        part += coverage(corners - low, *(end - low)) * (patch.level - part)
    return sheet, page


def at(page: np.ndarray, x: float, y: float) -> float:
    return float(page[int(y * PER_MM), int(x * PER_MM)])


def test_paper_lies_on_its_side_and_the_marks_are_its_own(
    printed: tuple[PrintedSheet, np.ndarray],
) -> None:
    sheet, _ = printed
    assert (sheet.height_mm, sheet.width_mm) == PAPERS_MM[sheet.paper]
    first = NUMBERS["focus", sheet.paper]
    assert [m.number for m in sheet.marks] == list(range(first, first + 20))
    assert sheet.ruler_mm[1][0] - sheet.ruler_mm[0][0] == pytest.approx(RULER_MM[sheet.paper])


def test_each_edge_has_ink_on_its_dark_side_and_paper_on_the_other(
    printed: tuple[PrintedSheet, np.ndarray],
) -> None:
    sheet, page = printed
    layout = focus_layout(sheet.paper)
    assert len(sheet.edges) > 350
    for edge in sheet.edges:
        for share in (0.05, 0.5, 0.95):
            x, y = (a + share * (b - a) for a, b in zip(edge.from_mm, edge.to_mm, strict=True))
            for step in (0.3, 1.0, 2.0):
                dx, dy = step * edge.dark_mm[0], step * edge.dark_mm[1]
                assert at(page, x + dx, y + dy) < 0.05
                assert at(page, x - dx, y - dy) > 0.95
        panels = {layout.panel_of(p) for p in (edge.from_mm, edge.to_mm)}
        assert len(panels) == 1
        assert (panels == {"middle"}) == (edge.square == 0)


def test_marks_lie_on_their_panels_with_bare_paper_around(
    printed: tuple[PrintedSheet, np.ndarray],
) -> None:
    sheet, page = printed
    layout = focus_layout(sheet.paper)
    for mark in sheet.marks:
        panel = layout.panel_of_mark(mark.number)
        (x0, y0), _, (x1, y1), _ = mark.corners_mm
        cell = (x1 - x0) / 7
        for x, y in mark.corners_mm:
            assert layout.panel_of((x, y)) == panel
        for along in np.linspace(-0.9, 7.9, 45):
            for point in (
                (x0 + along * cell, y0 - 0.9 * cell),
                (x0 + along * cell, y1 + 0.9 * cell),
                (x0 - 0.9 * cell, y0 + along * cell),
                (x1 + 0.9 * cell, y0 + along * cell),
            ):
                assert at(page, *point) == 1.0


def test_wings_hold_the_same_depths_on_both_sides(
    printed: tuple[PrintedSheet, np.ndarray],
) -> None:
    sheet, _ = printed
    layout = focus_layout(sheet.paper)
    reach: dict[str, list[float]] = {wing: [] for wing in WINGS}
    for edge in sheet.edges:
        panel = layout.panel_of(edge.from_mm)
        if panel != "middle":
            x = (edge.from_mm[0] + edge.to_mm[0]) / 2
            reach[panel].append(
                layout.left_mm - x if panel.endswith("left") else x - layout.right_mm
            )
    front = np.concatenate([reach[w] for w in FORWARD])
    back = np.concatenate([reach[w] for w in WINGS if w not in FORWARD])
    assert front.min() < 12 * layout.scale
    assert back.max() > 80 * layout.scale
    assert abs(np.median(front) - np.median(back)) < 4 * layout.scale


def test_words_stay_within_the_middle_panel_and_clear_of_ink(
    printed: tuple[PrintedSheet, np.ndarray],
) -> None:
    sheet, page = printed
    layout = focus_layout(sheet.paper)
    for words in sheet.words:
        x, y = words.at_mm
        long = width_mm(words.text, Letters(size_mm=words.size_mm))
        panel = layout.panel_of(words.at_mm)
        assert x + long < layout.bounds_mm(panel)[2] - 1.0, words.text
        for along in np.linspace(0, long, 60):
            for up in (-0.2, 0.35, 0.75):
                assert at(page, x + along, y - up * words.size_mm) == 1.0, words.text


def test_the_field_does_not_repeat(printed: tuple[PrintedSheet, np.ndarray]) -> None:
    """A pattern that repeats can be locked onto one period beside: common practice, no source."""
    sheet, page = printed
    x, y = focus_layout(sheet.paper).middle_mm
    row = page[int(y * PER_MM) + 15, int((x - 25) * PER_MM) : int((x + 25) * PER_MM)]
    row = row - row.mean()
    same = np.correlate(row, row, "full")[len(row) - 1 :] / (row @ row)
    first_dip = int(np.argmax(same < 0))
    assert same[first_dip:].max() < 0.75


def test_unknown_paper_is_refused() -> None:
    with pytest.raises(InputError, match="A2"):
        focus_layout("A2")


def test_field_is_larger_than_a_focus_point() -> None:
    """A focus point of 2 % of the frame's width at 1.5 m and 85 mm covers 13 mm: from memory."""
    sheet = focus_sheet("A4")
    ends = np.array([p for e in sheet.edges if e.square == 0 for p in (e.from_mm, e.to_mm)])
    assert np.ptp(ends, axis=0).min() > 3 * 13
    assert math.isclose(np.mean(ends[:, 0]), sheet.width_mm / 2, abs_tol=3)
