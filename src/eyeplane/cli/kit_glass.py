"""`eyeplane kit glass`: what lies on the glass, from the frames that were named."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from eyeplane.cli.check_options import CheckOutputs, take_outputs
from eyeplane.cli.check_show import show_check
from eyeplane.deliver import plain_text
from eyeplane.deliver.check_content import CheckPicture
from eyeplane.deliver.glass_content import glass_content
from eyeplane.errors import FrameError, InputError
from eyeplane.imaging import open_picture
from eyeplane.kit.glass import GlassCheck, GlassRequest, check_glass
from eyeplane.learn.kit_names import kit_name
from eyeplane.records import Exposure, MeasureSettings, from_plain, to_plain
from eyeplane.records.kit_glass import GlassResult
from eyeplane.sitting.scan import scan
from eyeplane.store import KeptCheck, KitLog, default_store_path

SAME_FOCAL = 0.02  # relative; a zoom's own rounding
SAME_F_RATIO = 1.08  # two apertures within a quarter of a stop are one
NAMELESS = (
    "The frame does not name its camera, so this is held against no record and not kept: say whose "
    "glass it is with --kit."
)
CLEARER = 0.002  # of the light: a veil must be that much smaller to become the best so far


def glass_command(*, paths: Sequence[Path], before: Path | None, clean: bool, **given: Any) -> int:  # noqa: ANN401  shared options
    """Check the glass and show what was found.

    Parameters
    ----------
    paths : sequence of Path
        Frames, or folders of them.
    before : Path or None
        A frame of the same view from before wiping.
    clean : bool
        Whether the glass is clean.
    **given : object
        The shared options.

    Returns
    -------
    int
        Exit status 0.

    Raises
    ------
    InputError
        If frames cannot be used or do not fit each other, or a file cannot be written.
    StoreError
        If the store cannot be used.
    """
    outputs = take_outputs(given)
    frames = _frames(paths)
    settings = MeasureSettings()
    exposure = _exposure(frames, settings)
    kit = outputs.kit or _kit(exposure)
    nameless = outputs.kit is None and not exposure.body  # two of them would be taken for one
    if clean and nameless:
        raise InputError(
            "the frame does not name its camera, so its clean glass could be any kit's",
            where="--clean",
            hint="Say whose glass it is with --kit, like --kit 'old 50 mm'",
        )
    with KitLog(outputs.store or default_store_path()) as log:
        kept = (
            None
            if clean or nameless or before is not None
            else _record(log.all("glass", kit), exposure)
        )
        request = GlassRequest(
            settings=settings,
            before=before,
            kit=kit,
            clean=clean,
            kept=kept[0] if kept else None,
            kept_at=kept[1].done_at.isoformat() if kept else "",
        )
        check = check_glass(frames, request)
        if not nameless:
            log.keep("glass", kit, datetime.now(UTC), to_plain(_absolute(check.result)))
    return _shown(check, outputs, (NAMELESS,) if nameless else ())


def _shown(check: GlassCheck, outputs: CheckOutputs, notes: tuple[str, ...]) -> int:
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
    return show_check("glass", result, replace(content, notes=(*content.notes, *notes)), outputs)


def _frames(paths: Sequence[Path]) -> list[Path]:
    frames = [Path(one.path) for one in scan(paths).frames]
    if not frames:
        raise InputError(
            "no frames were found there",
            where=", ".join(plain_text(str(path)) for path in paths),
            hint="Name frames, or a folder that holds some",
        )
    return frames


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
