"""Sheets in millimetres, their type, and what they become as SVG and as PDF."""

import hashlib
import math
import re
import shutil
import subprocess
from itertools import pairwise
from pathlib import Path
from types import ModuleType

import pytest
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]  # has no types
from hypothesis import given, settings
from hypothesis import strategies as st

from eyeplane.deliver.sheet import HATCH_MM, Letters, Pen, Shape, Sheet, Words
from eyeplane.deliver.sheet_pdf import pdf
from eyeplane.deliver.sheet_svg import svg
from eyeplane.deliver.sheet_type import (
    FILES,
    FONTS,
    balanced,
    lacking,
    lines_of,
    printable,
    width_mm,
)

ROOT = Path(__file__).parents[2]
PRINTED = (
    "f/2.8 1/250\u2009s −0.3 52–78 ≈ 25° 3 × 4 ÷ ⅓ ⅔ µm → ← · … ’ “ ” ′ ″ □\u202f"
    "äöüß ÉŁČøå ΔΩ Жя אב"
)


def drawn() -> Sheet:
    """Return a sheet with every kind of mark."""
    sheet = Sheet(width_mm=60.0, height_mm=40.0)
    sheet.box((5.0, 5.0), (25.0, 15.0), "pale", Pen())
    sheet.line((5.0, 20.0), (55.0, 20.0), Pen(dashed=True))
    sheet.disc((40.0, 10.0), 4.0, "iris", None)
    sheet.words((5.0, 30.0), 'f/4 & "1/320\u202fs" <soft>', Letters(size_mm=4.0))
    return sheet


def test_a_font_is_the_file_that_the_notice_names() -> None:
    notice = (ROOT / "NOTICE").read_text(encoding="utf-8")
    for name in FILES.values():
        digest = hashlib.sha256((FONTS / name).read_bytes()).hexdigest()
        assert f"| {name} | {digest} |" in notice


def test_the_fonts_say_themselves_that_they_are_free() -> None:
    """Their licence stands in name 13 of the name table (OpenType 1.9, Naming Table)."""
    for name in FILES.values():
        with TTFont(FONTS / name) as font:
            assert "SIL Open Font License, Version 1.1" in font["name"].getDebugName(13)
            assert font["OS/2"].fsType == 0  # installable embedding
    licence = (FONTS / "OFL.txt").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1 - 26 February 2007" in licence
    assert "Reserved Font Name Liberation" in licence


def test_all_signs_that_plans_use_are_there() -> None:
    assert lacking(printable(PRINTED)) == ""
    assert lacking("李 and 娜 and 李") == "李娜"


@pytest.mark.parametrize("face", FILES)
def test_widths_are_those_of_the_font(face: str) -> None:
    """Against the font's own horizontal metrics, read with fontTools."""
    text = "Wall f/2.8, 1/250\u202fs"
    with TTFont(FONTS / FILES[face]) as font:  # type: ignore[index]  # a parameter of the test
        names = [font.getBestCmap()[ord(sign)] for sign in text]
        ems = sum(font["hmtx"][name][0] for name in names) / font["head"].unitsPerEm
    letters = Letters(face=face, size_mm=3.0)  # type: ignore[arg-type]  # a parameter of the test
    assert width_mm(text, letters) == pytest.approx(3.0 * ems, rel=1e-3)


@given(
    words=st.lists(st.text("abcdefgh-,.", min_size=1, max_size=40), max_size=30),
    room_mm=st.floats(10.0, 120.0),
)
@settings(max_examples=60, deadline=None)
def test_lines_fit_and_lose_nothing(words: list[str], room_mm: float) -> None:
    letters = Letters(face="serif", size_mm=3.0)
    lines = lines_of(" ".join(words), letters, room_mm)
    assert all(width_mm(line, letters) <= room_mm for line in lines)
    assert "".join(lines).replace(" ", "") == "".join(words)
    even = balanced(" ".join(words), letters, room_mm)
    assert len(even) == len(lines)
    assert all(width_mm(line, letters) <= room_mm for line in even)


def test_a_number_stays_on_the_line_of_its_unit() -> None:
    letters = Letters(size_mm=3.0)
    for room in range(8, 60):
        for line in lines_of(
            printable("print 60\u2009cm seen from 50\u2009cm"), letters, float(room)
        ):
            assert not line.startswith("cm")


def test_hatching_stays_inside_and_is_evenly_spaced() -> None:
    sheet = Sheet(width_mm=30.0, height_mm=30.0)
    sheet.hatch((3.3, 4.4), (17.0, 12.5), Pen())
    sums = []
    for stroke in sheet.marks:
        assert isinstance(stroke, Shape)
        (x0, y0), (x1, y1) = stroke.points
        assert 3.3 - 1e-9 <= min(x0, x1) <= max(x0, x1) <= 17.0 + 1e-9
        assert 4.4 - 1e-9 <= min(y0, y1) <= max(y0, y1) <= 12.5 + 1e-9
        sums.append((x0 + y0, x1 + y1))
    assert all(a == pytest.approx(b) for a, b in sums)  # 45 degrees
    steps = [b[0] - a[0] for a, b in pairwise(sums)]
    assert len(sums) > 10
    assert all(step / math.sqrt(2) == pytest.approx(HATCH_MM) for step in steps)


def test_a_drawing_keeps_its_shape_where_it_is_laid() -> None:
    card = Sheet(width_mm=100.0, height_mm=100.0)
    card.place(drawn(), (10.0, 20.0))
    before, after = drawn().marks, card.marks
    for one, other in zip(before, after, strict=True):
        if isinstance(one, Shape) and isinstance(other, Shape):
            assert other.points[0] == (one.points[0][0] + 10.0, one.points[0][1] + 20.0)
        if isinstance(one, Words) and isinstance(other, Words):
            assert other.at == (one.at[0] + 10.0, one.at[1] + 20.0)


def test_svg_is_to_scale_and_escapes_what_is_foreign() -> None:
    text = svg(drawn(), spoken='a "drawing" & <more>', whole=True)
    assert 'viewBox="0 0 60 40" width="60mm" height="40mm"' in text
    assert 'aria-label="a &quot;drawing&quot; &amp; &lt;more&gt;"' in text
    assert "f/4 &amp; &quot;1/320\u202fs&quot; &lt;soft&gt;</text>" in text
    assert "M5 5L25 5L25 15L5 15Z" in text
    assert 'cx="40" cy="10" r="4"' in text
    assert "style=" not in text  # the page's policy allows no inline style


def test_pdf_is_one_page_of_its_size_with_text_to_select(reader: ModuleType) -> None:
    document = pdf(drawn(), title="A card")
    assert reader.pages(document) == 1
    assert reader.media_mm(document) == pytest.approx((60.0, 40.0), abs=0.01)
    assert reader.pdf_text(document) == 'f/4 & "1/320\u2009s" <soft>'


def test_only_the_signs_used_are_embedded() -> None:
    small = len(pdf(drawn(), title=""))
    assert small < 30_000 < (FONTS / FILES["sans"]).stat().st_size


def test_a_sign_that_the_type_lacks_becomes_a_square_and_does_not_warn(reader: ModuleType) -> None:
    sheet = Sheet(width_mm=60.0, height_mm=20.0)
    sheet.words((2.0, 10.0), "Familie 李 \U0001f600", Letters())
    assert reader.pdf_text(pdf(sheet, title="李")) == "Familie □ □"


def test_hebrew_is_set_from_the_right(reader: ModuleType) -> None:
    """Unicode Standard Annex 9: of right-to-left letters the last stands leftmost."""
    sheet = Sheet(width_mm=60.0, height_mm=20.0)
    sheet.words((2.0, 10.0), "אבג", Letters())
    assert reader.pdf_text(pdf(sheet, title="")) == "גבא"


def test_the_middle_and_the_end_of_words_stand_where_they_are_put(reader: ModuleType) -> None:
    sheet = Sheet(width_mm=60.0, height_mm=20.0)
    letters = Letters(size_mm=3.0, anchor="end")
    sheet.words((50.0, 10.0), "the end", letters)
    content = next(part for part in reader.streams(pdf(sheet, title="")) if b" Tj" in part)
    found = re.search(rb"BT ([\d.]+) ", content)
    assert found is not None
    assert float(found[1]) * 25.4 / 72 == pytest.approx(
        50.0 - width_mm("the end", letters), abs=0.01
    )


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler is not installed")
def test_poppler_reads_the_same_text(tmp_path: Path) -> None:
    (tmp_path / "card.pdf").write_bytes(pdf(drawn(), title="A card"))
    told = subprocess.run(
        ["pdftotext", str(tmp_path / "card.pdf"), "-"],  # noqa: S607  # found above
        capture_output=True,
        check=True,
        encoding="utf-8",
    )
    assert told.stdout.split("\n")[0].replace("\u202f", " ") == 'f/4 & "1/320 s" <soft>'
