"""A guided trial: set up, followed frame by frame, and finished."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, cast

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from eyeplane.asked.checks import CheckDone
from eyeplane.asked.kept_checks import KIT_KINDS
from eyeplane.asked.trial_typed import check_typed_trial, ladder_typed
from eyeplane.asked.trials import Going, add_steps, begin, end, going_on, ladder_finished
from eyeplane.asked.units import f_number
from eyeplane.deliver.cautions import FLASH
from eyeplane.deliver.ladder_content import CHILDREN
from eyeplane.errors import InputError
from eyeplane.light.camera_words import shutter
from eyeplane.records.said import count_word
from eyeplane.records.trial import TrialKind
from eyeplane.sitting.ladder_parts import WHOLE_S
from eyeplane.sitting.ladder_units import rule_s
from eyeplane.sitting.live import LiveSitting
from eyeplane.sitting.trial_state import step_words
from eyeplane.sitting.trial_steps import ladder_steps
from eyeplane.web.background import Heard, Result, background_of
from eyeplane.web.forms import fields_of, form_of
from eyeplane.web.instead import said_here
from eyeplane.web.page import markup, page, site_of
from eyeplane.web.pages.kit_new import paths_of, result_of, sitting_typed
from eyeplane.web.site import NotHereError
from eyeplane.web.trial_watch import Seen, watch_of
from eyeplane.web.words import words

SLOWEST_S = 2.0  # of the times that are offered
WAYS = ("adult", "adult-stabilised", "child", "child-stabilised")  # for whom times are proposed
SHOWN_ASIDE = 5  # frames that do not count which are shown without asking


def _trial(request: Request) -> Response:
    going = going_on(site_of(request).store_path)
    if going is None:
        return _set_up(request)
    return page(request, "steadiness_trial.html.j2", **_standing(request, going))


def _piece(request: Request) -> Response:
    going = going_on(site_of(request).store_path)
    if going is None:
        return Response(status_code=286, headers={"hx-redirect": "/steadiness"})
    told = _standing(request, going)
    seen = told["stand"]
    if isinstance(seen, Seen) and request.query_params.get("mark") == seen.mark:
        return Response(status_code=204)
    return HTMLResponse(markup(request, "steadiness_count.html.j2", **told, fresh=True))


def _set_up(request: Request) -> Response:
    site = site_of(request)
    live, reading = site.current(), None
    if live is not None and live.state().last_number:
        last = live.last()
        seen = None if last is None else last.frame.reading
        reading = None if seen is None or seen.status == "unreadable" else seen
    rule = None if reading is None or not reading.width_px else rule_s(reading)
    way = request.query_params.get("way", WAYS[0])
    way = way if way in WAYS else WAYS[0]
    stabilised, child = way.endswith("stabilised"), way.startswith("child")
    usual = [one.shutter_s for one in ladder_steps(rule, stabilised=stabilised, child=child)]
    return page(
        request,
        "steadiness_setup.html.j2",
        sittings=tuple(reversed(site.sittings())),
        last={one.key: one.state().last_number for one in site.sittings()},
        times=[
            (f"1/{round(1 / one)}" if one < 1 else f"{one:g}", shutter(one), one in usual)
            for one in WHOLE_S
            if one <= SLOWEST_S
        ],
        each=ladder_steps()[0].frames,
        ways=WAYS,
        way=way,
        stabiliser="on" if stabilised else "",
        rule=None if rule is None else shutter(rule),
        focal=None if reading is None else reading.exposure.focal_length_mm,
        print_cm=None if live is None else live.viewing.print_cm,
        cautions=(CHILDREN, words("steadiness_trial.pauses"), FLASH),
    )


def _standing(request: Request, going: Going) -> dict[str, Any]:
    """Return what a page of a trial shows."""
    site, trial = site_of(request), going.trial
    live = next((one for one in site.sittings() if one.key == going.kept.sitting), None)
    if live is None:
        return {"going": going, "stand": None, "live": None, "cautions": (), "at": step_words}
    seen = watch_of(request).look(going, live)
    return {
        "going": going,
        "stand": seen,
        "live": live,
        "set_to": _set_to(seen),
        "sentence": _sentence(seen),
        "at": step_words,
        "said": said_here,
        "shown_aside": SHOWN_ASIDE,
        "work": background_of(request).now(),
        "cautions": (CHILDREN, FLASH) if trial.subject == "sitter" else (),
    }


def _set_to(seen: Seen) -> str:
    """Return what the camera is to be set to now; empty when nothing is left to shoot."""
    if seen.state.now is None:
        return ""
    at = step_words(seen.state.counts[seen.state.now].step) or words("steadiness_trial.any")
    return words("steadiness_trial.set", at=at)


def _sentence(seen: Seen) -> str:
    """Return how many frames are to be shot there."""
    if seen.state.now is None:
        return words("steadiness_trial.full")
    one = seen.state.counts[seen.state.now]
    left = one.step.frames - one.counted
    if one.counted == 0:
        return words("steadiness_trial.begin_step", wanted=count_word(left))
    return words(
        "steadiness_trial.now",
        done=one.counted,
        wanted=one.step.frames,
        left=count_word(left),
    )


async def _begin(request: Request) -> Response:
    fields = await fields_of(request)
    given = dict(fields)
    times = [value for name, value in fields if name == "time"]
    times += [one for one in given.get("more_times", "").split(",") if one.strip()]
    await run_in_threadpool(_begin_ladder, request, given, times)
    return RedirectResponse("/steadiness/trial", status_code=303)


def _begin_ladder(request: Request, given: Mapping[str, str], times: Sequence[str]) -> None:
    site = site_of(request)
    live = sitting_typed(site, given)
    trial = ladder_typed(given, times, after=live.state().given)
    begin(trial, live.key, site.store_path)


async def _guide(request: Request) -> Response:
    kind, given = str(request.path_params["check"]), await form_of(request)
    if kind not in KIT_KINDS:
        raise NotHereError(
            words("kit.gone"), where=words("kit.address"), hint=words("kit.gone_hint")
        )
    await run_in_threadpool(_begin_check, request, cast("TrialKind", kind), given)
    return RedirectResponse("/kit/trial", status_code=303)


def _begin_check(request: Request, kind: TrialKind, given: Mapping[str, str]) -> None:
    from eyeplane.asked.check_asked import check_typed  # noqa: PLC0415  loads all that measures

    site = site_of(request)
    check_typed(kind, given)
    live = sitting_typed(site, given)
    after = live.state().given
    trial = check_typed_trial(kind, given, after=after, widest_f_number=_widest(given))
    begin(trial, live.key, site.store_path)


def _widest(given: Mapping[str, str]) -> float | None:
    text = given.get("widest", "").strip()
    if not text:
        return None
    try:
        found = f_number(text[:40])
    except ValueError as error:
        raise InputError(
            str(error), where=words("kit_new.widest"), hint="Give one like f/1.8"
        ) from error
    return found


async def _finish(request: Request) -> Response:
    await run_in_threadpool(_start, request)
    return RedirectResponse("/kit/work", status_code=303)


def _start(request: Request) -> None:
    site = site_of(request)
    going, live = _here(request)
    seen = watch_of(request).look(going, live)
    numbers = seen.state.frames
    if not numbers:
        raise InputError(
            words("steadiness_trial.no_frames"),
            where=words("steadiness_trial.title"),
            hint=words("steadiness_trial.shoot_first"),
        )

    def work(heard: Heard) -> Result:
        if going.trial.kind == "ladder":
            done = _ladder(going, live, numbers, site.store_path)
        else:
            done = _check(going, live, numbers, (site.store_path, heard))
        end(going.kept.number, site.store_path)
        return result_of(done)

    background_of(request).start(words(f"kit.{going.trial.kind}.name"), work)


def _ladder(
    going: Going, live: LiveSitting, numbers: Sequence[int], store: Path | None
) -> CheckDone:
    found = (live.frame(number) for number in numbers)
    frames = [one.frame for one in found if one is not None]
    whole = going.trial.after == 0 and len(frames) == live.state().frames
    return ladder_finished(going.trial, frames, name=live.name, store=store, whole=whole)


def _check(
    going: Going, live: LiveSitting, numbers: tuple[int, ...], where: tuple[Path | None, Heard]
) -> CheckDone:
    from eyeplane.asked.check_asked import check_done  # noqa: PLC0415  loads all that measures

    kind, (store, heard) = going.trial.kind, where
    files = paths_of(live, numbers)
    before = files.pop(0) if kind == "glass" and len(files) > 1 else None
    given = dict(going.trial.given)
    return check_done(kind, files, given, before=before, store=store, heard=heard)


async def _more(request: Request) -> Response:
    await run_in_threadpool(_add, request)
    return RedirectResponse("/steadiness/trial", status_code=303)


def _add(request: Request) -> None:
    going, live = _here(request)
    seen = watch_of(request).look(going, live)
    full = seen.state.now is None  # else it was sent twice
    if full and seen.told is not None and seen.told.more:
        add_steps(going, seen.told.more, site_of(request).store_path)


async def _drop(request: Request) -> Response:
    await run_in_threadpool(_give_up, request)
    return RedirectResponse("/steadiness", status_code=303)


def _give_up(request: Request) -> None:
    going = going_on(site_of(request).store_path)
    if going is not None:
        end(going.kept.number, site_of(request).store_path)


def _here(request: Request) -> tuple[Going, LiveSitting]:
    going = going_on(site_of(request).store_path)
    if going is None:
        raise InputError(
            words("steadiness_trial.none"),
            where=words("steadiness_trial.title"),
            hint=words("steadiness_trial.none_hint"),
        )
    return going, site_of(request).sitting(going.kept.sitting)


routes = (
    Route("/steadiness/trial", _trial, methods=["GET"]),
    Route("/kit/trial", _trial, methods=["GET"]),
    Route("/steadiness/trial", _begin, methods=["POST"]),
    Route("/kit/guide/{check}", _guide, methods=["POST"]),
    Route("/steadiness/trial/piece", _piece),
    Route("/steadiness/trial/finish", _finish, methods=["POST"]),
    Route("/steadiness/trial/more", _more, methods=["POST"]),
    Route("/steadiness/trial/drop", _drop, methods=["POST"]),
)
