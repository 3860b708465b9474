"""A ladder from its frames: outcomes, shake and sitter apart, carrying over, bad input."""

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.sitting.ladders import (
    DEG_PER_PX,
    FOCAL_MM,
    MM_PER_PX,
    TIMES_S,
    Shooter,
    emptied,
    ladder,
    limit_s,
    others,
    refaced,
)
from tests.sitting.made import about

from eyeplane.errors import InputError
from eyeplane.records import SittingFrame, Veil
from eyeplane.records.ladder import LadderPart, LadderResult
from eyeplane.sitting.ladder import ladder_of
from eyeplane.sitting.ladder_asked import LadderAsked
from eyeplane.sitting.ladder_outcomes import drives

ASKED = LadderAsked(prints_cm=(40.0,), name="ladder")
Z = {0.5: 0.0, 0.8: 0.8416, 0.9: 1.2816, 0.95: 1.6449}  # standard normal quantiles
SHAKY = Shooter(shake_deg_per_s=0.7, sitter_mm_per_s=0.5)
LIVELY = Shooter(shake_deg_per_s=0.03, sitter_mm_per_s=40.0)


def shot(seed: int, shooter: Shooter = SHAKY, **how: object) -> tuple[SittingFrame, ...]:
    return ladder(np.random.default_rng(seed), shooter, **how)  # type: ignore[arg-type]  # by name


def part(result: LadderResult, mover: str) -> LadderPart:
    return next(one for one in result.parts if one.mover == mover)


def plain(text: str) -> str:
    return text.replace("\u2009", " ")


def test_shake_and_sitter_are_told_apart() -> None:
    result = ladder_of(shot(1), ASKED)
    shake, sitter = part(result, "shake"), part(result, "sitter")
    assert result.limit_um is not None
    line_px = result.limit_um / 6.0
    for limit in shake.limits:
        true_s = limit_s(line_px, DEG_PER_PX, 0.7, 0.9, Z[limit.share])
        assert limit.shutter_s is not None
        assert limit.shutter_s.low < true_s < limit.shutter_s.high
        rate = limit.shake_deg_per_s
        assert rate is not None
        assert rate.value * limit.shutter_s.value == pytest.approx(line_px * DEG_PER_PX, rel=1e-6)
        assert limit.sitter_mm_per_s is None
    assert all(limit.least_s is not None for limit in sitter.limits)
    lively = ladder_of(shot(2, LIVELY), ASKED)
    moved = part(lively, "sitter").limits[2]
    assert moved.sitter_mm_per_s is not None
    fast = 40.0 * math.exp(Z[0.9] * 0.9)
    assert moved.sitter_mm_per_s.low < fast < moved.sitter_mm_per_s.high
    assert part(lively, "shake").limits[2].least_s is not None


def test_typical_speeds_rest_on_the_lines_and_go_into_plans() -> None:
    shake = part(ladder_of(shot(3), ASKED), "shake")
    assert shake.typical_from == "lengths"
    speed = shake.typical_deg_per_s
    assert speed is not None
    assert speed.value == pytest.approx(0.7, rel=0.5)
    assert math.log(speed.high / speed.value) / 1.6449 == pytest.approx(0.9, abs=0.35)


def test_few_lines_leave_the_speed_to_the_counts() -> None:
    frames = shot(3, times_s=TIMES_S[1:5], each=2)
    counted = [f for f in frames if f.answer.faces[0].cause == "shake"]
    assert 0 < len(counted) <= 5
    shake = part(ladder_of(frames[:7], ASKED), "shake")
    if shake.typical_from == "counts":
        half = shake.limits[0].shake_deg_per_s
        assert half is not None
        assert shake.typical_deg_per_s is not None
        assert shake.typical_deg_per_s.value == pytest.approx(half.value, rel=1e-6)
    else:
        assert shake.typical_from == ""


def test_without_a_background_whose_motion_it_was_is_not_said() -> None:
    result = ladder_of(shot(1, replace(SHAKY, background=False)), ASKED)
    (both,) = result.parts
    assert both.mover == "motion"
    assert any("cannot be told" in note and "printed chart" in note for note in result.notes)
    apart = part(ladder_of(shot(1), ASKED), "shake")
    assert both.limits[2].shutter_s == apart.limits[2].shutter_s


def test_the_limit_carries_over_to_lenses_and_prints() -> None:
    asked = replace(ASKED, prints_cm=(40.0, 20.0))
    result = ladder_of(shot(1), asked)
    wanted = part(result, "shake").limits[2].shutter_s
    assert wanted is not None
    cells = {
        (one.focal_length_mm, one.print_cm): one for one in result.carried if one.mover == "shake"
    }
    own = cells[FOCAL_MM, 40.0]
    assert own.shutter_s == wanted
    longer = cells[200.0, 40.0].shutter_s
    assert longer is not None
    assert longer.value == pytest.approx(wanted.value * FOCAL_MM / 200.0, rel=1e-9)
    # Half the print, twice the pixels in a degree: the line that is let through grows nearly in
    # proportion, a little more, since the pixels themselves then cost less.
    smaller = cells[FOCAL_MM, 20.0].shutter_s
    assert smaller is not None
    assert smaller.value == pytest.approx(2 * wanted.value, rel=0.06)
    # 85 mm on 36 × 24 mm: 1/85 s (common practice).
    assert own.rule_s == pytest.approx(1 / 85, rel=0.01)
    # A ladder shot at 200 mm by the same hand names the same turn of the camera.
    other = ladder_of(shot(1, focal_mm=200.0), ASKED)
    assert other.rule_s == pytest.approx(1 / 200, rel=0.01)


def test_the_same_hand_has_one_rate_whatever_print_is_asked() -> None:
    rates = []
    for print_cm in (30.0, 60.0):
        asked = replace(ASKED, prints_cm=(print_cm,))
        frames = shot(4, each=10, goal_cm=print_cm)
        rate = part(ladder_of(frames, asked), "shake").limits[0].shake_deg_per_s
        assert rate is not None
        rates.append(rate)
    assert rates[0].low < rates[1].value < rates[0].high


def test_order_does_not_matter() -> None:
    frames = shot(5)
    mixed = [frames[n] for n in np.random.default_rng(1).permutation(len(frames))]
    ordered = sorted(mixed, key=lambda f: f.reading.exposure.captured_s or 0.0)
    assert ladder_of(ordered, ASKED) == ladder_of(frames, ASKED)


def test_missed_focus_does_not_count_and_is_told() -> None:
    clean = ladder_of(shot(6), ASKED)
    soft = ladder_of(shot(6, replace(SHAKY, focus=0.3)), ASKED)
    gone = [one for one in soft.frames if one.verdict == "left out"]
    assert gone
    assert {one.why for one in gone} == {"soft by focus"}
    assert any(f"soft by focus ({len(gone)})" in note for note in soft.notes)
    # Focus that is missed at random at all times does not move the limit much.
    pairs = zip(part(clean, "shake").limits, part(soft, "shake").limits, strict=True)
    for one, other in pairs:
        assert one.shutter_s is not None
        assert other.shutter_s is not None
        assert abs(math.log2(other.shutter_s.value / one.shutter_s.value)) < 1.2


def test_flash_and_missing_times_are_left_out_and_told() -> None:
    frames = shot(7)
    result = ladder_of((*others(frames[:3], flash_fired=True), *frames[3:]), ASKED)
    assert [one.verdict for one in result.frames[:3]] == ["left out"] * 3
    assert any("instead of the shutter (3)" in note for note in result.notes)
    result = ladder_of((*others(frames[:2], exposure_time_s=None), *frames[2:]), ASKED)
    assert any("the file does not tell its shutter time (2)" in note for note in result.notes)


@pytest.mark.parametrize(
    ("changed", "what", "hint"),
    [
        ({"flash_fired": True}, "lit by flash", "without flash"),
        ({"exposure_time_s": None}, "does not tell its shutter time", "1/500, 1/250"),
    ],
)
def test_when_nothing_is_left_it_says_what_to_shoot(
    changed: dict[str, object], what: str, hint: str
) -> None:
    with pytest.raises(InputError, match=what) as refused:
        ladder_of(others(shot(8), **changed), ASKED)
    assert hint in refused.value.hint
    assert "36" in refused.value.what


def test_mixed_kits_and_lenses_are_refused_with_their_names() -> None:
    frames = shot(9)
    two = (*frames[:20], *others(frames[20:], body="Body B"))
    with pytest.raises(InputError, match=r"two kits: Body A with 85 mm \(20\) and Body B"):
        ladder_of(two, ASKED)
    zoomed = (*frames[:20], *others(frames[20:], focal_length_mm=70.0))
    with pytest.raises(InputError) as refused:
        ladder_of(zoomed, ASKED)
    assert "two focal lengths: 85 mm (20) and 70 mm (16)" in plain(refused.value.what)
    small = [replace(f, reading=replace(f.reading, height_px=3000)) for f in frames[:5]]
    with pytest.raises(InputError, match="different size"):
        ladder_of((*small, *frames[5:]), ASKED)


def test_mixed_framing_is_refused_and_a_straggler_left_out() -> None:
    frames = shot(10)

    def nearer(frame: SittingFrame) -> SittingFrame:
        one = frame.reading.faces[0]
        return refaced(
            frame, replace(one, face=replace(one.face, mm_per_px=about(MM_PER_PX / 2, 0.05)))
        )

    with pytest.raises(InputError, match=r"up to 2.0 times larger"):
        ladder_of((*map(nearer, frames[:18]), *frames[18:]), ASKED)
    result = ladder_of((*frames[:-2], *map(nearer, frames[-2:])), ASKED)
    assert [one.why for one in result.frames[-2:]] == ["framed otherwise than most"] * 2


def test_nobody_and_unreadable_frames() -> None:
    frames = shot(11)
    nobody = [emptied(f, "nobody") for f in frames]
    with pytest.raises(InputError, match="no face was found"):
        ladder_of(nobody, ASKED)
    broken = emptied(frames[0], "unreadable")
    result = ladder_of((broken, *frames[1:]), ASKED)
    assert result.frames[0].why == "it cannot be read"
    assert result.kit == "Body A with 85 mm"
    with pytest.raises(InputError, match="cannot be read"):
        ladder_of([broken], ASKED)


@pytest.mark.parametrize(
    ("left", "verdict"), [(0.15, "shake"), (0.95, "left out"), (0.6, "left out")]
)
def test_a_face_too_shaken_to_be_found_is_lost_and_one_that_left_is_not(
    left: float, verdict: str
) -> None:
    # Fine detail as read of frames with a line of 95 px (a sixth is left) and of sharp ones.
    def clear(frame: SittingFrame, fine: float) -> SittingFrame:
        zones = (fine,) * 24
        veil = Veil(columns=6, rows=4, darkest=zones, coarse=zones, fine=zones)
        return replace(frame, reading=replace(frame.reading, veil=veil))

    frames = [clear(frame, 0.1) for frame in shot(1)]
    frames[-1] = clear(emptied(frames[-1], "nobody"), 0.1 * left)
    result = ladder_of(frames, ASKED)
    assert result.frames[-1].verdict == verdict
    steps = part(result, "shake").steps
    assert steps[-1].frames == (6 if verdict == "shake" else 5)


def test_all_sharp_all_soft_one_time_two_frames() -> None:
    still = ladder_of(shot(12, Shooter(shake_deg_per_s=0.001, sitter_mm_per_s=0.001)), ASKED)
    assert still.parts[0].limits[2].least_s is not None
    assert plain(still.advice).startswith("Go on slower: five frames each at 1/8 and 1/4 s")
    wild = ladder_of(shot(12, Shooter(shake_deg_per_s=900.0)), ASKED)
    decides = part(wild, "shake").limits[2]
    assert decides.most_s is not None
    assert decides.shutter_s is None
    assert "Go on faster: five frames each at 1/2000 and 1/1000 s" in plain(wild.advice)
    one_time = ladder_of(shot(13, times_s=(1 / 30,), each=8), ASKED)
    assert "All frames that count are at 1/30 s" in plain(one_time.advice)
    assert "1/60 and 1/15 s" in plain(one_time.advice)
    frames = shot(1)
    lost = next(f for f in frames if f.answer.faces[0].cause == "shake")
    two = ladder_of((frames[0], lost), ASKED)
    wide = part(two, "shake").limits[2].shutter_s
    assert wide is not None
    assert wide.high / wide.low > 2**4
    assert any("Two frames that count cannot tell much" in note for note in two.notes)


def test_a_print_that_the_pixels_do_not_hold_is_refused() -> None:
    with pytest.raises(InputError, match="do not hold 200 cm") as refused:
        ladder_of(shot(1), replace(ASKED, prints_cm=(200.0,)))
    assert "smaller print" in refused.value.hint


def test_what_is_asked_is_checked() -> None:
    with pytest.raises(InputError, match="limit for 1 of the frames"):
        LadderAsked(wanted_share=1.0)
    with pytest.raises(InputError, match="do not exist"):
        LadderAsked(prints_cm=())


def test_frames_of_one_drive_share_their_fate() -> None:
    frames = [f.reading for f in shot(1)[:6]]
    fast = [
        replace(r, exposure=replace(r.exposure, captured_s=100.0 + 0.2 * n, exposure_time_s=0.01))
        for n, r in enumerate(frames)
    ]
    assert drives(fast) == (0,) * 6
    assert drives(frames) == (0, 1, 2, 3, 4, 5)
    changed = [
        *fast[:3],
        *(replace(r, exposure=replace(r.exposure, exposure_time_s=0.02)) for r in fast[3:]),
    ]
    assert drives(changed) == (0, 0, 0, 3, 3, 3)
    whole = shot(1)
    hurried = [
        replace(
            f, reading=replace(f.reading, exposure=replace(f.reading.exposure, captured_s=100.0))
        )
        for f in whole
    ]
    wide, narrow = (ladder_of(f, ASKED).parts[0].limits[0].shutter_s for f in (hurried, whole))
    assert wide is not None
    assert narrow is not None
    assert wide.high / wide.low > narrow.high / narrow.low
