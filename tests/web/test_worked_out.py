"""Results that are worked out beside the pages: once, in turn, the last ones kept."""

import threading
import time
from collections.abc import Callable

import pytest
from starlette.exceptions import HTTPException

from eyeplane.errors import InputError
from eyeplane.web.worked_out import KEPT, Found, WorkedOut


def until_there(worked: WorkedOut[str], key: str) -> None:
    deadline = time.monotonic() + 60
    while not worked.news(key):
        assert time.monotonic() < deadline
        time.sleep(0.002)


def gives(result: str, calls: list[str]) -> Callable[[], str]:
    def work() -> str:
        calls.append(result)
        return result

    return work


def test_a_result_is_worked_out_once_however_many_look() -> None:
    go_on, calls = threading.Event(), list[str]()
    worked = WorkedOut[str]()

    def slow() -> str:
        assert go_on.wait(30)
        return gives("first", calls)()

    assert worked.news("a")  # a look would begin with it
    assert [worked.look("a", 1, slow) for _ in range(5)] == [None] * 5
    assert worked.look("b", 1, gives("second", calls)) is None
    assert (worked.news("a"), worked.news("b")) == (False, False)
    go_on.set()
    until_there(worked, "a")
    assert worked.look("a", 1, slow) == Found(result="first", current=True)
    assert calls == ["first"]  # the second was asked for while the first was not finished


def test_what_changed_since_is_worked_out_anew_and_the_old_one_is_told_as_old() -> None:
    calls = list[str]()
    worked = WorkedOut[str]()
    worked.look("a", 1, gives("old", calls))
    until_there(worked, "a")
    go_on = threading.Event()

    def slow() -> str:
        assert go_on.wait(30)
        return gives("new", calls)()

    for _ in range(3):
        assert worked.look("a", 2, slow) == Found(result="old", current=False)
    go_on.set()
    deadline = time.monotonic() + 60
    while worked.look("a", 2, slow) != Found(result="new", current=True):
        assert time.monotonic() < deadline
        time.sleep(0.002)
    assert calls == ["old", "new"]


def test_only_the_last_results_are_kept() -> None:
    calls = list[str]()
    worked = WorkedOut[str]()
    names = [str(n) for n in range(KEPT + 1)]
    for name in names:
        assert worked.look(name, 1, gives(name, calls)) is None
        until_there(worked, name)
    for name in names[1:]:
        assert worked.look(name, 1, gives(name, calls)) == Found(result=name, current=True)
    assert worked.look(names[0], 1, gives(names[0], calls)) is None
    until_there(worked, names[0])
    assert calls == [*names, names[0]]


def test_a_fault_is_told_once_and_tried_anew_by_the_next_look(
    capsys: pytest.CaptureFixture[str],
) -> None:
    calls = list[str]()
    worked = WorkedOut[str]()

    def refused() -> str:
        raise InputError("it is too dark", where="a.jpg", hint="Light it")

    def broken() -> str:
        raise ZeroDivisionError

    assert worked.look("a", 1, refused) is None
    until_there(worked, "a")
    with pytest.raises(InputError, match=r"a\.jpg: it is too dark"):
        worked.look("a", 1, refused)
    assert worked.look("a", 1, broken) is None
    until_there(worked, "a")
    with pytest.raises(HTTPException) as told:
        worked.look("a", 1, broken)
    assert told.value.status_code == 500
    assert "ZeroDivisionError" in capsys.readouterr().err
    assert worked.look("a", 1, gives("right", calls)) is None
    until_there(worked, "a")
    assert worked.look("a", 1, broken) == Found(result="right", current=True)
