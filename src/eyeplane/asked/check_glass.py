"""The glass checked from frames, held against the kit's own record, and kept."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from eyeplane.asked.checks import CheckDone
from eyeplane.deliver.check_content import CheckContent, CheckPicture
from eyeplane.deliver.glass_content import glass_content
from eyeplane.errors import FrameError, InputError
from eyeplane.imaging import open_picture
from eyeplane.kit.glass import GlassCheck, GlassRequest, check_glass
from eyeplane.learn.kit_names import kit_name
from eyeplane.records import Exposure, MeasureSettings, from_plain, to_plain
from eyeplane.records.kit_glass import GlassResult
from eyeplane.store import KeptCheck, KitLog, default_store_path

SAME_FOCAL = 0.02  # relative; a zoom's own rounding
SAME_F_RATIO = 1.08  # two apertures within a quarter of a stop are one
NAMELESS = (
    "The frame does not name its camera, so this is held against no record and not kept: say whose "
    "glass it is with --kit."
)
CLEARER = 0.002  # of the light: a veil must be that much smaller to become the best so far


@dataclass(frozen=True, slots=True, kw_only=True)
class GlassAsked:
    """How the glass is looked at.

    Attributes
    ----------
    before : Path or None
        A frame of the same view from before wiping.
    clean : bool
        Whether the glass is clean, so that this becomes the kit's record.
    kit : str or None
        The photographer's own name; None: as the frames name it.
    """

    before: Path | None = None
    clean: bool = False
    kit: str | None = None


def glass_checked(
    files: Sequence[Path], asked: GlassAsked, *, store: Path | None = None
) -> CheckDone:
    """Return what frames tell of the glass; keep it.

    Parameters
    ----------
    files : sequence of Path
        Frames, at least one.
    asked : GlassAsked
        How it is looked at.
    store : Path or None
        The store; None: the photographer's own.

    Returns
    -------
    CheckDone
        Not kept where neither frames nor photographer name the kit.

    Raises
    ------
    InputError
        If frames cannot be used or do not fit each other.
    StoreError
        If the store cannot be used.
    """
    settings = MeasureSettings()
    exposure = _exposure(files, settings)
    kit = asked.kit or _kit(exposure)
    nameless = asked.kit is None and not exposure.body  # two of them would be taken for one
    if asked.clean and nameless:
        raise InputError(
            "the frame does not name its camera, so its clean glass could be any kit's",
            where="--clean",
            hint="Say whose glass it is with --kit, like --kit 'old 50 mm'",
        )
    with KitLog(store or default_store_path()) as log:
        kept = (
            None
            if asked.clean or nameless or asked.before is not None
            else _record(log.all("glass", kit), exposure)
        )
        request = GlassRequest(
            settings=settings,
            before=asked.before,
            kit=kit,
            clean=asked.clean,
            kept=kept[0] if kept else None,
            kept_at=kept[1].done_at.isoformat() if kept else "",
        )
        check = check_glass(files, request)
        number = None
        if not nameless:
            plain = to_plain(_absolute(check.result))
            number = log.keep("glass", kit, datetime.now(UTC), plain)
    content = _content(check, (NAMELESS,) if nameless else ())
    return CheckDone(kind="glass", result=check.result, content=content, number=number)


def _content(check: GlassCheck, notes: tuple[str, ...]) -> CheckContent:
    result, crops = check.result, check.crops
    names = {"now": "Now", "before": "Before"}
    if result.way == "record pair":
        names["before"] = "When it was clean"
    pictures = [
        CheckPicture(
            name=names[crop.when],
            spoken=f"A piece of the frame, {names[crop.when].lower()}",
            image=crop.image,
            note="The place that lost most, as the frame shows it.",
        )
        for crop in crops
    ]
    content = glass_content(result, pictures)
    return replace(content, notes=(*content.notes, *notes))


def _exposure(frames: Sequence[Path], settings: MeasureSettings) -> Exposure:
    """Return the exposure of the first frame that can be read."""
    for frame in frames:
        try:
            return open_picture(frame, settings=settings).exposure
        except FrameError:
            continue
    return Exposure()


def _kit(exposure: Exposure) -> str:
    parts = (exposure.body, exposure.body_serial, exposure.lens, exposure.lens_serial)
    body, body_serial, lens, lens_serial = (part or "" for part in parts)
    return kit_name((body, body_serial, lens, lens_serial))


def _record(kept: Sequence[KeptCheck], exposure: Exposure) -> tuple[GlassResult, KeptCheck] | None:
    """Return the kit's record at these settings: clean glass last, else the clearest so far."""
    read = [(result, one) for one in kept if (result := _read(one)) is not None]
    fitting = [pair for pair in read if _fits(pair[0], exposure)]
    clean = [pair for pair in fitting if pair[0].clean]
    if clean:
        return clean[-1]
    known = [pair for pair in fitting if pair[0].veil_most_share is not None]
    best: tuple[GlassResult, KeptCheck] | None = None
    for pair in known:
        if best is None or _most(pair[0]) < _most(best[0]) - CLEARER:
            best = pair
    return best


def _most(result: GlassResult) -> float:
    return 1.0 if result.veil_most_share is None else result.veil_most_share


def _read(kept: KeptCheck) -> GlassResult | None:
    try:
        return from_plain(GlassResult, kept.result)
    except (KeyError, TypeError, ValueError):
        return None  # of an earlier form; it is left where it is


def _fits(result: GlassResult, exposure: Exposure) -> bool:
    for mine, its, most in (
        (result.focal_length_mm, exposure.focal_length_mm, 1 + SAME_FOCAL),
        (result.f_number, exposure.f_number, SAME_F_RATIO),
    ):
        if mine is not None and its is not None and not 1 / most <= mine / its <= most:
            return False
    return True


def _absolute(result: GlassResult) -> GlassResult:
    """Return a result whose frame is found again from any folder."""
    return replace(result, frame=str(Path(result.frame).absolute()))
