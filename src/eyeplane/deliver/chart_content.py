"""What a reading of the chart tells, answer first: sentence, advice, pictures, tables, method."""

from eyeplane.deliver.chart_picture import curve_drawing, field_drawing, largest_blur_px
from eyeplane.deliver.chart_words import (
    advice,
    aperture_words,
    disc_words,
    glass_words,
    lines,
    lines_words,
    sentence,
)
from eyeplane.deliver.check_content import CheckContent, CheckDrawing, CheckReason, CheckTable
from eyeplane.deliver.wording import THIN, count_words, plain_text
from eyeplane.records.kit_chart import ChartAperture, ChartResult


def chart_content(result: ChartResult) -> CheckContent:
    """Return what a reading of the chart tells.

    Parameters
    ----------
    result : ChartResult
        A reading.

    Returns
    -------
    CheckContent
        For text and page.
    """
    return CheckContent(
        title="Sharpness of the kit, from the chart",
        over=_over(result),
        sentence=sentence(result),
        advice=advice(result),
        lines=lines(result),
        drawings=_drawings(result),
        tables=(_table(result), *_glass(result), *_frames(result)),
        reasons=(_why(result), _method(result)),
        notes=(*result.notes, *result.left_out),
    )


def _over(result: ChartResult) -> str:
    parts = [
        plain_text(result.kit) or "kit not named",
        f"{result.focal_length_mm:g}{THIN}mm" if result.focal_length_mm else "",
        count_words(len(result.frames), "frame"),
        f"chart on {result.paper}",
    ]
    return " · ".join(part for part in parts if part)


def _drawings(result: ChartResult) -> tuple[CheckDrawing, ...]:
    drawings = [curve_drawing(result)]
    shown = _shown(result)
    largest_px = largest_blur_px(shown)
    drawings += [field_drawing(result, one, largest_px=largest_px) for one in shown]
    return tuple(drawing for drawing in drawings if drawing is not None)


def _shown(result: ChartResult) -> list[ChartAperture]:
    """Return the widest aperture and the sharpest: where faults show, and what can be had."""
    shown = [result.apertures[0]]
    best = [a for a in result.apertures if a.f_number == result.sharpest_f_number]
    return shown + [a for a in best if a not in shown and a.f_number is not None]


def _table(result: ChartResult) -> CheckTable:
    rows = tuple(
        (
            aperture_words(one.f_number),
            lines_words(one.middle_per_height),
            lines_words(one.corner_per_height),
            "cannot tell" if one.middle_per_mm is None else f"{one.middle_per_mm.value:.1f}",
        )
        for one in result.apertures
    )
    return CheckTable(
        name="Line pairs at half contrast",
        head=("aperture", "middle", "corners", "middle, per mm"),
        rows=rows,
        note=(
            "Line pairs over the frame's short side; last those per mm of the sensor. In brackets "
            "the range that holds the truth nine times in ten."
        ),
    )


def _glass(result: ChartResult) -> tuple[CheckTable, ...]:
    if all(one.glass_um is None for one in result.apertures):
        return ()
    rows = tuple(
        (
            aperture_words(one.f_number),
            glass_words(one.glass_um),
            glass_words(one.glass_corner_um),
            disc_words(one.glass_um),
        )
        for one in result.apertures
    )
    return (
        CheckTable(
            name="The glass alone",
            head=("aperture", "middle", "corners", "middle, as a disc"),
            rows=rows,
            note=(
                "The blur that the lens itself adds, pixel and diffraction taken out, on the "
                "sensor, as the standard deviation of its spread: what plans take as --glass. "
                "Last the even disc that softens as much, as a plan lists its blurs. A usual "
                "print's own edges are taken out too; the range allows for softer and sharper ones."
            ),
        ),
    )


def _frames(result: ChartResult) -> tuple[CheckTable, ...]:
    if len(result.frames) < 2:
        return ()
    rows = []
    for one in result.frames:
        tilt = "cannot tell" if one.tilt_deg is None else f"{one.tilt_deg:.1f}°"
        marks = [
            word
            for word, true in (
                ("shaken", one.shake_px > 0),
                ("sharpened", one.sharpened),
                (one.exposure, one.exposure != "right"),
            )
            if true
        ]
        rows.append(
            (
                plain_text(one.name),
                aperture_words(one.f_number),
                str(one.edges),
                tilt,
                ", ".join(marks) or "–",
            )
        )
    return (
        CheckTable(
            name="Frames",
            head=("frame", "aperture", "edges read of 96", "chart askew", "trouble"),
            rows=tuple(rows),
        ),
    )


def _why(result: ChartResult) -> CheckReason:
    said = [
        "Of several frames at one aperture the best counts at each place: focus differs from frame "
        "to frame, and that is not the glass."
    ]
    if len(result.sharpest_among) > 1 or len(result.corners_among) > 1:
        said.append(
            "Apertures count as one sharper than the other where they differ by more than chance "
            "and by more than 2 %: less than that no print shows."
        )
    if any(a.sharpened for a in result.apertures):
        said.append(
            "Edges here overshoot, or show more contrast than a perfect lens at this aperture "
            "before pixels of this size could: only sharpening does that."
        )
    if result.faults:
        said.append(
            "A chart that stands askew lies behind the focus on one side and before it on the "
            "other; how far is known from its marks, and so is the most blur it can make. "
            "What is beyond that is the lens, its mount or the sensor."
        )
    if result.print_um is not None:
        said.append(
            f"A print's own edges, some 20 µm, come to {result.print_um:.1f} µm on the sensor "
            "here. They are taken out of the glass; its ranges allow for two thirds to one and a "
            "half times as much."
        )
    return CheckReason(name="Why we say so", lines=tuple(said))


def _method(result: ChartResult) -> CheckReason:
    read = sum(frame.edges for frame in result.frames)
    return CheckReason(
        name="How it is measured",
        lines=(
            f"{read} slanted edges were read after ISO 12233: each is sampled four times finer "
            "than the pixels, and what is told is the frequency at which half the contrast is "
            "left.",
            "The glass is what is left of that when the pixel (sin(πf)/(πf)) and a perfect lens "
            "at that aperture (0.55 µm) are taken out, as the standard deviation of a Gaussian "
            "spread.",
            "Files are taken to be sRGB or as their profile says; a camera's own picture style "
            "bends light, which moves numbers by a few percent. RAW does not.",
        ),
    )
