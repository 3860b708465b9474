"""The report's file: self-contained, escaped, whole, and every number from the records."""

import hashlib
import re
from base64 import b64encode
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from types import ModuleType

import pytest

from eyeplane.deliver import write_report
from eyeplane.deliver.numbers import exposure_facts
from eyeplane.errors import InputError


class Page(HTMLParser):
    """Tags, attributes and text of a page."""

    def __init__(self, source: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.feed(source)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.words.append(data)

    @property
    def text(self) -> str:
        return re.sub(r"[ \n]+", " ", " ".join(self.words))


@pytest.fixture(scope="module")
def source(builder: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> str:
    path = tmp_path_factory.mktemp("report") / "report.html"
    write_report(builder.make_sitting(name="<b>Ilves</b> & Söhne"), path, note="A <i>story</i>.")
    return path.read_text("utf-8")


@pytest.fixture(scope="module")
def page(source: str) -> Page:
    return Page(source)


def test_it_asks_for_nothing_from_outside(page: Page) -> None:
    for tag, attributes in page.tags:
        assert tag not in {"script", "link", "iframe", "object", "embed", "base", "form"}
        for name, value in attributes.items():
            assert not name.startswith("on"), (tag, name)
            if name in {"src", "href", "srcset", "action", "data", "poster"}:
                assert value is not None
                assert value.startswith(("#", "data:image/jpeg;base64,")), value


def test_the_policy_forbids_all_but_its_own_style_and_inline_pictures(
    source: str, page: Page
) -> None:
    policy = next(
        a["content"]
        for t, a in page.tags
        if t == "meta" and a.get("http-equiv") == "Content-Security-Policy"
    )
    style = re.search(r"<style>(.*?)</style>", source, re.DOTALL)
    assert style is not None
    digest = b64encode(hashlib.sha256(style[1].encode()).digest()).decode()
    assert policy is not None
    assert policy.startswith("default-src 'none';")
    assert f"style-src 'sha256-{digest}'" in policy
    assert "unsafe" not in policy
    assert not [a for _, a in page.tags if "style" in a]
    assert "@import" not in style[1]
    assert "url(" not in style[1]


def test_hostile_names_stay_text(builder: ModuleType, source: str, page: Page) -> None:
    assert "<script" not in source
    assert "<img src=x" not in source
    assert "<b>Ilves" not in source
    assert "<i>story" not in source
    assert builder.HOSTILE in page.text
    assert "<b>Ilves</b> & Söhne" in page.text
    assert builder.UNICODE in page.text
    assert "\x1b" not in source
    assert "\u202e" not in source
    assert "line\\x1b[2Jbreak\\u202egpj.jpg" in page.text


def test_a_name_that_is_no_unicode_can_be_written(builder: ModuleType, tmp_path: Path) -> None:
    path = tmp_path / "r.html"
    write_report(builder.make_sitting(name="Ang\udcf6la"), path)
    assert "Ang\\udcf6la" in path.read_text("utf-8")


def test_every_frame_sentence_and_advice_is_there(builder: ModuleType, page: Page) -> None:
    sitting = builder.make_sitting()
    for frame in sitting.frames:
        assert frame.answer.sentence in page.text
        assert frame.answer.advice in page.text
    for line in sitting.lines:
        assert line in page.text
    assert "the file ends before the picture does" in page.text
    assert "nobody was found on it" in page.text


def test_numbers_carry_their_spread(page: Page) -> None:
    assert "35\u202fcm (30–39)" in page.text
    assert "a disc of 6.4\u202fpx (5.6–7.2)" in page.text
    assert "14\u202fmm behind (10–18)" in page.text
    assert "1.83\u202fm (1.74\u202fm to 1.92\u202fm)" in page.text
    assert "ISO 100" in page.text
    assert "1/125\u202fs" in page.text
    assert "Blur at 100.5, 200.5" in page.text


def test_where_the_photographer_keeps_frames_is_not_told(page: Page, source: str) -> None:
    assert "/sittings/" not in source
    assert "ilves/ilves-01.jpg" in page.text
    assert "ilves/ilves-01.dng" in page.text


@pytest.mark.parametrize(
    ("written", "shown"),
    [
        ("2026-03-14T10:04:00", "2026-03-14 10:04:00"),
        ("2026-03-14T10:04:00.400000", "2026-03-14 10:04:00.4"),
        ("2026-03-14T10:04:00.000000+02:00", "2026-03-14 10:04:00+02:00"),
        ("2026-03-14T10:04:10.120+10:00", "2026-03-14 10:04:10.12+10:00"),
    ],
)
def test_capture_times(builder: ModuleType, written: str, shown: str) -> None:
    reading = builder.reading_of("a.jpg", ())
    reading = replace(reading, exposure=replace(reading.exposure, captured_at=written))
    assert exposure_facts(reading)[0].words == shown


def test_cannot_tell_says_why(page: Page) -> None:
    assert "focus plane: cannot tell" in page.text
    assert "there is too little texture before the eye" in page.text


def test_sitters_stand_from_left_to_right_and_bystanders_do_not_count(source: str) -> None:
    table = source[source.index('<table class="group">') :]
    table = table[: table.index("</table>")]
    rows = re.findall(r"<tr><th scope=\"row\">(.*?)</th>(.*?)</tr>", table)
    assert [who for who, _ in rows] == ["first", "second", "third"]
    cells = [re.findall(r"<td.*?>(.*?)</td>", rest) for _, rest in rows]
    # The focus plane lay 6 mm behind, 2 mm before and 60 mm behind them; the depth is 9 mm.
    assert [c[0] for c in cells] == ["in", "in", "out, too near"]
    assert [c[1].partition(" (")[0] for c in cells] == [
        "6\u202fmm nearer",
        "2.0\u202fmm farther",
        "60\u202fmm nearer",
    ]
    assert [c[2].partition(" (")[0] for c in cells] == ["45\u202fcm", "70\u202fcm", "22\u202fcm"]
    assert [c[3] for c in cells] == ["as shot", "as shot", "f/11"]
    assert "f/11 would have held everybody where the focus lay." in source
    assert "Faces too small to count as sitters" in source


def test_a_group_of_which_only_the_reach_is_told_lists_that_alone(
    builder: ModuleType, tmp_path: Path
) -> None:
    sitting = builder.bare_sitting()
    group = sitting.frames[-3]
    faces = tuple(replace(f, offset_mm=None) for f in group.answer.faces)
    frame = replace(group, answer=replace(group.answer, faces=faces))
    write_report(replace(sitting, frames=(frame,)), tmp_path / "r.html")
    source = (tmp_path / "r.html").read_text("utf-8")
    table = source[source.index('<table class="group">') :]
    assert re.findall(r'scope="col">(.*?)<', table[: table.index("</table>")])[:2] == [
        "from the left",
        "reach",
    ]  # and no column of which nothing is known
    assert "would hold at" not in source


def test_the_whole_sitting_is_told_before_its_frames(page: Page, source: str) -> None:
    for words in (
        "1 of those that hold is a near duplicate",
        "What would help most",
        "Focus on the near iris",
        "6 (4–8) frames expected to hold 60\u202fcm instead of 2",
        "what else would help",
        "1/400 s instead of 1/125 s",
        "whether lens or hand is not settled",
        "Ten frames of a ruler at 45° on a tripod tell it.",
        "Focus plane 11\u202fmm behind (6–16)",
        "Spread 9\u202fmm (6–14), over 9 frames",
    ):
        assert words in page.text
    heads = [source.index(f'id="{name}"') for name in ("help", "habits", "kits", "burst-1")]
    assert heads == sorted(heads)


def test_findings_chances_and_light_are_told(page: Page, source: str) -> None:
    for words in (
        "Focus caught the lashes, 6.6 mm in front of the iris.",
        "Third face from the left: the far eye lies 24 mm behind and is soft.",
        "Main light at 10 o'clock, about 40° off the lens, 22° wide and 30° high",
        "38° (31–45) off the lens; seen from the sitter 22° (18–27) wide",
        "your hands move this far in one frame of five",
        "30 times better",
        "78° from level, and a disc of 2.4\u202fpx (1.9–3.0) besides",
        "red by 2.1\u202fpx² (1.5–2.8), blue by −1.0\u202fpx² (−2.0 to −0.20) more blurred",
        "14\u202fpx (12–16) long, 0° from level; flash drew 64\u202f% (55\u202f% to 72\u202f%)",
        "1.1\u202f% in the deepest zone, 5.1\u202f% in the brightest",
    ):
        assert words in page.text, words
    spoken = [a.get("aria-label") or "" for tag, a in page.tags if tag == "svg"]
    assert "Catchlights on the iris, the strongest first: at 10 o'clock, at 2 o'clock" in spoken
    fifth = source.index("The eyes got 2 % of white.")
    assert source.rindex("<details>", 0, fifth) > source.rindex("</details>", 0, fifth)


def test_a_sitting_of_which_only_the_frames_are_told_is_whole_as_well(
    builder: ModuleType, tmp_path: Path
) -> None:
    write_report(builder.bare_sitting(), tmp_path / "r.html")
    bare = Page((tmp_path / "r.html").read_text("utf-8"))
    for words in (
        "What would help most",
        "What repeats",
        "kit by kit",
        "How probable",
        "hold with",
    ):
        assert words not in bare.text
    assert not [
        a for _, a in bare.tags if a.get("class") in {"findings", "tally", "clock", "light"}
    ]
    assert "Take care" in bare.text


def test_a_long_sitting_is_written_piece_by_piece(builder: ModuleType, tmp_path: Path) -> None:
    path = tmp_path / "long.html"
    write_report(builder.make_sitting(copies=20), path)
    assert path.read_text("utf-8").count('<article class="note') == 201


def test_it_is_whole_or_not_there(
    builder: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "r.html"
    path.write_text("old")
    monkeypatch.setattr("eyeplane.deliver.report.others_of", lambda _: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        write_report(builder.make_sitting(), path)
    assert path.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["r.html"]


def test_a_folder_that_is_not_there_is_said(builder: ModuleType, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be written"):
        write_report(builder.make_sitting(), tmp_path / "no" / "r.html")
