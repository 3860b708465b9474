"""The command as a person runs it: a process of its own, real frames, a real store."""

import hashlib
import json
import os
import pty
import re
import select
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow
COMMAND = [sys.executable, "-c", "from eyeplane.cli import main; main()"]


def folder_of(data: Path, target: Path, names: list[str]) -> Path:
    target.mkdir()
    for name in names:
        shutil.copy(data / "rendered" / "single" / name, target)
    return target


def digests(folder: Path) -> dict[str, str]:
    return {p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in folder.iterdir()}


def test_a_folder_in_the_answer_out(data: Path, tmp_path: Path) -> None:
    folder = folder_of(data, tmp_path / "sitting", ["dev_0016.jpg"])
    (folder / "torn.jpg").write_bytes((folder / "dev_0016.jpg").read_bytes()[:4000])
    before = digests(folder)
    numbers, page = tmp_path / "n.json", tmp_path / "r.html"
    words = ["measure", str(folder), "--store", str(tmp_path / "s.sqlite3"), "--print-cm", "20"]
    words += ["--json", str(numbers), "--report", str(page), "--at", "763,560"]
    run = subprocess.run(
        [*COMMAND, *words], capture_output=True, text=True, timeout=120, check=False
    )
    assert run.returncode == 0, run.stderr
    assert run.stderr == ""
    assert "dev_0016.jpg" in run.stdout
    assert "at 763,560:" in run.stdout
    assert "torn.jpg: could not be read:" in run.stdout
    assert max(map(len, run.stdout.splitlines())) <= 100
    frames = json.loads(numbers.read_text("utf-8"))["frames"]
    assert sorted(f["status"] for f in frames) == ["measured", "unreadable"]
    assert page.read_text("utf-8").count('<article class="note') == 1
    assert digests(folder) == before

    again = subprocess.run(
        [*COMMAND, *words[:6], "--json", "-"],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert again.returncode == 0, again.stderr
    assert len(json.loads(again.stdout)["frames"]) == 2


def test_not_one_readable_frame_is_status_1(tmp_path: Path) -> None:
    folder = tmp_path / "sitting"
    folder.mkdir()
    (folder / "torn.jpg").write_bytes(b"\xff\xd8\xff\xe0 torn")
    run = subprocess.run(
        [*COMMAND, "measure", str(folder), "--store", str(tmp_path / "s.sqlite3")],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert run.returncode == 1, run.stderr
    assert "torn.jpg: could not be read:" in run.stdout


def test_a_store_that_is_none_is_status_3(data: Path, tmp_path: Path) -> None:
    folder = folder_of(data, tmp_path / "sitting", ["dev_0016.jpg"])
    store = tmp_path / "s.sqlite3"
    store.write_bytes(b"this is no store at all " * 100)
    run = subprocess.run(
        [*COMMAND, "measure", str(folder), "--store", str(store)],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert run.returncode == 3, run.stderr
    assert run.stderr.count("\n") == 1
    assert store.read_bytes() == b"this is no store at all " * 100


def test_ctrl_c_on_a_terminal_ends_with_130_and_says_so(data: Path, tmp_path: Path) -> None:
    names = [f"dev_{n:04d}.jpg" for n in range(1, 31)]
    folder = folder_of(data, tmp_path / "sitting", names)
    main_end, child_end = pty.openpty()
    run = subprocess.Popen(
        [*COMMAND, "measure", str(folder), "--store", str(tmp_path / "s.sqlite3")],
        stdout=child_end,
        stderr=child_end,
        env={**os.environ, "TERM": "xterm", "COLUMNS": "100"},
        # What starts the tests in the background may have told them to ignore Ctrl-C.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # noqa: PLW1509
    )
    os.close(child_end)
    said = b""
    asked = False
    end = time.monotonic() + 120
    while time.monotonic() < end:
        if select.select([main_end], [], [], 0.2)[0]:
            try:
                piece = os.read(main_end, 65536)
            except OSError:  # the other end is closed: the process has ended
                break
            if not piece:
                break
            said += piece
        if not asked and re.search(rb"[2-9] of 30", said):  # a busy machine skips some
            run.send_signal(signal.SIGINT)
            asked = True
    os.close(main_end)
    assert run.wait(timeout=60) == 130, said[-2000:]
    assert b"Measuring" in said
    assert b"What was measured is kept." in said
