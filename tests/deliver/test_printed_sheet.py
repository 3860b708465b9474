"""Sheets to print: the PDF read back by another program, and measured."""

import re
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from tests.deliver.sheet_reader import media_mm, pages, pdf_text, streams

from eyeplane.deliver.printed_sheet import write_printed
from eyeplane.errors import InputError
from eyeplane.kit.chart_design import chart_sheet
from eyeplane.records.printed import PAPERS_MM

DPI = 254  # 10 px a mm
needs_poppler = pytest.mark.skipif(
    shutil.which("pdftoppm") is None, reason="poppler is not installed"
)


@pytest.fixture(scope="module")
def sheets(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """Return the chart of every paper as a PDF."""
    folder = tmp_path_factory.mktemp("sheets")
    written = {}
    for paper in PAPERS_MM:
        path = folder / f"{paper}.pdf"
        write_printed(chart_sheet(paper), path)
        written[paper] = path.read_bytes()
    return written


def grey(document: bytes, folder: Path) -> NDArray[np.float64]:
    """Return a page as poppler draws it, 0 to 1, at 10 px a mm."""
    source, target = folder / "sheet.pdf", folder / "sheet"
    source.write_bytes(document)
    subprocess.run(
        ["pdftoppm", "-r", str(DPI), "-gray", "-singlefile", str(source), str(target)],  # noqa: S607  # found above
        check=True,
        capture_output=True,
    )
    return np.asarray(Image.open(folder / "sheet.pgm"), float) / 255


@pytest.mark.parametrize("paper", PAPERS_MM)
def test_the_page_is_the_paper_on_its_side(sheets: dict[str, bytes], paper: str) -> None:
    assert pages(sheets[paper]) == 1
    assert media_mm(sheets[paper]) == pytest.approx(PAPERS_MM[paper][::-1], abs=0.005)


@pytest.mark.parametrize("paper", PAPERS_MM)
def test_corners_stand_in_the_file_where_the_design_puts_them(
    sheets: dict[str, bytes], paper: str
) -> None:
    """All corners of all areas, read from the page's own operators (ISO 32000-1, section 8.5)."""
    sheet = chart_sheet(paper)
    content = next(part for part in streams(sheets[paper]) if b" Tf" in part)
    numbers = re.findall(rb"([\d.]+) ([\d.]+) [ml]\b", content)
    found = np.array(numbers, float) * 25.4 / 72
    found[:, 1] = sheet.height_mm - found[:, 1]
    asked = np.array([corner for patch in sheet.patches for corner in patch.corners_mm])
    nearest = [np.hypot(*(found - corner).T).min() for corner in asked]
    assert max(nearest) < 0.005


@needs_poppler
def test_ruler_and_edges_measure_right_on_the_drawn_page(
    sheets: dict[str, bytes], tmp_path: Path
) -> None:
    sheet = chart_sheet("A4")
    page = grey(sheets["A4"], tmp_path)
    assert page.shape == pytest.approx((2100, 2970), abs=1)
    (x0, y), (x1, _) = sheet.ruler_mm
    row = 1 - page[int((y - 2) * 10)]  # above the line: ticks alone
    dark = np.flatnonzero(row[int(x0 * 10) - 5 : int(x1 * 10) + 6] > 0.5) + int(x0 * 10) - 5
    assert (dark[-1] + 1 - dark[0]) / 10 == pytest.approx(x1 - x0, abs=0.1)
    for edge in sheet.edges[::5]:
        start, end, inward = (np.array(v) for v in (edge.from_mm, edge.to_mm, edge.dark_mm))
        depths = np.arange(-1.0, 1.0, 0.02)
        places = np.linspace(0.05, 0.95, 60)
        at = (start + places[:, None] * (end - start))[:, None] + depths[:, None] * inward
        seen = page[(at[..., 1] * 10).astype(int), (at[..., 0] * 10).astype(int)]
        assert 1.0 - np.sum(1 - seen.mean(axis=0)) * 0.02 == pytest.approx(0.0, abs=0.05)


@needs_poppler
def test_full_ink_is_black_and_greys_are_what_was_asked(
    sheets: dict[str, bytes], tmp_path: Path
) -> None:
    """Grey codes by the curve of sRGB (IEC 61966-2-1): .18 of the light is code 118."""
    sheet = chart_sheet("A4")
    page = grey(sheets["A4"], tmp_path) * 255
    for patch in sheet.patches:
        if 0 < patch.level < 1:
            x, y = np.mean(patch.corners_mm, axis=0)
            code = 255 * (1.055 * patch.level ** (1 / 2.4) - 0.055)
            assert page[int(y * 10), int(x * 10)] == pytest.approx(code, abs=1)
    for edge in sheet.edges:
        x, y = (np.array(edge.from_mm) + edge.to_mm) / 2 + 5 * np.array(edge.dark_mm)
        assert page[int(y * 10), int(x * 10)] == 0


def test_ink_is_black_alone_not_mixed_of_colours(sheets: dict[str, bytes]) -> None:
    """Operator g: DeviceGray (ISO 32000-1, section 8.6.4.2)."""
    content = next(part for part in streams(sheets["A4"]) if b" Tf" in part)
    assert not re.search(rb"\brg\b|\bk\b", content)
    assert re.search(rb"\b0 g\b", content)


def test_print_dialogues_are_asked_not_to_scale(sheets: dict[str, bytes]) -> None:
    """ISO 32000-1, table 150: PrintScaling None."""
    assert b"/PrintScaling /None" in sheets["A4"]


def test_the_words_can_be_selected(sheets: dict[str, bytes]) -> None:
    told = pdf_text(sheets["Letter"])
    for words in chart_sheet("Letter").words:
        assert words.text in told


def test_the_same_sheet_makes_the_same_file(tmp_path: Path, sheets: dict[str, bytes]) -> None:
    write_printed(chart_sheet("A4"), tmp_path / "again.pdf")
    assert (tmp_path / "again.pdf").read_bytes() == sheets["A4"]


def test_another_ending_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"End its name in \.pdf"):
        write_printed(chart_sheet("A4"), tmp_path / "chart.png")
    with pytest.raises(InputError, match="folder that exists"):
        write_printed(chart_sheet("A4"), tmp_path / "none" / "chart.pdf")
