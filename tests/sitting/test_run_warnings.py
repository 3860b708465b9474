"""Warnings of the run: said once an episode, with the remedy, and hardly ever by chance."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from tests.sitting.made import answer, reading
from tests.sitting.simulated import Habits, simulate

from eyeplane.records import Cause, FrameAnswer, SittingFrame, Veil, Viewing
from eyeplane.records.live import RunWarning
from eyeplane.sitting.run_warnings import (
    CHANCE,
    RunFrame,
    Said,
    chance_of_run,
    run_warnings,
)

VIEWING = Viewing(print_cm=40.0)
LETTERS: dict[str, Cause] = {"f": "focus", "d": "depth", "s": "sitter", "n": "noise", "p": "pixels"}


def frame(mark: str, burst: int) -> SittingFrame:
    """Return a frame: "." holds, "?" cannot be told, a letter is soft by that cause."""
    said: FrameAnswer = answer(60.0)
    if mark == "?":
        said = answer(20.0, "cannot tell")
    elif mark == "-":
        said = answer(None, "cannot tell")
    elif mark != ".":
        said = replace(answer(20.0, LETTERS[mark]), advice="Focus on the iris.")
    return SittingFrame(
        reading=reading(f"{burst}.jpg"),
        answer=said,
        companions=(),
        burst=burst,
        best_of_burst=False,
    )


def warned(frames: Sequence[SittingFrame], viewing: Viewing = VIEWING) -> list[RunWarning]:
    """Return the warnings of a run, frame after frame."""
    said = Said()
    found: list[RunWarning] = []
    run: list[RunFrame] = []
    for number, one in enumerate(frames, 1):
        run = [*run, RunFrame(number=number, frame=one)][-120:]
        said, new = run_warnings(run, said, viewing)
        found += new
    return found


def marked(marks: str, *, per_burst: int = 1) -> list[tuple[int, str]]:
    """Return number and kind of the warnings of a run of marks."""
    shown = [frame(mark, n // per_burst + 1) for n, mark in enumerate(marks)]
    return [(one.number, one.kind) for one in warned(shown)]


SAME = "same cause"


@pytest.mark.parametrize(
    ("marks", "expected"),
    [
        ("..fff", [(5, SAME)]),
        ("..ff.", []),
        ("..fffffff", [(5, SAME)]),  # once an episode
        ("..fff.fff.fff", [(5, SAME)]),  # not mended by single frames
        ("..fff...ffffffff", [(5, SAME), (14, SAME)]),  # mended; then more than is usual here
        ("..ffd", []),
        ("..ddd", [(5, SAME)]),
        ("..ff?f", [(6, SAME)]),  # what cannot be told neither ends a run nor makes one
        ("..ff-", []),
        ("..???", []),
        ("..---", []),
        ("..ppp", []),  # pixels: nothing to be done now
        ("f.f.f.f.ff.ffff", []),  # half of them soft: four in a row are chance
        ("fff", [(3, SAME)]),
        ("", []),
    ],
)
def test_three_of_the_same_cause(marks: str, expected: list[tuple[int, str]]) -> None:
    assert marked(marks) == expected


def test_a_burst_is_one_miss() -> None:
    assert marked("...fff...", per_burst=3) == []
    assert marked("...fffffffff", per_burst=3) == [(10, SAME)]


def test_what_is_said_names_the_cause_and_its_remedy() -> None:
    (said,) = warned([frame(mark, n) for n, mark in enumerate("..fff")])
    assert said.text == "Three soft frames in a row: missed focus."
    assert said.advice == "Focus on the iris."
    silent = [replace(frame("d", n), answer=answer(20.0, "depth")) for n in range(3)]
    assert warned(silent)[0].advice == "Stop down, or bring the faces into one plane."


def test_chance_is_that_of_success_runs() -> None:
    """Feller (1968), XIII.7: the mean recurrence time of a run of r is (1 − pʳ) / (q pʳ).

    For a fair coin and runs of five that is 62 throws; for p = 0.6 and r = 3, 9.07.
    """
    for share, length, time in ((0.5, 5, 62.0), (0.6, 3, 9.07)):
        mean = (1 - share**length) / ((1 - share) * share**length)
        assert mean == pytest.approx(time, abs=0.01)
        # Runs that begin in a hundred frames, without the share that the run itself takes up.
        assert chance_of_run(length, share) == pytest.approx(100 * (1 - share**length) / mean)


def test_independent_soft_frames_seldom_make_a_run() -> None:
    """One frame in five soft by itself: three in a row come in half of the sittings by chance."""
    rng = np.random.default_rng(11)
    said = naive = 0
    for _ in range(24):
        marks = "".join("f" if soft else "." for soft in rng.random(100) < 0.2)
        naive += "fff" in marks
        said += bool(marked(marks))
    assert naive >= 8
    assert said <= 24 * (CHANCE + 3 * (CHANCE / 24) ** 0.5)


def test_a_sitting_without_faults_is_left_in_peace() -> None:
    for seed, per_burst in ((1, 1), (2, 3)):
        shown, _ = simulate(
            np.random.default_rng(seed), Habits(), bursts=60 // per_burst, per_burst=per_burst
        )
        assert warned(shown) == []


def test_a_shutter_too_slow_is_told_once_with_the_time_that_would_do() -> None:
    child = Habits(speed_mm_per_s=60.0, times_s=(1 / 60,))
    shown, _ = simulate(np.random.default_rng(3), child, bursts=30, per_burst=1)
    (said,) = warned(shown)
    assert said.kind == "shutter"
    assert said.text.startswith("1/60\u2009s is too slow for this sitter: ")
    assert "or shorter for this sitter" in said.advice
    assert "stays beside a child" in said.advice  # product.md, "Cautions"
    assert said.number <= 15


def test_a_shutter_that_was_mended_may_be_told_again() -> None:
    slow, _ = simulate(
        np.random.default_rng(3),
        Habits(speed_mm_per_s=60.0, times_s=(1 / 60,)),
        bursts=20,
        per_burst=1,
    )
    fast, _ = simulate(
        np.random.default_rng(4),
        Habits(speed_mm_per_s=60.0, times_s=(1 / 1000,)),
        bursts=12,
        per_burst=1,
    )
    run = [replace(one, burst=n) for n, one in enumerate((*slow, *fast, *slow))]
    kinds = [one.kind for one in warned(run) if one.kind == "shutter"]
    assert len(kinds) == 2


def test_a_focus_that_drifts_is_told_once_and_again_after_it_was_set_anew() -> None:
    drifting = Habits(drift_mm=24.0, between_mm=1.5, within_mm=1.5, error_mm=2.0)
    there, _ = simulate(np.random.default_rng(5), drifting, bursts=30, per_burst=1)
    said = [one for one in warned(there) if one.kind == "drift"]
    assert len(said) == 1
    assert said[0].text.startswith("The focus drifts backwards: by ")
    assert "nearer" in said[0].advice
    later = [
        replace(
            one,
            burst=n,
            reading=replace(
                one.reading,
                exposure=replace(one.reading.exposure, captured_s=2000.0 + 20 * n),
            ),
        )
        for n, one in enumerate((*there, *there), 1)
    ]
    assert [one.kind for one in warned(later)].count("drift") == 2


def veiled_run(count: int, veiled_from: int | None) -> list[SittingFrame]:
    """Return frames of one scene over whose lower left light is added from one frame on."""
    rng = np.random.default_rng(6)
    columns, rows = 6, 4
    level = rng.uniform(0.1, 0.4, columns * rows)
    corner = np.array([x < 3 and y >= 2 for y in range(rows) for x in range(columns)])
    shown = []
    for n in range(count):
        gain = float(np.exp(rng.normal(0, 0.05)))
        added = 0.08 * corner * (veiled_from is not None and n >= veiled_from)
        light, dark = gain * level + added, gain * 0.05 * level + added
        contrast = gain * level / light
        wobble = np.exp(rng.normal(0, 0.02, columns * rows))
        veil = Veil(
            columns=columns,
            rows=rows,
            darkest=tuple((dark * wobble).tolist()),
            coarse=tuple((0.3 * contrast * wobble).tolist()),
            fine=tuple((0.1 * contrast * wobble).tolist()),
            level=tuple((light * wobble).tolist()),
        )
        good = frame(".", n)
        shown.append(replace(good, reading=replace(good.reading, veil=veil)))
    return shown


def test_a_veil_that_appears_is_told_once() -> None:
    assert warned(veiled_run(40, None)) == []
    (said,) = warned(veiled_run(40, 16))
    assert said.kind == "veil"
    assert 20 <= said.number <= 28
    assert "the lower left" in said.text
    assert said.text.startswith(("Since about frame 16", "Since about frame 17"))
    assert "front element" in said.advice
