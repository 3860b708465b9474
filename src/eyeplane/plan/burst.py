"""A lean-in: focus once, lean back a little, then lean in slowly while the camera fires."""

import functools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.plan import burst_words
from eyeplane.plan.burst_chance import Aim, Lean, aim_of, lean_chances, pace_chances, still_chances
from eyeplane.plan.burst_setup import Burst, burst_of, with_setting
from eyeplane.plan.burst_windows import Windows, windows_of
from eyeplane.plan.draws import BELIEF_FRAMES, FrameDraws, first_frames, plan_draws
from eyeplane.plan.expected import middle_ninety
from eyeplane.plan.lean import MOST_LEAN_MM
from eyeplane.plan.sitter import best_setting, plan_sitter
from eyeplane.plan.sitter_notes import notes as sitter_notes
from eyeplane.records import BurstPlan, BurstRequest, BurstStep, Measured

FloatArray = NDArray[np.float64]

STEP_FRAMES = (3, 5, 8, 12, 20, 30)  # numbers of frames whose chance is told
MOST_FRAMES = 40  # of one lean-in; more than any lean within reach needs; our own
STARTS = 41  # starts of the sweep that are tried
ENOUGH = 0.02  # of chance: as good as the most
WORTH = 0.01  # of chance: what a better pace must bring where no number of frames does
FEWER = 0.85  # of the frames: a pace that asks for more than this is not worth changing to
PACES_MM_PER_S = (10.0, 20.0, 30.0, 40.0, 60.0, 80.0)  # that one can lean at


@dataclass(frozen=True, slots=True, kw_only=True)
class Chances:
    """Chances of a lean-in by number of frames, each from its best start.

    Attributes
    ----------
    aim : Aim
        Where the plane lies before leaning.
    windows : Windows
        Where frames hold.
    starts_mm : ndarray
        (frames,): best start by number of frames from 1 on, − leaned back.
    believed : ndarray
        (beliefs, frames): chance that at least one holds.
    """

    aim: Aim
    windows: Windows
    starts_mm: FloatArray
    believed: FloatArray

    def chance(self, frames: int) -> Measured:
        """Return the chance with a number of frames.

        Parameters
        ----------
        frames : int
            From 1 on.

        Returns
        -------
        Measured
            Mean over beliefs, and their middle 90 %.
        """
        return measured(self.believed[:, frames - 1])


def measured(believed: FloatArray) -> Measured:
    """Return a chance over beliefs with its interval.

    Parameters
    ----------
    believed : ndarray
        (beliefs,): what the chance is if each were true.

    Returns
    -------
    Measured
        Mean, and the middle 90 %.
    """
    return middle_ninety(believed.mean(keepdims=True), believed[None])[0]


def plan_burst(request: BurstRequest) -> BurstPlan:
    """Return how to shoot a lean-in, and the chance that at least one frame holds.

    Parameters
    ----------
    request : BurstRequest
        The sitting, the pace of lean and camera, and what autofocus catches.

    Returns
    -------
    BurstPlan
        With the fewest frames that reach the chance wanted; where none do, `frames` is None and all
        else is told for as many as still help.

    Raises
    ------
    InputError
        If a pace or the chance wanted is impossible, or the sitting cannot be planned.

    Notes
    -----
    The photographer focuses once and locks the focus: the error e, autofocus and what it caught, is
    then common to all frames. Leaning in by x moves the focus plane x farther behind the iris;
    so it must start before the iris. Sway, shake and the sitter's motion are new in each frame.
    Whether a sitter is lively is drawn once a burst. See `eyeplane.plan.burst_chance`.
    """
    burst = burst_of(request)
    chances = burst_chances(burst)
    found = numbers_of(burst, chances)
    plan = BurstPlan(
        request=request,
        setting=best_setting(burst.found),
        start_mm=found.start_mm,
        end_mm=found.start_mm + found.travel_mm,
        travel_mm=found.travel_mm,
        frames=found.frames,
        seconds_s=(found.shown - 1) / burst.frames_per_s,
        chance=found.chance,
        still_chance=found.still_chance,
        steps=_steps(burst, chances, found.shown),
        limits=(),
        sentence="",
        advice="",
        cautions=(),
        notes=(),
    )
    told = burst_words.Told(
        shown=found.shown,
        back_mm=burst.focus.bias_mm - found.start_mm,
        frames_per_s=burst.frames_per_s,
        focus=burst.focus,
        best_lean_mm_per_s=_best_pace(burst, found.shown, reached=found.frames is not None),
        pair=_pair(chances, request.wanted_share),
        still=_still(burst, chances, found),
        sitter_advice=_sitter_advice(burst, found.chance),
        sitter_notes=sitter_notes(burst.found),
        distance_mm=burst.found.stand.distance_mm,
        front_mm=float(chances.windows.front_mm[-1]),
        behind_mm=float(chances.windows.behind_mm[-1]),
    )
    return burst_words.with_words(plan, told)


def _sitter_advice(burst: Burst, chance: Measured) -> str:
    """Return what the sitter's own plan advises, where leaning in is no plan."""
    if chance.value >= burst_words.HOPELESS:
        return ""
    return plan_sitter(with_setting(burst.request.sitting, burst.setting)).advice


@dataclass(frozen=True, slots=True, kw_only=True)
class BurstNumbers:
    """What is told of a lean-in, in numbers.

    Attributes
    ----------
    frames : int or None
        Fewest that reach the chance wanted; None if no number does.
    shown : int
        Frames that all else is told for: these, or as many as still help.
    start_mm, travel_mm : float
        Where the plane starts, behind the near iris, and how far it goes.
    chance, still_chance : Measured
        That at least one holds, leaning and focused anew without leaning.
    """

    frames: int | None
    shown: int
    start_mm: float
    travel_mm: float
    chance: Measured
    still_chance: Measured


def numbers_of(burst: Burst, chances: Chances) -> BurstNumbers:
    """Return how many frames to take, from where, and what comes of it.

    Parameters
    ----------
    burst : Burst
        What it is worked out from.
    chances : Chances
        By number of frames.

    Returns
    -------
    BurstNumbers
        For the fewest frames that do.
    """
    frames = _fewest(chances, burst.request.wanted_share)
    shown = frames or _enough(chances)
    return BurstNumbers(
        frames=frames,
        shown=shown,
        start_mm=burst.focus.bias_mm + float(chances.starts_mm[shown - 1]),
        travel_mm=(shown - 1) * burst.step_mm,
        chance=chances.chance(shown),
        still_chance=_still_chance(burst, chances, shown),
    )


def burst_chances(burst: Burst) -> Chances:
    """Return the chance by number of frames.

    Parameters
    ----------
    burst : Burst
        What it is worked out from.

    Returns
    -------
    Chances
        Never falling with the number of frames: any start that serves fewer serves more.
    """
    beliefs = _few_draws().beliefs_z
    windows = _windows(burst, beliefs, burst.request.lean_mm_per_s)
    aim = aim_of(burst.focus, beliefs)
    frames = most_frames(burst.step_mm)
    starts = _starts_mm(burst.focus.bias_mm, burst.step_mm, frames)
    table = lean_chances(
        windows, aim, Lean(step_mm=burst.step_mm), starts_mm=starts, most_frames=frames
    )
    best = _best_starts(table.mean(axis=0), starts, burst)
    return Chances(
        aim=aim,
        windows=windows,
        starts_mm=starts[best],
        believed=table[:, np.arange(frames), best],
    )


def _best_starts(chance: FloatArray, starts_mm: FloatArray, burst: Burst) -> NDArray[np.intp]:
    """Return the best start by number of frames; of those as good the one about the iris."""
    middle = -burst.focus.bias_mm - 0.5 * burst.step_mm * np.arange(len(chance))
    off = np.abs(starts_mm - middle[:, None])
    good = chance >= chance.max(axis=1, keepdims=True) - 1e-12
    return np.asarray(np.where(good, off, np.inf).argmin(axis=1))


def most_frames(step_mm: float) -> int:
    """Return how many frames one lean holds.

    Parameters
    ----------
    step_mm : float
        Lean from frame to frame, > 0.

    Returns
    -------
    int
        As many as fit into `MOST_LEAN_MM`, 1 to `MOST_FRAMES`.
    """
    return max(1, min(MOST_FRAMES, int(MOST_LEAN_MM / step_mm + 1e-9) + 1))


@functools.cache
def _few_draws() -> FrameDraws:
    return first_frames(plan_draws(), BELIEF_FRAMES)


def _windows(burst: Burst, beliefs: FloatArray, lean_mm_per_s: float | FloatArray) -> Windows:
    return windows_of(
        burst.scene,
        burst.setting,
        _few_draws(),
        focus_mm=burst.scene.eyes_mm[0],
        beliefs_z=beliefs,
        lean_mm_per_s=lean_mm_per_s,
    )


def _starts_mm(bias_mm: float, step_mm: float, frames: int) -> FloatArray:
    """Return starts of the lean that are tried: 0 is where focus was locked."""
    travel = (frames - 1) * step_mm
    return -bias_mm + np.linspace(-travel - 20.0, 20.0, STARTS)


def _fewest(chances: Chances, wanted_share: float) -> int | None:
    enough = np.flatnonzero(chances.believed.mean(axis=0) >= wanted_share)
    return int(enough[0]) + 1 if len(enough) else None


def _pair(chances: Chances, wanted_share: float) -> tuple[int, Measured] | None:
    """Return the fewest frames of each of two lean-ins, focused anew, that reach the chance."""
    twice = 1.0 - (1.0 - chances.believed) ** 2
    enough = np.flatnonzero(twice.mean(axis=0) >= wanted_share)
    if not len(enough):
        return None
    return int(enough[0]) + 1, measured(twice[:, enough[0]])


def _still(burst: Burst, chances: Chances, found: BurstNumbers) -> tuple[int, Measured]:
    """Return the fewest frames that reach the chance without leaning; as many as shown if none."""
    wanted = burst.request.wanted_share
    if found.still_chance.value < wanted:
        return found.shown, found.still_chance
    counts = np.arange(1, found.shown + 1)
    table = still_chances(
        chances.windows, chances.aim, common_sd_mm=burst.common_sd_mm, frames=counts
    )
    enough = np.flatnonzero(table.mean(axis=0) >= wanted)
    frames = int(enough[0]) + 1 if len(enough) else found.shown
    return frames, measured(table[:, frames - 1])


def _still_chance(burst: Burst, chances: Chances, frames: int) -> Measured:
    return measured(
        still_chances(chances.windows, chances.aim, common_sd_mm=burst.common_sd_mm, frames=frames)
    )


def _enough(chances: Chances) -> int:
    """Return the fewest frames that are about as good as the most."""
    mean = chances.believed.mean(axis=0)
    return int(np.flatnonzero(mean >= mean[-1] - ENOUGH)[0]) + 1


def _steps(burst: Burst, chances: Chances, shown: int) -> tuple[BurstStep, ...]:
    most = chances.believed.shape[1]
    counts = sorted({n for n in (*STEP_FRAMES, shown) if n <= most})
    return tuple(
        BurstStep(
            frames=n,
            from_mm=burst.focus.bias_mm + float(chances.starts_mm[n - 1]),
            to_mm=burst.focus.bias_mm + float(chances.starts_mm[n - 1]) + (n - 1) * burst.step_mm,
            chance=chances.chance(n),
            seconds_s=(n - 1) / burst.frames_per_s,
        )
        for n in counts
    )


def _best_pace(burst: Burst, frames: int, *, reached: bool) -> float:
    """Return the lean speed that asks for the fewest frames, or that has the best chance.

    For the middle belief and an even pace: enough to compare.
    """
    asked = burst.request.lean_mm_per_s
    paces = tuple(dict.fromkeys((asked, *PACES_MM_PER_S)))
    leans = [Lean(step_mm=pace / burst.frames_per_s, pace_log_sd=0.0) for pace in paces]
    most = [most_frames(lean.step_mm) for lean in leans]
    bias_mm = burst.focus.bias_mm
    tables = pace_chances(
        _windows(burst, np.zeros((len(paces), 4)), np.array(paces)),
        aim_of(burst.focus, np.zeros((1, 4))),
        leans,
        starts_mm=[_starts_mm(bias_mm, one.step_mm, n) for one, n in zip(leans, most, strict=True)],
        most_frames=most,
    )
    found = {pace: table.max(axis=1) for pace, table in zip(paces, tables, strict=True)}
    if not reached:
        best = max(found, key=lambda pace: found[pace][-1])
        return best if found[best][-1] > found[asked][-1] + WORTH else asked
    goal = found[asked][frames - 1]
    needed = {pace: _first(chances, goal) for pace, chances in found.items()}
    best = min(needed, key=lambda pace: needed[pace])
    return best if needed[best] < FEWER * frames else asked


def _first(chances: FloatArray, goal: float) -> int:
    """Return the fewest frames that reach a chance; more than any lean has where none do."""
    enough = np.flatnonzero(chances >= goal)
    return int(enough[0]) + 1 if len(enough) else MOST_FRAMES + 1
