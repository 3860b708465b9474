"""`eyeplane plan`: what is printed, written and remembered; the plans are made by hand here."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner, Result
from tests.deliver import plan_builder

import eyeplane.plan
from eyeplane.cli import main
from eyeplane.errors import InputError
from eyeplane.plan import plan_schema
from eyeplane.records import BurstRequest, GroupRequest, SitterRequest, Sweep

Run = Callable[..., tuple[Result, list[Any]]]
PLANS: dict[str, Callable[[], Any]] = {
    "sitter": plan_builder.sitter_plan,
    "group": plan_builder.group_plan,
    "burst": plan_builder.burst_plan,
}
REQUESTS = {"sitter": SitterRequest, "group": GroupRequest, "burst": BurstRequest}


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Run:
    """Return a way to run a plan with hand-made answers, in a store of its own."""
    asked: list[Any] = []

    def plan(kind: str) -> Callable[[Any], Any]:
        def made(request: object) -> object:
            asked.append(request)
            return PLANS[kind]()

        return made

    def sweep(request: object, ranges: dict[str, tuple[float, ...]]) -> Sweep:
        asked.extend((request, ranges))
        names = tuple(ranges)
        values = ranges[names[0]]
        return Sweep(
            names=names,
            columns={
                **dict.fromkeys(names, values),
                "f_number": (2.8,) * len(values),
                "share": tuple(0.5 for _ in values),
                "share_low": tuple(0.4 for _ in values),
                "share_high": tuple(0.6 for _ in values),
                "depth_behind_mm": (None, *(12.34 for _ in values[1:])),
            },
            settled=False,
            notes=("To the third stop.",),
        )

    for kind in PLANS:
        monkeypatch.setattr(eyeplane.plan, f"plan_{kind}", plan(kind), raising=False)
        monkeypatch.setattr(eyeplane.plan, f"sweep_{kind}", sweep, raising=False)

    def go(*words: str) -> tuple[Result, list[Any]]:
        asked.clear()
        store = () if "-h" in words else ("--store", str(tmp_path / "s.sqlite3"))
        return CliRunner().invoke(main, ["plan", *words, *store]), list(asked)

    return go


@pytest.mark.parametrize("kind", PLANS)
def test_the_answer_comes_first_and_fits(run: Run, kind: str) -> None:
    result, (request,) = run(kind)
    assert result.exit_code == 0, result.stderr
    assert isinstance(request, REQUESTS[kind])
    said = PLANS[kind]().sentence.replace("\u2009", " ")
    assert " ".join(result.stdout.split()).startswith(said)
    assert max(map(len, result.stdout.splitlines())) <= 100
    assert "\u2009" not in result.stdout
    assert "\x1b" not in result.stdout


def test_a_sitters_settings_budget_and_the_rest_are_told(run: Run) -> None:
    text = run("sitter")[0].stdout
    said = " ".join(text.split())
    rows = [line for line in text.splitlines() if line.startswith("  ") and "f/" in line]
    assert rows[0].split()[:5] == ["best", "f/4", "1/320", "s", "800"]
    assert "66 % (52–78)" in rows[0]
    assert "70 cm (38–100)" in rows[0]  # 71 and 104 cm, rounded down to what is promised
    assert "23 + 24 mm" in rows[0]
    assert "f/2.8: Gives up 9 frames in 100" in said
    assert "sitter moves 14.0 µm 90 cm 14.0 µm 55 cm" in said
    assert "noise 70 cm 70 cm" in said
    assert "1/80 s 35 % (27–41) 43 % (36–47) reciprocal rule" in said
    assert "beyond the limits" in said
    assert "head 1/500 s" in said
    assert "At the best both eyes hold in 44 % (29–58) of frames." in said
    assert "far ear 14 cm behind" in said
    for part in ("Frames to take", "Take care", "What holds it back", "On what it rests"):
        assert f"\n{part}\n" in text
    assumed = text.partition("Assumed, since you did not say")[2]
    assert "--focal-length 85mm" in assumed
    assert "--pixels 6000x4000" in assumed


def test_a_group_says_rows_leans_and_who_falls_out(run: Run) -> None:
    said = " ".join(run("group", "--rows", "2", "--arc", "3m")[0].stdout.split())
    assert "row 1 3.50 m out 80 % (70–88) 8 cm away from the camera" in said
    assert "row 2 4.10 m out 80 % (70–88) 17 cm towards the camera" in said  # 16.2 cm, rounded up
    assert "Focus 3.75 m from the lens, 41 % into the group." in said
    assert "f/2.8 rows 1, 2 8 % (3–16)" in said
    assert "f/8 nobody" in said


def test_a_lean_in_says_from_where_to_where(run: Run) -> None:
    said = " ".join(run("burst")[0].stdout.split())
    assert "From 24 mm in front to 30 mm behind: lean 54 mm in 1.4 s." in said
    assert "At least one holds: 97 % (90–99)." in said
    assert "without leaning: 71 % (55–84)" in said


@pytest.mark.parametrize("kind", PLANS)
def test_json_on_the_screen_is_json_alone_and_valid(run: Run, kind: str) -> None:
    result, _ = run(kind, "--json", "-")
    told = json.loads(result.stdout)
    jsonschema.Draft202012Validator(plan_schema()).validate(told)
    assert told["kind"] == kind
    assert f"--focal-length {'50mm' if kind == 'group' else '85mm'}" in told["assumed"]


def test_json_and_card_go_to_files_beside_the_text(run: Run, tmp_path: Path) -> None:
    numbers, card = tmp_path / "p.json", tmp_path / "card.html"
    result, _ = run("sitter", "--json", str(numbers), "--card", str(card))
    assert result.exit_code == 0, result.stderr
    assert result.stdout.startswith("f/4, 1/320 s")
    assert json.loads(numbers.read_text("utf-8"))["kind"] == "sitter"
    assert "<svg" in card.read_text("utf-8")
    pdf = tmp_path / "card.pdf"
    assert run("sitter", "--card", str(pdf))[0].exit_code == 0
    assert pdf.read_bytes().startswith(b"%PDF-")


def test_a_range_gives_a_table(run: Run) -> None:
    result, (request, ranges) = run("sitter", "--f-number", "f/1.4..f/2.8")
    assert result.exit_code == 0, result.stderr
    assert request.choice.f_number == 1.4
    assert ranges == {"f_number": (1.4, 1.6, 1.8, 2.0, 2.2, 2.5, 2.8)}
    lines = result.stdout.splitlines()
    assert lines[0].split()[:3] == ["aperture", "frames", "hold"]
    assert "50 % (40–60)" in lines[1]
    assert lines[1].rstrip().endswith("–")  # a depth of field without end
    assert "12.3 mm" in lines[2]
    assert max(map(len, lines)) <= 100
    assert "To the third stop." in result.stdout


def test_a_table_as_json_and_as_a_plot(run: Run, tmp_path: Path) -> None:
    plot = tmp_path / "p.svg"
    result, _ = run("sitter", "--distance", "1m..4m by 1m", "--json", "-", "--plot", str(plot))
    told = json.loads(result.stdout)
    jsonschema.Draft202012Validator(plan_schema()).validate(told)
    assert (told["kind"], told["plan"], told["names"]) == ("table", "sitter", ["distance_mm"])
    assert told["columns"]["distance_mm"] == [1000.0, 2000.0, 3000.0, 4000.0]
    assert told["columns"]["depth_behind_mm"] == [None, 12.3, 12.3, 12.3]
    assert "<svg" in plot.read_text("utf-8")


@pytest.mark.parametrize(
    ("words", "column", "values"),
    [
        (["--light", "EV 5..7 by 1"], "exposure_ev", (5.0, 6.0, 7.0)),
        (["--light", "1280 lx..5120 lx in 3"], "exposure_ev", (9.0, 10.0, 11.0)),
        (["--light", "flash GN 20..40 in 3"], "guide_number_m", (20.0, 28.284, 40.0)),
        (["--light", "flash f/4..f/8 in 3"], "guide_number_m", (4.0, 5.657, 8.0)),
        (["--light", "flash f/4..flash f/8 in 3"], "guide_number_m", (4.0, 5.657, 8.0)),
        (["--light", "flash GN 20..GN 40 in 3"], "guide_number_m", (20.0, 28.284, 40.0)),
        (["--who", "child 2..8 by 2"], "age_years", (2.0, 4.0, 6.0, 8.0)),
        (["--print-cm", "40..80 by 20"], "print_cm", (40.0, 60.0, 80.0)),
        (["--iso", "400..800"], "iso", (400.0, 500.0, 640.0, 800.0)),
        (["--shutter", "1/125..1/250"], "shutter_s", (1 / 125, 1 / 160, 1 / 200, 1 / 250)),
        (["--yaw", "0..90 in 3"], "yaw_deg", (0.0, 45.0, 90.0)),
        (["--steadiness", "1/85..1/170 in 2"], "shake_deg_per_s", (0.719, 1.439)),
    ],
)
def test_values_of_ranges(
    run: Run, words: list[str], column: str, values: tuple[float, ...]
) -> None:
    result, asked = run("sitter", *words)
    assert result.exit_code == 0, result.stderr
    assert list(asked[1]) == [column]
    assert asked[1][column] == pytest.approx(values, abs=0.005)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["sitter", "--distance", "2"], "'2' has no unit: give it one, like 85mm"),
        (["sitter", "--yaw", "120"], "'120' is out of bounds: give 0 to 90 degrees"),
        (["sitter", "--focal-length", "0mm"], "out of bounds: give 1mm to 3000mm"),
        (["sitter", "--framing", "toes"], "none of the known words: give head or"),
        (["sitter", "--mood", "bored"], "none of the known words"),
        (["sitter", "--sensor", "36"], "'36' is no sensor: give 36x24 (mm)"),
        (["sitter", "--light", "800"], "'800' is no light"),
        (["sitter", "--sensor", "36x24..44x33"], "is a range, and this cannot be one"),
        (["sitter", "--who", "adult..child 4"], "is no range of numbers"),
        (["group", "--rows", "2.5"], "'2.5' is no whole number"),
        (["group", "--yaw", "20"], "--yaw"),
        (["burst", "--chance", "120%"], "out of bounds: give 1% to 99.99%"),
        (["sitter", "--plot", "p.svg"], "a plot needs a range"),
        (["sitter", "--plot", "p.png"], "its name must end in .svg"),
        (["sitter", "--card", "c.doc"], "its name must end in .html or .pdf"),
        (["sitter", "--json", "no/such/p.json"], "its folder does not exist"),
        (["sitter", "--json", "frame.jpg"], "pictures are never written to"),
        (["sitter", "--distance", "1m..2m", "--card", "c.pdf"], "a card shows one plan"),
        (["sitter", "--yaw", "0..90 in 200", "--print-cm", "20..90 in 90"], "18000 lines"),
        (["sitter", "--distance", f"1m..4m in {'9' * 90}"], "is no count of points"),
        (["sitter", "--distance", "9" * 5000 + "m"], "too long, or has signs"),
        (["sitter", "--distance", "1\x1b[2Jm"], "too long, or has signs"),
        (["sitter", "--distance", "\n"], "'' is no length"),
        (["group", "--rows", "9" * 90], "out of bounds: give 1 to 12"),
        (["group", "--faces-per-row", "41"], "out of bounds: give 1 to 40"),
        (["burst", "--frame-rate", "121"], "out of bounds: give 0.1 to 120 a second"),
        (["sitter", "--pixels", "nan MP"], "'nan MP' is no count of pixels"),
        (["sitter", "--pixels", "inf MP"], "'inf MP' is no count of pixels"),
        (["sitter", "--pixels", "some MP"], "'some MP' is no count of pixels"),
        (["sitter", "--pixels", "-24 MP"], "out of bounds: give 0.01 to 10000 MP"),
        (["sitter", "--pixels", "0.4x0.3"], "give 100 to 100000 pixels a side"),
        (["sitter", "--sensor", "0.01x0.01"], "give sides of 1 to 500 mm"),
        (["sitter", "--field-radius", "0mm"], "bends too much for any lens"),
        (["sitter", "--focus-spread", "9 mm (-6-14)"], "out of bounds: give 0.1mm to 500mm"),
        (["sitter", "--sitter-speed", "15 mm/s (0-80)"], "out of bounds: give 0.01 mm/s"),
        (["sitter", "--who", "adult 3"], "contradicts itself"),
        (["sitter", "--who", "toddler 40"], "contradicts itself"),
        (["sitter", "--light", "EV 5..800 lx"], "from one kind of light to another"),
        (["sitter", "--kit", "  ", "--sync", "1/160"], "is no name"),
        (["sitter", "--kit", "a\x1b[2J", "--sync", "1/160"], "is no name"),
        (["sitter", "--kit", "Studio"], "nothing is remembered for the kit 'Studio'"),
        (["remembered", "show", "kit", "Studio"], "nothing is remembered for the kit"),
        (["remembered", "forget", "client", "Ilves", "shoes"], "'shoes' is nothing that is"),
        (["remembered", "show", "lens", "Studio"], "lens"),
    ],
)
def test_what_cannot_be_used_is_one_sentence_and_status_2(
    run: Run, words: list[str], said: str
) -> None:
    result, asked = run(*words)
    assert result.exit_code == 2, result.output
    assert said in result.stderr
    assert result.stderr.count("\n") == 1
    assert result.stdout == ""
    assert not asked


def test_what_a_plan_refuses_ends_with_2_too(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_: object) -> None:
        raise InputError("too dark", where="--light", hint="Bring a lamp")

    monkeypatch.setattr(eyeplane.plan, "plan_sitter", refuse, raising=False)
    result, _ = run("sitter", "--kit", "A", "--sync", "1/160")
    assert (result.exit_code, result.stderr) == (2, "--light: too dark. Bring a lamp.\n")
    assert "Kits: none." in run("remembered", "list")[0].stdout  # refused words are not kept


def test_a_store_that_is_none_is_status_3(tmp_path: Path) -> None:
    store = tmp_path / "s.sqlite3"
    store.write_text("a shopping list" * 100, encoding="utf-8")
    words = ["plan", "remembered", "list", "--store", str(store)]
    result = CliRunner().invoke(main, words)
    assert result.exit_code == 3
    assert result.stderr.count("\n") == 1


def test_a_kit_and_a_client_are_remembered_and_recalled(run: Run) -> None:
    kit = ("--kit", "Studio 85", "--focal-length", "105mm", "--sync", "1/160")
    client = ("--client", "Ilves", "--who", "child 4", "--glasses", "--print-cm", "90")
    result, _ = run("sitter", *kit, *client, "--yaw", "25")
    assert "Remembered for the kit Studio 85: --focal-length, --sync." in result.stdout
    assert "Remembered for the client Ilves: --who, --glasses, --print-cm." in result.stdout

    result, (request,) = run("sitter", "--kit", "studio 85", "--client", "ILVES")
    assert (request.kit.focal_length_mm, request.kit.sync_s) == (105.0, 1 / 160)
    assert (request.sitter.age_years, request.sitter.glasses) == (4.0, True)
    assert (request.promise.print_cm, request.yaw_deg) == (90.0, 0.0)  # of the sitting, not kept
    said = " ".join(result.stdout.split())
    assert "Recalled kit Studio 85: --focal-length 105mm (20" in said
    assert "client Ilves: --who 'child 4' (20" in said
    assert "Remembered for" not in said

    result, (request,) = run("group", "--client", "Ilves", "--who", "child 5")
    assert (request.sitter.age_years, request.promise.print_cm) == (5.0, 90.0)
    _, (request,) = run("sitter", "--client", "Ilves", "--no-glasses")
    assert (request.sitter.age_years, request.sitter.glasses) == (5.0, False)

    told = json.loads(run("sitter", "--kit", "Studio 85", "--json", "-")[0].stdout)
    assert told["recalled"][0].startswith("kit Studio 85: --focal-length 105mm")
    assert "--focal-length 85mm" not in told["assumed"]


def test_list_show_and_forget(run: Run) -> None:
    run("sitter", "--kit", "Studio 85", "--focal-length", "85mm", "--sync", "1/160")
    run("sitter", "--client", "Ilves", "--who", "child 4")
    assert run("remembered", "list")[0].stdout == "Kits: Studio 85.\nClients: Ilves.\n"
    shown = run("remembered", "show", "kit", "studio 85")[0].stdout
    assert "Kit Studio 85" in shown
    assert "--focal-length  85mm" in shown
    result, _ = run("remembered", "forget", "kit", "Studio 85", "sync", "near-limit")
    assert result.exit_code == 0, result.stderr
    assert "sync" not in run("remembered", "show", "kit", "Studio 85")[0].stdout
    result, _ = run("remembered", "forget", "kit", "Studio 85")
    assert result.stdout == "Forgotten for the kit Studio 85: all of it.\n"
    assert run("remembered", "list")[0].stdout == "Kits: none.\nClients: Ilves.\n"


def test_without_a_name_no_store_is_touched(run: Run, tmp_path: Path) -> None:
    assert run("sitter")[0].exit_code == 0
    assert list(tmp_path.iterdir()) == []


def test_what_was_estimated_is_said(run: Run) -> None:
    said = " ".join(run("sitter", "--light", "flash 400 Ws softbox")[0].stdout.split())
    assert "flash 400 Ws softbox taken as guide number" in said
    assert "an estimate: read it with a flash meter" in said
