"""eyeplane learned, and plans that take what it shows."""

import json
import re
import sqlite3
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner, Result
from tests.sitting.taught import LIVELY, sitting_in

from eyeplane.cli import main
from eyeplane.records.check_json import check_schema
from eyeplane.records.lessons import LearnedExport, LearnedNumbers, SittingLabels
from eyeplane.sitting.lessons import keep_lessons
from eyeplane.store import Lessons, read_learned
from eyeplane.store.lessons import sitting_key

BEHIND = replace(LIVELY, bias_mm=6.0)
FIFTY = replace(LIVELY, kit=("Body A", "50 mm"), speed_mm_per_s=30.0)
CHILD = SittingLabels(sitter="child 3", focus_setting="eye detection")
ADULT = SittingLabels(sitter="adult", kit="My fifty")


def run(*words: object) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


def plain(text: str) -> str:
    return " ".join(text.replace("\u2009", " ").split())


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a store that two kits and two kinds of sitters taught."""
    base = tmp_path_factory.mktemp("taught")
    store = base / "store.sqlite3"
    for n in range(2):
        keep_lessons(sitting_in(base / f"kids{n}", n, BEHIND, day=30 * n), store, labels=CHILD)
        frames = sitting_in(base / f"adults{n}", 10 + n, FIFTY, day=100 + n)
        keep_lessons(frames, store, labels=ADULT)
    return store


@pytest.fixture
def store(filled: Path, tmp_path: Path) -> Path:
    """Return a copy that a test may change."""
    copy = tmp_path / "store.sqlite3"
    with sqlite3.connect(filled) as source, sqlite3.connect(copy) as target:
        source.backup(target)
    return copy


def plan(store: Path, *words: str) -> tuple[list[str], dict[str, object]]:
    """Return what a plan took from sittings, and its sitter and kit as asked."""
    done = run("plan", "sitter", "--store", store, "--json", "-", *words)
    assert done.exit_code == 0, done.output
    told = json.loads(done.output)
    return told["learned"], told["request"]


def test_show_says_what_was_learned_and_its_json_is_valid(filled: Path) -> None:
    done = run("learned", "show", "--store", filled, "--why")
    said = plain(done.output)
    assert "96 frames of 4 sittings" in said
    assert "the focus lies" in said
    assert "First the test" in said
    assert "How it is learned" in said
    assert "Not learned yet: your shake" in said
    told = json.loads(run("learned", "show", "--store", filled, "--json", "-").output)
    jsonschema.validate(told, check_schema("learned", LearnedNumbers))
    assert {one["sitter"] for one in told["sitters"]} == {"child 3", "adult"}


def test_show_of_one_kit_or_sitter(filled: Path) -> None:
    one = json.loads(
        run("learned", "show", "--store", filled, "--kit", "my FIFTY", "--json", "-").output
    )
    assert {found["kit"] for found in one["focus"]} == {"My fifty"}
    assert one["sitters"] == []
    one = json.loads(
        run("learned", "show", "--store", filled, "--sitter", "child 3", "--json", "-").output
    )
    assert [found["sitter"] for found in one["sitters"]] == ["child 3"]
    assert one["focus"] == []


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["show", "--kit", "Leaf"], "a kit 'Leaf'. Known are 'Body A with 85 mm' and 'My fifty'"),
        (["show", "--sitter", "cat"], "labelled 'cat'. Known are 'adult' and 'child 3'"),
        (["show", "--for-plans"], "--half-life-days 365"),
        (["show", "--half-life-days", "soon"], "'soon' is no age in days"),
        (["forget", "--yes"], "it is not said what"),
        (["forget", "--all", "--kit", "x", "--yes"], "both named"),
        (["forget", "--kit", "Leaf", "--yes"], "a kit 'Leaf'"),
        (["label", "nowhere", "--sitter", "x"], "nothing was learned from frames there yet"),
        (["label", "nowhere"], "no label was given"),
        (["label", "nowhere", "--sitter", "x" * 99], "is no label"),
    ],
)
def test_what_cannot_be_used_is_one_sentence(filled: Path, words: list[str], said: str) -> None:
    done = run("learned", *words, "--store", filled)
    assert done.exit_code == 2
    assert said in plain(done.output)


def test_nothing_learned_yet(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    done = run("learned", "show")
    assert done.exit_code == 2
    assert "nothing was learned yet. Measure a sitting" in plain(done.output)
    assert list(tmp_path.iterdir()) == []  # looking makes nothing
    assert "there is no such store" in run("learned", "export", "-", "--store", "no").output


def test_a_store_of_a_newer_eyeplane(store: Path) -> None:
    with sqlite3.connect(store) as database:
        database.execute("PRAGMA user_version = 99")
    done = run("learned", "show", "--store", store)
    assert done.exit_code == 3
    assert "newer eyeplane" in done.output
    done = run("plan", "sitter", "--store", store)
    assert done.exit_code == 0
    assert "Planned without what your sittings taught" in plain(done.output)
    assert "newer eyeplane" in plain(done.output)


def test_export_holds_everything(filled: Path, tmp_path: Path) -> None:
    target = tmp_path / "all.json"
    done = run("learned", "export", target, "--store", filled)
    assert done.exit_code == 0
    told = json.loads(target.read_text("utf-8"))
    jsonschema.validate(told, check_schema("learned export", LearnedExport))
    assert {one["labels"]["sitter"] for one in told["lessons"]} == {"child 3", "adult"}
    assert len({one["sha256"] for one in told["lessons"]}) == told["numbers"]["frames"]


def test_a_half_life_for_plans_is_kept_until_it_is_taken_back(store: Path) -> None:
    assert run("learned", "show", "--half-life-days", "10", "--store", store).exit_code == 0
    kept = read_learned(store)
    assert kept is not None
    assert kept.half_life_days is None
    words = ("learned", "show", "--for-plans", "--store", store)
    said = plain(run(*words, "--half-life-days", "10").output)
    assert "10 days before that a sitting counts half" in said
    assert re.search(r"\d+ \(as \d+\)", said)
    kept = read_learned(store)
    assert kept is not None
    assert kept.half_life_days == 10.0
    assert any("counting for" in line for line in plan(store, "--sitter-label", "child 3")[0])
    run(*words, "--half-life-days", "none")
    assert not any("counting for" in line for line in plan(store, "--sitter-label", "child 3")[0])


def test_forget_asks_first(store: Path) -> None:
    before = read_learned(store)
    done = CliRunner().invoke(
        main, ["learned", "forget", "--all", "--store", str(store)], input="n"
    )
    assert done.exit_code != 0
    assert read_learned(store) == before


@pytest.mark.parametrize(
    ("words", "kits", "sitters"),
    [
        (["--all"], set(), set()),
        (["--kit", "My fifty"], {"Body A with 85 mm"}, {"child 3"}),
        (["--kit", "Body A with 50 mm"], {"Body A with 85 mm"}, {"child 3"}),
        (["--sitter", "Child 3"], {"My fifty"}, {"adult"}),
        (["--before", "1970-04-01"], {"My fifty"}, {"adult"}),
    ],
)
def test_forget(store: Path, words: list[str], kits: set[str], sitters: set[str]) -> None:
    done = run("learned", "forget", *words, "--yes", "--store", store)
    assert done.exit_code == 0, done.output
    kept = read_learned(store)
    if not kits:
        assert kept is None
        return
    assert kept is not None
    assert {one["kit"] for one in kept.numbers["focus"]} == kits
    assert {one["sitter"] for one in kept.numbers["sitters"]} == sitters


# A folder misspelt and "Forgotten" as its answer: what was to go would still be there.
@pytest.mark.parametrize(
    "words",
    [
        ["--sitting", "/not/there"],
        ["--before", "1960-01-01"],
        ["--before", "1960-01-01", "--sitting", "/not/there"],
    ],
)
def test_what_is_not_there_is_not_said_to_be_forgotten(store: Path, words: list[str]) -> None:
    done = run("learned", "forget", *words, "--yes", "--store", store)
    assert done.exit_code == 2
    assert "nothing was forgotten" in plain(done.output)
    assert "Forgotten" not in done.output


def test_a_forgotten_sitting_is_not_learned_again_by_itself(store: Path, filled: Path) -> None:
    folder = filled.parent / "kids0"
    frames = sitting_in(folder, 0, BEHIND)

    def sittings() -> int:
        kept = read_learned(store)
        assert kept is not None
        return sum(one["counts"]["sittings"] for one in kept.numbers["focus"])

    assert sittings() == 4
    run("learned", "forget", "--sitting", folder, "--yes", "--store", store)
    assert sittings() == 3
    keep_lessons(frames, store)
    assert sittings() == 3
    done = run("learned", "label", folder, "--learn-again", "--store", store)
    assert "No frame there was forgotten" in done.output  # made up: none was ever measured there


def test_labels_change_what_plans_take(store: Path, filled: Path) -> None:
    done = run("learned", "label", filled.parent / "kids0", "--sitter", "twins", "--store", store)
    assert done.exit_code == 0
    assert "24 frames of 1 folder: --sitter 'twins'" in plain(done.output)
    assert any("('twins')" in line for line in plan(store, "--sitter-label", "twins")[0])


@pytest.mark.parametrize("name", ["sitter", "stabiliser", "focus-setting", "kit"])
def test_an_empty_label_takes_it_away(store: Path, filled: Path, name: str) -> None:
    def labels() -> set[str]:
        told = json.loads(run("learned", "export", "-", "--store", store).stdout)
        own = [one["labels"] for one in told["lessons"] if one["sitting"].endswith("kids0")]
        return {one[name.replace("-", "_")] for one in own}

    folder = filled.parent / "kids0"
    word = "on" if name == "stabiliser" else "so called"
    run("learned", "label", folder, f"--{name}", word, "--store", store)
    assert labels() == {word}
    for empty in ("", "  "):
        done = run("learned", "label", folder, f"--{name}", empty, "--store", store)
        assert done.exit_code == 0, done.stderr
        assert f"no --{name}" in done.stdout
        assert labels() == {""}
    wrong = run("learned", "label", folder, "--stabiliser", "perhaps", "--store", store)
    assert wrong.exit_code == 2
    assert "--stabiliser" in wrong.stderr


def test_names_that_are_far_too_long_are_not_read_back(store: Path, filled: Path) -> None:
    for words in (
        ["show", "--kit"],
        ["show", "--sitter"],
        ["forget", "--yes", "--kit"],
        ["forget", "--yes", "--sitter"],
        ["label", str(filled.parent / "kids0"), "--kit"],
        ["label", str(filled.parent / "kids0"), "--focus-setting"],
    ):
        done = run("learned", *words, "x" * 10_000, "--store", store)
        assert done.exit_code == 2, words
        assert words[-1] in done.stderr
        assert "10000 signs" in done.stderr
        assert len(done.stderr) < 200
    done = run("plan", "sitter", "--sitter-label", "x" * 10_000, "--store", store)
    assert done.exit_code == 2
    assert len(done.stderr) < 300


def test_the_list_of_commands_is_whole() -> None:
    listed = run("learned", "--help").stdout.partition("Commands:")[2]
    assert listed.count("\n  ") == 4
    assert "..." not in listed
    assert "…" not in listed


def test_a_kit_is_one_body_with_one_lens(store: Path, filled: Path) -> None:
    done = run("learned", "label", filled.parent, "--kit", "both", "--store", store)
    assert done.exit_code == 2
    assert "two kits (Body A with 50 mm and Body A with 85 mm)" in plain(done.output)


def test_a_plan_takes_the_named_kit_and_sitter_and_says_so(filled: Path) -> None:
    lines, request = plan(filled, "--kit", "My fifty", "--sitter-label", "child 3")
    assert any(
        re.match(r"Learned from \d+ frames of 2 sittings \(My fifty\): --focus-bias", one)
        for one in lines
    )
    assert any("of 2 sittings ('child 3'): --sitter-speed" in one for one in lines)
    kept = read_learned(filled)
    assert kept is not None
    focus = next(one for one in kept.numbers["focus"] if one["kit"] == "My fifty")
    assert request["kit"]["focus_bias_mm"]["value"] == pytest.approx(  # type: ignore[index]
        focus["bias_mm"]["value"], rel=0.01, abs=0.01
    )
    child = next(one for one in kept.numbers["sitters"] if one["sitter"] == "child 3")
    assert request["sitter"]["speed_mm_per_s"]["high"] == pytest.approx(  # type: ignore[index]
        child["exposures_mm_per_s"]["high"], rel=0.01
    )


def test_a_plan_takes_the_way_of_focusing_that_is_named(store: Path, filled: Path) -> None:
    folder = filled.parent / "adults0"
    run("learned", "label", folder, "--focus-setting", "one point", "--store", store)
    kept = read_learned(store)
    assert kept is not None
    parts = [one for one in kept.numbers["focus"] if one["setting"] == "one point"]
    assert len(parts) == 1
    words = ("--kit", "My fifty", "--focus-setting")
    lines, request = plan(store, *words, "One  point")
    assert any("(My fifty, set by 'one point'" in one for one in lines)
    for end in ("value", "low", "high"):
        assert request["kit"]["focus_spread_mm"][end] == pytest.approx(  # type: ignore[index]
            parts[0]["spread_mm"][end], rel=0.01
        )
    lines, other = plan(store, *words, "zone")
    assert any("set in any way: 'zone' is not learned apart" in one for one in lines)
    assert other["kit"] == plan(store, "--kit", "My fifty")[1]["kit"]
    assert other["kit"] != request["kit"]
    done = run("plan", "sitter", "--store", store, *words, "zone", "--without-learned")
    assert done.exit_code == 2


@pytest.mark.parametrize(
    ("words", "sitter"),
    [
        ([], "'adult'"),  # assumed, and a label
        (["--who", "child 3"], "'child 3'"),
        (["--who", "child 4"], None),  # another kind: a usual child of four
        (["--client", "child 3"], "'child 3'"),
        (["--mood", "laughing"], None),
        (["--sitter-speed", "5 mm/s (1-20)"], None),
    ],
)
def test_whose_speed_a_plan_takes(filled: Path, words: list[str], sitter: str | None) -> None:
    lines, _ = plan(filled, *words)
    speeds = [line for line in lines if "--sitter-speed" in line]
    if sitter is None:
        assert speeds == []
    else:
        assert len(speeds) == 1
        assert f"({sitter})" in speeds[0]


def test_several_kits_and_none_named(filled: Path) -> None:
    lines, request = plan(filled)
    assert any("The focus of 2 kits is learned; name the one you take" in one for one in lines)
    assert request["kit"]["focus_bias_mm"] is None  # type: ignore[index]


def test_left_out_typed_or_unknown(filled: Path) -> None:
    assert plan(filled, "--without-learned")[0] == []
    lines, request = plan(filled, "--kit", "My fifty", "--focus-bias", "3 mm behind (2-4)")
    assert request["kit"]["focus_bias_mm"]["value"] == 3.0  # type: ignore[index]
    assert not any("--focus-bias" in line for line in lines)
    assert any("--focus-spread" in line for line in lines)
    done = run("plan", "sitter", "--store", filled, "--sitter-label", "cat")
    assert done.exit_code == 2
    assert "Known are 'adult' and 'child 3'" in plain(done.output)
    done = run("plan", "sitter", "--store", filled, "--sitter-label", "cat", "--without-learned")
    assert done.exit_code == 2
    assert "left out, and asked for" in plain(done.output)


def test_a_plan_neither_makes_a_store_nor_changes_one(filled: Path, tmp_path: Path) -> None:
    plan(tmp_path / "none.sqlite3")
    assert list(tmp_path.iterdir()) == []
    before = filled.read_bytes()
    plan(filled)
    assert filled.read_bytes() == before


def test_a_run_that_was_stopped_before_it_could_learn_is_made_good(store: Path) -> None:
    with sqlite3.connect(store) as database:
        database.execute("UPDATE learned SET numbers = '{}', stale = 1")
    assert any("('child 3')" in line for line in plan(store, "--who", "child 3")[0])
    kept = read_learned(store)
    assert kept is not None
    assert not kept.stale


def test_the_page_has_its_drawings(filled: Path, tmp_path: Path) -> None:
    page = tmp_path / "learned.html"
    assert run("learned", "show", "--store", filled, "--page", page).exit_code == 0
    text = page.read_text("utf-8")
    assert text.count("<svg") >= 2
    assert "mm from the near iris, + behind it" in text


@pytest.mark.parametrize("words", [["--all"], ["--sitter", "the Zanzibar twins"], ["--sitting"]])
def test_a_label_is_forgotten_though_its_sitting_taught_nothing(
    store: Path, tmp_path: Path, words: list[str]
) -> None:
    with Lessons(store) as lessons:
        lessons.label([sitting_key(tmp_path / "z")], {"sitter": "the Zanzibar twins"})
        frames = len(lessons.all())
    words = [*words, str(tmp_path / "z")] if words == ["--sitting"] else words
    done = run("learned", "forget", *words, "--yes", "--store", store)
    assert done.exit_code == 0, done.output
    assert b"Zanzibar" not in store.read_bytes()
    with Lessons(store) as lessons:
        assert len(lessons.all()) == (0 if words == ["--all"] else frames)
