"""From lessons to all that is known: groups, names, counts and what is left out."""

import random
from dataclasses import replace

import numpy as np
import pytest

from eyeplane.learn import learn_all
from eyeplane.learn.lessons import named_kits
from eyeplane.records.lessons import Lesson, LessonKind, SittingLabels

A, B, MANUAL = ("Body", "1", "85 mm", "9"), ("Body", "1", "50 mm", "8"), ("Body", "1", "", "")
DAY_S = 86_400.0


def lessons(
    kind: LessonKind = "shake",
    *,
    seed: int = 1,
    sitting: str = "/a",
    kit: tuple[str, str, str, str] = A,
    labels: SittingLabels | None = None,
    count: int = 12,
    middle: float = 1.0,
) -> list[Lesson]:
    """Return lessons of single frames, two in three of them seen."""
    rng = np.random.default_rng(seed)
    return [
        Lesson(
            sha256=f"{sitting} {seed} {n}",
            kind=kind,
            sitting=sitting,
            captured_s=1000.0 + n,
            burst=n // 2,
            value=middle * float(np.exp(rng.normal(0, 0.5)))
            if kind != "focus"
            else middle + float(rng.normal(0, 3)),
            seen=kind == "focus" or n % 3 != 0,
            error_mm=2.0 if kind == "focus" else None,
            focal_length_mm=85.0,
            kit=kit,
            labels=labels or SittingLabels(),
        )
        for n in range(count)
    ]


def test_shake_by_kit_and_stabiliser() -> None:
    told = [
        *lessons(sitting="/a", labels=SittingLabels(stabiliser="on"), middle=0.2),
        *lessons(sitting="/b", labels=SittingLabels(stabiliser="off"), seed=2),
        *lessons(sitting="/c", kit=B, seed=3, labels=SittingLabels(stabiliser="off")),
    ]
    numbers = learn_all(told)
    found = {(one.kit, one.stabiliser): one for one in numbers.shake}
    assert set(found) == {
        ("Body with 85 mm", "on"),
        ("Body with 85 mm", "off"),
        ("Body with 50 mm", "off"),
    }
    on, off = found["Body with 85 mm", "on"], found["Body with 85 mm", "off"]
    assert on.median_deg_per_s.value < 0.7 * off.median_deg_per_s.value
    assert on.counts.frames == 12
    assert on.counts.seen == 8
    assert (on.counts.bursts, on.counts.sittings, on.counts.weight) == (6, 1, 12.0)
    assert on.focal_length_mm == 85.0
    assert numbers.any_shake is not None
    assert numbers.any_shake.counts.frames == 36
    assert (numbers.frames, numbers.sittings, numbers.newest) == (36, 3, "1970-01-01")


def test_a_tripod_teaches_no_shake() -> None:
    steady = lessons(labels=SittingLabels(stabiliser="tripod"), middle=0.01)
    assert learn_all(steady).any_shake is None
    both = [*lessons(sitting="/b", seed=2), *steady]
    assert learn_all(both).shake == learn_all(lessons(sitting="/b", seed=2)).shake


def test_motion_that_could_be_anybodys_is_nobodys() -> None:
    unsure = [replace(one, owned=not one.seen) for one in lessons(sitting="/b", seed=2, middle=9.0)]
    told = lessons()
    assert learn_all([*told, *unsure]).shake == learn_all(told).shake


def test_one_folder_on_two_days_is_two_sittings() -> None:
    first = lessons()
    second = [
        replace(one, sha256=f"x{one.sha256}", captured_s=(one.captured_s or 0) + DAY_S)
        for one in lessons(seed=2)
    ]
    assert learn_all([*first, *second]).shake[0].counts.sittings == 2


def test_a_name_for_a_kit_holds_wherever_the_lens_is_named() -> None:
    given = SittingLabels(kit="Studio")
    told = [*lessons(labels=given), *lessons(sitting="/b", seed=2)]
    assert {one.labels.kit for one in named_kits(told)} == {"Studio"}
    manual = [*lessons(labels=given, kit=MANUAL), *lessons(sitting="/b", seed=2, kit=MANUAL)]
    assert {one.labels.kit for one in named_kits(manual)} == {"Studio", ""}
    two = [*told, *lessons(sitting="/c", seed=3, labels=SittingLabels(kit="Other"))]
    assert {one.labels.kit for one in named_kits(two) if one.sitting == "/b"} == {""}


def test_labels_differ_neither_by_case_nor_by_order() -> None:
    told = [
        *lessons("sitter", labels=SittingLabels(sitter="Child 3"), middle=40.0),
        *lessons(
            "sitter", sitting="/b", seed=2, labels=SittingLabels(sitter="child 3"), middle=40.0
        ),
        *lessons("sitter", sitting="/c", seed=3, middle=10.0),
    ]
    numbers = learn_all(told)
    assert sorted(one.counts.sittings for one in numbers.sitters) == [1, 2]
    random.Random(3).shuffle(told)  # noqa: S311  no secrets here
    assert learn_all(told) == numbers


def test_focus_by_kit_and_by_how_it_was_set() -> None:
    told = [
        *lessons("focus", labels=SittingLabels(focus_setting="eye, single"), middle=0.0, count=20),
        *lessons(
            "focus",
            sitting="/b",
            seed=2,
            labels=SittingLabels(focus_setting="one point"),
            middle=9.0,
            count=20,
        ),
        *lessons("focus", sitting="/c", seed=3, kit=B, middle=1.0, count=20),
    ]
    found = {(one.kit, one.setting): one for one in learn_all(told).focus}
    assert set(found) == {
        ("Body with 85 mm", ""),
        ("Body with 85 mm", "eye, single"),
        ("Body with 85 mm", "one point"),
        ("Body with 50 mm", ""),
    }
    assert found["Body with 85 mm", "one point"].bias_mm.low > 5
    assert found["Body with 85 mm", "eye, single"].bias_mm.low < 0
    assert next(iter(found))[1] == ""


def test_a_kit_whose_settings_scatter_unlike_is_told_no_narrow_spread() -> None:
    def shot(name: str, sd: float, count: int, seed: int) -> list[Lesson]:
        rng = np.random.default_rng(seed)
        labels = SittingLabels(focus_setting=name)
        made = lessons("focus", sitting=f"/{name}", seed=seed, labels=labels, count=count)
        return [
            replace(one, value=float(rng.normal(0, sd)), burst=n, error_mm=0.5)
            for n, one in enumerate(made)
        ]

    told = [*shot("one point", 1.5, 14, 1), *shot("eye detection", 28.0, 9, 2)]
    found = {one.setting: one for one in learn_all(told).focus}
    wide, narrow, whole = (found[name] for name in ("eye detection", "one point", ""))
    assert narrow.spread_mm.high < wide.spread_mm.low
    assert whole.aside == 0
    assert narrow.spread_mm.high < whole.spread_mm.value < wide.spread_mm.high
    assert whole.spread_mm.low <= narrow.spread_mm.low
    assert whole.spread_mm.high >= wide.spread_mm.high
    alike = {one.setting: one for one in learn_all([*told[:14], *shot("zone", 1.5, 9, 3)]).focus}
    assert alike[""].spread_mm.high < 5.0


def test_old_sittings_count_less_and_it_is_told() -> None:
    old = lessons(middle=0.3)
    new = [
        replace(one, captured_s=(one.captured_s or 0) + 100 * DAY_S)
        for one in lessons(sitting="/b", seed=2, middle=3.0)
    ]
    alike, recent = (learn_all([*old, *new], half_life_days=half) for half in (None, 10.0))
    assert alike.shake[0].counts.weight == 24.0
    assert recent.shake[0].counts.weight == pytest.approx(12 * (1 + 2**-10), rel=1e-3)
    assert recent.shake[0].median_deg_per_s.value > alike.shake[0].median_deg_per_s.value


def test_nothing_says_nothing() -> None:
    numbers = learn_all([])
    assert (numbers.frames, numbers.shake, numbers.sitters, numbers.focus) == (0, (), (), ())
    assert len(numbers.notes) == 3


def competing(rng: np.random.Generator, *, plain: int, clear: int) -> list[Lesson]:
    """Return lessons of a hand of 0.7 deg/s and a sitter about as fast, who hide each other.

    Before plain backgrounds nobody can tell whose a line is, and all go to the sitter's account.
    Where it can be told, the other moved by less than the line that is seen.
    """
    told = []
    for sitting in range(plain + clear):
        hand, body = rng.normal(np.log((0.7, 0.5)), 0.25)
        for n in range(18):
            shake, sitter = np.exp(rng.normal((hand, body), 0.9))
            limit, top = 0.6 * float(np.exp(rng.normal(0, 0.5))), float(max(shake, sitter))
            whose: LessonKind = "shake" if shake > sitter and sitting >= plain else "sitter"
            kinds: tuple[LessonKind, ...] = ("shake", "sitter")
            for kind in kinds if top <= limit or sitting >= plain else (whose,):
                seen = top > limit and kind == whose
                told.append(
                    Lesson(
                        sha256=f"{sitting} {n}",
                        kind=kind,
                        sitting=f"/{sitting}",
                        captured_s=DAY_S * sitting + n,
                        burst=n,
                        value=max(top, limit),
                        seen=seen,
                        owned=not seen or sitting >= plain,
                        kit=A,
                    )
                )
    return told


@pytest.mark.slow
def test_motion_that_could_be_anybodys_makes_no_hand_look_steady() -> None:
    # The frames of such a sitting that show nothing would be all that is left of it.
    held, middles = [], []
    for seed in range(10):
        lessons_of_it = competing(np.random.default_rng(seed), plain=5, clear=2)
        found = learn_all(lessons_of_it).shake[0].median_deg_per_s
        held.append(found.low <= 0.7 <= found.high)
        middles.append(found.value)
    assert sum(held) >= 7
    assert 0.5 < np.median(middles) < 0.95


def test_quiet_frames_beside_anybodys_motion_teach_neither() -> None:
    told = lessons()
    quiet = [replace(one, seen=False, owned=True) for one in lessons(sitting="/b", seed=2)]
    moved = [
        replace(one, sha256=f"m{one.sha256}", owned=False, seen=True)
        for one in lessons("sitter", sitting="/b", seed=3)
    ]
    assert learn_all([*told, *quiet, *moved]).shake == learn_all(told).shake
    assert learn_all([*told, *quiet]).shake != learn_all(told).shake
