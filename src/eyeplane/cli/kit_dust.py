"""`eyeplane kit dust`: frames found, checked, held against the last check, kept and shown."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from eyeplane.cli.check_options import CheckOutputs, take_outputs
from eyeplane.cli.check_show import show_check
from eyeplane.cli.kits import kit_file, kit_pitches_um
from eyeplane.deliver.dust_content import dust_content
from eyeplane.errors import InputError
from eyeplane.kit.dust import NO_BODY, DustRequest, check_dust
from eyeplane.kit.dust_since import compared
from eyeplane.records import MeasureSettings, to_plain
from eyeplane.records.kit_dust import DustLeftOut, DustResult
from eyeplane.records.plain import from_plain
from eyeplane.sitting.scan import scan
from eyeplane.store import KitLog, default_store_path

KIND = "dust"


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
        settings=MeasureSettings(kit_pitch_um=kit_pitches_um(kit_file())),
        working_f_number=given["f_number"],
        taken_f_number=given["taken_at"],
        print_cm=given["print_cm"],
        viewing_cm=given["viewing_cm"],
        kit=outputs.kit or "",
    )
    with _bar() as heard:
        check = check_dust([Path(one.path) for one in found.frames], request, progress=heard)
    closed = tuple(
        DustLeftOut(path=one.path, reason=one.reason or "this folder cannot be looked into.")
        for one in found.closed
    )
    result = replace(check.result, left_out=(*check.result.left_out, *closed))
    result = _kept(result, outputs)
    return show_check(KIND, result, dust_content(result, check.crops), outputs)


def _kept(result: DustResult, outputs: CheckOutputs) -> DustResult:
    """Return the result held against the last one of this body; keep it for the next."""
    if result.kit == NO_BODY and outputs.kit is None:
        return result  # two bodies without a name would be taken for one
    done_at = _moment(result.done_at)
    with KitLog(outputs.store or default_store_path()) as log:
        last = log.last(KIND, result.kit, before=done_at)
        if last is not None:
            try:
                earlier = from_plain(DustResult, last.result)
            except (TypeError, KeyError, ValueError):
                note = "The last check was kept by an older eyeplane and cannot be compared."
                result = replace(result, notes=(*result.notes, note))
            else:
                result = compared(result, earlier)
        log.keep(KIND, result.kit, done_at, to_plain(result))
    return result


def _moment(captured_at: str | None) -> datetime:
    """Return when frames were taken; now, where they do not say or say a day to come."""
    now = datetime.now(UTC)
    if captured_at is not None:
        try:
            told = datetime.fromisoformat(captured_at)
        except ValueError:
            told = None
        if told is not None:
            told = told if told.tzinfo else told.replace(tzinfo=UTC)
            return min(told, now)  # a clock set ahead would hide every later check
    return now


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
