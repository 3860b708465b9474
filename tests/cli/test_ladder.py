"""`eyeplane ladder` as it is typed: what is asked, refused, shown and kept."""

import datetime
import json
from dataclasses import replace
from pathlib import Path

import click.testing
import numpy as np
import pytest
from tests.sitting.ladders import Shooter, ladder

from eyeplane.asked.ladders import ladder_texts, remember_ladder
from eyeplane.cli import ladder as command
from eyeplane.cli.main import main
from eyeplane.records.ladder import LadderResult
from eyeplane.sitting.ladder import ladder_of
from eyeplane.sitting.ladder_asked import LadderAsked
from eyeplane.store import Memory

TODAY = datetime.date(2026, 3, 14)


@pytest.fixture(scope="module")
def result() -> LadderResult:
    """Return a ladder that tells shake from the sitter."""
    shooter = Shooter(sitter_mm_per_s=15.0)
    return ladder_of(ladder(np.random.default_rng(3), shooter), LadderAsked(prints_cm=(40.0,)))


def run(*typed: str) -> click.testing.Result:
    return click.testing.CliRunner().invoke(main, ["ladder", *typed])


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (("there", "--share", "200"), "'200' is no share of the frames: give 5 to 99, like 90"),
        (("there", "--share", "most"), "'most' is no share of the frames"),
        (("there", "--print-cm", "0"), "'0' is no length"),
        (("there", "--kit", " "), "is no name"),
        (("there",), "there is no such file or folder"),
        (("there", "--page", "page.pdf"), "--page"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(
    typed: tuple[str, ...], said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    told = run(*typed, *(() if "--store" in typed else ("--store", "store.db")))
    assert told.exit_code == 2
    assert said in told.output


def test_an_empty_folder_says_what_to_shoot(tmp_path: Path) -> None:
    (tmp_path / "frames").mkdir()
    told = run(str(tmp_path / "frames"), "--store", str(tmp_path / "store.db"))
    assert told.exit_code == 2
    said = " ".join(told.output.split())
    assert "1/500, 1/250, 1/125" in said
    assert "no frames were found there" in said
    assert "one frame" not in said  # where there was none


def test_text_page_and_json_of_one_ladder(
    result: LadderResult, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked_of: list[LadderAsked] = []

    def measured(_: object, *, asked: LadderAsked, **__: object) -> LadderResult:
        asked_of.append(asked)
        return result

    monkeypatch.setattr(command, "measure_ladder", measured)
    page, numbers = tmp_path / "l.html", tmp_path / "l.json"
    told = run(
        str(tmp_path), "--print-cm", "40", "--print-cm", "60", "--share", "90%", "--stabiliser",
        "off", "--page", str(page), "--json", str(numbers), "--store", str(tmp_path / "s.db"),
        "--kit", "Fast 85", "--client", "Ilves", "--why",
    )  # fmt: skip
    assert told.exit_code == 0, told.output
    assert asked_of == [LadderAsked(prints_cm=(40.0, 60.0), wanted_share=0.9, stabiliser="off")]
    text = " ".join(told.output.split())
    assert "With your hand 9 frames in 10 hold 40" in text
    assert "Remembered for the kit Fast 85: --shake '" in text
    assert "Remembered for the client Ilves: --sitter-speed '" in text
    assert "Why we say so" in text
    assert "<svg" in page.read_text(encoding="utf-8")
    kept = json.loads(numbers.read_text(encoding="utf-8"))
    assert kept["check"] == "ladder"
    assert len(kept["frames"]) == 36


def test_what_is_kept_goes_into_plans_and_replaces_what_contradicts_it(
    result: LadderResult, tmp_path: Path
) -> None:
    store = tmp_path / "store.db"
    with Memory(store) as memory:
        memory.remember("kit", "Fast 85", {"steadiness": "1/60", "stabiliser": "0"}, today=TODAY)
    said = remember_ladder(result, {"kit": "Fast 85", "client": None}, store, today=TODAY)
    assert len(said) == 1
    assert "instead of --steadiness" in said[0]
    with Memory(store) as memory:
        typed = dict(memory.recall("kit", "fast 85").typed)  # type: ignore[union-attr]  # is there
    assert set(typed) == {"shake", "stabiliser"}
    planned = click.testing.CliRunner().invoke(
        main, ["plan", "sitter", "--kit", "Fast 85", "--light", "800 lx", "--store", str(store)]
    )
    assert planned.exit_code == 0, planned.output
    text = ladder_texts(result)["kit"]["shake"]
    assert typed["shake"] == text


def test_a_second_ladder_says_what_it_replaces_and_how_the_stabiliser_was(
    result: LadderResult, tmp_path: Path
) -> None:
    # One ladder with the stabiliser on, one with it off, both under one name: the last one counts.
    store, names = tmp_path / "store.db", {"kit": "Fast 85", "client": None}
    first = replace(result, stabiliser="on")
    (said,) = remember_ladder(first, names, store, today=TODAY)
    assert "instead of" not in said
    assert "with the stabiliser on" in said
    (again,) = remember_ladder(first, names, store, today=TODAY)
    assert "instead of" not in again
    with Memory(store) as memory:
        memory.remember("kit", "Fast 85", {"shake": "0.01 deg/s (0.002 to 0.05)"}, today=TODAY)
    (said,) = remember_ladder(replace(result, stabiliser="off"), names, store, today=TODAY)
    assert "instead of --shake '0.01 deg/s (0.002 to 0.05)'" in said
    assert "keep one with it on under another name" in said


def test_a_tripod_teaches_nothing_of_a_hand(result: LadderResult) -> None:
    texts = ladder_texts(replace(result, stabiliser="tripod"))
    assert texts["kit"] == {}
    assert texts["client"] == ladder_texts(result)["client"]


def test_what_is_not_bounded_is_not_kept(tmp_path: Path) -> None:
    still = ladder_of(
        ladder(np.random.default_rng(3), Shooter(shake_deg_per_s=1e-4, sitter_mm_per_s=1e-3)),
        LadderAsked(prints_cm=(40.0,)),
    )
    assert ladder_texts(still) == {"kit": {}, "client": {}}
    said = remember_ladder(still, {"kit": "K", "client": "C"}, tmp_path / "s.db", today=TODAY)
    assert all("Nothing was remembered" in one for one in said)
    assert not (tmp_path / "s.db").exists()
