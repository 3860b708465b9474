"""Known sittings: those opened, those only measured, each once; a folder that is gone is told."""

from dataclasses import replace
from pathlib import Path

from tests.sitting.made import reading

from eyeplane.records import MeasureSettings, Viewing
from eyeplane.sitting.known import folder_of, known_sittings, make_known
from eyeplane.sitting.live_open import key_of
from eyeplane.store import Sittings, Store


def test_measured_and_opened_folders_are_listed_the_last_used_first(tmp_path: Path) -> None:
    path, here = tmp_path / "s.sqlite3", tmp_path / "here"
    here.mkdir()
    names = ("a.jpg", "b.jpg", "b.nef")
    with Store(path, measure_version="t") as store:
        for number, name in enumerate(names):
            one = reading(str(here / name), sha256=f"{number}")
            store.put(replace(one, mtime_ns=number * 10**9), MeasureSettings())
        store.put(replace(reading("/gone/c.jpg", sha256="c"), mtime_ns=5), MeasureSettings())
        store.put(reading("/gone/opened/inner/d.jpg", sha256="d"), MeasureSettings())
    with Sittings(path) as sittings:
        sittings.open(Path("/gone/opened"), key="s1", name="Ilves", viewing=Viewing())
    found = known_sittings(path)
    assert [(one.name, one.frames, one.there, one.opened) for one in found] == [
        ("Ilves", 1, False, True),  # measured already, not yet taken in
        ("here", 2, True, False),
        ("gone", 1, False, False),
    ]
    assert folder_of(key_of(here), path) == here
    assert folder_of("s1", path) == Path("/gone/opened")
    assert folder_of("../../etc", path) is None


def test_a_sitting_that_is_made_known_is_listed_and_stays_as_it_was_left(tmp_path: Path) -> None:
    path, here = tmp_path / "s.sqlite3", tmp_path / "here"
    key = make_known(here, store_path=path, name="Ilves", viewing=Viewing(print_cm=20.0))
    assert key == key_of(here)
    assert make_known(here, store_path=path, name="other", viewing=Viewing()) == key
    assert [(one.key, one.name, one.frames) for one in known_sittings(path)] == [(key, "Ilves", 0)]
    with Sittings(path) as sittings:
        assert [one.viewing.print_cm for one in sittings.all()] == [20.0]


def test_a_key_tells_nothing_of_the_path_and_stays(tmp_path: Path) -> None:
    key = key_of(tmp_path)
    assert key == key_of(tmp_path / "x" / "..")
    assert key.isalnum()
    assert key != key_of(tmp_path / "x")
