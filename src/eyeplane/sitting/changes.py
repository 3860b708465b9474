"""What one change would bring in frames: each eye of the sitting seen again with it."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.diagnose.words import THIN, f_stop, mm, print_cm, sentence_case, shutter
from eyeplane.learn.mixed import Array
from eyeplane.optics.reach import SHARP
from eyeplane.records import Change, Measured, SittingFrame, Viewing
from eyeplane.sitting import say
from eyeplane.sitting.asshot import Eyes, eyes_as_shot
from eyeplane.sitting.bursts import holds_goal
from eyeplane.sitting.kits import KitFit
from eyeplane.sitting.offsets import kit_of
from eyeplane.sitting.remade import Remade, lit, opened, set_right, shorter, stopped_down
from eyeplane.sitting.seen import Spreads, seen_sharpness
from eyeplane.sitting.steady import Steady, steady_focus

Flags = NDArray[np.bool_]
Short = NDArray[np.float32]  # of draws: precise enough, and half the memory

DRAWS = 400  # of the errors of all eyes; the interval's ends scatter by less than a frame
BURST_SHARE = 0.5  # of the squared error of a size that frames of a burst share; no source
NEARLY = 0.9  # of the best gain: the smallest step that brings this much is the one named
SIDE_SURE = 0.99  # probability of the side of a kit's mean offset from which it is set right
LEAST_FRAMES = 0.5  # expected gain below which a change is not listed
SURE = 0.95  # probability of gaining anything below which it is not listed
WIDE = 2.0  # standard deviations on either side at which sharpness is worked out
HIDDEN_STEPS = 8  # of the share of discs that is hidden motion, spread over the draws
MOST_EYES = 400  # that the choice of a step is made on; all are used for what it brings


@dataclass(frozen=True, slots=True, kw_only=True)
class _Odds:
    """How much larger each eye's blur may be until it no longer holds."""

    room: Array  # in natural logarithms of size, may be negative
    log_sd: Array
    shared_sd: Array


def changes_of(
    frames: Sequence[SittingFrame],
    *,
    goal_cm: float,
    viewing: Viewing,
    steady: Steady | None = None,
) -> tuple[Change, ...]:
    """Return what single changes would bring, the one worth most first.

    Parameters
    ----------
    frames : sequence of SittingFrame
        All frames, in order of time.
    goal_cm : float
        Print edge that counts as held.
    viewing : Viewing
        For the viewer's distance.
    steady : Steady or None
        What `steady_focus` says of these frames, where that is known already.

    Returns
    -------
    tuple of Change
        At most one each of: shorter shutter time, smaller aperture, wider aperture, more light,
        and for each kit its mean focus offset set right; only those that surely help.

    Notes
    -----
    Each eye is seen again by the optics of every reach, with lines, discs, diffraction and grain
    as the change makes them (`eyeplane.sitting.remade`). What is expected are the frames as
    counted plus the mean gain over draws of what is not known: each eye's blur within its
    interval (half of the squared error shared in a burst) and how the change scales it. The
    interval holds the frames that hold in nine draws of ten. Standing
    nearer is not among the changes: on a print of the same size it enlarges every blur and never
    brings reach.
    """
    holding = sum(holds_goal(frame.answer, goal_cm) for frame in frames)
    measured = sum(frame.reading.status == "measured" for frame in frames)
    eyes = eyes_as_shot(frames, goal_cm=goal_cm, viewing=viewing)
    if eyes is None or holding == measured:
        return ()
    steady = steady_focus(frames) if steady is None else steady
    before = _odds(eyes, eyes.spreads, np.zeros(len(eyes.numbers)))
    draws = _draws(eyes)
    held_before = _held(eyes, before, draws).sum(axis=0)
    found = []
    for remade in _chosen(eyes, frames, steady):
        held = _held_after(eyes, remade, before, draws)
        gain = float(held.mean() - held_before.mean())
        if gain < LEAST_FRAMES or float((held > held_before).mean()) < SURE:
            continue
        low, high = (float(np.quantile(held, q)) for q in (0.05, 0.95))
        value = min(max(holding + gain, low), high)
        found.append(
            Change(
                text=_text(remade, eyes, steady.kits),
                holding=holding,
                expected=Measured(value=value, low=low, high=high),
            )
        )
    return tuple(sorted(found, key=lambda change: -change.expected.value))


def change_words(change: Change, *, frames: int, goal_cm: float) -> str:
    """Return a change with what it brings, as one sentence.

    Parameters
    ----------
    change : Change
        The change.
    frames : int
        All measured frames.
    goal_cm : float
        Print edge that counts as held.

    Returns
    -------
    str
        "1/500 s instead of 1/200 s, with the ISO raised to match: 31 of 40 frames expected to
        hold 50 cm instead of 19 (27 to 34).", as an example.
    """
    expected = change.expected
    low, high = (f"{end:.0f}" for end in (expected.low, expected.high))
    interval = "" if low == high else f" ({low} to {high})"
    return (
        f"{sentence_case(change.text)}: {expected.value:.0f} of {say.frames(frames)} expected to "
        f"hold {print_cm(goal_cm)} instead of {change.holding}{interval}."
    )


def _chosen(eyes: Eyes, frames: Sequence[SittingFrame], steady: Steady) -> Iterator[Remade]:
    """Return of each kind of change the smallest step that brings nearly as much as the best."""
    step = max(1, len(eyes.starts) // MOST_EYES)
    sample = np.isin(eyes.numbers, eyes.numbers[eyes.starts][::step])
    has_line, has_focus = eyes.spreads.line_px > 0, eyes.focus_px > 0
    series = (
        (shorter(eyes) if has_line.any() else iter(()), False),
        (stopped_down(eyes) if has_focus.any() else iter(()), False),
        (opened(eyes), True),
        (lit(eyes), True),
    )
    for steps, largest_first in series:
        tried = [(remade, _counted(eyes, remade, sample)) for remade in steps]
        most = max((count for _, count in tried), default=0)
        now = _counted_as_shot(eyes, sample)
        enough = [r for r, count in tried if count > now and count - now >= NEARLY * (most - now)]
        if enough:
            yield enough[-1 if largest_first and enough[0].kind == "light" else 0]
    for number, fit in enumerate(() if steady.explained else steady.kits):
        behind = 1.0 - fit.bias.below(0.0)
        if max(behind, 1.0 - behind) < SIDE_SURE:
            continue
        own = np.array([kit_of(f.reading.exposure) == fit.kit for f in frames])[eyes.numbers]
        remade = set_right(
            eyes,
            own,
            fit.focus,
            kit_number=number,
            error_mm=float(np.median([o.error_mm for o in steady.told if o.kit == fit.kit])),
        )
        if remade is not None:
            yield remade


def _counted(eyes: Eyes, remade: Remade, sample: Flags) -> int:
    sharp = np.zeros(len(eyes.numbers), dtype=bool)
    sharp[sample] = seen_sharpness(remade.spreads.rows(sample)) >= SHARP
    return int(np.logical_and.reduceat(sharp, eyes.starts).sum())


def _counted_as_shot(eyes: Eyes, sample: Flags) -> int:
    sharp = np.zeros(len(eyes.numbers), dtype=bool)
    sharp[sample] = seen_sharpness(eyes.spreads.rows(sample)) >= SHARP * (1 - 1e-6)
    return int(np.logical_and.reduceat(sharp, eyes.starts).sum())


def _odds(eyes: Eyes, spreads: Spreads, shared_sd: Array, own_sd: Array | float = 0.0) -> _Odds:
    """Return the room of each eye by sharpness at its size and two deviations either side."""
    log_sd = np.hypot(eyes.log_sd, own_sd)
    wide = WIDE * np.hypot(log_sd, shared_sd)
    small, middle, large = (
        seen_sharpness(spreads.scaled(np.exp(step * wide))) - SHARP for step in (-1.0, 0.0, 1.0)
    )
    steep = np.where(middle >= 0, middle - large, small - middle)
    room = wide * middle / np.maximum(steep, 1e-9)
    return _Odds(room=np.clip(room, -9.0, 9.0), log_sd=log_sd, shared_sd=shared_sd)


def _draws(eyes: Eyes) -> tuple[Short, Short]:
    """Return errors of all eyes and of the change: always the same for the same sitting."""
    rng = np.random.default_rng(20)
    _, groups = np.unique(eyes.bursts, return_inverse=True)
    shared = rng.standard_normal((int(groups.max()) + 1, DRAWS), dtype=np.float32)[groups]
    own = rng.standard_normal((len(groups), DRAWS), dtype=np.float32)
    errors = np.float32(BURST_SHARE**0.5) * shared + np.float32((1 - BURST_SHARE) ** 0.5) * own
    return errors, rng.standard_normal(DRAWS, dtype=np.float32)


def _held(eyes: Eyes, odds: _Odds, draws: tuple[Short, Short]) -> Flags:
    """Return whether each frame holds in each draw."""
    errors, change = draws
    larger = odds.log_sd[:, None].astype(np.float32) * errors
    if odds.shared_sd.any():
        larger = larger + odds.shared_sd[:, None].astype(np.float32) * change
    return np.logical_and.reduceat(larger <= odds.room[:, None].astype(np.float32), eyes.starts)


def _held_after(
    eyes: Eyes, remade: Remade, before: _Odds, draws: tuple[Short, Short]
) -> NDArray[np.intp]:
    """Return how many frames hold with a change, draw by draw.

    How much of the discs is motion that could not be told is drawn too: between none and all that
    can be, times the share of lines among the eyes that fall short.
    """
    after = _odds(eyes, remade.spreads, remade.log_sd, remade.own_sd)
    # Eyes that the change leaves alone keep what they had, to the last digit.
    after = replace(after, room=np.where(remade.moved, after.room, before.room))
    if remade.at_best is remade.spreads:
        return np.asarray(_held(eyes, after, draws).sum(axis=0))
    best = _odds(eyes, remade.at_best, remade.log_sd, remade.own_sd)
    best = replace(best, room=np.where(remade.moved, best.room, before.room))
    short = remade.moved & (before.room < 0)
    lines = float((eyes.spreads.line_px[short] > 0).mean()) if short.any() else 0.0
    parts = []
    for number in range(HIDDEN_STEPS):
        some = slice(number, None, HIDDEN_STEPS)
        share = lines * (number + 0.5) / HIDDEN_STEPS
        odds = replace(after, room=after.room + share * (best.room - after.room))
        parts.append(_held(eyes, odds, (draws[0][:, some], draws[1][some])).sum(axis=0))
    order = np.argsort(
        np.concatenate([np.arange(n, DRAWS, HIDDEN_STEPS) for n in range(HIDDEN_STEPS)])
    )
    return np.asarray(np.concatenate(parts)[order])


def _text(remade: Remade, eyes: Eyes, kits: Sequence[KitFit]) -> str:
    moved = remade.moved
    if remade.kind == "focus":
        fit = kits[int(remade.target)]
        bias = fit.focus.bias_mm.value
        way = "nearer to the camera" if bias > 0 else "farther from the camera"
        return f"focus of {fit.focus.kit} set {mm(bias)} {way}"
    if remade.kind == "shutter":
        used = _used(eyes.time_s[moved], shutter, slow_first=True)
        return f"{shutter(remade.target)} instead of {used}, with the ISO raised to match"
    if remade.kind == "light":
        used = _used(eyes.iso[moved], _iso, slow_first=False)
        stops = float(np.median(np.log2(eyes.iso[moved] / remade.target)))
        more = f"{stops:.0f} {'stop' if round(stops) == 1 else 'stops'}"
        return f"{more} more light, at {_iso(remade.target)} instead of {used}"
    iso = "raised" if remade.kind == "stop down" else "lowered"
    used = _used(eyes.f_number[moved], f_stop, slow_first=False)
    return f"aperture {f_stop(remade.target)} instead of {used}, with the ISO {iso} to match"


def _used(values: Array, said: Callable[[float], str], *, slow_first: bool) -> str:
    ends = (float(values.min()), float(values.max()))
    first, last = reversed(ends) if slow_first else ends
    return say.span(first, last, said)


def _iso(value: float) -> str:
    return f"ISO{THIN}{value:.0f}"
