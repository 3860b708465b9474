"""What holds a plan for one sitter back, and the one thing to change: from ways that were tried."""

from dataclasses import dataclass

from eyeplane.plan import words
from eyeplane.plan.axes import SAME_MARK
from eyeplane.plan.budget import Budget
from eyeplane.plan.limit_table import most_cm
from eyeplane.plan.search import Search
from eyeplane.plan.sitter_words import NOTHING_SHARE, dialled_settings, finer_grain
from eyeplane.plan.ways_out import ENOUGH_SHARE, WORTH_SHARE, WayOut, more_light
from eyeplane.records import Measured, PlanKit, PlanPrint

LIMIT_SHARE = 0.02  # of frames: a limit whose lifting brings less does not bind; our own
NEAR_PRINT = 0.6  # of the print promised: a smaller one that clients may take instead; our own
LEAST_PRINT_CM = 5.0  # a smaller one nobody promises; our own
COSTLY = {
    "focus": "missed focus",
    "depth": "depth: the far eye lies behind the focus plane",
    "shake": "your own shake",
    "sitter": "the sitter's motion",
    "diffraction": "diffraction at so small an aperture",
    "glass": "the glass at so wide an aperture",
    "pixels": "the number of pixels",
    "noise": "noise",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What holds a plan back, and what to do.

    Attributes
    ----------
    limits : tuple of str
        Sentences.
    advice : str
        The one thing that brings most.
    kind : str
        What the advice changes, as in `WayOut`; "print", "frames" or "" besides.
    """

    limits: tuple[str, ...]
    advice: str
    kind: str


def verdict(
    found: Search, share: Measured, ways: tuple[WayOut, ...], budget: Budget, frames: int | None
) -> Verdict:
    """Return what holds a plan back, and the one thing to change.

    Parameters
    ----------
    found : Search
        Best setting and request.
    share : Measured
        Of frames that hold at the best setting.
    ways : tuple of WayOut
        What was tried.
    budget : Budget
        Of the worse of the eyes that count.
    frames : int or None
        Frames to take for one that holds with the eyes open.

    Returns
    -------
    Verdict
        In sentences.
    """
    request = found.request
    limits = [*pixels_words(request.kit, request.promise), *_bound(found, ways)]
    smaller = _smaller_print(found, share, budget)
    if share.value >= NOTHING_SHARE:
        best = max(ways, key=lambda way: way.gain, default=None)
        few = best is None or best.gain < WORTH_SHARE
        if few and frames is None:  # not even many frames are likely to bring one
            return Verdict(limits=tuple(limits), advice=_promise(budget), kind="print")
        if best is None or few:
            said = (*limits, *smaller)
            finer = finer_grain(found.found.settings, found.shares, found.best)
            advice = f"{_enough(frames or 1)} {finer}".strip()
            return Verdict(limits=said, advice=advice, kind="frames")
        advice = f"{best.text}: {words.percent(best.share)} of frames then hold."
        near = (budget.promised_cm or 0.0) >= NEAR_PRINT * request.promise.print_cm
        if smaller and near and best.share < ENOUGH_SHARE:  # no single change is a way out
            return Verdict(limits=(*limits, advice), advice=_promise(budget), kind="print")
        limits += smaller
        return Verdict(limits=tuple(limits), advice=advice, kind=best.kind)
    limits.append(_why_nothing(found, budget))
    advice, kind = _way_out(found, ways, budget)
    limits += smaller if kind != "print" else []
    return Verdict(limits=tuple(limits), advice=advice, kind=kind)


def _promise(budget: Budget) -> str:
    promised_cm = budget.promised_cm or 0.0
    if promised_cm < LEAST_PRINT_CM:
        return (
            f"Not even {words.print_cm(LEAST_PRINT_CM)} hold in four frames of five, and no single "
            "change brings enough: plan for other light."
        )
    return f"Promise {words.whole_cm(promised_cm)}: four frames in five hold that."


def _enough(frames: int) -> str:
    if frames <= 1:
        return "Nothing else brings more: one frame is likely to do."
    return f"Nothing else brings much: take {words.count_word(frames)}, focused anew for each."


def pixels_words(kit: PlanKit, promise: PlanPrint) -> tuple[str, ...]:
    """Return that the print is larger than the pixels hold, where it is.

    Parameters
    ----------
    kit : PlanKit
        Pixels and glass.
    promise : PlanPrint
        Print and viewer.

    Returns
    -------
    tuple of str
        One sentence, or none.
    """
    most = most_cm(kit, viewing_cm=promise.viewing_cm)
    if promise.print_cm <= most:
        return ()
    return (
        f"{max(kit.long_edge_px, kit.short_edge_px)}{words.THIN}px hold {words.whole_cm(most)} at "
        f"most, seen from {words.print_cm(promise.viewing_cm)}: no setting makes them hold "
        f"{words.print_cm(promise.print_cm)}.",
    )


def _bound(found: Search, ways: tuple[WayOut, ...]) -> list[str]:
    """Return the limits that bound the choice: those whose lifting brings more frames."""
    told = []
    by_kind = {way.kind: way for way in ways}
    starts = {
        "choice": _settled(found),
        "iso": f"{words.iso_speed(found.request.kit.highest_iso)} is the ceiling",
        "smaller": f"{words.f_stop(found.request.kit.smallest_f_number)} is the smallest aperture",
        "wider": f"{words.f_stop(found.request.kit.widest_f_number)} is the widest aperture",
        "room": _ghost(found),
    }
    for kind, start in starts.items():
        way = by_kind.get(kind)
        if way is None or way.gain < LIMIT_SHARE:
            continue
        then = dialled_settings(way.then.setting)
        told.append(f"{start}; without that limit {then}: {words.percent(way.share)} of frames.")
    return [*told, *_shutter(found)]


def _settled(found: Search) -> str:
    choice = found.request.choice
    said = []
    if choice.f_number is not None:
        said.append(words.f_stop(choice.f_number))
    if choice.shutter_s is not None:
        said.append(words.shutter(choice.shutter_s))
    if choice.iso is not None:
        said.append(words.iso_speed(choice.iso))
    return f"You settled {words.listed(said)}" if said else ""


def _ghost(found: Search) -> str:
    ghost = float(found.setting.ghost_share[0])
    sync = words.shutter(found.request.kit.sync_s)
    return (
        f"Flash sync ends at {sync}, so the room's light draws a ghost, "
        f"{words.percent(ghost)} of the exposure"
    )


def _shutter(found: Search) -> list[str]:
    """Return that the shutter's own ends bound the choice."""
    kit, shutter_s = found.request.kit, float(found.setting.shutter_s[0])
    if found.request.choice.shutter_s is not None or found.request.light.kind == "flash":
        return []
    if shutter_s <= kit.fastest_s * (1 + SAME_MARK):
        return [f"{words.shutter(kit.fastest_s)} is the fastest shutter time in so much light."]
    if shutter_s >= kit.slowest_s * (1 - SAME_MARK):
        return [f"{words.shutter(kit.slowest_s)} is the slowest time you allow."]
    return []


def _smaller_print(found: Search, share: Measured, budget: Budget) -> list[str]:
    """Return what four frames in five hold, where the print promised is held by few."""
    if share.value >= ENOUGH_SHARE or budget.promised_cm is None:
        return []
    if words.whole_cm(budget.promised_cm) == words.whole_cm(found.request.promise.print_cm):
        return []
    return [f"Four frames in five hold {words.whole_cm(budget.promised_cm)}."]


def _why_nothing(found: Search, budget: Budget) -> str:
    """Return what costs the most where next to nothing holds."""
    goal = words.print_cm(found.request.promise.print_cm)
    worst = next(part for part in budget.parts if part.cause != "pixels")
    if budget.reach_cm.value >= found.request.promise.print_cm:
        return f"{words.capital(COSTLY[worst.cause])} keeps nearly every frame from {goal}."
    return (
        f"The middle frame holds {words.whole_cm(budget.reach_cm.value)}; what costs it most is "
        f"{COSTLY[worst.cause]}: {words.whole_cm(worst.reach_without_cm)} without."
    )


def _way_out(found: Search, ways: tuple[WayOut, ...], budget: Budget) -> tuple[str, str]:
    """Return the cheapest way out, and its kind."""
    cheapest = next((way for way in ways if way.share >= ENOUGH_SHARE), None)
    if (
        cheapest is None
        and most_cm(found.request.kit, viewing_cm=found.request.promise.viewing_cm)
        > found.request.promise.print_cm
    ):
        cheapest = more_light(found)
    if cheapest is not None:
        return (
            f"{cheapest.text}: {words.percent(cheapest.share)} of frames then hold.",
            cheapest.kind,
        )
    return _promise(budget), "print"
