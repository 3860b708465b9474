"""All lessons together: what is known of hands, sitters and kits."""

import datetime
from collections import Counter
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np

from eyeplane.learn.correction import FocusFound, in_any_way, with_corrections
from eyeplane.learn.focus import FocusGroup, FocusLessons, fit_focus_groups
from eyeplane.learn.hierarchy import GroupPosterior
from eyeplane.learn.kit_names import kit_name, kit_names
from eyeplane.learn.recency import DAY_S, recency_weights
from eyeplane.learn.speeds_levels import (
    SpeedLessons,
    exposures_speed,
    fast_speed,
    fit_speed_groups,
    median_speed,
)
from eyeplane.records import Measured
from eyeplane.records.lessons import (
    LEARN_VERSION,
    LearnedCounts,
    LearnedFocus,
    LearnedNumbers,
    LearnedShake,
    LearnedSitter,
    Lesson,
    LessonKind,
)

FEW = {
    "shake": "your shake: it takes eight frames that tell how fast the camera turned, of which "
    "three show it, out of two bursts",
    "sitter": "your sitters: it takes eight frames that tell how fast they moved, of which three "
    "show it, out of two bursts",
    "focus": "the focus of any kit: it takes five frames of one sitter with a told offset, out of "
    "three bursts",
}
Kit = tuple[str, str, str, str]
Key = TypeVar("Key", bound=Hashable)


@dataclass(frozen=True, slots=True)
class _Sorted:
    """Lessons of one kind with their groups and sittings, each counted from 0."""

    lessons: Sequence[Lesson]
    groups: list[int]
    keys: list[Hashable]
    sittings: list[int]
    weights: list[float]

    def counts(self, group: int | None) -> LearnedCounts:
        own = [n for n, g in enumerate(self.groups) if group is None or g == group]
        told = [self.lessons[n] for n in own]
        return LearnedCounts(
            frames=len(told),
            seen=sum(one.seen for one in told),
            bursts=len({(self.sittings[n], self.lessons[n].burst) for n in own}),
            sittings=len({self.sittings[n] for n in own}),
            weight=float(sum(self.weights[self.sittings[n]] for n in own)),
        )

    def of(self, group: int) -> list[Lesson]:
        return [one for one, g in zip(self.lessons, self.groups, strict=True) if g == group]


def learn_all(lessons: Sequence[Lesson], *, half_life_days: float | None = None) -> LearnedNumbers:
    """Return what all lessons say together.

    Parameters
    ----------
    lessons : sequence of Lesson
        Of any number of sittings, in any order.
    half_life_days : float or None
        Age beyond the newest sitting at which a sitting counts half, > 0; None: all count alike.

    Returns
    -------
    LearnedNumbers
        The same for any order; empty, with notes, where there is too little.

    Notes
    -----
    A kit is what the photographer calls one, or else what the file does. A sitting in which most
    of the motion could be anybody's teaches no speed, of nobody; one labelled "tripod" no shake.
    """
    ordered = sorted(named_kits(lessons), key=_order)
    every = _sorted(ordered, lambda _: 0, half_life_days)
    dated = [one.captured_s for one in ordered if one.captured_s is not None]
    any_shake, shake = _shake(ordered, half_life_days)
    any_sitter, sitters = _sitters(ordered, half_life_days)
    focus = _focus(ordered, half_life_days)
    found = {"shake": any_shake is not None, "sitter": any_sitter is not None, "focus": bool(focus)}
    return LearnedNumbers(
        version=LEARN_VERSION,
        half_life_days=half_life_days,
        frames=len({one.sha256 for one in ordered}),
        sittings=len(set(every.sittings)),
        newest=day_of(max(dated)) if dated else "",
        any_shake=any_shake,
        shake=shake,
        any_sitter=any_sitter,
        sitters=sitters,
        focus=focus,
        notes=tuple(f"Not learned yet: {FEW[kind]}." for kind, told in found.items() if not told),
    )


def named_kits(lessons: Sequence[Lesson]) -> list[Lesson]:
    """Return lessons with the photographer's own name for their kit wherever it is known.

    Parameters
    ----------
    lessons : sequence of Lesson
        In any order.

    Returns
    -------
    list of Lesson
        In the same order. A name given to one sitting holds for all frames of that body and lens,
        if the file names the lens, and if no other name was given to it.
    """
    names: dict[Kit, set[str]] = {}
    for one in lessons:
        if one.labels.kit and one.kit[2]:
            names.setdefault(one.kit, set()).add(one.labels.kit)

    def named(one: Lesson) -> Lesson:
        known = names.get(one.kit, set())
        if one.labels.kit or len(known) != 1:
            return one
        return replace(one, labels=replace(one.labels, kit=next(iter(known))))

    return [named(one) for one in lessons]


def day_of(captured_s: float) -> str:
    """Return the day of a frame.

    Parameters
    ----------
    captured_s : float
        Seconds since 1970 by the camera's clock.

    Returns
    -------
    str
        As YYYY-MM-DD.

    Examples
    --------
    >>> day_of(86400.0)
    '1970-01-02'
    """
    start = datetime.datetime(1970, 1, 1, tzinfo=datetime.UTC)
    return (start + datetime.timedelta(seconds=captured_s)).date().isoformat()


def _order(one: Lesson) -> tuple[str, float, int, str]:
    return one.sitting, one.captured_s or 0.0, one.burst, one.sha256


def _sorted(
    lessons: Sequence[Lesson], key: Callable[[Lesson], Hashable], half_life_days: float | None
) -> _Sorted:
    keys = list(dict.fromkeys(key(one) for one in lessons))
    places: dict[Hashable, int] = {}
    newest: list[float | None] = []
    sittings = []
    for one in lessons:
        day = None if one.captured_s is None else one.captured_s // DAY_S
        place = places.setdefault((one.sitting, day, key(one)), len(places))
        if place == len(newest):
            newest.append(one.captured_s)
        elif one.captured_s is not None:
            newest[place] = max(newest[place] or one.captured_s, one.captured_s)
        sittings.append(place)
    numbers = {one: n for n, one in enumerate(keys)}
    return _Sorted(
        lessons=lessons,
        groups=[numbers[key(one)] for one in lessons],
        keys=keys,
        sittings=sittings,
        weights=recency_weights(newest, half_life_days=half_life_days),
    )


def _speeds(
    lessons: Sequence[Lesson],
    kind: LessonKind,
    key: Callable[[Lesson], Hashable],
    half_life_days: float | None,
) -> tuple[_Sorted, GroupPosterior, tuple[GroupPosterior, ...]] | None:
    own = _owned(lessons, kind)
    if not own:
        return None
    told = _sorted(own, key, half_life_days)
    fit = fit_speed_groups(
        SpeedLessons(
            values=np.array([one.value for one in own], dtype=float),
            seen=np.array([one.seen for one in own], dtype=bool),
            bursts=[one.burst for one in own],
            sittings=told.sittings,
            groups=told.groups,
        ),
        told.weights,
    )
    if fit is None:
        return None
    return told, fit.new, fit.groups


def _owned(lessons: Sequence[Lesson], kind: LessonKind) -> list[Lesson]:
    """Return the lessons of sittings in which most of the motion is known to be the mover's.

    Where more of it could be anybody's, whichever mover it was put down to, the quiet frames go
    too: alone they would make a hand, or a sitter, look steadier than it is.
    """
    known = Counter(one.sitting for one in lessons if one.kind == kind and one.seen and one.owned)
    anybodys = Counter(one.sitting for one in lessons if one.seen and not one.owned)
    kept = {
        s for s in {one.sitting for one in lessons} if known[s] > anybodys[s] or not anybodys[s]
    }
    return [one for one in lessons if one.kind == kind and one.sitting in kept]


def _shake(
    lessons: Sequence[Lesson], half_life_days: float | None
) -> tuple[LearnedShake | None, tuple[LearnedShake, ...]]:
    held = [one for one in lessons if one.labels.stabiliser != "tripod"]
    found = _speeds(
        held, "shake", lambda one: (_kit_key(one), one.labels.stabiliser), half_life_days
    )
    if found is None:
        return None, ()
    told, anybody, groups = found
    shown = _shown_kits(told.lessons)
    learned = []
    for group, posterior in enumerate(groups):
        own = told.of(group)
        focal = [one.focal_length_mm for one in own if one.focal_length_mm]
        learned.append(
            LearnedShake(
                kit=shown[_kit_key(own[0])],
                names=_names(own),
                focal_length_mm=float(np.median(focal)) if focal else None,
                stabiliser=own[0].labels.stabiliser,
                median_deg_per_s=median_speed(posterior),
                exposures_deg_per_s=exposures_speed(posterior),
                fast_deg_per_s=fast_speed(posterior),
                counts=told.counts(group),
            )
        )
    learned.sort(key=lambda one: (-one.counts.frames, one.kit, one.stabiliser))
    whoever = LearnedShake(
        kit="",
        names=(),
        focal_length_mm=None,
        stabiliser="",
        median_deg_per_s=median_speed(anybody),
        exposures_deg_per_s=exposures_speed(anybody),
        fast_deg_per_s=fast_speed(anybody),
        counts=told.counts(None),
    )
    return whoever, tuple(learned)


def _sitters(
    lessons: Sequence[Lesson], half_life_days: float | None
) -> tuple[LearnedSitter | None, tuple[LearnedSitter, ...]]:
    found = _speeds(lessons, "sitter", lambda one: one.labels.sitter.casefold(), half_life_days)
    if found is None:
        return None, ()
    told, anybody, groups = found

    def learned(posterior: GroupPosterior, group: int | None) -> LearnedSitter:
        return LearnedSitter(
            sitter="" if group is None else told.of(group)[-1].labels.sitter,
            median_mm_per_s=median_speed(posterior),
            exposures_mm_per_s=exposures_speed(posterior),
            fast_mm_per_s=fast_speed(posterior),
            counts=told.counts(group),
        )

    kinds = [learned(posterior, group) for group, posterior in enumerate(groups)]
    kinds.sort(key=lambda one: (-one.counts.frames, one.sitter))
    return learned(anybody, None), tuple(kinds)


def _focus(lessons: Sequence[Lesson], half_life_days: float | None) -> tuple[LearnedFocus, ...]:
    own = [one for one in lessons if one.kind == "focus" and one.error_mm]
    whole = _focus_of(own, lambda _: "", half_life_days)
    settings: dict[Hashable, set[str]] = {}
    for one in own:
        settings.setdefault(_kit_key(one), set()).add(one.labels.focus_setting.casefold())
    shared = {kit for kit, said in settings.items() if len(said) > 1}
    split = [one for one in own if _kit_key(one) in shared]
    parts = _focus_of(split, lambda one: one.labels.focus_setting, half_life_days)
    rank = {found.kit: n for n, found in enumerate(whole)}
    parts = [part for part in parts if part.kit in rank]
    both = [*(in_any_way(one, parts) for one in whole), *parts]
    both.sort(
        key=lambda one: (
            rank[one.kit],
            bool(one.focus.setting) or one in parts,
            -one.focus.counts.frames,
            one.focus.setting,
        )
    )
    return with_corrections(both)


def _focus_of(
    lessons: Sequence[Lesson], setting: Callable[[Lesson], str], half_life_days: float | None
) -> list[FocusFound]:
    if not lessons:
        return []
    told = _sorted(lessons, lambda one: (_kit_key(one), setting(one).casefold()), half_life_days)
    groups = fit_focus_groups(
        FocusLessons(
            values_mm=np.array([one.value for one in lessons], dtype=float),
            errors_mm=np.array([one.error_mm for one in lessons], dtype=float),
            bursts=[one.burst for one in lessons],
            sittings=told.sittings,
            groups=told.groups,
            parts=_ways(lessons),
        ),
        told.weights,
    )
    shown = _shown_kits(lessons)
    found = [
        _found(told, group, shown, setting(told.of(group)[-1]), fit)
        for group, fit in enumerate(groups)
        if fit is not None
    ]
    found.sort(key=lambda one: (-one.focus.counts.frames, one.focus.kit))
    return found


def _found(
    told: _Sorted, group: int, shown: dict[Hashable, str], setting: str, fit: FocusGroup
) -> FocusFound:
    own = told.of(group)
    key = _kit_key(own[0])
    return FocusFound(
        kit=key,
        focus=LearnedFocus(
            kit=shown[key],
            names=_names(own),
            setting=setting,
            bias_mm=fit.bias_mm,
            spread_mm=_positive(fit.spread_mm),
            chance_behind=fit.chance_behind,
            aside=fit.aside,
            correction="",
            counts=told.counts(group),
        ),
    )


def _ways(lessons: Sequence[Lesson]) -> list[int]:
    """Return the way of focusing of each lesson, as a number."""
    numbers: dict[str, int] = {}
    ways = (one.labels.focus_setting.casefold() for one in lessons)
    return [numbers.setdefault(way, len(numbers)) for way in ways]


def _positive(spread: Measured) -> Measured:
    return replace(spread, low=max(spread.low, 0.0))


def _kit_key(one: Lesson) -> Hashable:
    return one.labels.kit.casefold() if one.labels.kit else one.kit


def _shown_kits(lessons: Sequence[Lesson]) -> dict[Hashable, str]:
    """Return how each kit is shown: by the photographer's name, else by what the file says."""
    plain = kit_names({one.kit for one in lessons})
    return {_kit_key(one): one.labels.kit or plain[one.kit] for one in lessons}


def _names(lessons: Sequence[Lesson]) -> tuple[str, ...]:
    """Return what a plan may call the kit of these lessons."""
    given = {one.labels.kit for one in lessons if one.labels.kit}
    return tuple(sorted(given | {kit_name(one.kit) for one in lessons}))
