"""What a check found: text, page and JSON, and refusing files before any work."""

import json
from dataclasses import dataclass
from pathlib import Path

import pytest
from tests.deliver.check_builder import check_content

from eyeplane.cli.check_options import CheckOutputs, take_outputs
from eyeplane.cli.check_show import check_text, show_check
from eyeplane.errors import InputError


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What was found."""

    depth_share: float


def test_the_text_says_the_answer_first_and_reasons_only_when_asked() -> None:
    text = check_text(check_content())
    lines = text.splitlines()
    assert lines[0] == "Sensor dust"
    assert lines[3].startswith("Two shadows would show")
    assert "b = t / (n N)." not in text
    assert "b = t / (n N)." in check_text(check_content(), why=True)
    assert "Take care" in text
    assert "cannot tell" in text
    assert all(len(line) <= 100 for line in lines)


def test_page_json_and_text(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found, content = Found(depth_share=0.04), check_content()
    page, told = tmp_path / "a.html", tmp_path / "a.json"
    assert show_check("dust", found, content, CheckOutputs(page=page, json_to=told)) == 0
    assert "Two shadows" in capsys.readouterr().out
    assert "Two shadows" in page.read_text("utf-8")
    assert json.loads(told.read_text("utf-8")) == {
        "format_version": 1,
        "check": "dust",
        "depth_share": 0.04,
    }
    assert show_check("dust", found, content, CheckOutputs(json_to=Path("-"))) == 0
    assert json.loads(capsys.readouterr().out)["depth_share"] == 0.04


def test_files_are_refused_before_any_work(tmp_path: Path) -> None:
    for page, told in (
        (tmp_path / "a.pdf", None),
        (tmp_path / "no" / "a.html", None),
        (None, tmp_path / "frame.jpg"),
        (tmp_path / "a.html", tmp_path / "a.html"),
    ):
        with pytest.raises(InputError):
            take_outputs({"page": page, "json_to": told})
    given = {"page": None, "json_to": Path("-"), "why": True, "store": None, "kit": "A", "own": 3}
    outputs = take_outputs(given)
    assert outputs.to_screen
    assert (outputs.kit, outputs.why) == ("A", True)
    assert given == {"own": 3}
