"""A veil that came over a part of the frame during a sitting, and stayed."""

from collections import Counter
from collections.abc import Sequence
from pathlib import PurePath

import numpy as np
from numpy.typing import NDArray

from eyeplane.diagnose.veil import CLEAN
from eyeplane.diagnose.words import THIN, listed
from eyeplane.imaging.orient import swaps_axes, upright_view
from eyeplane.records import Habit, SittingFrame, Veil
from eyeplane.sitting.veil_step import Step, find_step

Mask = NDArray[np.bool_]


def veil_habits(
    frames: Sequence[SittingFrame], numbers: Sequence[int] | None = None
) -> tuple[Habit, ...]:
    """Return the veils that came up during a sitting and stayed.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.
    numbers : sequence of int or None
        What each frame is called; None counts them from 1.

    Returns
    -------
    tuple of Habit
        At most one a kit; empty where no veil can be told from scenes and lights that change.

    Notes
    -----
    Each body with its lens is looked at by itself, and frames stored upright apart from others,
    since how the sensor lay is not known for them. The place is told in the frame as it is seen;
    if the camera was turned meanwhile, for both ways of holding it.
    """
    named = range(1, len(frames) + 1) if numbers is None else numbers
    runs: dict[object, list[int]] = {}
    for number, frame in enumerate(frames):
        veil = frame.reading.veil
        if veil is not None and veil.level:
            runs.setdefault(_kit(frame, veil), []).append(number)
    found = [habit for run in runs.values() if (habit := _habit(frames, run, named)) is not None]
    return tuple(sorted(found, key=lambda habit: -habit.frames))


def places(columns: int, rows: int) -> dict[str, Mask]:
    """Return the named places of a frame.

    Parameters
    ----------
    columns, rows : int
        Zones across and down, >= 2.

    Returns
    -------
    dict of str to ndarray
        Corners, sides and the whole, each bool [row, column].
    """
    row, column = np.mgrid[0:rows, 0:columns]
    top, bottom = row < rows // 2, row >= rows - rows // 2
    left, right = column < columns // 2, column >= columns - columns // 2
    side = max(columns // 3, 2)
    return {
        "the upper left": top & left,
        "the upper right": top & right,
        "the lower left": bottom & left,
        "the lower right": bottom & right,
        "the left side": column < side,
        "the right side": column >= columns - side,
        "the top": top,
        "the bottom": bottom,
        "the whole frame": row >= 0,
    }


def place_name(place: Mask, orientation: int) -> str:
    """Return what a place of the stored frame is called in the frame as it is seen.

    Parameters
    ----------
    place : ndarray
        One of `places`, bool [row, column].
    orientation : int
        EXIF Orientation.

    Returns
    -------
    str
        E.g. "the lower left".
    """
    seen = upright_view(place, orientation)
    rows, columns = seen.shape
    named = places(columns, rows)
    # A third of one edge is not a third of the other: the nearest name is meant.
    return max(named, key=lambda name: _overlap(named[name], seen))


def _overlap(first: Mask, second: Mask) -> float:
    return float((first & second).sum() / (first | second).sum())


def _kit(frame: SittingFrame, veil: Veil) -> object:
    exif = frame.reading.exposure
    kit = (exif.body, exif.body_serial, exif.lens, exif.lens_serial)
    return (*kit, veil.columns, veil.rows)


def _habit(
    frames: Sequence[SittingFrame], run: Sequence[int], numbers: Sequence[int]
) -> Habit | None:
    veils = [veil for n in run if (veil := frames[n].reading.veil) is not None]
    named = list(places(veils[0].columns, veils[0].rows).values())
    step = find_step(veils, [place.ravel() for place in named])
    if step is None:
        return None
    first = run[step.first]
    number = numbers[first]
    name = PurePath(frames[first].reading.path.replace("\\", "/")).name
    place = step.place.reshape(veils[0].rows, veils[0].columns)
    where = _where(place, veils[step.first :])
    added = f"{_percent(step)}{THIN}% of white"
    style = ", unless you made the picture style flatter there" if place.all() else ""
    return Habit(
        kind="veil",
        text=(
            f"Since about frame {number} ({name}) something veils {where}: light of {added} "
            f"lies over the darkest parts, while fine detail stays{style}."
        ),
        advice=(
            "Look at the front element, and for a lamp or the sun shining into the lens. "
            f"To clean it: {CLEAN}."
        ),
        frames=len(run) - step.first,
    )


def _percent(step: Step) -> str:
    low, high = (max(100 * float(q), 0.1) for q in np.quantile(step.added, [0.05, 0.95]))
    ends = [f"{v:.0f}" if v >= 1.5 else f"{v:.1g}" for v in (low, high)]
    return ends[0] if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}"


def _where(place: Mask, veils: Sequence[Veil]) -> str:
    """Return the place as seen, for each way the camera was held; the most frequent first."""
    ways: dict[bool, Counter[str]] = {}
    for veil in veils:
        turned = swaps_axes(veil.orientation)
        ways.setdefault(turned, Counter())[place_name(place, veil.orientation)] += 1
    names = {name for way in ways.values() for name in way}
    if len(names) == 1:
        return names.pop()
    common = sorted(ways, key=lambda turned: -ways[turned].total())
    lies_wide = veils[0].columns > veils[0].rows
    said = []
    for turned in common:
        shown = " or ".join(name for name, _ in ways[turned].most_common())
        said.append(f"{shown} of {'upright' if turned == lies_wide else 'level'} frames")
    return listed(said)
