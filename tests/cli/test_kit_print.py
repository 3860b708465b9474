"""`eyeplane kit print`: a file, what to check on the print, and nothing where it must not be."""

from pathlib import Path

import pytest
from click.testing import CliRunner
from tests.deliver.sheet_reader import media_mm, pdf_text

from eyeplane.cli import main
from eyeplane.cli.kit_print_options import PAPERS
from eyeplane.kit.chart_design import chart_sheet
from eyeplane.records.printed import PAPERS_MM


def run(*words: str) -> tuple[int, str]:
    """Return status and words of a run."""
    result = CliRunner().invoke(main, ["kit", "print", *words])
    return result.exit_code, result.output


@pytest.mark.parametrize("sheet", ["chart", "focus"])
@pytest.mark.parametrize("paper", PAPERS)
def test_a_sheet_is_written_in_the_size_of_its_paper(
    tmp_path: Path, sheet: str, paper: str
) -> None:
    status, said = run(sheet, str(tmp_path / "sheet.pdf"), "--paper", paper)
    assert status == 0
    document = (tmp_path / "sheet.pdf").read_bytes()
    assert media_mm(document) == pytest.approx(PAPERS_MM[paper][::-1], abs=0.005)
    assert paper in pdf_text(document)
    assert f"for {paper} is in" in said


def test_it_says_which_length_to_measure_and_how_to_mount_it(tmp_path: Path) -> None:
    _, said = run("chart", str(tmp_path / "chart.pdf"), "--paper", "a3")
    (x0, _), (x1, _) = chart_sheet("A3").ruler_mm
    words = " ".join(said.split())
    assert f"it must be {x1 - x0:.0f} mm long" in words
    assert "--ruler-mm" in words
    assert "100 %" in words
    assert "flat" in words
    assert "Sandbags" in words
    assert "lamps are hot" in words


def test_papers_offered_are_those_there_are() -> None:
    assert sorted(PAPERS) == sorted(PAPERS_MM)


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        (("chart", "x.png"), "must end in .pdf"),
        (("chart", "nowhere/x.pdf"), "nowhere"),
        (("chart", "x.pdf", "--paper", "A5"), "A5"),
        (("wheel", "x.pdf"), "wheel"),
    ],
)
def test_what_cannot_be_written_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], reason: str
) -> None:
    monkeypatch.chdir(tmp_path)
    status, said = run(*words)
    assert status == 2
    assert reason in said
    assert list(tmp_path.iterdir()) == []
