"""`eyeplane serve`: what it prints, what it refuses, and that the pages are there and go again."""

import http.client
import os
import re
import signal
import socket
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from click.testing import CliRunner

from eyeplane.cli import main, serve
from eyeplane.web import Site

CODE = r"http://[\d.]+:\d+/enter\?token=[\w-]{32}"


def run(*typed: str) -> tuple[int, str]:
    done = CliRunner().invoke(main, ["serve", *typed])
    return done.exit_code, done.output


def test_help_says_what_it_is_for() -> None:
    status, said = run("--help")
    assert status == 0
    assert "--studio" in said


@pytest.mark.parametrize("port", ["-1", "65536", "http", "8765.5", "٨٠", "1" * 400, ""])
def test_what_is_no_port_is_told(port: str) -> None:
    status, said = run("--port", port)
    assert status == 2
    assert "is no port: give a whole number up to 65535, like 8765" in said


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    status, said = run(str(tmp_path / "none"), "--port", "0", "--store", str(tmp_path / "s"))
    assert status == 2
    assert "there is no such folder" in said


def test_a_name_without_a_folder_is_told(tmp_path: Path) -> None:
    status, said = run("--name", "Ilves", "--port", "0", "--store", str(tmp_path / "s"))
    assert status == 2
    assert "eyeplane serve FOLDER" in said


def test_a_port_that_is_taken_is_told(tmp_path: Path) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        status, said = run("--port", str(port), "--store", str(tmp_path / "s"))
    assert status == 2
    assert said.count("\n") == 1
    assert f"port {port}: another program has it" in said


def test_a_store_that_cannot_be_used_is_told(tmp_path: Path) -> None:
    (tmp_path / "s").write_bytes(b"not a database, but long enough to look like one" * 99)
    status, said = run("--port", "0", "--store", str(tmp_path / "s"))
    assert status == 3
    assert str(tmp_path / "s") in said


@pytest.mark.parametrize("addresses", [("192.168.1.7", "10.0.0.2"), ()])
def test_the_studio_gets_two_codes_and_a_warning(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, addresses: tuple[str, ...]
) -> None:
    seen: list[Site] = []
    monkeypatch.setattr(serve, "own_addresses", lambda: addresses)

    def looked(site: Site, taken: socket.socket) -> None:
        seen.append(site)
        taken.close()

    monkeypatch.setattr(serve, "serve", looked)
    status, said = run("--studio", "--port", "0", "--store", str(tmp_path / "s"))
    assert status == 0
    codes = re.findall(CODE, said)
    assert len(codes) == len(set(codes)) == (2 if addresses else 1)
    assert codes[0].startswith("http://127.0.0.1:")
    assert ("http://192.168.1.7:" in said) == bool(addresses)
    assert "not encrypted" in said
    assert [bool(seen[0].codes.exchange(code[-32:])) for code in codes] == [True] * len(codes)


def test_the_print_is_set_and_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    found = []

    def looked(site: Site, taken: socket.socket) -> None:
        live = site.current()
        assert live is not None
        found.append((live.name, live.viewing.print_cm, live.viewing.distance_cm))
        site.close()
        taken.close()

    monkeypatch.setattr(serve, "serve", looked)
    folder = tmp_path / "ilves"
    folder.mkdir()
    here = (str(folder), "--port", "0", "--store", str(tmp_path / "s"), "--workers", "1")
    assert run(*here, "--print-cm", "75", "--name", "Marta")[0] == 0
    assert run(*here, "--viewing-cm", "80")[0] == 0
    assert run(*here)[0] == 0
    assert found == [("Marta", 75.0, 50.0), ("Marta", 75.0, 80.0), ("Marta", 75.0, 80.0)]


@pytest.mark.slow
def test_it_is_there_and_ctrl_c_ends_it(tmp_path: Path) -> None:
    process = subprocess.Popen(
        [
            sys.executable,
            "-c",
            "from eyeplane.cli import main; main()",
            "serve",
            "--port",
            "0",
            "--store",
            tmp_path / "s",
        ],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),  # noqa: PLW1509
    )
    assert process.stdout is not None
    said = process.stdout.readline()
    found = re.fullmatch(r"Open http://127\.0\.0\.1:(\d+)/\n", said)
    assert found, said
    with closing(http.client.HTTPConnection("127.0.0.1", int(found[1]), timeout=60)) as line:
        line.request("GET", "/sittings")
        assert line.getresponse().status == 200
    process.send_signal(signal.SIGINT)
    _, told = process.communicate(timeout=60)
    assert process.returncode == 130
    assert told.lstrip("\n") == "Stopped. What was measured is kept.\n"
