"""`check_dust`: from frames to a map of the dust on the sensor."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from eyeplane.errors import FrameError, InputError
from eyeplane.kit.dust_crops import crops
from eyeplane.kit.dust_even import (
    GOOD_F_NUMBER,
    EvenFrame,
    alike,
    even_frame,
    one_body,
    search_even,
    unusable,
)
from eyeplane.kit.dust_frame import SensorFrame, open_frame
from eyeplane.kit.dust_notes import even_notes, sitting_notes
from eyeplane.kit.dust_pool import LARGEST, SMALLEST, search_pool
from eyeplane.kit.dust_sitting import LEAST_VIEWS, Pool, View, merge, pool, view_of
from eyeplane.kit.dust_surface import UNEVEN, unevenness
from eyeplane.kit.dust_told import (
    Cast,
    Taken,
    cast_line,
    cast_spot,
    cover_air_mm,
    limit_of,
)
from eyeplane.kit.dust_work import Asked, numbered, over_apertures
from eyeplane.records import Measured, MeasureSettings
from eyeplane.records.kit_dust import DustCrop, DustLeftOut, DustLimit, DustResult, DustWay
from eyeplane.records.said import count_word, listed
from eyeplane.records.settings import STANDARD_PRINT_CM, STANDARD_VIEWING_CM

NOT_EVEN = "it shows no even surface."
OTHERWISE = "it was taken at another aperture or size than most."
SITTING_LN_SD = 0.12  # of d and b from a whole sitting, beyond noise; our own frames of known dust
NO_BODY = "this body"  # where neither the file nor the photographer names it
NAMELESS = (
    "The file does not name the body, so this is held against no earlier check and not kept for "
    "the next: say whose sensor it is with --kit."
)
WORKING_F_NUMBER = 5.6  # head shots in the studio: f/5.6 to f/8, common practice ×4, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class DustRequest:
    """What is asked of a check for dust.

    Attributes
    ----------
    settings : MeasureSettings
        For the pixel limit and the kit table.
    working_f_number : float
        Aperture at which it is judged what shows.
    taken_f_number : float or None
        Aperture of frames whose files do not say it.
    print_cm, viewing_cm : float
        Print and viewing distance for which it is judged.
    kit : str
        The photographer's own name of the body; empty: as the frames name it.
    """

    settings: MeasureSettings = field(default_factory=MeasureSettings)
    working_f_number: float = WORKING_F_NUMBER
    taken_f_number: float | None = None
    print_cm: float = STANDARD_PRINT_CM
    viewing_cm: float = STANDARD_VIEWING_CM
    kit: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DustCheck:
    """A check for dust.

    Attributes
    ----------
    result : DustResult
        Its numbers.
    crops : tuple of DustCrop
        Pieces of the frame around the worst shadows.
    """

    result: DustResult
    crops: tuple[DustCrop, ...]


@dataclass(slots=True, kw_only=True, eq=False)
class _Gathered:
    """Frames as they are read one by one; only what is needed of each is kept."""

    request: DustRequest
    even: list[EvenFrame] = field(default_factory=list)
    views: list[View] = field(default_factory=list)
    left_out: list[DustLeftOut] = field(default_factory=list)
    told: set[float] = field(default_factory=set)

    def take(self, path: Path) -> None:
        try:
            frame = open_frame(path, settings=self.request.settings)
        except FrameError as error:
            self.leave(str(path), f"{error.what}.")
            return
        if min(frame.width_px, frame.height_px) < 64:
            self.leave(frame.path, "it is too small for dust to show.")
            return
        f_number = frame.exposure.f_number or self.request.taken_f_number
        if frame.exposure.f_number:
            self.told.add(frame.exposure.f_number)
        if unevenness(frame.light) > UNEVEN:
            merge(self.views, view_of(frame, f_number))
            self.leave(frame.path, NOT_EVEN)
            return
        reason = unusable(frame, f_number)
        if not reason:
            self.even.append(even_frame(frame, f_number))
            return
        merge(self.views, view_of(frame, f_number))
        self.leave(frame.path, reason)

    def leave(self, path: str, reason: str) -> None:
        self.left_out.append(DustLeftOut(path=path, reason=reason))


def check_dust(
    paths: Sequence[Path],
    request: DustRequest,
    *,
    progress: Callable[[int, int], None] | None = None,
) -> DustCheck:
    """Return a map of the dust on one sensor.

    Parameters
    ----------
    paths : sequence of Path
        Frames of an even surface at a small aperture, or of a whole sitting.
    request : DustRequest
        What is asked.
    progress : callable or None
        Hears how many frames are done, of how many.

    Returns
    -------
    DustCheck
        Perhaps without a shadow: then its limit says how faint one would have had to be.

    Raises
    ------
    InputError
        If no frame can be used, or frames are of several bodies.
    """
    gathered = _Gathered(request=request)
    for number, path in enumerate(paths, start=1):
        gathered.take(path)
        if progress is not None:
            progress(number, len(paths))
    if gathered.even:
        return _noted(_from_even(gathered), gathered)
    one_body([view.frame for view in gathered.views])
    pooled = pool(gathered.views)
    if pooled is None:
        raise _nothing(gathered)
    return _noted(_from_sitting(gathered, pooled), gathered)


def _noted(check: DustCheck, gathered: _Gathered) -> DustCheck:
    """Return a check that says so where an aperture was named though the files tell it."""
    named = gathered.request.taken_f_number
    if named is None or not gathered.told - {named}:
        return check
    stops = listed([f"f/{one:g}" for one in sorted(gathered.told)])
    note = f"Files that tell their aperture are taken at that ({stops}), not at f/{named:g}."
    return replace(check, result=replace(check.result, notes=(note, *check.result.notes)))


def _nothing(gathered: _Gathered) -> InputError:
    left_out = gathered.left_out or [DustLeftOut(path="dust", reason="no frame was given.")]
    first = next((one for one in left_out if one.reason != NOT_EVEN), left_out[0])
    scenes = sum(one.reason == NOT_EVEN for one in left_out)
    what = first.reason.rstrip(".")
    if scenes > 1 and first.reason == NOT_EVEN:
        views = len(gathered.views)
        what = (
            f"{scenes} frames, none of an even surface, in {count_word(views)} "
            f"{'framing' if views == 1 else 'framings'}: dust can be told from what they show from "
            f"{count_word(LEAST_VIEWS)} framings at one aperture on"
        )
    elif len(left_out) > 1:
        rest = len(left_out) - 1
        what += f" (and {rest} more {'frame' if rest == 1 else 'frames'} cannot be used)"
    return InputError(
        what,
        where=first.path,
        hint=f"Photograph an evenly lit, plain wall or sheet of paper at f/{GOOD_F_NUMBER:g}, out "
        "of focus, mid-grey, three times, moving the camera in between",
    )


def _from_sitting(gathered: _Gathered, pooled: Pool) -> DustCheck:
    used = {path for view in pooled.views for path in view.paths}
    gathered.left_out = [
        replace(one, reason=OTHERWISE) if one.reason == NOT_EVEN else one
        for one in gathered.left_out
        if one.path not in used
    ]
    searched = search_pool(pooled)
    first = pooled.views[0]
    taken = Taken.of(first.frame, step=first.step, f_number=pooled.f_number)
    cover, measured = cover_air_mm(searched, taken)
    size = searched.cone.size_px * first.step
    told = _Told(
        way="sitting",
        casts=[cast_spot(spot, taken, ln_sd=SITTING_LN_SD) for spot in searched.spots],
        cover=cover,
        cover_measured=measured,
        views=searched.views,
        limit=limit_of(searched, taken, (SMALLEST * size, LARGEST * size)),
        notes=sitting_notes(searched, [view.frame for view in pooled.views], pooled.f_number),
    )
    result = _result(gathered, [view.frame for view in pooled.views], taken, told)
    result = replace(result, frames=len(used), paths=tuple(sorted(used)))
    return DustCheck(result=result, crops=crops(pooled.field, result.shadows, step=first.step))


def _from_even(gathered: _Gathered) -> DustCheck:
    one_body([one.frame for one in gathered.even])
    frames, out = alike(gathered.even)
    for one, reason in out:
        gathered.leave(one.frame.path, reason)
    first = frames[0]
    searched = search_even(frames)
    taken = Taken.of(first.frame, step=first.step, f_number=first.f_number)
    hairs = [line for line in searched.lines if line.inside]
    cover, measured = cover_air_mm(searched, taken)
    told = _Told(
        way="even surface",
        casts=[cast_spot(spot, taken) for spot in searched.spots]
        + [cast_line(line, searched, taken, len(frames)) for line in hairs],
        cover=cover,
        cover_measured=measured,
        views=searched.views,
        limit=limit_of(
            searched,
            taken,
            (first.sizes.smallest_px * first.step, first.sizes.largest_px * first.step),
        ),
        notes=even_notes(searched, frames),
    )
    result = _result(gathered, [one.frame for one in frames], taken, told)
    mean = np.mean([one.field for one in frames], axis=0)
    return DustCheck(result=result, crops=crops(mean, result.shadows, step=first.step))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """What one way of looking told."""

    way: DustWay
    casts: list[Cast]
    cover: Measured | None
    cover_measured: bool
    views: int
    limit: DustLimit | None
    notes: tuple[str, ...]


def _result(
    gathered: _Gathered, frames: Sequence[SensorFrame], taken: Taken, told: _Told
) -> DustResult:
    request = gathered.request
    asked = Asked(
        working_f_number=request.working_f_number,
        print_cm=request.print_cm,
        viewing_cm=request.viewing_cm,
    )
    shadows = numbered(told.casts, taken, asked)
    kit = request.kit or body_name(frames[0])
    times = [f.exposure.captured_at for f in frames if f.exposure.captured_at is not None]
    return DustResult(
        way=told.way,
        kit=kit,
        done_at=max(times, default=None),
        frames=len(frames),
        views=told.views,
        paths=tuple(frame.path for frame in frames),
        left_out=tuple(gathered.left_out),
        width_px=taken.width_px,
        height_px=taken.height_px,
        orientation=frames[0].orientation,
        pitch_um=taken.pitch_um,
        f_number=taken.f_number,
        cover_air_mm=told.cover,
        cover_measured=told.cover_measured,
        whole=taken.placed,
        shadows=shadows,
        gone=(),
        compared_with=None,
        pupil_scale=None,
        apertures=over_apertures(told.casts, taken, asked),
        working_f_number=asked.working_f_number,
        print_cm=asked.print_cm,
        viewing_cm=asked.viewing_cm,
        limit=told.limit,
        notes=(*told.notes, NAMELESS) if kit == NO_BODY else told.notes,
    )


def body_name(frame: SensorFrame) -> str:
    """Return how a body is called where the photographer gave it no name.

    Parameters
    ----------
    frame : SensorFrame
        One of its frames.

    Returns
    -------
    str
        As its files name it, with its serial number; dust does not change with the lens.
    """
    body, serial = frame.body_key[:2]
    if not body:
        return NO_BODY
    return f"{body} no. {serial}" if serial else body
