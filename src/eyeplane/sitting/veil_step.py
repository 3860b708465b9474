"""When, over a run of frames from one kit, light was added to a part of the frame.

Zones are [frame, zone]; a zone's place is its row times the columns plus its column.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.records import Veil

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

LEAST_FRAMES = 4  # on either side of the step
WINDOWS = (4, 8, 16, 32)  # frames before and after that are held against each other
FLOOR = 0.01  # of the frame's light: added to all of it before logarithms, as lenses do anyway
FINE_FLOOR = 0.001  # the same for fine detail, which is so much smaller
SCENE_SD = 0.06  # of a logarithm: what differs between two runs of one scene beyond their medians
ADDED_SD = 0.25  # a veil is this uneven over a place, as a share of the step it makes
MOST_LOST = 0.65  # share of the detail's contrast that must be left
LEAST_ADDED = 0.02  # of the frame's light: less is not looked for
STUDENT = 4.0  # degrees of freedom: some zones always change by themselves
# Of 198 made sittings without a veil 3 reach it: a dark thing gone, and two new tone curves.
EVIDENCE = 26.0  # natural logarithm: of a veil against a scene or a light that changed
SAME_SCENE = 0.2  # median change of detail and of the darkest light elsewhere; more is a new scene
DEEP_STEP = 1.5  # of the logarithm: larger steps make a veil's edge as strong as what it covers
NEAR_WHITE = 0.5  # mean light of a place from which its highlights clip; from memory
AGREEING = 0.75  # share of the place's zones that must speak for a veil
AGREEING_WHOLE = 0.85  # and of all zones for a veil over the whole frame
LASTING = 0.95  # share of the later frames that must keep a third of the added light
LASTING_ZONES = 0.6  # of the place, since its edge may lie within a zone
KEPT = 1 / 3
SAME_TONE = 0.08  # change of detail's logarithm over that of the light: a gamma changed by so much
EVEN = 0.5  # median departure of the added light from its median, over the whole frame, in logs


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Step:
    """Light that was added from one frame on.

    Attributes
    ----------
    first : int
        Index of the first frame with it.
    place : ndarray
        bool [zone], where.
    added : ndarray
        Light added, frame by frame from `first` on, white = 1.
    evidence : float
        Natural logarithm of the likelihood ratio against all else that was considered.
    """

    first: int
    place: Mask
    added: Array
    evidence: float


@dataclass(frozen=True, slots=True, eq=False)
class _Run:
    """Logarithms of darkest light, mean light, coarse and fine detail, over the frame's light."""

    parts: tuple[Array, Array, Array, Array]
    dark: Array  # over the frame's light, not a logarithm
    light: Array  # [frame]


@dataclass(frozen=True, slots=True, eq=False)
class _Half:
    """A run of frames: medians and their variance, part by zone, and the light's median."""

    middle: Array
    variance: Array
    light: float


@dataclass(frozen=True, slots=True, eq=False)
class _Pair:
    """Two runs of frames held against each other: change and its spread, part by zone."""

    change: Array  # [part, zone]
    spread: Array  # [part, zone]
    dark: Array  # before, over the frame's light
    mean: Array
    white: Array  # mean light after, white = 1


def find_step(veils: Sequence[Veil], places: Sequence[Mask]) -> Step | None:
    """Return the step by which a veil came over a part of the frame and stayed.

    Parameters
    ----------
    veils : sequence of Veil
        One kit's frames in order of time, all of the same zones.
    places : sequence of ndarray
        Parts of the frame to look at, each bool [zone].

    Returns
    -------
    Step or None
        None if there is none that can be told from scenes and lights that change.

    Notes
    -----
    A veil adds one amount of light to the darkest and to the mean light of a place and leaves
    the spread of coarse and fine detail alone. A light that is turned up multiplies all four; a
    new scene changes them at will, elsewhere too. Runs of 4 to 32 frames before and after each
    frame are held against each other by medians, zones by a Student-t likelihood with 4 degrees
    of freedom, and the veil against the better of "nothing changed" and "the light changed".

    References
    ----------
    ISO 9358:1994, veiling glare as added light. Lange, K. L., Little, R. J. A. and Taylor,
    J. M. G. (1989), "Robust statistical modeling using the t distribution", Journal of the
    American Statistical Association 84, 881-896.
    """
    count = len(veils)
    if count < 2 * LEAST_FRAMES:
        return None
    run = _run(veils)
    halves: dict[tuple[int, int], _Half] = {}
    best: tuple[float, int, int, int, float] | None = None
    for at in range(LEAST_FRAMES, count - LEAST_FRAMES + 1):
        for width in _widths(at, count):
            spans = (max(at - width, 0), at), (at, min(at + width, count))
            for span in spans:  # what comes after one frame comes before a later one
                if span not in halves:
                    halves[span] = _half(run, *span)
            pair = _pair(halves[spans[0]], halves[spans[1]])
            for number, place in enumerate(places):
                found = _evidence(pair, place)
                if found is None or (best is not None and found[0] <= best[0]):
                    continue
                if _lasts(run, at, place, found[1]):
                    best = (found[0], at, width, number, found[1])
    if best is None or best[0] < EVIDENCE:
        return None
    evidence, at, width, number, added = best
    place = places[number]
    first = _onset(run, at, width, place)
    before = run.dark[max(first - width, 0) : first, place]
    risen = np.median(run.dark[first:, place] - np.median(before, axis=0), axis=1)
    near = risen[: max(width, LEAST_FRAMES)]  # later scenes have shadows of their own
    light = float(np.median(run.light[first:]))
    return Step(
        first=first,
        place=place,
        added=np.maximum(near, KEPT * added) * light,
        evidence=evidence,
    )


def _run(veils: Sequence[Veil]) -> _Run:
    dark, mean, coarse, fine = (
        np.array([getattr(v, name) for v in veils], dtype=float)
        for name in ("darkest", "level", "coarse", "fine")
    )
    light = np.exp(np.log(np.maximum(mean, 1e-3)).mean(axis=1))
    over = light[:, None]
    return _Run(
        (
            np.log(dark / over + FLOOR),
            np.log(mean / over + FLOOR),
            np.log(coarse * mean / over + FLOOR),
            np.log(fine * mean / over + FINE_FLOOR),
        ),
        dark / over,
        light,
    )


def _widths(at: int, count: int) -> list[int]:
    """Return the windows that differ at this frame."""
    most = max(at, count - at)
    return [w for n, w in enumerate(WINDOWS) if n == 0 or WINDOWS[n - 1] < most]


def _median(values: Array) -> float:
    """Return the median as numpy has it, without its checks, which cost more than the sorting."""
    ordered = np.sort(values, axis=None)
    count = len(ordered)
    return float(ordered[(count - 1) // 2] + ordered[count // 2]) / 2


def _medians(values: Array) -> Array:
    """Return the medians over frames, [part, frame, zone] to [part, zone]."""
    ordered = np.sort(values, axis=1)
    count = ordered.shape[1]
    return np.asarray((ordered[:, (count - 1) // 2] + ordered[:, count // 2]) / 2)


def _half(run: _Run, start: int, stop: int) -> _Half:
    values = np.stack([p[start:stop] for p in run.parts])
    middle = _medians(values)
    away = _medians(np.abs(values - middle[:, None]))
    # Variance of a median is pi/2 that of a mean; 1.4826 turns the deviation into sigma.
    variance = np.pi / 2 * (1.4826 * away) ** 2 / values.shape[1]
    return _Half(middle, variance, _median(run.light[start:stop]))


def _pair(before: _Half, after: _Half) -> _Pair:
    return _Pair(
        after.middle - before.middle,
        np.sqrt(before.variance + after.variance) + SCENE_SD,
        np.exp(before.middle[0]) - FLOOR,
        np.exp(before.middle[1]) - FLOOR,
        (np.exp(after.middle[1]) - FLOOR) * after.light,
    )


def _evidence(pair: _Pair, place: Mask) -> tuple[float, float] | None:
    """Return the evidence for a veil over a place and the light it adds, or None."""
    whole, rest = bool(place.all()), ~place
    # The frame's light moves with the veil itself: what is unveiled, or detail, tells its change.
    common = _median(pair.change[2] if whole else pair.change[1][rest])
    change = pair.change - common
    # What is scattered is missing in the picture: detail falls by its share.
    lost = 0.0 if whole else min(max(_median(change[2:, place]), math.log(MOST_LOST)), 0.0)
    left = pair.dark * math.exp(lost)
    risen = np.exp(np.log(pair.dark + FLOOR) + change[0]) - FLOOR - left
    added = _median(risen[place])
    if added < LEAST_ADDED or _clips(pair, change, place):
        return None
    if not _same_scene(change, place, lost, whole=whole):
        return None
    if whole and (_uneven(risen, added) > EVEN or _tone(change[2], pair.mean) > SAME_TONE):
        return None
    kept = np.stack([left, pair.mean * math.exp(lost)]) + added + FLOOR
    was = np.stack([pair.dark, pair.mean]) + FLOOR
    steps = np.concatenate([np.log(kept / was), np.full_like(kept, lost)])
    veil = _misfit(change - steps, np.hypot(pair.spread, ADDED_SD * steps))
    lights = [_median(change[n][place]) for n in (0, 2)]
    other = np.minimum.reduce([_misfit(change - h, pair.spread) for h in (0.0, *lights)])
    gain = (other - veil)[place]
    if np.mean(gain > 0) < (AGREEING_WHOLE if whole else AGREEING):
        return None
    return float(gain.sum()), added


def _same_scene(change: Array, place: Mask, lost: float, *, whole: bool) -> bool:
    """Return whether detail stayed in the place, and darkness and detail elsewhere."""
    # Over deep shadows the veil's own edge is detail as well.
    room = SAME_SCENE * max(1.0, _median(change[0][place]) / DEEP_STEP)
    if max(_median(np.abs(change[n][place] - lost)) for n in (2, 3)) > room:
        return False
    if whole:
        return True
    rest = ~place
    return max(_median(np.abs(change[n][rest])) for n in (0, 2)) <= SAME_SCENE


def _clips(pair: _Pair, change: Array, place: Mask) -> bool:
    """Return whether the place lost light or ran into white, where detail ends by itself."""
    lost = _median(change[1][place]) < -SAME_SCENE / 2
    return lost or _median(pair.white[place]) > NEAR_WHITE


def _uneven(risen: Array, added: float) -> float:
    """Return how far the added light departs from its median: a tone curve lifts by the shade."""
    return _median(np.abs(np.log(np.maximum(risen, 0.05 * added) / added)))


def _tone(detail: Array, mean: Array) -> float:
    """Return how much the change of detail goes with the light: a new tone curve's mark."""
    light = np.log(mean + FLOOR)
    light -= light.mean()
    return abs(float(detail @ light)) / max(float(light @ light), 1e-6)


def _misfit(away: Array, spread: Array) -> Array:
    """Return minus the log-likelihood of each zone, all parts together."""
    terms = np.log1p((away / spread) ** 2 / STUDENT)
    return np.asarray((STUDENT + 1) / 2 * terms.sum(axis=0))


def _lasts(run: _Run, at: int, place: Mask, added: float) -> bool:
    """Return whether the later frames keep the light, as a share of theirs or as it was."""
    then = float(np.median(run.light[at : at + LEAST_FRAMES]))
    least = KEPT * added * np.minimum(run.light[at:], then)
    above = run.dark[at:, place] * run.light[at:, None] > least[:, None]
    kept = above.mean(axis=1) >= LASTING_ZONES
    return bool(kept.mean() >= LASTING)


def _onset(run: _Run, at: int, width: int, place: Mask) -> int:
    """Return the frame of the step itself, by least absolute deviations around it."""
    low, high = max(at - width, 0), min(at + width, len(run.light))
    others = np.median(run.parts[0][:, ~place], axis=1) if not place.all() else 0.0
    values = (run.parts[0][:, place].mean(axis=1) - others)[low:high]

    def cost(cut: int) -> float:
        return sum(
            float(np.abs(part - np.median(part)).sum()) for part in (values[:cut], values[cut:])
        )

    reach = range(max(at - low - 3, 2), min(at - low + 4, len(values) - 1))
    return low + min(reach, key=cost, default=at - low)
