"""The offset against a simulation with known truth: a turned head before an 85 mm lens."""

from dataclasses import dataclass

import numpy as np
import pytest

from eyeplane.diagnose.cone import ConePlace, FocusFit, PoseError, fit_focus
from eyeplane.diagnose.lens import Z90, Lens
from eyeplane.diagnose.offset import SIGN_CALLED
from eyeplane.records import Measured

# Lateral place, depth and its spread in mm relative to the middle of the eyes; adult head, from
# memory (the same head as in the trial whose figures are asked for).
HEAD = {
    "near eye": (-31.0, 0.0, 1.5),
    "far eye": (31.0, 0.0, 1.5),
    "nose": (0.0, -32.0, 4.0),
    "brow": (-31.0, -9.0, 3.0),
    "lips": (0.0, -18.0, 4.0),
    "ear": (-72.0, 92.0, 9.0),
    "hair": (-55.0, 40.0, 12.0),
    "collar": (0.0, 35.0, 25.0),
}
YAW_SD_DEG = 5.0
BLUR_LOG_SD = 0.2
FLOOR_PX = 1.2
OUTLIERS = 0.1
DROPPED = 0.25


@dataclass(frozen=True)
class Trial:
    """One lens at one distance with a true offset."""

    f_number: float
    distance_mm: float
    pitch_um: float
    offset_mm: float

    @property
    def lens(self) -> Lens:
        """Return the lens as the fit is told of it."""
        return Lens(
            focal_length_mm=85.0,
            f_number=self.f_number,
            distance_mm=Measured(
                value=self.distance_mm, low=self.distance_mm * 0.94, high=self.distance_mm * 1.06
            ),
            pitch_um=Measured(value=self.pitch_um, low=self.pitch_um, high=self.pitch_um),
        )


def simulate(trial: Trial, rng: np.random.Generator) -> FocusFit:
    """Return the fit to one head: blur errors, outliers, missing places, wrong depths."""
    yaw = np.radians(rng.uniform(0, 40))
    said_yaw = yaw + np.radians(rng.normal(0, YAW_SD_DEG))
    places = np.array(list(HEAD.values()))
    lateral, depth, spread = places.T
    true_depth = depth + rng.normal(0, spread)
    true = true_depth * np.cos(yaw) + lateral * np.sin(yaw)
    said = depth * np.cos(said_yaw) + lateral * np.sin(said_yaw)
    sd = np.hypot(spread, np.abs(lateral + 31.0) * np.radians(YAW_SD_DEG))
    true, said = true - true[0], said - said[0]
    aside = lateral * np.cos(said_yaw) - depth * np.sin(said_yaw)
    aside -= aside[0]
    sd[0] = 0.5
    focus = trial.distance_mm + trial.offset_mm
    subject = trial.distance_mm + true
    # Thin lens by its own sum: (f/N) m |d - s| / d, check-values 1.7.
    circle_um = 1000 * 85 / trial.f_number * 85 / (focus - 85) * np.abs(subject - focus) / subject
    blur = np.hypot(circle_um / trial.pitch_um, FLOOR_PX)
    seen = blur * np.exp(rng.normal(0, BLUR_LOG_SD, blur.size))
    bad = rng.random(blur.size) < OUTLIERS
    seen[bad] *= np.exp(rng.normal(0, 0.8, int(bad.sum())))
    use = rng.random(blur.size) > DROPPED
    use[0] = True
    half = np.exp(Z90 * BLUR_LOG_SD)
    return fit_focus(
        [
            ConePlace(
                depth_mm=float(z),
                depth_sd_mm=float(s),
                blur_px=Measured(value=float(b), low=float(b / half), high=float(b * half)),
                aside_mm=(float(x), 0.0),
            )
            for z, s, b, x, keep in zip(said, sd, seen, aside, use, strict=True)
            if keep
        ],
        trial.lens,
        pose=PoseError(yaw_sd_deg=YAW_SD_DEG),
    )


@dataclass(frozen=True)
class Tally:
    """How often a side was called, was right, and how often the interval held the truth."""

    called: float
    right: float
    covered: float
    error_mm: float


Fits = list[tuple[FocusFit, float]]


def simulated(trials: list[Trial], seed: int, count: int) -> Fits:
    """Return fits with their true offsets, each trial simulated `count` times."""
    rng = np.random.default_rng(seed)
    return [(simulate(t, rng), t.offset_mm) for t in trials for _ in range(count)]


def tally_of(fits: Fits, threshold: float) -> Tally:
    """Return how the fits did where a side is called at a threshold."""
    called = [(f, z) for f, z in fits if max(f.behind, 1 - f.behind) >= threshold]
    return Tally(
        called=len(called) / len(fits),
        right=sum((f.behind > 0.5) == (z > 0) for f, z in called) / max(len(called), 1),
        covered=float(np.mean([f.offset_mm.low <= z <= f.offset_mm.high for f, z in fits])),
        error_mm=float(np.median([abs(f.offset_mm.value - z) for f, z in fits])),
    )


@pytest.mark.slow
def test_side_is_called_and_right_at_15_mm() -> None:
    # The trial's own simulation (85 mm f/1.8 at 1.5 m, +-15 mm, threshold .9): called 96 %,
    # right 99.6 %, median error 2 mm. Its intervals were too narrow; ours hold what they say,
    # which costs some calls.
    trials = [Trial(1.8, 1500.0, 6.1, offset) for offset in (-15.0, 15.0)]
    fits = simulated(trials, 20250101, 150)
    tally = tally_of(fits, 0.9)
    assert tally.called >= 0.90
    assert tally.right >= 0.98
    assert 0.85 <= tally.covered <= 0.97
    assert tally.error_mm <= 3.0
    strict = tally_of(fits, SIGN_CALLED)
    assert strict.called >= 0.84
    assert strict.right >= 0.98


@pytest.mark.slow
@pytest.mark.parametrize(("f_number", "distance_mm"), [(1.4, 1500.0), (2.8, 2000.0), (5.6, 2000.0)])
def test_interval_holds_the_truth_nine_times_in_ten(f_number: float, distance_mm: float) -> None:
    trials = [Trial(f_number, distance_mm, 6.1, o) for o in (-30.0, -5.0, 5.0, 30.0)]
    tally = tally_of(simulated(trials, 7, 40), SIGN_CALLED)
    assert 0.85 <= tally.covered <= 0.985
    assert tally.right >= 0.96


@pytest.mark.slow
def test_eye_in_focus_is_seldom_called_out_of_focus() -> None:
    # A side called at .95 either way may be wrong in one frame of ten at most.
    tally = tally_of(simulated([Trial(1.8, 1500.0, 6.1, 0.0)], 3, 120), SIGN_CALLED)
    assert tally.called <= 0.13  # of 120: chance adds 0.03
    assert tally.covered >= 0.85


def test_disc_of_a_missed_focus_is_the_handbook_s() -> None:
    # check-values 1.7 and 1.8, computed two ways: 85 mm f/1.8 focused at 2 m, eye at 2010 / 1990
    # mm gives 10.43 / 10.53 um; f/1.4 at 1.5 m, +-10 mm gives 24.15 / 24.48 um.
    for f_number, focus, expected in ((1.8, 2000.0, (10.43, 10.53)), (1.4, 1500.0, (24.15, 24.48))):
        trial = Trial(f_number, focus, 1.0, 0.0)
        discs = trial.lens.circle_px(np.array(focus), focus + np.array([10.0, -10.0]))
        assert discs == pytest.approx(np.array(expected), abs=0.01)
