"""The share of frames that hold against the shutter time."""

import math
from collections.abc import Sequence
from itertools import pairwise

from eyeplane.deliver.plan_chart import Axes, Scale, band, marked_across, marked_up
from eyeplane.deliver.plan_picture import Picture, on_paper, within
from eyeplane.deliver.plan_words import ENGRAVED_S, share_words
from eyeplane.deliver.sheet import Letters, Pen, Point, Sheet
from eyeplane.deliver.sheet_type import width_mm
from eyeplane.deliver.wording import percent
from eyeplane.light.camera_words import shutter
from eyeplane.records.planned import ShutterPoint

HEIGHT_SHARE = 0.46  # height of the curve over its width
HOLDS = Pen(ink="iris", width_mm=0.5)
BARRED = Pen(ink="iris", width_mm=0.3, dashed=True)
MOTION = Pen(ink="soft", width_mm=0.3, dashed=True)
MOTION_NAMED = 0.75  # the share at which the broken line is named, to its right
RULE = Pen(ink="soft", width_mm=0.25)


def curve_picture(curve: Sequence[ShutterPoint], *, best_s: float, print_words: str) -> Picture:
    """Return the curve of a plan.

    Parameters
    ----------
    curve : sequence of ShutterPoint
        Two or more, fast to slow.
    best_s : float
        Shutter time of the best setting.
    print_words : str
        The print promised.

    Returns
    -------
    Picture
        Fast times to the left, on a logarithmic scale.
    """
    holds = f"hold {print_words}"

    def draw(width_mm: float, size_mm: float) -> Sheet:
        return _drawn(curve, best_s, holds, (width_mm, size_mm))

    return Picture(
        name="Share of frames by shutter time",
        spoken=_spoken(curve, print_words),
        draw=draw,
        note="Band: nine times in ten. Broken: by motion alone.",
    )


def _drawn(
    curve: Sequence[ShutterPoint], best_s: float, holds: str, sizes: tuple[float, float]
) -> Sheet:
    width, size = sizes
    small = Letters(size_mm=size)
    left = width_mm(percent(1.0), small) + 0.6 * size
    top = 1.9 * size
    height = max(HEIGHT_SHARE * (width - left), 7.5 * size)
    axes = Axes(
        across=Scale(
            low=curve[0].shutter_s,
            high=curve[-1].shutter_s,
            start_mm=left,
            end_mm=width - 0.8 * size,
            logarithmic=True,
        ),
        up=Scale(low=0.0, high=1.0, start_mm=top + height, end_mm=top),
    )
    sheet = Sheet(width_mm=width, height_mm=top + height + 1.8 * size)
    marked_up(sheet, axes, [(v, percent(v)) for v in (0.0, 0.25, 0.5, 0.75, 1.0)], small)
    band(
        sheet,
        axes,
        [(p.shutter_s, p.share.low) for p in curve],
        [(p.shutter_s, p.share.high) for p in curve],
    )
    low, high = curve[0].shutter_s, curve[-1].shutter_s
    times = [t for t in ENGRAVED_S if low * 0.99 <= t <= high * 1.01]
    marked_across(sheet, axes, [(t, shutter(t).split("\u2009")[0]) for t in times], small)
    _rule(sheet, axes, curve, small)
    sheet.path([axes.at((p.shutter_s, p.motion_share.value)) for p in curve], MOTION)
    for points, pen in _allowed(curve):
        sheet.path([axes.at(p) for p in points], pen)
    _best(sheet, axes, curve, (best_s, holds), small)
    return sheet


def _allowed(curve: Sequence[ShutterPoint]) -> list[tuple[list[Point], Pen]]:
    """Return the curve in pieces: what the limits allow whole, the rest broken."""
    pieces: list[tuple[list[Point], Pen]] = []
    for before, after in pairwise(curve):
        pen = HOLDS if before.allowed and after.allowed else BARRED
        point = (after.shutter_s, after.share.value)
        if pieces and pieces[-1][1] is pen:
            pieces[-1][0].append(point)
        else:
            pieces.append(([(before.shutter_s, before.share.value), point], pen))
    return pieces


def _rule(sheet: Sheet, axes: Axes, curve: Sequence[ShutterPoint], small: Letters) -> None:
    rule = next((p for p in curve if p.reciprocal), None)
    if rule is None:
        return
    x = axes.across.at(rule.shutter_s)
    sheet.line((x, axes.up.start_mm), (x, axes.up.end_mm - 0.4 * small.size_mm), RULE)
    words = f"reciprocal rule {shutter(rule.shutter_s)}"
    letters = Letters(size_mm=small.size_mm, ink="soft", anchor="middle")
    at = within(x, words, letters, (axes.across.start_mm, sheet.width_mm))
    sheet.words((at, axes.up.end_mm - 0.8 * small.size_mm), words, letters)


def _best(
    sheet: Sheet,
    axes: Axes,
    curve: Sequence[ShutterPoint],
    best: tuple[float, str],
    small: Letters,
) -> None:
    """Mark the best time on the curve, and say at both lines what they are."""
    size = small.size_mm
    nearest = min(curve, key=lambda p: abs(math.log(p.shutter_s / best[0])))
    x, y = axes.at((nearest.shutter_s, nearest.share.value))
    sheet.disc((x, y), 0.34 * size, "iris", None)
    under = max(axes.up.at(p.share.low) for p in curve if axes.across.at(p.shutter_s) <= x + size)
    iris = Letters(size_mm=size, ink="iris", anchor="middle")
    rule = next((axes.across.at(p.shutter_s) for p in curve if p.reciprocal), math.inf)
    stop = rule - 0.4 * size if rule > x else axes.across.end_mm
    ends = (axes.across.start_mm + 0.4 * size, min(stop, axes.across.end_mm))
    at = within(x, best[1], iris, ends)
    sheet.words((at, min(under + 1.3 * size, axes.up.start_mm - 0.4 * size)), best[1], iris)
    bend = next((p for p in curve if p.motion_share.value < MOTION_NAMED), None)
    if bend is None:
        return
    at, y = axes.at((bend.shutter_s, bend.motion_share.high))
    words = "motion alone"
    if at + width_mm(words, small) + 1.6 * size <= sheet.width_mm:
        on_paper(sheet, (at + 0.8 * size, y), words, Letters(size_mm=size, ink="soft"))


def _spoken(curve: Sequence[ShutterPoint], print_words: str) -> str:
    shown = [p for p in curve if any(abs(p.shutter_s / t - 1) < 0.07 for t in ENGRAVED_S)]
    told = ", ".join(f"{shutter(p.shutter_s)} {share_words(p.share)}" for p in shown)
    rule = next((p for p in curve if p.reciprocal), None)
    named = f" The reciprocal rule names {shutter(rule.shutter_s)}." if rule else ""
    return f"Share of frames that hold {print_words} by shutter time: {told}.{named}"
