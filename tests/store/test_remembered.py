"""What was typed for a kit or a client: kept, recalled, forgotten; also by two at once."""

import datetime
import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.sitting import made

from eyeplane.errors import StoreError
from eyeplane.records import MeasureSettings
from eyeplane.store import Memory, Store, layout
from eyeplane.store.remembered import name_key

MAY, JUNE = datetime.date(2026, 5, 4), datetime.date(2026, 6, 7)


def test_what_was_typed_comes_back(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "s.sqlite3"
    with Memory(path) as memory:
        assert memory.names("kit") == ()
        assert memory.recall("kit", "Studio 85") is None
        memory.remember("kit", "Studio 85", {"sensor": "36x24", "focal-length": "85 mm"}, today=MAY)
    with Memory(path) as memory:
        kit = memory.recall("kit", "  studio  85 ")
        assert kit is not None
        assert (kit.kind, kit.name) == ("kit", "Studio 85")
        assert kit.typed == (("focal-length", "85 mm"), ("sensor", "36x24"))
        assert kit.kept_on == ("2026-05-04", "2026-05-04")
        assert memory.recall("client", "Studio 85") is None


def test_later_words_replace_earlier_ones_and_leave_the_rest(tmp_path: Path) -> None:
    with Memory(tmp_path / "s.sqlite3") as memory:
        memory.remember("client", "ilves", {"who": "child 4", "print-cm": "60"}, today=MAY)
        memory.remember("client", "Ilves", {"who": "child 5"}, today=JUNE)
        kept = memory.recall("client", "ILVES")
        assert memory.names("client") == ("Ilves",)
        assert kept is not None
        assert kept.typed == (("print-cm", "60"), ("who", "child 5"))
        assert kept.kept_on == ("2026-05-04", "2026-06-07")


def test_forgetting_all_or_some(tmp_path: Path) -> None:
    with Memory(tmp_path / "s.sqlite3") as memory:
        memory.remember("kit", "A", {"sensor": "36x24", "sync": "1/200"}, today=MAY)
        memory.remember("kit", "B", {"sensor": "36x24"}, today=MAY)
        assert memory.forget("kit", "a", ["sync", "nonsense"]) == 1
        assert memory.names("kit") == ("A", "B")
        assert memory.forget("kit", "a") == 1
        assert memory.forget("kit", "a") == 0
        assert memory.names("kit") == ("B",)


def test_a_forgotten_name_is_not_left_in_the_file(tmp_path: Path) -> None:
    path = tmp_path / "s.sqlite3"
    with Memory(path) as memory:
        memory.remember("client", "Wilhelmina Ilves", {"who": "child 4"}, today=MAY)
        memory.forget("client", "wilhelmina ilves")
    everything = b"".join(p.read_bytes() for p in tmp_path.iterdir()).lower()
    assert b"wilhelmina" not in everything


@given(st.text(st.characters(codec="ascii"), min_size=1).filter(str.strip))
def test_case_and_blanks_make_no_other_name(name: str) -> None:
    assert name_key(f"  {name.upper()}\t") == name_key(name.lower())


def test_accents_in_either_spelling_are_one_name() -> None:
    assert name_key("Zoë") == name_key("Zoe\u0308") != name_key("Zoe")


def test_a_store_of_the_first_layout_is_led_on_with_its_readings(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, frame = tmp_path / "s.sqlite3", tmp_path / "a.jpg"
    frame.write_text("pixels", encoding="utf-8")
    status = frame.stat()
    reading = made.reading(str(frame), sha256="0" * 64)
    steps = layout.STEPS
    monkeypatch.setattr(layout, "STEPS", steps[:1])
    with Store(path, measure_version="1") as store:
        store.put(reading, MeasureSettings())
    database = sqlite3.connect(path)
    assert database.execute("PRAGMA user_version").fetchone() == (1,)
    database.execute("UPDATE files SET size_bytes = ?, mtime_ns = ?", (6, status.st_mtime_ns))
    database.commit()
    database.close()
    monkeypatch.setattr(layout, "STEPS", steps)
    with Memory(path) as memory:
        memory.remember("kit", "A", {"sensor": "36x24"}, today=MAY)
    with Store(path, measure_version="1") as store:
        assert store.count() == 1
        found = store.find(frame, MeasureSettings())
        assert found is not None
        assert found.sha256 == "0" * 64


def test_a_store_of_a_newer_layout_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "s.sqlite3"
    Memory(path).close()
    database = sqlite3.connect(path)
    database.execute(f"PRAGMA user_version = {len(layout.STEPS) + 1}")
    database.close()
    with pytest.raises(StoreError, match="newer eyeplane"):
        Memory(path)


def test_a_file_that_is_no_store_is_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "s.sqlite3"
    path.write_text("a shopping list" * 100, encoding="utf-8")
    with pytest.raises(StoreError, match="not a store"):
        Memory(path)
    assert path.read_text(encoding="utf-8") == "a shopping list" * 100


WRITER = """
import datetime, sys
from pathlib import Path
from eyeplane.store import Memory
with Memory(Path(sys.argv[1])) as memory:
    print("open", flush=True)
    for n in range(int(sys.argv[3])):
        typed = {f"setting-{k}": str(n) for k in range(8)}
        memory.remember("kit", f"{sys.argv[2]} {n % 40}", typed, today=datetime.date(2026, 5, 4))
"""


def start(tmp_path: Path, path: Path, name: str, count: int) -> subprocess.Popen[bytes]:
    script = tmp_path / "writer.py"
    script.write_text(WRITER, encoding="utf-8")
    return subprocess.Popen(
        [sys.executable, str(script), str(path), name, str(count)], stdout=subprocess.PIPE
    )


def test_two_processes_lose_nothing(tmp_path: Path) -> None:
    path = tmp_path / "s.sqlite3"  # made by whoever comes first
    runs = [start(tmp_path, path, name, 40) for name in ("one", "two")]
    assert [run.communicate(timeout=60)[1] for run in runs] == [None, None]
    assert [run.returncode for run in runs] == [0, 0]
    with Memory(path) as memory:
        assert len(memory.names("kit")) == 80
        kept = memory.recall("kit", "two 39")
        assert kept is not None
        assert [said for _, said in kept.typed] == ["39"] * 8


def test_killed_at_any_moment_a_kit_has_all_that_was_typed_at_once_or_nothing(
    tmp_path: Path,
) -> None:
    path = tmp_path / "s.sqlite3"
    rng = random.Random(5)  # noqa: S311  only moments
    seen = 0
    for _ in range(4):
        run = start(tmp_path, path, "one", 100_000)
        assert run.stdout is not None
        run.stdout.readline()
        time.sleep(rng.uniform(0.0, 0.1))
        os.kill(run.pid, signal.SIGKILL)
        run.wait()
        run.stdout.close()
        with Memory(path) as memory:
            for name in memory.names("kit"):
                kept = memory.recall("kit", name)
                assert kept is not None
                assert len(kept.typed) == 8
                assert len({said for _, said in kept.typed}) == 1
                seen += 1
    assert seen  # else the kills came too early to show anything


class Ending(sqlite3.Connection):
    """A database that ends the transaction by itself, as SQLite does when a file takes nothing."""

    def execute(self, sql: str, *parameters: Any) -> sqlite3.Cursor:  # noqa: ANN401  as declared
        if sql.startswith("CREATE"):
            super().execute("ROLLBACK")
            raise sqlite3.OperationalError("disk I/O error")
        return super().execute(sql, *parameters)


def test_the_error_that_is_told_is_the_first(tmp_path: Path) -> None:
    path = tmp_path / "s.sqlite3"
    database = sqlite3.connect(path, isolation_level=None, factory=Ending)
    with pytest.raises(sqlite3.OperationalError, match="disk I/O error"):
        layout.bring_up_to_date(database, path)
    database.close()
