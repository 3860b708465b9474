"""What is typed for a check of the kit, and the check that comes of it."""

from collections.abc import Sequence
from pathlib import Path

from eyeplane.asked.check_chart import chart_checked
from eyeplane.asked.check_dust import dust_checked
from eyeplane.asked.check_focus import focus_checked, read_targets
from eyeplane.asked.check_glass import GlassAsked, glass_checked
from eyeplane.asked.checks import CheckDone, Heard
from eyeplane.asked.frames_typed import Fields, typed_length_cm
from eyeplane.asked.kits import kit_settings
from eyeplane.asked.names import check_name
from eyeplane.asked.units import f_number, length_mm
from eyeplane.errors import InputError
from eyeplane.kit.chart import ChartAsked
from eyeplane.kit.dust import DustRequest
from eyeplane.records import STANDARD_PRINT_CM, STANDARD_VIEWING_CM
from eyeplane.records.printed import PAPERS_MM

RULER_MM = (1.0, 1000.0)
SITTER_MM = (100.0, 100_000.0)
WIDEST, NARROWEST = 0.5, 128.0  # apertures that a dust check takes


def check_typed(kind: str, given: Fields) -> None:
    """Refuse what cannot be asked of a check, before any frame is read.

    Parameters
    ----------
    kind : {"dust", "glass", "focus", "chart"}
        Which check.
    given : mapping of str to str
        What was typed, by field.

    Raises
    ------
    InputError
        With what to type instead.
    """
    kit = _kit(given)
    if kind == "dust":
        _dust(given, kit)
    elif kind == "focus":
        _ruler(given)
        _sitter_mm(given)
    elif kind == "chart":
        _chart(given)
    elif kind == "glass" and kit is None and given.get("clean"):
        raise InputError(
            "clean glass is kept as a kit's record, and no kit is named",
            where="the kit",
            hint="Say whose glass it is, in your own words",
        )


def check_done(
    kind: str,
    files: Sequence[Path],
    given: Fields,
    *,
    before: Path | None = None,
    store: Path | None = None,
    heard: Heard | None = None,
) -> CheckDone:
    """Return what frames tell in a check; keep it.

    Parameters
    ----------
    kind : {"dust", "glass", "focus", "chart"}
        Which check.
    files : sequence of Path
        Frames.
    given : mapping of str to str
        What was typed, by field.
    before : Path or None
        For the glass: a frame from before wiping.
    store : Path or None
        The store; None: the photographer's own.
    heard : callable or None
        Told after each frame.

    Returns
    -------
    CheckDone
        The result.

    Raises
    ------
    InputError
        If something typed or the frames cannot be used.
    StoreError
        If the store cannot be used.
    """
    kit = _kit(given)
    if kind == "dust":
        return dust_checked(files, _dust(given, kit), store=store, heard=heard)
    if kind == "chart":
        return chart_checked(files, _chart(given), kit=kit, store=store, heard=heard)
    if kind == "focus":
        frames = read_targets(files, ruler_mm=_ruler(given), heard=heard)
        sitter_mm = _sitter_mm(given)
        return focus_checked(frames, sitter_distance_mm=sitter_mm, kit=kit, store=store)
    asked = GlassAsked(before=before, clean=bool(given.get("clean")), kit=kit)
    return glass_checked(files, asked, store=store)


def _kit(given: Fields) -> str | None:
    name = given.get("kit", "").strip() or None
    check_name(name, "the kit's name")
    return name


def _dust(given: Fields, kit: str | None) -> DustRequest:
    text = given.get("f_number", "").strip() or "f/5.6"
    try:
        working = f_number(text[:40])
    except ValueError:
        working = 0.0
    if not WIDEST <= working <= NARROWEST:
        raise InputError(
            f"{text[:40]!a} is no aperture", where="the aperture", hint="Give one like f/5.6"
        )
    return DustRequest(
        settings=kit_settings(),
        working_f_number=working,
        print_cm=typed_length_cm(given, "print_cm", where="the print", usual_cm=STANDARD_PRINT_CM),
        viewing_cm=typed_length_cm(
            given, "viewing_cm", where="the viewer's distance", usual_cm=STANDARD_VIEWING_CM
        ),
        kit=kit or "",
    )


def _chart(given: Fields) -> ChartAsked:
    paper = given.get("paper", "").strip() or None
    if paper is not None and paper not in PAPERS_MM:
        raise InputError(
            f"there is no chart on {paper[:40]!a}",
            where="the paper",
            hint="Take A4, A3 or Letter, or leave it to the chart's own marks",
        )
    return ChartAsked(paper=paper, ruler_mm=_ruler(given), settings=kit_settings())


def _ruler(given: Fields) -> float | None:
    text = given.get("ruler_mm", "").strip()
    if not text:
        return None
    try:
        found = length_mm(text[:40], bare="mm")
    except ValueError:
        found = 0.0
    if not RULER_MM[0] <= found <= RULER_MM[1]:
        raise InputError(
            f"{text[:40]!a} is no length of a ruler",
            where="the ruler",
            hint="Measure the whole ruler on the print, in mm, like 199.2",
        )
    return found


def _sitter_mm(given: Fields) -> float | None:
    text = given.get("sitter_distance", "").strip()
    if not text:
        return None
    try:
        found = length_mm(text[:40], bare="m")
    except ValueError:
        found = 0.0
    if not SITTER_MM[0] <= found <= SITTER_MM[1]:
        raise InputError(
            f"nobody sits {text[:40]!a} from the lens",
            where="the sitter's distance",
            hint="Give a distance from 10 cm to 100 m, like 2.5 m",
        )
    return found
