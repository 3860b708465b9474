"""`eyeplane kit log`: lists what is kept, and forgets it when told to."""

from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from eyeplane.cli import main
from eyeplane.store import KitLog


@pytest.fixture
def store(tmp_path: Path) -> Path:
    path = tmp_path / "s.sqlite3"
    with KitLog(path) as log:
        log.keep("dust", "Studio 85", datetime(2026, 5, 4, 12, tzinfo=UTC), {})
        log.keep("glass", "Studio 85", datetime(2026, 6, 4, 12, tzinfo=UTC), {})
        log.keep("dust", "Old body", datetime(2026, 5, 5, 12, tzinfo=UTC), {})
    return path


def run(store: Path, *words: str, typed: str = "") -> tuple[int, str]:
    result = CliRunner().invoke(main, ["kit", "log", "--store", str(store), *words], input=typed)
    return result.exit_code, result.output


def test_checks_are_listed_kit_by_kit(store: Path) -> None:
    status, said = run(store)
    assert status == 0
    assert said.index("Studio 85") < said.index("2026-06-04") < said.index("Old body")
    assert "veil on the glass" in said
    assert "Old body" not in run(store, "--kit", "studio 85")[1]
    assert "veil" not in run(store, "--check", "dust")[1]


def test_an_unknown_kit_is_told_with_those_known(store: Path) -> None:
    status, said = run(store, "--kit", "new")
    assert status == 2
    assert "Old body, Studio 85" in said


def test_forgetting_asks_first(store: Path) -> None:
    status, said = run(store, "--forget", "--kit", "Studio 85", typed="n\n")
    assert status == 130
    with KitLog(store) as log:
        assert len(log.all()) == 3
    status, said = run(store, "--forget", "--kit", "Studio 85", "--yes")
    assert (status, said) == (0, "Forgot 2 checks.\n")
    assert run(store, "--forget", "--yes")[1] == "Forgot 1 check.\n"
    assert "nothing to forget" in run(store, "--forget", "--yes")[1]
    assert "No check is kept yet" in run(store)[1]
