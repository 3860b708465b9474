"""A check of the glass in words, drawings and pictures."""

from collections.abc import Sequence

from eyeplane.deliver.cautions import CLEANING
from eyeplane.deliver.check_content import (
    CheckContent,
    CheckDrawing,
    CheckPicture,
    CheckReason,
    CheckTable,
)
from eyeplane.deliver.glass_drawing import halo_drawing, zones_drawing
from eyeplane.deliver.glass_words import (
    advice,
    answer,
    element,
    frame_name,
    most_words,
    percent_words,
)
from eyeplane.deliver.wording import THIN, number
from eyeplane.records.kit_glass import GlassResult

LAMP = (
    "A lamp in the frame is hot and dazzles: do not look at it through a long lens, and never "
    "point the camera at a laser, or at the sun through a long lens. Stands get sandbags, cables "
    "get taped."
)
WAYS = {
    "pair": "from two frames of one view",
    "record pair": "against the frame kept when the glass was clean",
    "chart": "from the printed chart",
    "lamp": "from a light in the frame",
    "dark": "from the darkest places of one frame",
}
MUCH_EV = 0.3  # stops between two frames from which it is told


def glass_content(result: GlassResult, pictures: Sequence[CheckPicture] = ()) -> CheckContent:
    """Return all that a check of the glass tells.

    Parameters
    ----------
    result : GlassResult
        What was found.
    pictures : sequence of CheckPicture
        The same place now and before.

    Returns
    -------
    CheckContent
        Answer first.
    """
    drawings: list[CheckDrawing] = []
    if result.zones and any(zone.loss_share is not None for zone in result.zones):
        drawings.append(zones_drawing(result))
    if result.halo is not None and max(result.halo.light_ratio) > 1e-7:
        drawings.append(halo_drawing(result.halo, at_most=result.at_most))
    return CheckContent(
        title="The glass",
        over=_over(result),
        sentence=answer(result),
        advice=advice(result),
        lines=_lines(result),
        drawings=tuple(drawings),
        pictures=tuple(pictures),
        tables=_tables(result),
        reasons=_reasons(result),
        cautions=(CLEANING, LAMP) if advice(result) else (),
        notes=_notes(result),
    )


def _over(result: GlassResult) -> str:
    parts = [result.kit or "this camera"]
    if result.focal_length_mm:
        parts.append(f"{result.focal_length_mm:g}{THIN}mm")
    if result.f_number:
        parts.append(f"f/{result.f_number:g}")
    frames = frame_name(result.frame)
    if result.other:
        frames += f" against {frame_name(result.other)}"
    return " · ".join([*parts, frames, WAYS[result.way]])


def _lines(result: GlassResult) -> tuple[str, ...]:
    said = [
        f"{one.place[0].upper()}{one.place[1:]}: detail loses {percent_words(one.loss_share)} "
        "of its contrast."
        for one in result.smudges[1:]
    ]
    if result.smudges and result.veil_share is not None:
        said.append(
            f"Over the whole frame {percent_words(result.veil_share)} of the light is spread."
        )
    if result.loss_share is not None and result.verdict not in {"clear", "cannot tell"}:
        said.append(
            f"In half of the frame an eye loses {percent_words(result.loss_share)} of its contrast "
            "or more."
        )
    if result.reach_ratio is not None:
        left = number(100 * result.reach_ratio.value)
        ends = f"{number(100 * result.reach_ratio.low)}–{number(100 * result.reach_ratio.high)}"
        said.append(
            f"What is left of the reach where most is lost: {left}{THIN}% ({ends}), if nothing "
            "else is soft and the black point is left alone; raising it brings an even veil's "
            "contrast back, and its noise with it."
        )
    said += _halo_lines(result)
    if result.kept is not None and result.way not in {"pair", "record pair"}:
        said += _kept_lines(result)
    if result.verdict not in {"clear", "cannot tell"}:
        said += element(result)[:1]
    return tuple(said)


def _halo_lines(result: GlassResult) -> list[str]:
    halo = result.halo
    if halo is None or halo.share is None or result.verdict == "cannot tell":
        return []
    if halo.share.value < 0.002:
        return []
    most = "At most: around" if result.at_most else "Around"
    wide = ""
    if halo.width_share is not None:
        wide = f", half of it within {percent_words(halo.width_share)} of the long edge"
    return [f"{most} lights a halo of {percent_words(halo.share)} of their light{wide}."]


def _kept_lines(result: GlassResult) -> list[str]:
    kept = result.kept
    if kept is None:
        return []
    what = "when the glass was clean" if kept.clean else "at the best check so far"
    told = []
    if kept.halo_share is not None:
        told.append(f"halo {percent_words(kept.halo_share)}")
    if kept.veil_most_share is not None:
        told.append(f"veil at most {most_words(kept.veil_most_share)}")
    return [f"The kit's record, {what} ({kept.done_at[:10]}): {', '.join(told)}."] if told else []


def _tables(result: GlassResult) -> tuple[CheckTable, ...]:
    told = [zone for zone in result.zones if zone.loss_share is not None]
    if not told or result.verdict in {"clear", "cannot tell"}:
        return ()
    rows = []
    for row in range(result.rows):
        cells = result.zones[row * result.columns : (row + 1) * result.columns]
        name = {0: "top", result.rows - 1: "bottom"}.get(row, "")
        rows.append(
            (
                name,
                *(
                    "–"
                    if one.loss_share is None
                    else f"{_whole(one.loss_share.value)}{'*' if one.smudged else ''}"
                    for one in cells
                ),
            )
        )
    head = ("", "left", *[""] * (result.columns - 2), "right")
    return (
        CheckTable(
            name="Contrast lost by place, in percent",
            head=head,
            rows=tuple(rows),
            note="* a smudge. – too little detail to tell.",
        ),
    )


def _whole(share: float) -> str:
    whole = round(100 * share)
    return "0" if whole == 0 else f"{whole}".replace("-", "−")


def _reasons(result: GlassResult) -> tuple[CheckReason, ...]:
    means = (
        "Veil: the part of the frame's light that comes from farther than a tenth of its long edge "
        "away; halo: what lands from a hundredth to a tenth away. ISO 9358 measures the same as "
        "the light in a black field over that of the bright field around it.",
    )
    return (
        CheckReason(name="What veil and halo mean", lines=means),
        CheckReason(name="How it was told", lines=_method(result)),
        CheckReason(name="Front, rear, filter or sensor?", lines=element(result)),
    )


def _method(result: GlassResult) -> tuple[str, ...]:
    if result.way in {"pair", "record pair"}:
        moved = number(100 * (result.shift_share or 0.0))
        return (
            f"The frames were laid over each other (the view had moved by {moved} % of the long "
            f"edge) and their light compared; exposure cancels ({_ev(result)}).",
            "The clearer one's light is spread by six widths of glow and an even veil until it "
            "gives the other: parts of their sum are the shares. Detail about a hundredth of the "
            "long edge in size is compared zone by zone.",
            "A lamp that was turned up multiplies light, missed focus takes the finest detail "
            "first, another style bends tones: none of them adds light to the dark places as "
            "glass does.",
        )
    if result.way == "chart":
        ratio = percent_words(result.ink_ratio)
        return (
            f"The chart's black squares show {ratio} of the light of the paper beside them. Ink "
            "alone gives 0.6 to 8 % by its kind: only your own record of the same print, in the "
            "same light and style, tells what the glass added. A part of that comes from the "
            "paper nearby, so the veil has a wide interval; two frames of one view tell more.",
        )
    if result.way == "lamp":
        return (
            "The darker quarter of the light at each distance and direction around the lamp is "
            "compared with its own image spread by six widths of glow.",
            "One frame gives upper ends only: a wall that is lit, mist in the air and reflections "
            "between lenses glow as well.",
        )
    return (
        "A veil lies over the darkest places too: it cannot be more than their light, as a share "
        "of the frame's.",
    )


def _ev(result: GlassResult) -> str:
    if result.exposure_ev is None or abs(result.exposure_ev) < 0.05:
        return "they are alike in brightness"
    more = "brighter" if result.exposure_ev > 0 else "darker"
    return f"the frame checked is {number(abs(result.exposure_ev))} stops {more}"


def _notes(result: GlassResult) -> tuple[str, ...]:
    said = [*result.left_out, *(f"Besides: {one}." for one in result.reasons[1:])]
    if result.clipped_share > 0.0005:
        part = number(100 * result.clipped_share)
        said.append(
            f"{part}{THIN}% of the frame is clipped, so its light counts as less than it is, and "
            "shares of it come out too large."
        )
    if result.focus_moved:
        said.append(
            "Focus differs between the two frames, and takes detail place by place as a smudge "
            "does: only a veil is told. Focus by hand, once, for both."
        )
    if result.exposure_ev is not None and abs(result.exposure_ev) > MUCH_EV:
        said.append(
            "The two exposures differ: equal ones, set by hand, would tell more surely, since a "
            "camera's tones bend between them."
        )
    if result.veil_share is not None and result.verdict != "clear":
        said.append(
            "A JPEG hides how its style bends the tones: the interval reaches from a soft shoulder "
            "to shadows deepened by a power of 1.25."
        )
    if result.focal_length_mm is None or result.f_number is None:
        said.append(
            "The frame does not say its focal length or aperture: it cannot be checked whether it "
            "fits the other frame or the record."
        )
    if result.way not in {"pair", "record pair"} and result.kept is None and not result.clean:
        said.append(
            "There is no record of this kit at this focal length and aperture yet: clean the "
            "glass, shoot a view that you can shoot again, and keep it with --clean."
        )
    return tuple(said)
