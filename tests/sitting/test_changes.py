"""What one change would bring, against what it does bring to the same made-up frames."""

import re
from dataclasses import replace

import numpy as np
import pytest
from tests.sitting.simulated import (
    CLEAN,
    LINE_OVER_DISC,
    LINE_SEEN_PX,
    PITCH_UM,
    Habits,
    Truth,
    px_per_mm,
    simulate,
)

from eyeplane.optics.reach import SHARP
from eyeplane.optics.sharpness import px_per_deg
from eyeplane.records import Change, Measured, SittingFrame, Viewing
from eyeplane.sitting.asshot import eyes_as_shot
from eyeplane.sitting.bursts import holds_goal
from eyeplane.sitting.changes import change_words, changes_of
from eyeplane.sitting.remade import lit, opened, shorter, stopped_down
from eyeplane.sitting.seen import Spreads, seen_sharpness

GOAL_CM, VIEWING = 40.0, Viewing()
FAST = replace(CLEAN, speed_mm_per_s=80.0, times_s=(1 / 125,))
SCATTER = replace(CLEAN, between_mm=18.0, within_mm=12.0, speed_mm_per_s=2.0)
OFF = replace(CLEAN, bias_mm=28.0, between_mm=8.0, within_mm=8.0, speed_mm_per_s=2.0)
GRAINY = replace(CLEAN, between_mm=8.0, within_mm=8.0, speed_mm_per_s=2.0, noise=0.25)


def truly_holding(
    truths: tuple[Truth, ...], *, shorter_by: float = 1.0, stop: float = 1.8, shift_mm: float = 0.0
) -> int:
    """Return how many frames hold by what is true of them, with one thing changed."""
    line = np.array([t.line_px for t in truths]) * shorter_by
    offset = np.array([t.offset_mm for t in truths]) - shift_mm
    disc = px_per_mm(stop) * np.abs(offset)
    lined = (line >= LINE_SEEN_PX) & (line > disc)
    scale = px_per_deg(long_edge_px=6000, print_cm=GOAL_CM, viewing_cm=50.0)
    grain = 0.01 * shorter_by**-0.5 * stop / 1.8
    eyes = Spreads(
        disc_px=np.where(lined, 0.0, np.maximum(np.hypot(disc, line / LINE_OVER_DISC), 0.3)),
        line_px=np.where(lined, line, 0.0),
        airy_px=np.full(len(line), 0.55 * (stop - 1.8) / PITCH_UM),
        noise_contrast=np.full(len(line), grain),
        px_per_deg=np.full(len(line), scale),
    )
    return int((seen_sharpness(eyes) >= SHARP).sum())


def after(change: Change, truths: tuple[Truth, ...]) -> int:
    """Return how many frames truly hold with a change as it is worded."""
    if match := re.match(r"1/(\d+)\u2009s", change.text):
        return truly_holding(truths, shorter_by=125 / float(match[1]))
    if match := re.match(r"aperture f/([\d.]+)", change.text):
        return truly_holding(truths, stop=float(match[1]))
    match = re.search(r"set (\d+)\u2009mm", change.text)
    assert match is not None, change.text
    return truly_holding(truths, shift_mm=float(match[1]))


def made(seed: int, habits: Habits) -> tuple[tuple[SittingFrame, ...], tuple[Truth, ...]]:
    return simulate(np.random.default_rng(seed), habits, bursts=14)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("habits", "start"),
    [(FAST, "1/"), (SCATTER, "aperture"), (OFF, "focus")],
    ids=["time", "stop", "af"],
)
def test_what_is_expected_comes_true(habits: Habits, start: str) -> None:
    held, error, trials = 0, [], 0
    for seed in range(30):
        frames, truths = made(seed, habits)
        for change in changes_of(frames, goal_cm=GOAL_CM, viewing=VIEWING):
            if change.text.startswith(start):
                true = after(change, truths)
                trials += 1
                held += change.expected.low - 0.5 <= true <= change.expected.high + 0.5
                error.append(change.expected.value - true)
    assert trials >= 24
    assert held >= 0.75 * trials  # .85, less two standard deviations of 24 to 30 trials
    assert abs(float(np.mean(error))) <= 2.0  # frames of 42


def test_a_shorter_time_is_named_with_what_it_replaces() -> None:
    frames, _ = made(1, FAST)
    best = changes_of(frames, goal_cm=GOAL_CM, viewing=VIEWING)[0]
    assert re.fullmatch(
        "1/\\d+\u2009s instead of 1/125\u2009s, with the ISO raised to match", best.text
    )
    assert best.holding == sum(holds_goal(f.answer, GOAL_CM) for f in frames)
    assert best.holding + 0.5 <= best.expected.value <= len(frames)
    mixed = replace(FAST, times_s=(1 / 60, 1 / 250))
    text = changes_of(made(1, mixed)[0], goal_cm=GOAL_CM, viewing=VIEWING)[0].text
    assert "instead of 1/60 to 1/250\u2009s" in text


def test_the_words_have_frames_goal_and_interval() -> None:
    change = Change(
        text="1/500\u2009s instead of 1/200\u2009s",
        holding=19,
        expected=Measured(value=31.2, low=27.0, high=34.0),
    )
    assert change_words(change, frames=40, goal_cm=50.0).replace("\u2009", " ") == (
        "1/500 s instead of 1/200 s: 31 of 40 frames expected to hold 50 cm instead of 19 "
        "(27 to 34)."
    )
    stop = replace(change, text="aperture f/4 instead of f/1.8")
    assert change_words(stop, frames=40, goal_cm=50.0).startswith("Aperture f/4 instead")
    focus = replace(change, text="focus of A set 9\u2009mm nearer to the camera")
    assert change_words(focus, frames=40, goal_cm=50.0).startswith("Focus of A")


def test_scatter_is_met_by_the_aperture_and_an_offset_by_setting_it_right() -> None:
    scatter = changes_of(made(2, SCATTER)[0], goal_cm=GOAL_CM, viewing=VIEWING)
    assert [c.text[:8] for c in scatter] == ["aperture"]
    off = changes_of(made(2, OFF)[0], goal_cm=GOAL_CM, viewing=VIEWING)
    assert any("nearer to the camera" in c.text for c in off)
    assert sorted(off, key=lambda c: -c.expected.value) == list(off)
    before = replace(OFF, bias_mm=-28.0)
    found = changes_of(made(2, before)[0], goal_cm=GOAL_CM, viewing=VIEWING)
    assert any("farther from the camera" in c.text for c in found)


def test_grain_is_met_by_light() -> None:
    frames, _ = made(3, GRAINY)
    assert sum(holds_goal(f.answer, 60.0) for f in frames) < 20
    loud = tuple(
        replace(f, reading=replace(f.reading, exposure=replace(f.reading.exposure, iso=6400.0)))
        for f in frames
    )
    light = [c for c in changes_of(loud, goal_cm=60.0, viewing=VIEWING) if "more light" in c.text]
    assert len(light) == 1
    assert re.match(
        "\\d stops? more light, at ISO\u2009\\d+ instead of ISO\u20096400", light[0].text
    )
    assert light[0].expected.value > light[0].holding + 5


def test_nothing_is_listed_where_nothing_helps() -> None:
    clean, _ = made(4, replace(CLEAN, speed_mm_per_s=2.0))
    assert changes_of(clean, goal_cm=GOAL_CM, viewing=VIEWING) == ()
    assert changes_of((), goal_cm=GOAL_CM, viewing=VIEWING) == ()
    # More than these pixels hold, whatever is changed.
    assert changes_of(made(1, FAST)[0], goal_cm=400.0, viewing=VIEWING) == ()


def test_the_same_sitting_has_the_same_changes() -> None:
    frames, _ = made(5, FAST)
    first = changes_of(frames, goal_cm=GOAL_CM, viewing=VIEWING)
    assert first == changes_of(frames, goal_cm=GOAL_CM, viewing=VIEWING)


def test_the_physics_of_each_change() -> None:
    frames, _ = made(6, replace(FAST, between_mm=10.0))
    eyes = eyes_as_shot(frames, goal_cm=GOAL_CM, viewing=VIEWING)
    assert eyes is not None
    half = next(r for r in shorter(eyes) if abs(r.target - 1 / 250) < 1e-9)
    assert half.moved.all()
    assert half.spreads.line_px == pytest.approx(eyes.spreads.line_px / 2)
    assert half.spreads.noise_contrast == pytest.approx(eyes.spreads.noise_contrast * 2**0.5)
    plain = eyes.spreads.line_px == 0
    assert half.spreads.disc_px[plain] == pytest.approx(eyes.spreads.disc_px[plain])
    assert (half.at_best.disc_px <= half.spreads.disc_px + 1e-12).all()
    assert not [r for r in shorter(eyes) if r.target >= 1 / 125]
    down = next(r for r in stopped_down(eyes) if r.target == 5.6)
    share = np.where(plain, eyes.focus_px * 1.8 / 5.6, 0.0)
    rest = np.sqrt(np.maximum(eyes.spreads.disc_px**2 - eyes.focus_px**2, 0.0))
    assert down.spreads.disc_px == pytest.approx(np.hypot(share, rest))
    assert down.spreads.airy_px == pytest.approx(np.full(len(share), 0.55 * 3.8 / PITCH_UM))
    assert down.spreads.noise_contrast == pytest.approx(0.01 * 5.6 / 1.8)
    brighter = next(r for r in lit(eyes) if r.target == 100.0)
    assert brighter.spreads.noise_contrast == pytest.approx(0.01 / 2**0.5)  # from ISO 200
    assert not list(opened(eyes))


def test_flash_bounds_the_shutter() -> None:
    def flashed(frame: SittingFrame, f_number: float, iso: float) -> SittingFrame:
        exposure = replace(frame.reading.exposure, flash_fired=True, f_number=f_number, iso=iso)
        return replace(frame, reading=replace(frame.reading, exposure=exposure))

    frames, _ = made(7, FAST)
    fill = eyes_as_shot([flashed(f, 1.8, 800.0) for f in frames], goal_cm=GOAL_CM, viewing=VIEWING)
    assert fill is not None
    shortest = list(shorter(fill))[-1]
    assert shortest.spreads.line_px == pytest.approx(fill.spreads.line_px / 2)  # 1/250 s, sync
    alone = eyes_as_shot(
        [flashed(f, 11.0, 100.0) for f in frames], goal_cm=GOAL_CM, viewing=VIEWING
    )
    assert alone is not None
    assert not list(shorter(alone))


def test_a_small_aperture_is_opened_where_diffraction_costs() -> None:
    def at_22(frame: SittingFrame) -> SittingFrame:
        exposure = replace(frame.reading.exposure, f_number=22.0)
        return replace(frame, reading=replace(frame.reading, exposure=exposure))

    frames, _ = made(8, replace(CLEAN, f_number=22.0))
    eyes = eyes_as_shot([at_22(f) for f in frames], goal_cm=GOAL_CM, viewing=VIEWING)
    assert eyes is not None
    wider = next(r for r in opened(eyes) if r.target == 8.0)
    focus = eyes.focus_px * 22.0 / 8.0
    rest = np.maximum(
        eyes.spreads.disc_px**2
        - eyes.focus_px**2
        - eyes.diffraction_px**2 * (1 - (8.0 / 22.0) ** 2),
        0.0,
    )
    assert wider.spreads.disc_px == pytest.approx(np.sqrt(rest + focus**2))
    assert (wider.spreads.noise_contrast < eyes.spreads.noise_contrast).all()
