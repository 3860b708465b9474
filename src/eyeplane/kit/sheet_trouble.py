"""Why a printed sheet cannot be used as a frame shows it, in a photographer's words."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError
from eyeplane.imaging import Picture
from eyeplane.kit.fiducials import MARKS_PER_SHEET, NUMBERS, search_sizes, unread_squares
from eyeplane.kit.found_sheet import FoundSheet
from eyeplane.records import Measured
from eyeplane.records.printed import PrintedSheet

FEWEST_MARKS = 4  # that fix perspective and distortion with something left over to judge them by
SOME_MARKS = 3  # of a sheet, not to be taken for a chance pattern
LIKE_SIDES = 1.6  # of squares that may belong to one sheet, largest over smallest
SQUARES = 8  # alike in a frame, that look like a sheet of ours
SEARCHED_PX = 1600
SMALL_SQUARE_PX = 45.0  # of the frame: our chart's squares with marks too small to read
NAMES = {"chart": "the chart", "focus": "the focus target"}
COMMANDS = {"chart": "eyeplane kit chart", "focus": "eyeplane kit focus"}
SIDES = ("on the left", "at the top", "on the right", "at the bottom")

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What is asked of a sheet in a frame.

    Attributes
    ----------
    whole : bool
        Whether all its ink must be in the frame.
    least_px_per_mm : float
        Smallest size: at 2 the squares of the chart on A4 are 52 px wide.
    most_tilt_deg : float
        Largest tilt against the sensor about either axis.
    most_bow_ratio : float
        Largest sag of the paper, in its long side.
    """

    whole: bool = True
    least_px_per_mm: float = 2.0
    most_tilt_deg: float = 15.0
    most_bow_ratio: float = 0.012


def check_marks(
    picture: Picture, seen: Mapping[int, Sequence[Points]], sheets: Sequence[PrintedSheet]
) -> PrintedSheet:
    """Return the sheet that the marks in a frame belong to.

    Parameters
    ----------
    picture : Picture
        The frame.
    seen : mapping
        Number → places of marks.
    sheets : sequence of PrintedSheet
        Those that are looked for.

    Returns
    -------
    PrintedSheet
        One of them.

    Raises
    ------
    InputError
        If none of them is there, more than one, or one of them twice.
    """
    groups = _groups(seen)
    there = [s for s in sheets if len(groups.get((s.kind, s.paper), ())) >= SOME_MARKS]
    if not there:
        raise _no_such_sheet(picture, groups, sheets)
    if len(there) > 1:
        names = " and ".join(sheet_name(sheet.kind, sheet.paper) for sheet in there)
        raise InputError(
            f"several sheets are in the frame: {names}",
            where=picture.path,
            hint="Photograph one sheet at a time",
        )
    (sheet,) = there
    numbers = groups[sheet.kind, sheet.paper]
    if sum(len(seen[n]) > 1 for n in numbers) >= SOME_MARKS:
        raise InputError(
            f"{sheet_name(sheet.kind, sheet.paper)} is in the frame twice",
            where=picture.path,
            hint="Photograph one sheet at a time, without a mirror or a shiny floor beside it",
        )
    if sum(len(seen[n]) == 1 for n in numbers) < FEWEST_MARKS:
        raise _few_marks(picture, len(numbers), sheet)
    return sheet


def sheet_name(kind: str, paper: str) -> str:
    """Return what a sheet is called.

    Parameters
    ----------
    kind, paper : str
        As in `PrintedSheet`.

    Returns
    -------
    str
        In words.

    Examples
    --------
    >>> sheet_name("focus", "A3")
    'the focus target for A3'
    """
    return f"{NAMES[kind]} for {paper}"


def check_found(picture: Picture, found: FoundSheet, limits: Limits) -> None:
    """Refuse a sheet that stands in the frame so that it cannot be read.

    Parameters
    ----------
    picture : Picture
        The frame.
    found : FoundSheet
        The sheet in it.
    limits : Limits
        What is asked.

    Raises
    ------
    InputError
        If it leaves the frame, is too small, too tilted, or not flat.
    """
    for trouble in (_outside, _small, _tilted, _bowed):
        error = trouble(picture, found, limits)
        if error is not None:
            raise error


def unreadable(picture: Picture) -> InputError:
    """Return what is said of a sheet whose marks are seen and cannot be measured.

    Parameters
    ----------
    picture : Picture
        The frame.

    Returns
    -------
    InputError
        To be raised.
    """
    return InputError(
        "the sheet is there, and too soft or too distorted for its marks to be measured",
        where=picture.path,
        hint="Focus on the sheet, fix the camera, use the self-timer, and fill the frame with it",
    )


def _groups(seen: Mapping[int, Sequence[Points]]) -> dict[tuple[str, str], list[int]]:
    groups: dict[tuple[str, str], list[int]] = {}
    for name, first in NUMBERS.items():
        numbers = [n for n in seen if first <= n < first + MARKS_PER_SHEET]
        if numbers:
            groups[name] = numbers
    return groups


def _no_such_sheet(
    picture: Picture,
    groups: Mapping[tuple[str, str], list[int]],
    sheets: Sequence[PrintedSheet],
) -> InputError:
    other = max(groups, key=lambda name: len(groups[name]), default=None)
    if other is not None and len(groups[other]) >= SOME_MARKS:
        asked = {sheet.kind for sheet in sheets}
        wanted = " or ".join(NAMES[kind] for kind in NAMES if kind in asked)
        hint = f"Photograph {wanted}"
        if other[0] not in asked:
            hint = f"Give this frame to '{COMMANDS[other[0]]}', or photograph {wanted}"
        return InputError(
            f"this is {sheet_name(*other)}, and {wanted} was asked for",
            where=picture.path,
            hint=hint,
        )
    if _mirrored(picture):
        return InputError(
            "the sheet is mirrored",
            where=picture.path,
            hint="Photograph its printed side itself, not in a mirror, print it without the "
            "'mirror' setting, and do not flip the frame",
        )
    few = sum(len(numbers) for numbers in groups.values())
    if few:
        return _few_marks(picture, few, None)
    return _nothing_read(picture)


def _few_marks(picture: Picture, count: int, sheet: PrintedSheet | None) -> InputError:
    name = "a sheet" if sheet is None else sheet_name(sheet.kind, sheet.paper)
    marks = "mark" if count == 1 else "marks"
    return InputError(
        f"only {count} {marks} of {name} can be read, of {MARKS_PER_SHEET}",
        where=picture.path,
        hint="Bring the whole sheet into the frame, large and in focus, with nothing before it and "
        "no shine on it",
    )


def _nothing_read(picture: Picture) -> InputError:
    """Return what is said where no mark can be read: perhaps there are squares all the same."""
    small, scale = picture.rgb_small(SEARCHED_PX)
    grey = np.asarray(cv2.cvtColor(small, cv2.COLOR_RGB2GRAY), np.uint8)
    alike = _alike(sorted(unread_squares(grey)))
    if len(alike) < SQUARES:
        return InputError(
            "none of our printed sheets is in this frame",
            where=picture.path,
            hint="Print one with 'eyeplane kit print chart FILE.pdf', fix it flat and fill the "
            "frame with it",
        )
    side_px = float(np.median(alike)) / scale
    if side_px < SMALL_SQUARE_PX:
        return InputError(
            f"the sheet is too small in the frame: its squares are {side_px:.0f} px wide",
            where=picture.path,
            hint="Come closer until the sheet fills the frame",
        )
    return InputError(
        f"{len(alike)} dark squares like ours are in the frame, and no mark beside them can be "
        "read: it is too soft",
        where=picture.path,
        hint="Focus on the sheet, fix the camera and use the self-timer",
    )


def _alike(sides: list[float]) -> list[float]:
    """Return the most sides of about one length."""
    runs = [[b for b in sides[k:] if b <= LIKE_SIDES * a] for k, a in enumerate(sides)]
    return max(runs, key=len, default=[])


def _mirrored(picture: Picture) -> bool:
    def shrunk(long_edge_px: int) -> NDArray[np.uint8]:
        small, _ = picture.rgb_small(min(long_edge_px, SEARCHED_PX))
        return np.asarray(cv2.cvtColor(small, cv2.COLOR_RGB2GRAY), np.uint8)

    size_px = (min(picture.width_px, SEARCHED_PX), min(picture.height_px, SEARCHED_PX))
    return len(search_sizes(shrunk, size_px, mirrored=True)) >= SOME_MARKS


def _outside(picture: Picture, found: FoundSheet, limits: Limits) -> InputError | None:
    if not limits.whole:
        return None
    ink = np.array([corner for patch in found.sheet.patches for corner in patch.corners_mm])
    placed = np.nan_to_num(found.to_px(ink), nan=-1.0)
    low, high = placed.min(axis=0), placed.max(axis=0)
    out = (low[0] < 0, low[1] < 0, high[0] > picture.width_px, high[1] > picture.height_px)
    sides = [words for words, is_out in zip(SIDES, out, strict=True) if is_out]
    if not sides:
        return None
    if len(sides) == 4:
        where = "on all sides"
    else:
        where = ", ".join(sides[:-1]) + (" and " if sides[:-1] else "") + sides[-1]
    return InputError(
        f"the sheet leaves the frame {where}",
        where=picture.path,
        hint="Move back, or aim at its middle, until all squares and marks are in the frame",
    )


def _small(picture: Picture, found: FoundSheet, limits: Limits) -> InputError | None:
    scale = found.scale_px_per_mm * found.ruler_scale
    if scale >= limits.least_px_per_mm:
        return None
    wide, least = (found.sheet.width_mm * s for s in (scale, limits.least_px_per_mm))
    return InputError(
        f"the sheet is too small in the frame: {wide:.0f} px wide, {scale:.1f} px for each mm",
        where=picture.path,
        hint=f"Come closer: it must be {least:.0f} px wide at least, and best fills the frame",
    )


def _tilted(picture: Picture, found: FoundSheet, limits: Limits) -> InputError | None:
    tilt, turn = found.tilt_deg, found.turn_deg
    if tilt is None or turn is None or max(_sure(tilt), _sure(turn)) <= limits.most_tilt_deg:
        return None
    normal = found.fit.model.axes()[0][:, 2]
    total = math.degrees(math.acos(min(1.0, float(normal[2]))))
    # Depth grows along the frame against the part of the normal that lies in it.
    if abs(normal[0]) >= abs(normal[1]):
        far, near = ("right", "left") if normal[0] < 0 else ("left", "right")
        way = f"Turn the sheet, or move the camera to the {far},"
    else:
        far, near = ("lower", "upper") if normal[1] < 0 else ("upper", "lower")
        way = f"Lean the sheet, or {'raise' if far == 'upper' else 'lower'} the camera,"
    return InputError(
        f"the sheet is tilted by {total:.0f}° to the camera: its {far} side in the frame is "
        "farther away",
        where=picture.path,
        hint=f"{way} until its {near} and {far} side look equally long",
    )


def _sure(angle: Measured) -> float:
    """Return how far from 0 an angle is at least."""
    return 0.0 if angle.low <= 0 <= angle.high else min(abs(angle.low), abs(angle.high))


def _bowed(picture: Picture, found: FoundSheet, limits: Limits) -> InputError | None:
    bow, wide = found.bow_mm, found.sheet.width_mm * found.ruler_scale
    if bow is None:
        # Of a sheet in a usual view, about as far away as three times its width.
        if found.bow_share.low * 3 <= limits.most_bow_ratio:
            return None
        size = ""
    elif bow.low <= limits.most_bow_ratio * wide:
        return None
    else:
        size = f": it bows by about {bow.value:.1f} mm ({bow.low:.1f}–{bow.high:.1f})"
    return InputError(
        f"the sheet is not flat{size}",
        where=picture.path,
        hint="Tape it all round to a pane of glass or a stiff board, or mount it with spray glue",
    )
