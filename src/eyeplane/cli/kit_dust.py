"""`eyeplane kit dust`: frames found, checked, held against the last check, kept and shown."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from eyeplane.asked.check_dust import dust_checked
from eyeplane.asked.kits import kit_settings
from eyeplane.cli.check_options import take_outputs
from eyeplane.cli.check_show import show_check
from eyeplane.errors import InputError
from eyeplane.kit.dust import DustRequest
from eyeplane.records.kit_dust import DustLeftOut
from eyeplane.sitting.scan import scan


def dust_command(given: dict[str, Any]) -> int:
    """Check for dust, keep what was found and show it.

    Parameters
    ----------
    given : dict
        The options as click read them.

    Returns
    -------
    int
        Exit status 0.

    Raises
    ------
    InputError
        If no frame can be used.
    StoreError
        If the store cannot be used.
    """
    outputs = take_outputs(given)
    found = scan(given["paths"])
    if not found.frames:
        raise InputError(
            "no frames were found there",
            where=", ".join(str(path) for path in given["paths"]),
            hint="Give frames of an even surface at f/16, or a folder of them",
        )
    request = DustRequest(
        settings=kit_settings(),
        working_f_number=given["f_number"],
        taken_f_number=given["taken_at"],
        print_cm=given["print_cm"],
        viewing_cm=given["viewing_cm"],
        kit=outputs.kit or "",
    )
    closed = tuple(
        DustLeftOut(path=one.path, reason=one.reason or "this folder cannot be looked into.")
        for one in found.closed
    )
    files = [Path(one.path) for one in found.frames]
    with _bar() as heard:
        done = dust_checked(files, request, closed=closed, store=outputs.store, heard=heard)
    return show_check(done.kind, done.result, done.content, outputs)


@contextmanager
def _bar() -> Iterator[Callable[[int, int], None] | None]:
    """Yield what hears of progress: a count on a terminal, nothing elsewhere."""
    if not sys.stderr.isatty():
        yield None
        return

    def heard(done: int, of: int) -> None:
        end = "\n" if done == of else ""
        print(f"\r{done} of {of} frames", end=end, file=sys.stderr, flush=True)  # noqa: T201

    yield heard
