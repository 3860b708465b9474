"""What `measure` prints, writes and ends with; the measuring itself is replaced or tiny."""

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from click.testing import CliRunner, Result
from PIL import Image

from eyeplane.cli import main
from eyeplane.errors import StoreError
from eyeplane.records import Sitting

Asked = dict[str, Any]
Run = Callable[..., tuple[Result, Asked]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Run:
    """Return a way to run the command with a sitting, or an error, in place of measuring."""

    def go(outcome: Sitting | BaseException, *words: str) -> tuple[Result, Asked]:
        asked: Asked = {}

        def fake(paths: list[Path], **given: object) -> Sitting:
            asked.update(given, paths=paths)
            if isinstance(outcome, BaseException):
                raise outcome
            return outcome

        monkeypatch.setattr("eyeplane.cli.measure.measure_sitting", fake)
        return CliRunner().invoke(main, ["measure", str(tmp_path), *words]), asked

    return go


def test_the_table_answers_first_and_fits(run: Run, builder: ModuleType) -> None:
    sitting = builder.make_sitting()
    result, _ = run(sitting)
    assert result.exit_code == 0
    lines = result.stdout.splitlines()
    assert lines[0] == "Marta Ilves"
    assert lines[1:5] == list(sitting.lines)
    assert max(len(line) for line in lines) <= 100
    assert "\x1b" not in result.stdout
    assert "35 cm (30–39)" in result.stdout
    best = [line.split()[1] for line in lines if line.startswith("best")]
    assert best[0] == "ilves-02.jpg"
    assert len(best) == 2  # of a burst of one frame none is the best
    assert "From left to right: 45 cm (40–50)" in " ".join(result.stdout.split())
    assert "hall.jpg: nobody was found on it" in result.stdout
    assert (
        "line\\x1b[2Jbreak\\u202egpj.jpg: could not be read: the file ends before" in result.stdout
    )
    assert "ilves-01.jpg at 100.5,200.5: a disc of 12 px (11–13)" in result.stdout


def test_the_sitting_is_told_in_few_more_lines(run: Run, builder: ModuleType) -> None:
    result, _ = run(builder.make_sitting())
    head, _, rest = result.stdout.partition("Burst 1")
    said = " ".join(head.split())
    assert (
        "1 of those that hold is a near duplicate · 1 with closed eyes · fall short: focus 4"
        in said
    )
    assert "Most help: Focus on the near iris. 6 (4–8) frames expected to hold 60 cm" in said
    assert head.count("It repeats:") == 3  # of four
    assert len(head.splitlines()) <= 16
    assert "the pixels fit it" not in rest
    assert "Take care" in rest
    assert "never fire it" in " ".join(rest.split())


def test_why_tells_what_stands_behind_each_answer(run: Run, builder: ModuleType) -> None:
    result, _ = run(builder.make_sitting(), "--why")
    said = " ".join(result.stdout.partition("\nWhy\n")[2].split())
    assert "Focus caught the lashes, 6.6 mm in front of the iris." in said
    assert "Shake: 42 % before looking (1/125 s at 85 mm" in said
    assert "Third from the left: out, too near; eye from the focus plane 60 mm nearer" in said
    assert "Main light at 10 o'clock, about 40° off the lens" in said
    assert max(len(line) for line in result.stdout.splitlines()) <= 100
    assert "\nWhy\n" not in run(builder.make_sitting())[0].stdout


def test_why_says_so_where_nothing_more_can_be_told(run: Run, builder: ModuleType) -> None:
    sitting = builder.bare_sitting()
    one = replace(sitting, frames=sitting.frames[:1])
    result, _ = run(one, "--why")
    assert "Nothing more can be told of these frames than the answers above." in result.stdout


def test_what_was_asked_reaches_the_measuring(
    run: Run, builder: ModuleType, tmp_path: Path
) -> None:
    store = tmp_path / "s.sqlite3"
    words = ["--at", "1,2.5", "--at", "30,40", "--print-cm", "76.2", "--viewing-cm", "80"]
    words += ["--workers", "3", "--store", str(store), "--again"]
    _, asked = run(builder.make_sitting(), *words)
    assert asked["paths"] == (tmp_path,)
    assert asked["settings"].spots_px == ((1.0, 2.5), (30.0, 40.0))
    assert asked["viewing"].print_cm == 76.2
    assert asked["viewing"].distance_cm == 80
    assert asked["options"].workers == 3
    assert asked["options"].store_path == store
    assert asked["options"].again


def test_what_was_not_asked_is_the_standard(run: Run, builder: ModuleType) -> None:
    _, asked = run(builder.make_sitting())
    assert asked["viewing"].distance_cm == 50
    assert asked["viewing"].print_cm is None
    assert asked["options"].store_path is None
    assert not asked["options"].again
    _, asked = run(builder.make_sitting(), "--viewing-cm", "diagonal")
    assert asked["viewing"].distance_cm is None


def test_json_to_the_screen_is_json_and_nothing_else(run: Run, builder: ModuleType) -> None:
    result, _ = run(builder.make_sitting(), "--json", "-")
    plain = json.loads(result.stdout)
    assert len(plain["frames"]) == 13
    assert plain["frames"][4]["path"].endswith(builder.HOSTILE)


def test_json_and_report_are_written_beside_the_table(
    run: Run, builder: ModuleType, tmp_path: Path
) -> None:
    numbers, page = tmp_path / "n.json", tmp_path / "r.html"
    result, _ = run(builder.make_sitting(), "--json", str(numbers), "--report", str(page))
    assert "Burst 1" in result.stdout
    assert len(json.loads(numbers.read_text("utf-8"))["frames"]) == 13
    assert "2 of 11 frames hold 60 cm." in page.read_text("utf-8")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["n.json", "r.html"]


def test_not_one_readable_frame_is_status_1(run: Run, builder: ModuleType) -> None:
    sitting = builder.make_sitting()
    bad = replace(sitting, frames=sitting.frames[-1:], measured=0, nobody=0, unreadable=1)
    result, _ = run(bad)
    assert result.exit_code == 1
    assert "the file ends before the picture does" in result.stdout
    nobody = replace(sitting, frames=sitting.frames[-2:], measured=0, nobody=1, unreadable=1)
    assert run(nobody)[0].exit_code == 0


def test_a_failing_store_is_status_3(run: Run) -> None:
    result, _ = run(StoreError("it is locked", where="s.sqlite3", hint="Close the other run"))
    assert result.exit_code == 3
    assert result.stderr == "s.sqlite3: it is locked. Close the other run.\n"


def test_an_interrupt_is_status_130_and_says_what_is_kept(run: Run) -> None:
    result, _ = run(KeyboardInterrupt())
    assert result.exit_code == 130
    assert "What was measured is kept." in result.stderr


@pytest.mark.parametrize("option", ["--report", "--json", "--store"])
def test_a_picture_is_never_written_over(
    run: Run, builder: ModuleType, tmp_path: Path, option: str
) -> None:
    frame = tmp_path / "frame.JPG"
    Image.new("RGB", (8, 8)).save(frame, "JPEG")
    before = frame.read_bytes()
    result, asked = run(builder.make_sitting(), option, str(frame))
    assert result.exit_code == 2
    assert "never written to" in result.stderr
    assert not asked
    assert frame.read_bytes() == before


def test_a_report_nowhere_is_refused_before_measuring(
    run: Run, builder: ModuleType, tmp_path: Path
) -> None:
    result, asked = run(builder.make_sitting(), "--report", str(tmp_path / "no" / "r.html"))
    assert result.exit_code == 2
    assert "its folder does not exist" in result.stderr
    assert not asked
    assert run(builder.make_sitting(), "--report", str(tmp_path))[0].exit_code == 2


def test_a_path_that_is_not_there(tmp_path: Path) -> None:
    store = str(tmp_path / "s.sqlite3")
    result = CliRunner().invoke(main, ["measure", str(tmp_path / "no"), "--store", store])
    assert result.exit_code == 2
    assert "there is no such file or folder" in result.stderr


def test_a_folder_without_frames(tmp_path: Path) -> None:
    folder = tmp_path / "empty"
    folder.mkdir()
    result = CliRunner().invoke(
        main, ["measure", str(folder), "--store", str(tmp_path / "s.sqlite3")]
    )
    assert result.exit_code == 2
    assert "no frames were found there" in result.stderr
    assert result.stdout == ""
