"""Frames checked for dust, held against the last check of that body, and kept."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from eyeplane.asked.checks import CheckDone, Heard
from eyeplane.deliver.dust_content import dust_content
from eyeplane.kit.dust import NO_BODY, DustRequest, check_dust
from eyeplane.kit.dust_since import compared
from eyeplane.records import to_plain
from eyeplane.records.kit_dust import DustLeftOut, DustResult
from eyeplane.records.plain import from_plain
from eyeplane.store import KitLog, default_store_path

KIND = "dust"


def dust_checked(
    files: Sequence[Path],
    request: DustRequest,
    *,
    closed: Sequence[DustLeftOut] = (),
    store: Path | None = None,
    heard: Heard | None = None,
) -> CheckDone:
    """Return what frames tell of dust; keep it.

    Parameters
    ----------
    files : sequence of Path
        Frames, at least one.
    request : DustRequest
        What is asked for.
    closed : sequence of DustLeftOut
        What could not be looked into at all.
    store : Path or None
        The store; None: the photographer's own.
    heard : callable or None
        Told after each frame.

    Returns
    -------
    CheckDone
        Not kept where neither frames nor photographer name the body.

    Raises
    ------
    InputError
        If no frame can be used.
    StoreError
        If the store cannot be used.
    """
    check = check_dust(files, request, progress=heard)
    result = replace(check.result, left_out=(*check.result.left_out, *closed))
    result, number = _kept(result, store, named=bool(request.kit))
    content = dust_content(result, check.crops)
    return CheckDone(kind=KIND, result=result, content=content, number=number)


def _kept(result: DustResult, store: Path | None, *, named: bool) -> tuple[DustResult, int | None]:
    """Return the result held against the last one of this body; keep it for the next."""
    if result.kit == NO_BODY and not named:
        return result, None  # two bodies without a name would be taken for one
    done_at = _moment(result.done_at)
    with KitLog(store or default_store_path()) as log:
        last = log.last(KIND, result.kit, before=done_at)
        if last is not None:
            try:
                earlier = from_plain(DustResult, last.result)
            except (TypeError, KeyError, ValueError):
                note = "The last check was kept by an older eyeplane and cannot be compared."
                result = replace(result, notes=(*result.notes, note))
            else:
                result = compared(result, earlier)
        number = log.keep(KIND, result.kit, done_at, to_plain(result))
    return result, number


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
