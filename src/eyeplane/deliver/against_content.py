"""What one kit against another tells, before it becomes text or a page."""

from eyeplane.deliver.against_picture import against_sheet, against_spoken
from eyeplane.deliver.against_words import (
    PARTS,
    answer_of,
    between_words,
    border_words,
    change_words,
    hold_words,
    letter_name,
    parts_words,
    reaches_words,
    size_words,
    step_words,
    used_words,
)
from eyeplane.deliver.check_content import CheckContent, CheckDrawing, CheckReason, CheckTable
from eyeplane.deliver.wording import THIN, number, plain_text, reach_words, whole_cm
from eyeplane.optics.just_seen import STEP_RATIO
from eyeplane.records.kit_against import AgainstHabit, AgainstKit, AgainstResult

HABITS = {
    "focus": "where the focus lands",
    "shake": "how steady you hold it",
    "sitter": "how the sitter moves",
    "depth": "how deep the focus reaches",
    "motion": "motion",
}


def against_content(result: AgainstResult) -> CheckContent:
    """Return what one kit against another tells.

    Parameters
    ----------
    result : AgainstResult
        The two kits.

    Returns
    -------
    CheckContent
        Answer, drawing, tables, method.
    """
    sentence, advice = answer_of(result)
    first = result.ways[0]
    habit = _habit_words(result.habit) if result.habit else ""
    reaches = "" if result.verdict == "nothing sold named" else reaches_words(result, first)
    lines = [reaches, between_words(result, first), parts_words(first), habit]
    return CheckContent(
        title="One kit against another",
        over=f"A: {_kit_words(result.a)}. B: {_kit_words(result.b)}.",
        sentence=sentence,
        advice=advice,
        lines=tuple(line for line in lines if line),
        drawings=(
            CheckDrawing(
                name="How sharp both look against the size of the print",
                spoken=against_spoken(result),
                draw=lambda width_mm, size_mm: against_sheet(result, width_mm, size_mm),
                note="Long edge of the print in cm. Bars: what each holds, with its range. Broken: "
                "from here on viewers tell them apart.",
            ),
        ),
        tables=_tables(result),
        reasons=(_method(result),),
        notes=tuple(plain_text(one) for one in result.notes),
    )


def _kit_words(kit: AgainstKit) -> str:
    pixels = kit.long_edge_px * kit.short_edge_px / 1e6
    name = plain_text(kit.name)
    said = [name] if "MP" in name.upper() else [name, f"{number(pixels, 2)}{THIN}MP"]
    if kit.sensor_long_mm is not None:
        short_mm = kit.sensor_long_mm * kit.short_edge_px / kit.long_edge_px
        said.append(f"{kit.sensor_long_mm:.3g}{THIN}×{THIN}{short_mm:.3g}{THIN}mm")
    if kit.frames:
        said.append(f"{kit.frames} frames" if kit.frames > 1 else "one frame")
    else:
        said.append(
            {"measured": "lens by its chart", "typed": "lens as you gave it"}.get(
                kit.glass, "a usual lens"
            )
        )
    return ", ".join(said)


def _habit_words(habit: AgainstHabit) -> str:
    whose = "With your focus and steadiness" if habit.known else "With usual focus and steadiness"
    gain = whole_cm(habit.a_without_cm)
    more = habit.a_without_cm > habit.b_reach_cm.value
    than = "which does more than B" if more else "B does more than that"
    return (
        f"{whose} the middle frame holds {reach_words(habit.a_reach_cm)} with A and "
        f"{reach_words(habit.b_reach_cm)} with B. What costs most beside the kit is "
        f"{HABITS[habit.part]}: put right, A holds {gain}{THIN}cm, {than}."
    )


def _tables(result: AgainstResult) -> tuple[CheckTable, ...]:
    first = result.ways[0]
    tables = []
    if first.sold:
        tables.append(
            CheckTable(
                name="On the prints you sell",
                head=("print, cm", "A", "B", "difference seen"),
                rows=tuple(
                    (
                        size_words(one),
                        hold_words(one.a_holds),
                        hold_words(one.b_holds),
                        step_words(one),
                    )
                    for one in first.sold
                ),
                note="Times: how often the smallest difference that viewers just see goes into "
                "this one.",
            )
        )
    if first.parts:
        tables.append(
            CheckTable(
                name="Where the difference comes from",
                head=("part", "brings B"),
                rows=(
                    *((PARTS[one.part], change_words(one.change_cm)) for one in first.parts),
                    ("together", change_words(first.difference_cm)),
                ),
                note="Of reach. Each part exchanged on its own, averaged over every order, so that "
                "they add up.",
            )
        )
    if len(result.ways) > 1:
        tables.append(
            CheckTable(
                name="Used in other ways" if result.common_field_mm is None else "Other frames",
                head=("", "A holds", "B holds", "told apart from"),
                rows=tuple(
                    (
                        used_words(way),
                        reach_words(way.a_reach_cm),
                        reach_words(way.b_reach_cm),
                        border_words(way.seen_from),
                    )
                    for way in result.ways
                ),
                note="The near eye in focus and still; the same light and shutter time for both."
                if result.common_field_mm is None
                else "As they were shot.",
            )
        )
    return tuple(tables)


def _method(result: AgainstResult) -> CheckReason:
    a, b = letter_name(result, "A"), letter_name(result, "B")
    frames = result.common_field_mm
    first = (
        f"Both are taken as if framed to one width of view, {frames:.0f}{THIN}mm where the face "
        "is: a kit that stood nearer has more pixels on the eye, and that is no merit of the kit. "
        "All blur is as it was measured in the frames, focus and motion too."
        if frames is not None
        else f"{a} and {b} take in the same part of the scene, in the same light, for the same "
        "time. Blur of the lens, diffraction and pixels is enlarged to the print; noise keeps its "
        "power for each share of the frame."
    )
    return CheckReason(
        name="How this was worked out",
        lines=(
            first,
            "How sharp a print looks is the contrast that arrives at the viewer's eye, weighted by "
            "what the eye makes of it. Two prints are told apart where they differ by one just "
            "noticeable step on the quality ruler of ISO 20462-3: three viewers in four then "
            f"prefer the sharper one. Viewers and pictures differ by × / {STEP_RATIO:g}, which is "
            "in the ranges.",
            "Prints that look sharp cannot be told from sharper ones: that is why small prints "
            "never show what a kit costs.",
        ),
    )
