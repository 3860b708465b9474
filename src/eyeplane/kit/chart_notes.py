"""What limits a reading of the chart, and what to shoot instead, in a photographer's words."""

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

from eyeplane.errors import InputError
from eyeplane.records.kit_chart import ChartExposure, ChartResult

TILTED_DEG = 1.5  # from square, beyond which the corners lie out of focus wide open; our own
SOFT_PER_PX = 0.08  # in the middle at every aperture: no usable lens is as soft; our own
FINE_PER_PX = 0.45  # close to what pixels let through at all
ANEW_RATIO = 1.15  # of best over worst frame: focus then counts for more than the glass
SHARPENED = (
    "these files were sharpened in the camera: shoot RAW, or set sharpening to 0. Apertures and "
    "corners can still be compared, but no number of the glass can be told"
)


def frame_trouble(
    path: str, exposure: ChartExposure, edges: tuple[int, int], refused: Sequence[str]
) -> None:
    """Refuse a frame whose edges cannot be used.

    Parameters
    ----------
    path : str
        Of the frame.
    exposure : {"right", "overexposed", "underexposed"}
        As its paper is.
    edges : tuple of int
        Edges that were read, and the fewest that do.
    refused : sequence of str
        Why others were not.

    Raises
    ------
    InputError
        With what to do instead.
    """
    got, fewest = edges
    if exposure == "overexposed" and got < fewest:
        raise InputError(
            "the paper is overexposed, its edges are clipped",
            where=path,
            hint="Give one stop less, so that the paper is light grey",
        )
    if exposure == "underexposed":
        raise InputError(
            "the chart is underexposed, its paper is nearly black",
            where=path,
            hint="Give two stops more, so that the paper is light grey",
        )
    if got < fewest:
        why = f": {Counter(refused).most_common(1)[0][0]}" if refused else ""
        raise InputError(
            f"only {got} of 96 edges can be read{why}",
            where=path,
            hint="Focus on the middle of the chart, in even light, and fill the frame with it",
        )


def chart_notes(result: ChartResult, *, crude: bool, papers: Collection[str]) -> ChartResult:
    """Return a result with what limits it.

    Parameters
    ----------
    result : ChartResult
        Without notes.
    crude : bool
        Whether a JPEG is strongly compressed.
    papers : collection of str
        Papers that were found.

    Returns
    -------
    ChartResult
        With notes.
    """
    notes = [*_files(result, crude, papers), *_shooting(result), *_glass(result)]
    return replace(result, notes=tuple(notes))


def _files(result: ChartResult, crude: bool, papers: Collection[str]) -> Iterator[str]:  # noqa: FBT001  private
    if any(aperture.sharpened for aperture in result.apertures):
        yield f"{SHARPENED[0].upper()}{SHARPENED[1:]}."
    if crude:
        yield (
            "A JPEG here is strongly compressed, which softens or roughens edges: shoot RAW, or "
            "the finest JPEG."
        )
    if any(aperture.f_number is None for aperture in result.apertures):
        yield (
            "Some frames do not say their aperture (a lens without contacts?): they are one group. "
            "Check them one aperture at a time."
        )
    if result.pitch_um is None:
        yield (
            "The frames do not say how large the pixels are, so there are no numbers in mm and "
            "none of the glass: give the body's pixels in the kit table."
        )
    if len(papers) > 1:
        yield f"Charts on {' and '.join(sorted(papers))} are mixed; each is read by its own marks."


def _shooting(result: ChartResult) -> Iterator[str]:
    shaken = [frame for frame in result.frames if frame.shake_px]
    if shaken:
        way = "up and down" if shaken[0].shake_upright else "sideways"
        yield (
            f"{_named([f.name for f in shaken])}: softer in one direction everywhere, by a stroke "
            f"of {shaken[0].shake_px:.1f} px {way}. The camera shook: use a tripod and the "
            "self-timer."
        )
    over = [frame.name for frame in result.frames if frame.exposure == "overexposed"]
    if over:
        yield f"{_named(over)}: part of the paper is clipped and left out; give one stop less."
    tilted = max((frame.tilt_deg or 0.0 for frame in result.frames), default=0.0)
    if tilted > TILTED_DEG:
        yield (
            f"The chart stood up to {tilted:.1f}° askew. Wide open its ends then lie out of focus: "
            "set the camera square to it."
        )
    once = [a for a in result.apertures if len(a.frames) == 1]
    if once:
        yield (
            "One frame at an aperture cannot tell missed focus from soft glass: shoot three at "
            "each, focused anew, and the best counts at each place."
        )
    if len([a for a in result.apertures if a.f_number]) == 1:
        yield "One aperture alone says nothing of which is sharpest: shoot every full stop."
    worst = max((a.refocused_ratio or 1.0 for a in result.apertures), default=1.0)
    if worst > ANEW_RATIO:
        yield (
            f"Between frames of one aperture the middle differs by {100 * (worst - 1):.0f} %: "
            "that is focus, not glass."
        )


def _glass(result: ChartResult) -> Iterator[str]:
    middles = [a.middle_per_px.value for a in result.apertures if a.middle_per_px is not None]
    if middles and max(middles) < SOFT_PER_PX:
        yield (
            "Every frame is soft, more than a lens makes it: focus was missed, or the camera "
            "moved. Focus on the middle of the chart by magnified live view and shoot again."
        )
    elif middles and min(middles) > FINE_PER_PX:
        yield (
            "All apertures are about as sharp as the pixels allow: this sensor cannot tell more "
            "of the lens."
        )
    best = result.glass_best_um
    if best is not None and result.print_um is not None and best.low == 0.0:
        yield (
            f"A print's own edges, some 20 µm, come to {result.print_um:.1f} µm on the sensor; how "
            f"soft yours are is not known, so of the glass no more can be told than at most "
            f"{best.high:.1f} µm. To tell it from the print, photograph the chart from farther "
            "away, or printed larger."
        )
    if result.glass_best_um is None and any(a.glass_um is not None for a in result.apertures):
        yield (
            "For a plan's two numbers of the glass, shoot wide open and at least two stops down."
        )


def _named(names: Sequence[str]) -> str:
    listed = ", ".join(names[:3])
    return f"{listed} and {len(names) - 3} more" if len(names) > 3 else listed
