"""One longer piece of work at a time, with how far it is and how it ended."""

import threading
import time

import pytest

from eyeplane.errors import InputError
from eyeplane.web.background import Background, Heard, Result, Standing
from eyeplane.web.words import words


def ended(work: Background) -> Standing:
    """Return how the work ended."""
    deadline = time.monotonic() + 60
    while (now := work.now()) is None or now.running:
        assert time.monotonic() < deadline
        time.sleep(0.005)
    return now


def test_progress_and_result_are_told_and_only_one_goes_at_a_time() -> None:
    go_on, told = threading.Event(), threading.Event()

    def work(heard: Heard) -> Result:
        heard(2, 5)
        told.set()
        assert go_on.wait(10)
        return Result(where="/kit/dust/1", said=("Remembered.",))

    background = Background()
    assert background.now() is None
    number = background.start("Sensor dust", work)
    assert told.wait(10)
    now = background.now()
    assert now is not None
    assert (now.running, now.done, now.total, now.name) == (True, 2, 5, "Sensor dust")
    with pytest.raises(InputError, match="Sensor dust: another check"):
        background.start("Focus", work)
    go_on.set()
    last = ended(background)
    assert (last.where, last.said, last.trouble) == ("/kit/dust/1", ("Remembered.",), "")
    assert background.start("Focus", lambda _: Result(where="/kit")) == number + 1
    assert ended(background).where == "/kit"


def test_why_it_failed_is_told_without_where_the_frame_lies(
    capsys: pytest.CaptureFixture[str],
) -> None:
    def refused(_: Heard) -> Result:
        raise InputError("it is too dark", where="/home/me/frames/a.jpg", hint="Light it")

    def broken(_: Heard) -> Result:
        raise OSError(5, "read error", "/home/me/frames/a.jpg")

    background = Background()
    background.start("Sensor dust", refused)
    assert ended(background).trouble == "a.jpg: it is too dark. Light it."
    background.start("Sensor dust", broken)
    told = ended(background).trouble
    assert words("site.trouble.failed") in told
    assert "/home/me" not in told  # nor what is inside: that stands in the terminal
    assert "read error: '/home/me/frames/a.jpg'" in capsys.readouterr().err
