"""Habits that are counted: caught, closed eyes, dark, and what costs most."""

import re
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from tests.sitting.made import answer
from tests.sitting.simulated import CLEAN, Habits, simulate

from eyeplane.learn.recency import effective_weights
from eyeplane.records import Finding, Habit, HabitKind, SittingFrame, Viewing
from eyeplane.sitting import say
from eyeplane.sitting.blinks import (
    chance_of_clusters,
    eyes_closed_habit,
    frames_for_open,
)
from eyeplane.sitting.caught import caught, caught_thing
from eyeplane.sitting.cost import cost, lost_cm, mean_loss
from eyeplane.sitting.dark import dark
from eyeplane.sitting.habits import by_cost, habits_of


def sitting(seed: int, habits: Habits = CLEAN, bursts: int = 15) -> tuple[SittingFrame, ...]:
    return simulate(np.random.default_rng(seed), habits, bursts=bursts)[0]


def plain(habit: Habit) -> str:
    return habit.text.replace("\u2009", " ")


@pytest.mark.slow
def test_a_clean_sitting_repeats_nothing() -> None:
    trials, counts = 60, Counter[str]()
    for seed in range(trials):
        frames = sitting(seed)
        counts["closed"] += bool(eyes_closed_habit(frames))
        counts["caught"] += bool(caught(frames))
        counts["dark"] += bool(dark(frames))
        counts["cost"] += bool(cost(frames, goal_cm=40.0))
    assert max(counts.values()) <= 3, counts  # 5 %


@pytest.mark.parametrize(
    ("habits", "kind", "least"),
    [
        (replace(CLEAN, closed=0.4), "closed", 0.8),
        (replace(CLEAN, caught=0.35), "caught", 0.8),
        (replace(CLEAN, level=0.03), "dark", 1.0),
    ],
)
def test_what_repeats_is_called(habits: Habits, kind: str, least: float) -> None:
    call = {"closed": eyes_closed_habit, "caught": caught, "dark": dark}[kind]
    assert sum(bool(call(sitting(seed, habits))) for seed in range(20)) >= least * 20


def test_what_the_focus_caught_is_named_and_counted_by_bursts() -> None:
    frames = sitting(1, replace(CLEAN, caught=0.4))
    (habit,) = caught(frames)
    bursts = {f.burst for f in frames if caught_thing(f.answer)}
    assert habit.frames == 3 * len(bursts)
    assert f"The focus caught the lashes in {habit.frames} of 45 frames" in plain(habit)
    assert f"in {len(bursts)} of 15 bursts" in plain(habit)
    low, high = say.share_between(len(bursts), 15)
    assert say.percent(low, high).replace("\u2009", " ") in plain(habit)
    # One long burst is one event of focusing.
    once = [replace(f, burst=1) for f in frames if caught_thing(f.answer)]
    rest = [f for f in frames if not caught_thing(f.answer)]
    assert caught((*once, *rest)) == ()


def test_only_findings_of_that_kind_and_of_sitters_are_read() -> None:
    said = answer(20.0, "focus")

    def with_finding(finding: Finding, *, sitter: bool = True) -> str:
        face = replace(said.faces[0], findings=(finding,), sitter=sitter)
        return caught_thing(replace(said, faces=(face,), deciding=0 if sitter else None))

    assert with_finding(Finding(kind="caught", text="Focus caught the far ear, 90 mm behind.")) == (
        "the far ear"
    )
    assert with_finding(Finding(kind="caught", text="Focus caught the collar.")) == "the collar"
    assert with_finding(Finding(kind="caught", text="Focus lay as deep as the brow.")) == ""
    assert with_finding(Finding(kind="elsewhere", text="Focus caught the wall.")) == ""
    ear = Finding(kind="caught", text="Focus caught the ear.")
    assert with_finding(ear, sitter=False) == ""


def test_closed_eyes_are_held_against_blinking() -> None:
    (habit,) = eyes_closed_habit(sitting(1, replace(CLEAN, closed=0.4)))
    assert "more than the 4 to 9 % that blinking makes." in plain(habit)
    assert "frames of each pose" in habit.advice
    # A group of ten blinks so often that three closed in ten are nothing to wonder at.
    frames = sitting(1, replace(CLEAN, closed=0.4))
    group = tuple(replace(f, answer=replace(f.answer, faces=f.answer.faces * 10)) for f in frames)
    assert eyes_closed_habit(group) == ()


@pytest.mark.parametrize(("share", "frames"), [(0.0, 1), (0.01, 1), (0.1, 2), (0.3, 4), (0.5, 7)])
def test_how_many_frames_until_eyes_are_open(share: float, frames: int) -> None:
    assert frames_for_open(share) == frames
    assert share**frames <= 0.01 + 1e-12
    assert frames == 1 or share ** (frames - 1) > 0.01


def test_frames_of_a_burst_count_for_less() -> None:
    weights = effective_weights([1, 1, 1, 2])
    assert weights == pytest.approx([0.5, 0.5, 0.5, 1.0])  # n count as 2 n / (n + 1)


def test_closed_eyes_that_come_together() -> None:
    bursts = [n // 5 for n in range(40)]
    together = [burst in (2, 5) for burst in bursts]
    spread = [n % 5 == 0 for n in range(40)]
    assert chance_of_clusters(together, bursts) < 0.01
    assert chance_of_clusters(spread, bursts) > 0.5
    assert chance_of_clusters([True] * 3, [1, 2, 3]) == 1.0
    rng = np.random.default_rng(2)
    chances = [chance_of_clusters((rng.random(40) < 0.2).tolist(), bursts) for _ in range(60)]
    assert sum(chance < 0.02 for chance in chances) <= 4


def test_dark_by_finding_or_by_light() -> None:
    (habit,) = dark(sitting(1, replace(CLEAN, level=0.0225)))
    assert "3.0 stops under mid-grey" in plain(habit)  # 0.18 / 8
    assert "Sandbag" in habit.advice
    frames = [
        replace(f, answer=replace(f.answer, findings=(Finding(kind="dark", text="Too dark."),)))
        for f in sitting(1)
    ]
    (found,) = dark(frames)
    assert found.frames == 45
    assert dark(frames[:6]) == ()  # two bursts are no habit


def test_the_costs_are_those_of_the_budget() -> None:
    said = answer(20.0, "focus", without={"focus": 65.0, "noise": 21.0})
    assert lost_cm(said) == pytest.approx(45.0)
    assert lost_cm(answer(20.0, "motion", without={"cannot tell": 50.0})) == pytest.approx(30.0)
    assert lost_cm(answer(20.0, "focus")) is None
    assert lost_cm(answer(None, "focus", without={"focus": 65.0})) is None
    assert lost_cm(answer(20.0, "focus", without={"focus": 10.0})) == 0.0


def test_which_cause_costs_most_frames_and_which_most_reach() -> None:
    focus = answer(30.0, "focus", without={"focus": 50.0})
    grain = answer(10.0, "noise", without={"noise": 110.0})
    base = sitting(1)
    answers = [focus] * 8 + [grain] * 4 + [answer(60.0)] * 8
    frames = [
        replace(f, answer=said, burst=n)
        for n, (f, said) in enumerate(zip(base, answers, strict=False))
    ]
    (habit,) = cost(frames, goal_cm=40.0)
    text = plain(habit)
    assert re.match(
        r"Missed focus costs 20 cm of reach( \(.*\))? on average in each of 8 frames", text
    )
    assert re.search(r"Noise costs more in all: 100 cm of reach .*on average in each of 4 fr", text)
    assert habit.frames == 8
    assert cost(frames[:2], goal_cm=40.0) == ()
    losses = iter((0.0, 5.0, 90.0, 1.0, 60.0, 2.0, 80.0, 3.0))
    unlike = [
        replace(f, answer=answer(30.0, "focus", without={"focus": 30.0 + next(losses)}))
        for f in frames[:8]
    ]
    assert cost(unlike, goal_cm=40.0) == ()  # a loss of 30 cm, give or take as much, says nothing
    loss = mean_loss(frames[:8])
    assert loss is not None
    assert loss.low <= 20.0 <= loss.high


def test_the_costliest_habit_comes_first() -> None:
    frames = [
        replace(f, answer=answer(10.0, "noise" if n < 5 else "focus", open_eyes=n > 1))
        for n, f in enumerate(sitting(1)[:20])
    ]
    kinds: tuple[HabitKind, ...] = ("dark", "eyes closed", "focus side", "cost")
    habits = [Habit(kind=kind, text=kind, advice="", frames=1) for kind in kinds]
    order = [habit.kind for habit in by_cost(habits, frames, goal_cm=40.0)]
    assert order == ["cost", "focus side", "dark", "eyes closed"]


def test_all_habits_together_are_in_plain_words() -> None:
    habits = replace(CLEAN, bias_mm=25.0, closed=0.4, caught=0.4, level=0.02)
    found = habits_of(sitting(1, habits), goal_cm=40.0, viewing=Viewing())
    assert {"cost", "focus side", "lens or me", "caught", "eyes closed", "dark"} <= {
        habit.kind for habit in found
    }
    for habit in found:
        assert habit.text.endswith(".")
        assert habit.text[0].isupper()
        assert "  " not in habit.text
        assert habit.frames > 0
        forbidden = ("blurry", "score", "smart", "reject", "pick ", "flag", "preset", "health")
        assert not [word for word in forbidden if word in (habit.text + habit.advice).lower()]


def test_no_frames_no_habits() -> None:
    assert habits_of((), goal_cm=40.0, viewing=Viewing()) == ()
