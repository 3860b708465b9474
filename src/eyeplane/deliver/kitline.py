"""Where the focus of each kit lies over many frames, on the same line as a single frame's.

The depth line of a sitting: lens to the left, the near iris a tick at 0 mm, the mean focus plane a
dot in its hatched interval, and the pale band holds about two frames in three. All kits share one
scale. Drawing units are those of the SVG's view box.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from eyeplane.deliver.depthline import Axis, Span
from eyeplane.deliver.wording import THIN, count_words, number, offset_words, side_words
from eyeplane.records import KitFocus, Measured

LEAST_MM = 20.0  # drawn to each side at least: less would blow up what is small
ROOM = 1.15  # what is drawn beyond the farthest end
HEIGHT, AXIS_Y, DOT = 58.0, 22.0, 4.0
BARS = (500, 200, 100, 50, 20, 10, 5)  # mm, lengths of the scale bar


@dataclass(frozen=True, slots=True, kw_only=True)
class KitLine:
    """One kit, in words and drawn.

    Attributes
    ----------
    kit, setting : str
        Body and lens; what else the file tells apart.
    frames : str
        How many it rests on.
    bias, spread : str
        Mean offset and spread from frame to frame, in words with their intervals.
    iris_x, bias_x : float
        Places of the near iris and of the mean focus plane.
    interval, field : Span or None
        Interval of the mean; one spread to both sides of it.
    height, axis_y, dot : float
        Of the drawing, its axis, and radius of the dot.
    bar : float
        Length of the scale bar, drawing units.
    bar_words, spoken : str
        Its length in words; the whole drawing in a sentence.
    """

    kit: str
    setting: str
    frames: str
    bias: str
    spread: str
    iris_x: float
    bias_x: float
    interval: Span | None
    field: Span | None
    height: float
    axis_y: float
    dot: float
    bar: float
    bar_words: str
    spoken: str


def kit_lines(kits: Sequence[KitFocus]) -> tuple[KitLine, ...]:
    """Return all kits on one scale.

    Parameters
    ----------
    kits : sequence of KitFocus
        Most frames first.

    Returns
    -------
    tuple of KitLine
        In the same order.
    """
    reach_mm = ROOM * max([LEAST_MM / ROOM, *(_farthest_mm(kit) for kit in kits)])
    axis = Axis(near_mm=-reach_mm, far_mm=reach_mm)
    return tuple(_line(kit, axis) for kit in kits)


def spread_mm_words(spread: Measured) -> str:
    """Return a scatter with its interval.

    Parameters
    ----------
    spread : Measured
        Standard deviation in mm.

    Returns
    -------
    str
        "9 mm (7–12)"; tenths below 3 mm.
    """

    def said(value_mm: float) -> str:
        return f"{value_mm:.1f}" if 0.05 <= value_mm < 2.95 else f"{value_mm:.0f}"

    return f"{said(spread.value)}{THIN}mm ({said(spread.low)}–{said(spread.high)})"


def _farthest_mm(kit: KitFocus) -> float:
    bias, spread = kit.bias_mm, kit.spread_mm.value
    return max(map(abs, (bias.low, bias.high, bias.value - spread, bias.value + spread)))


def _line(kit: KitFocus, axis: Axis) -> KitLine:
    bias, spread = kit.bias_mm, kit.spread_mm
    bar_mm = next((b for b in BARS if b <= (axis.far_mm - axis.near_mm) / 4), BARS[-1])
    words = offset_words(bias)
    scatter = spread_mm_words(spread)
    low, high = (side_words(bias.value + sign * spread.value) for sign in (-1, 1))
    return KitLine(
        kit=kit.kit,
        setting=kit.setting,
        frames=count_words(kit.frames, "frame"),
        bias=words,
        spread=scatter,
        iris_x=axis.x(0.0),
        bias_x=axis.x(bias.value),
        interval=axis.span(bias.low, bias.high),
        field=axis.span(bias.value - spread.value, bias.value + spread.value),
        height=HEIGHT,
        axis_y=AXIS_Y,
        dot=DOT,
        bar=bar_mm * axis.scale,
        bar_words=f"{number(bar_mm)}{THIN}mm",
        spoken=f"Focus of {kit.kit}: mean focus plane {words}; about two frames in three lie "
        f"between {low} and {high}.",
    )
