"""What a check for dust tells: answer, map, pieces of the frame, tables, reasons, cautions."""

from collections.abc import Sequence
from pathlib import PurePath

from eyeplane.deliver.check_content import CheckContent, CheckPicture, CheckReason, CheckTable
from eyeplane.deliver.dust_map import dust_drawings
from eyeplane.deliver.dust_words import (
    advice_words,
    answer_words,
    day,
    depth_words,
    limit_words,
    place_words,
    since_words,
)
from eyeplane.deliver.wording import (
    CANNOT,
    THIN,
    count_words,
    number,
    percent,
    plain_text,
    spread_words,
    stop_words,
)
from eyeplane.records.kit_dust import DustCrop, DustResult, DustShadow

SAME_PUPIL = 0.0005  # of a distance from the middle: smaller shifts are not told; our own
ROWS = 20  # of the table; the JSON holds all
# trade-practice, cautions for the sensor: ×8 of which canned air ×4
CAUTIONS = (
    "Cleaning can ruin a sensor. Clean only what shows, and stop at any scrape or smear.",
    "Blower first: battery full, so that the shutter stays open; lens off, mount facing down; the "
    "tip stays outside the mount. Never canned air, which spits, and no brush or cotton bud.",
    "A swab only after the maker's instructions, of the sensor's width, with a fluid that its "
    "coating bears. If you are not sure of any of that, give it to a service shop.",
)


def dust_content(result: DustResult, crops: Sequence[DustCrop] = ()) -> CheckContent:
    """Return what a check for dust tells.

    Parameters
    ----------
    result : DustResult
        The check.
    crops : sequence of DustCrop
        Pieces of the frame around its worst shadows.

    Returns
    -------
    CheckContent
        Answer first; cautions wherever there is dust, since somebody may go and clean.
    """
    lines = [line for line in (since_words(result), limit_words(result)) if line]
    return CheckContent(
        title="Sensor dust",
        over=_over(result),
        sentence=answer_words(result),
        advice=advice_words(result),
        lines=tuple(lines),
        drawings=dust_drawings(result),
        pictures=tuple(_pictures(result, crops)),
        tables=tuple(_tables(result)),
        reasons=(CheckReason(name="Why we say so", lines=_reasons(result)),),
        cautions=CAUTIONS if result.shadows else (),
        notes=(*result.notes, *_left_out(result)),
    )


def _over(result: DustResult) -> str:
    stop = "" if result.f_number is None else f" at {stop_words(result.f_number)}"
    of = "an even surface" if result.way == "even surface" else "a whole sitting"
    when = f" · {day(result.done_at)}" if result.done_at else ""
    frames = count_words(result.frames, "frame")
    return f"{plain_text(result.kit)} · {frames} of {of}{stop}{when}"


def _tables(result: DustResult) -> list[CheckTable]:
    if not result.shadows:
        return []
    tables = [_shadow_table(result)]
    if result.apertures:
        tables.append(_aperture_table(result))
    return tables


def _shadow_table(result: DustResult) -> CheckTable:
    work = stop_words(result.working_f_number)
    since = result.compared_with is not None or any(one.since for one in result.shadows)
    head = ["", "facing the sensor", "speck", "light lost", f"at {work}", "shows"]
    if since:
        head.append("since last time")
    rows = []
    for one in result.shadows[:ROWS]:
        row = [str(one.number), _place(one), _size(one), depth_words(one.depth_share), *_at(one)]
        rows.append(tuple([*row, one.since or CANNOT] if since else row))
    more = len(result.shadows) - ROWS
    rest = f" {more} fainter ones are in the JSON." if more > 0 else ""
    return CheckTable(
        name=f"What is on the sensor, and what it does at {work}",
        head=tuple(head),
        rows=tuple(rows),
        note="Facing the sensor through the mount, camera level: mm from the left edge, mm from "
        "the bottom. Speck: diameter of the particle, of a hair its thickness. Light lost: at the "
        f"middle of the shadow. Shows: on a print of {_print(result)}, on an even tone.{rest}",
    )


def _print(result: DustResult) -> str:
    print_cm, viewing_cm = number(result.print_cm), number(result.viewing_cm)
    return f"{print_cm}{THIN}cm seen from {viewing_cm}{THIN}cm"


def _place(one: DustShadow) -> str:
    if one.place is None:
        return one.field or place_words(one)
    left, up = one.place.from_left_mm.value, one.place.from_bottom_mm.value
    return f"{one.field}, {left:.1f}, {up:.1f}"


def _size(one: DustShadow) -> str:
    hair = "hair " if one.kind == "hair" else ""
    if one.particle_um is not None:
        return hair + spread_words(one.particle_um, "µm")
    return hair + spread_words(one.particle_px, "px")


def _at(one: DustShadow) -> list[str]:
    work = one.at_work
    if work is None:
        return [CANNOT, CANNOT]
    return [depth_words(work.depth_share), work.shows]


def _aperture_table(result: DustResult) -> CheckTable:
    rows = tuple(
        (
            stop_words(one.f_number),
            depth_words(one.deepest_share),
            f"{number(one.widest_px)}{THIN}px",
            str(one.showing),
            str(one.perhaps),
        )
        for one in result.apertures
    )
    return CheckTable(
        name="What the same dust does at other apertures",
        head=("aperture", "deepest takes", "widest shadow", "show", "perhaps"),
        rows=rows,
        note=f"Show: on a print of {_print(result)}. The light lost in all is the same at every "
        "aperture; wide open it is only spread out.",
    )


def _pictures(result: DustResult, crops: Sequence[DustCrop]) -> list[CheckPicture]:
    shadows = {one.number: one for one in result.shadows}
    pictures = []
    for crop in crops:
        one = shadows.get(crop.number)
        if one is None or not crop.png:
            continue
        kind = "Hair" if one.kind == "hair" else "Speck"
        black, white = percent(crop.black_share), f"{100 * crop.white_share:.0f}{THIN}%"
        pictures.append(
            CheckPicture(
                name=f"{kind} {one.number}, contrast raised",
                spoken=f"A dark {'line' if one.kind == 'hair' else 'disc'} on an even grey: the "
                f"shadow takes {percent(one.depth_share.value)} of the light at its middle.",
                image=crop.png,
                note=f"{crop.width_px} pixels of the frame across, as stored. Contrast is raised: "
                f"black is {black} of the surface's light, white is {white}; fall-off of light "
                "is taken out.",
            )
        )
    return pictures


def _reasons(result: DustResult) -> tuple[str, ...]:
    lines = [
        "Dust lies on the glass over the sensor, a distance t/n above it in light's reckoning. The "
        "light of one pixel fills a cone there that is b = t/(n N) wide at aperture N. A speck of "
        "diameter d takes (d/b)² of it at most, over a shadow d + b wide.",
        "Both d and b are fitted to the profile of each shadow. At another aperture b changes as "
        "1/N and d stays: so what it does there is worked out, not guessed.",
        _cover(result),
        "A shadow counts as seen on the print when it takes more light than the eye's own noise "
        "hides in a spot of its size: Barten's model (1999), 2.5 s of looking, on an even tone. "
        "Within a factor of 1.6 of that it is 'perhaps'. In hair or cloth much more is hidden.",
        "Where it lies: the lens turns the picture by 180°, so facing the sensor the picture "
        "stands on its head, and left stays left.",
    ]
    if result.pupil_scale is not None and abs(result.pupil_scale - 1) > SAME_PUPIL:
        shift = 100 * (result.pupil_scale - 1)
        lines.append(
            f"Against the earlier check all shadows lie {number(abs(shift))}{THIN}% "
            f"{'farther out' if shift >= 0 else 'farther in'}: the exit pupil of another lens or "
            "focal length stands elsewhere. That is allowed for."
        )
    return tuple(lines)


def _cover(result: DustResult) -> str:
    cover = result.cover_air_mm
    if cover is None:
        return "How thick the glass over the sensor is cannot be told from these frames."
    told = spread_words(cover, "mm")
    if result.cover_measured:
        return f"The shadows' soft edges tell t/n = {told} of this sensor."
    return f"No shadow was clear enough to tell t/n: {told} is what is usual (2{THIN}mm, n 1.52)."


def _left_out(result: DustResult) -> list[str]:
    grouped: dict[str, list[str]] = {}
    for one in result.left_out:
        grouped.setdefault(one.reason, []).append(plain_text(PurePath(one.path).name))
    lines = []
    for reason, names in grouped.items():
        named = ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")
        lines.append(f"Not used: {named}: {plain_text(reason)}")
    return lines
