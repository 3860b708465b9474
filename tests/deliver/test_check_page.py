"""The page of a check: one file that asks for nothing and escapes what is foreign."""

import re
from dataclasses import replace
from pathlib import Path

import pytest
from tests.deliver.check_builder import check_content

from eyeplane.deliver import write_check
from eyeplane.errors import InputError


def test_everything_a_check_tells_stands_on_its_page(tmp_path: Path) -> None:
    path = tmp_path / "dust.html"
    content = check_content()
    write_check(content, path)
    page = path.read_text("utf-8")
    assert "Two shadows would show &lt;at f/16&gt; &amp; one at f/8." in page
    told = (content.advice, *content.lines, *content.cautions, *content.notes, "b = t / (n N).")
    for text in (*told, "cannot tell", "Deepest first.", 'alt="A dark spot"', "Facing it."):
        assert text in page, text
    assert page.count("data:image/png;base64,") == 1
    assert page.count("data:image/jpeg;base64,") == 1
    assert page.index(content.advice) < page.index("<svg") < page.index("<table")
    assert not re.search(r"https?://(?!www\.w3\.org/)", page)
    assert "<script" not in page


def test_little_to_tell_makes_a_short_page_without_empty_headings(tmp_path: Path) -> None:
    bare = replace(
        check_content(), advice="", lines=(), drawings=(), pictures=(), tables=(), reasons=(),
        cautions=(), notes=(),
    )  # fmt: skip
    write_check(bare, tmp_path / "a.html")
    page = (tmp_path / "a.html").read_text("utf-8")
    for part in ("<h2", "<figure", "<table", "<details", "<section", "<footer"):
        assert part not in page


def test_the_same_check_makes_the_same_file(tmp_path: Path) -> None:
    for name in ("a", "b"):
        write_check(check_content(), tmp_path / f"{name}.html")
    assert (tmp_path / "a.html").read_bytes() == (tmp_path / "b.html").read_bytes()


def test_a_folder_that_is_not_there_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be written"):
        write_check(check_content(), tmp_path / "no" / "a.html")
