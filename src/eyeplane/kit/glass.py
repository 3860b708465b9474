"""`check_glass`: from frames to what lies on the glass."""

import filecmp
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from eyeplane.errors import FrameError, InputError
from eyeplane.imaging import RAW_SUFFIXES, Picture, open_picture
from eyeplane.kit.glass_alone import alone
from eyeplane.kit.glass_crops import GlassCrop, pair_crops
from eyeplane.kit.glass_judged import judged_pair
from eyeplane.kit.glass_light import FrameLight, LaidPair, frame_light, lay_over
from eyeplane.kit.glass_pair import compare
from eyeplane.records import MeasureSettings
from eyeplane.records.kit_glass import GlassKept, GlassResult, GlassWay

SEED = 20  # of the draws behind intervals: the same frames give the same answer
SAME_FOCAL = 0.02  # relative: a zoom's own rounding
SAME_STOPS = 0.2  # of the aperture
# Stops between two frames: beyond, the toe of a tone curve counts as a veil. A veil itself makes a
# dark view a stop brighter. Our own frames, three stops apart, showed 15 % where there was 1 %.
MOST_EV = 2.0
TELLING = ("pair", "record pair", "chart", "lamp", "dark")  # the most telling way first


@dataclass(frozen=True, slots=True, kw_only=True)
class GlassRequest:
    """What is asked of a check of the glass.

    Attributes
    ----------
    settings : MeasureSettings
        For the pixel limit and the kit table.
    before : Path or None
        A frame of the same view from before wiping.
    kit : str
        Name of the kit.
    clean : bool
        Whether the photographer says that the glass is clean.
    kept : GlassResult or None
        The kit's own record of clean glass.
    kept_at : str
        When that was.
    """

    settings: MeasureSettings = field(default_factory=MeasureSettings)
    before: Path | None = None
    kit: str = ""
    clean: bool = False
    kept: GlassResult | None = None
    kept_at: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GlassCheck:
    """A check of the glass.

    Attributes
    ----------
    result : GlassResult
        Its numbers.
    crops : tuple of GlassCrop
        The same place in both frames, where there are two.
    """

    result: GlassResult
    crops: tuple[GlassCrop, ...] = ()


def check_glass(paths: Sequence[Path], request: GlassRequest) -> GlassCheck:
    """Return what frames tell of the glass they were taken through.

    Parameters
    ----------
    paths : sequence of Path
        Frames as the glass is now; of several, the one that tells most answers.
    request : GlassRequest
        What they are held against.

    Returns
    -------
    GlassCheck
        "cannot tell" with its reasons where they show nothing that would tell.

    Raises
    ------
    InputError
        If no frame can be used, or frames differ in kit, focal length, aperture or view.
    """
    before = None if request.before is None else _opened(request.before, request)
    checks: list[GlassCheck] = []
    left_out: list[str] = []
    first: Picture | None = None
    for path in paths:
        try:
            picture = open_picture(path, settings=request.settings)
        except FrameError as error:
            left_out.append(f"{path.name}: {error.what}.")
            continue
        for other in (first, before):
            if other is not None:
                _same_kit(picture, other)
        if before is not None and _is_copy(path, Path(before.path)):
            raise InputError(
                f"this frame and {Path(before.path).name} are one and the same",
                where=str(path),
                hint="Give the frame from before wiping with --before and the one from after "
                "wiping as the frame",
            )
        first = first or picture
        checks.append(_check(picture, before, request))
    if not checks:
        raise InputError(
            f"not one of these frames can be read: {' '.join(left_out).rstrip('.')}",
            where=str(paths[0]) if paths else "FRAME",
            hint="Give a frame as the camera wrote it",
        )
    best = min(checks, key=_telling)
    return replace(best, result=replace(best.result, left_out=tuple(left_out)))


def _telling(check: GlassCheck) -> tuple[float, ...]:
    result = check.result
    veil = result.veil_share
    wide = veil.high - veil.low if veil is not None else 1.0
    return (TELLING.index(result.way), result.verdict == "cannot tell", wide)


def _opened(path: Path, request: GlassRequest) -> Picture:
    try:
        return open_picture(path, settings=request.settings)
    except FrameError as error:
        raise InputError(
            f"this frame cannot be read: {error.what}", where=str(path), hint=error.hint
        ) from error


def _same_kit(picture: Picture, other: Picture) -> None:
    mine, its = picture.exposure, other.exposure
    for name, first, second in (
        ("cameras", mine.body, its.body),
        ("lenses", mine.lens, its.lens),
        ("cameras", mine.body_serial, its.body_serial),
        ("lenses", mine.lens_serial, its.lens_serial),
    ):
        if first and second and first != second:
            raise _unlike(picture, other, f"two {name}, {first} and {second}")
    if mine.focal_length_mm and its.focal_length_mm:
        ratio = mine.focal_length_mm / its.focal_length_mm
        if abs(ratio - 1) > SAME_FOCAL:
            words = f"{mine.focal_length_mm:g} mm and {its.focal_length_mm:g} mm"
            raise _unlike(picture, other, f"two focal lengths, {words}")
    if mine.f_number and its.f_number:
        stops = 2 * np.log2(mine.f_number / its.f_number)
        if abs(stops) > SAME_STOPS:
            words = f"f/{mine.f_number:g} and f/{its.f_number:g}"
            raise _unlike(picture, other, f"two apertures, {words}")


def _unlike(picture: Picture, other: Picture, what: str) -> InputError:
    return InputError(
        f"this frame and {Path(other.path).name} were taken with {what}",
        where=picture.path,
        hint="A veil shows only between frames of one kit at one focal length and aperture: shoot "
        "again without changing them",
    )


def _check(picture: Picture, before: Picture | None, request: GlassRequest) -> GlassCheck:
    light = frame_light(picture)
    start = _start(picture, light, request)
    if before is not None:
        laid = lay_over(light, frame_light(before), where=before.path)
        return _from_pair(start, (picture, before), laid, way="pair")
    kept = None if request.kept is None or request.clean else _kept_frame(picture, light, request)
    if kept is not None:
        with suppress(InputError):  # of unlike light: then the frame stands alone
            return _from_pair(start, (picture, kept[0]), kept[1], way="record pair")
    rng = np.random.default_rng(SEED)
    return GlassCheck(result=alone(start, picture, light, rng, linear=_linear(picture)))


def _start(picture: Picture, light: FrameLight, request: GlassRequest) -> GlassResult:
    height, width = light.luma.shape
    return GlassResult(
        kit=request.kit,
        way="dark",
        verdict="cannot tell",
        frame=picture.path,
        focal_length_mm=picture.exposure.focal_length_mm,
        f_number=picture.exposure.f_number,
        orientation=picture.orientation,
        columns=6 if width >= height else 4,
        rows=4 if width >= height else 6,
        clipped_share=light.clipped_share,
        kept=_kept(request),
        clean=request.clean,
        taken_at=picture.exposure.captured_at,
    )


def _kept(request: GlassRequest) -> GlassKept | None:
    kept = request.kept
    if kept is None or request.clean:
        return None
    return GlassKept(
        done_at=request.kept_at,
        frame=kept.frame,
        clean=kept.clean,
        veil_share=kept.veil_share,
        veil_most_share=kept.veil_most_share,
        halo_share=kept.halo.share if kept.halo is not None else None,
        ink_ratio=kept.ink_ratio,
    )


def _kept_frame(
    picture: Picture, light: FrameLight, request: GlassRequest
) -> tuple[Picture, LaidPair] | None:
    """Return the frame kept when the glass was clean, where it is there still and of this view."""
    kept = request.kept
    if kept is None or not kept.clean:
        return None
    try:
        if _is_copy(Path(kept.frame), Path(picture.path)):
            return None
        other = open_picture(Path(kept.frame), settings=request.settings)
        _same_kit(picture, other)
        return other, lay_over(light, frame_light(other), where=other.path)
    except (FrameError, InputError, OSError):
        return None


def _is_copy(one: Path, other: Path) -> bool:
    """Return whether two files hold the same bytes: one frame, which tells nothing of itself."""
    return filecmp.cmp(one, other, shallow=False)


def _from_pair(
    start: GlassResult, pictures: tuple[Picture, Picture], laid: LaidPair, *, way: GlassWay
) -> GlassCheck:
    linear = all(_linear(one) for one in pictures)
    found = compare(laid, np.random.default_rng(SEED), linear=linear, where=start.frame)
    if abs(found.exposure_ev) > MOST_EV:
        raise InputError(
            f"this frame and {Path(pictures[1].path).name} differ by "
            f"{abs(found.exposure_ev):.1f} stops in brightness, and what a camera makes of dark "
            "places then looks like a veil",
            where=start.frame,
            hint="Shoot both with the same aperture, time and ISO, by manual exposure",
        )
    begun = replace(start, way=way, other=pictures[1].path, shift_share=laid.shift_share)
    result = judged_pair(begun, found)
    return GlassCheck(result=result, crops=pair_crops(pictures, laid, result))


def _linear(picture: Picture) -> bool:
    """Return whether a frame holds linear light, which no picture style has bent."""
    raw = Path(picture.path).suffix.casefold() in RAW_SUFFIXES
    return raw and picture.luma_window(0, 0, 1, 1).encoding_slope is None
