"""How many more frames: the expected width against plain simulation, and its order."""

import math

import numpy as np
import pytest
from tests.learn.photographers import SIX_S, Photographer

from eyeplane.learn.ladder_fit import fit_ladder
from eyeplane.learn.ladder_more import MoreFrames, more_frames

KNOWN = Photographer().shoot(np.random.default_rng(2), SIX_S, 6)


def found(ratio: float, share: float = 0.9) -> MoreFrames:
    return more_frames(KNOWN, share=share, times_s=SIX_S, ratio=ratio)


def test_the_width_to_be_expected_is_what_simulation_gives() -> None:
    # Draw a truth from the posterior, shoot the frames that are asked for, fit all anew.
    more = found(0.6)
    rng = np.random.default_rng(8)
    grid = KNOWN.posterior
    flat = np.cumsum(grid.chance.ravel())
    times = np.repeat(KNOWN.times_s, KNOWN.frames.astype(int)).tolist()
    held = [k < h for h, n in zip(KNOWN.held, KNOWN.frames, strict=True) for k in range(int(n))]
    widths = []
    for _ in range(60):
        at = np.unravel_index(np.searchsorted(flat, rng.random() * flat[-1]), grid.chance.shape)
        half, scale, lapse = (
            grid.half_stops[at[0]],
            grid.scale_stops[at[1]],
            grid.lapse_share[at[2]],
        )
        new_t, new_h = [], []
        for time in more.shutters_s:
            share = (1 - lapse) / (1 + math.exp((math.log2(time) - half) / scale))
            new_t += [time] * more.each
            new_h += (rng.random(more.each) < share).tolist()
        low, _, high = fit_ladder([*times, *new_t], [*held, *new_h]).posterior.limit_stops(0.9)
        widths.append(high - low)
    error = float(np.std(widths)) / math.sqrt(len(widths))
    assert more.then_stops == pytest.approx(float(np.mean(widths)), abs=3 * error + 0.1)


def test_a_narrower_range_takes_more_frames() -> None:
    asked = [found(ratio) for ratio in (0.9, 0.7, 0.5)]
    assert [more.frames for more in asked] == sorted(more.frames for more in asked)
    assert asked[0].frames < asked[-1].frames
    for more, ratio in zip(asked, (0.9, 0.7, 0.5), strict=True):
        assert more.enough
        assert more.then_stops <= ratio * more.now_stops
    assert not found(0.02).enough


def test_it_is_shot_where_the_limit_lies() -> None:
    # Frames at times that all hold or all are lost tell nothing of a limit.
    half = KNOWN.limit(0.5).shutter_s
    assert half is not None
    for time in found(0.5, share=0.5).shutters_s:
        assert abs(math.log2(time / half.value)) < 1.6
    assert min(found(0.5, share=0.95).shutters_s) < min(found(0.5, share=0.5).shutters_s)


def test_the_answer_is_always_the_same() -> None:
    assert found(0.5) == found(0.5)
