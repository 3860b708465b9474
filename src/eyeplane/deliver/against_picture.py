"""How sharp two kits look against the size of the print, with what each holds and what is sold."""

from collections.abc import Sequence

from eyeplane.deliver.against_words import border_words, letter_name, seen_words, size_words
from eyeplane.deliver.plan_chart import Axes, Scale, band, marked_across
from eyeplane.deliver.plan_picture import on_paper, within
from eyeplane.deliver.sheet import HAIRLINE, Ink, Letters, Pen, Point, Sheet
from eyeplane.deliver.sheet_type import width_mm as type_width_mm
from eyeplane.deliver.wording import THIN, reach_words
from eyeplane.optics import SHARP
from eyeplane.records import Measured
from eyeplane.records.kit_against import AgainstPoint, AgainstPrint, AgainstResult, AgainstWay

HEIGHT_SHARE = 0.42  # height of the curves over their width
LINES = {
    "A": Pen(ink="ink", width_mm=0.45),
    "B": Pen(ink="iris", width_mm=0.45),
}
BORDER = Pen(ink="iris", width_mm=0.3, dashed=True)
BAR = Pen(ink="ink", width_mm=0.5)
ENDS = Pen(ink="soft", width_mm=0.2)
BELOW = 0.12  # how far below the softest point the chart goes on, of perceived sharpness
SEEN = {"yes": "seen", "no": "not seen"}  # said of a difference; else it cannot be told
SIZES_CM = (10, 15, 20, 30, 40, 50, 60, 80, 100, 150, 200, 300)


def against_sheet(result: AgainstResult, width_mm: float, size_mm: float) -> Sheet:
    """Return the drawing.

    Parameters
    ----------
    result : AgainstResult
        One kit against another.
    width_mm, size_mm : float
        Of the sheet, and of its type.

    Returns
    -------
    Sheet
        Above, how far each reaches; below, how sharp each looks; at the foot the prints sold. Small
        prints to the left, on a logarithmic scale.
    """
    width, size = width_mm, size_mm
    small = Letters(size_mm=size)
    rows = 2 * 2.6 * size
    top = rows + 1.6 * size
    height = max(HEIGHT_SHARE * width, 9.0 * size)
    foot = _foot_mm(result.ways[0].sold, size)
    curve = result.curve
    least = min(min(p.a_acutance.low, p.b_acutance.low) for p in curve)
    axes = Axes(
        across=Scale(
            low=curve[0].print_cm,
            high=curve[-1].print_cm,
            start_mm=0.4 * size,
            end_mm=width - 0.8 * size,
            logarithmic=True,
        ),
        up=Scale(
            low=max(min(least, SHARP) - BELOW, 0.0), high=1.0, start_mm=top + height, end_mm=top
        ),
    )
    sheet = Sheet(width_mm=width, height_mm=top + height + 1.9 * size + foot)
    _reaches(sheet, axes, result, small)
    _sharp_line(sheet, axes, small)
    inks: tuple[tuple[str, Ink], ...] = (("A", "hair"), ("B", "pale"))
    for side, ink in inks:
        points = _of(curve, side)
        lows, highs = [(x, m.low) for x, m in points], [(x, m.high) for x, m in points]
        band(sheet, axes, lows, highs, ink)
    for side in ("A", "B"):
        sheet.path([axes.at((x, m.value)) for x, m in _of(curve, side)], LINES[side])
    _names(sheet, axes, curve, small)
    _border(sheet, axes, result, small)
    marks = [float(s) for s in SIZES_CM if axes.across.low <= s <= axes.across.high]
    marked_across(sheet, axes, [(s, f"{s:g}") for s in marks], small)
    _sold(sheet, axes, result.ways[0].sold, small)
    return sheet


def _of(curve: Sequence[AgainstPoint], side: str) -> list[tuple[float, Measured]]:
    return [(p.print_cm, p.a_acutance if side == "A" else p.b_acutance) for p in curve]


def _reaches(sheet: Sheet, axes: Axes, result: AgainstResult, small: Letters) -> None:
    """Draw how far each reaches: a bar to the reach, a thin one over its interval."""
    way, size = result.ways[0], small.size_mm
    for row, side in enumerate(("A", "B")):
        reach = way.a_reach_cm if side == "A" else way.b_reach_cm
        y = (2.6 * row + 2.0) * size
        start, end = axes.across.start_mm, axes.across.end_mm
        x, low, high = (
            min(max(axes.across.at(v), start), end) for v in (reach.value, reach.low, reach.high)
        )
        sheet.line((start, y), (x, y), Pen(ink=LINES[side].ink, width_mm=0.7))
        sheet.line((low, y), (high, y), ENDS)
        for edge in (low, high):
            sheet.line((edge, y - 0.3 * size), (edge, y + 0.3 * size), ENDS)
        words = f"{letter_name(result, side)} holds {reach_words(reach)}"
        sheet.words((start, y - 0.55 * size), _cut(words, small, end - start), small)


def _cut(words: str, letters: Letters, room_mm: float) -> str:
    """Return words that fit, the end left off where they do not."""
    while len(words) > 8 and type_width_mm(words, letters) > room_mm:
        words = words[:-2].rstrip(" …") + "…"
    return words


def _sharp_line(sheet: Sheet, axes: Axes, small: Letters) -> None:
    y = axes.up.at(SHARP)
    sheet.line((axes.across.start_mm, y), (axes.across.end_mm, y), HAIRLINE)
    # At the right, where both curves have fallen below it.
    letters = Letters(size_mm=small.size_mm, ink="soft", anchor="end")
    sheet.words((axes.across.end_mm, y - 0.35 * small.size_mm), "sharp above this line", letters)


def _names(sheet: Sheet, axes: Axes, curve: Sequence[AgainstPoint], small: Letters) -> None:
    """Write each kit's letter at the end of its line, apart from each other."""
    size, last = small.size_mm, curve[-1]
    places = {"A": axes.up.at(last.a_acutance.value), "B": axes.up.at(last.b_acutance.value)}
    upper, lower = sorted(places, key=lambda side: (places[side], side == "A"))
    gap = 1.2 * size - (places[lower] - places[upper])
    if gap > 0:
        places[upper] -= gap / 2
        places[lower] += gap / 2
    for side, y in places.items():
        letters = Letters(size_mm=size, ink=LINES[side].ink)
        at = axes.across.end_mm - 0.2 * size - type_width_mm(side, letters)
        on_paper(sheet, (at, y + 0.35 * size), side, letters)


def _border(sheet: Sheet, axes: Axes, result: AgainstResult, small: Letters) -> None:
    """Draw from which print on the two are told apart."""
    seen, size = result.ways[0].seen_from, small.size_mm
    if result.viewing_cm is None or seen.smallest_cm is None:
        return
    start, end = axes.across.start_mm, axes.across.end_mm
    x = min(max(axes.across.at(seen.smallest_cm), start), end)
    low = min(max(axes.across.at(seen.low_cm or seen.smallest_cm), start), end)
    high = end if seen.high_cm is None else min(axes.across.at(seen.high_cm), end)
    base, top = axes.up.start_mm, axes.up.end_mm
    if high - low > 0.2:
        sheet.hatch((low, base - 1.0 * size), (high, base), Pen(ink="hair", width_mm=0.15))
    sheet.line((x, base), (x, top), BORDER)
    words = f"told apart from {border_words(seen)}"
    letters = Letters(size_mm=size, ink="iris", anchor="middle")
    at = within(x, words, letters, (start, end))
    start_at = at - type_width_mm(words, letters) / 2
    on_paper(sheet, (start_at, base - 1.6 * size), words, Letters(size_mm=size, ink="iris"))


def _foot_mm(sold: Sequence[AgainstPrint], size: float) -> float:
    return (1.5 * min(len(sold), 3) + 1.4) * size if sold else 0.0


def _sold(sheet: Sheet, axes: Axes, sold: Sequence[AgainstPrint], small: Letters) -> None:
    """Mark the prints sold below the scale, each with whether it shows the difference."""
    if not sold:
        return
    size, base = small.size_mm, axes.up.start_mm
    lines = min(len(sold), 3)
    for k, one in enumerate(sold):
        x = axes.across.at(one.long_cm)
        y = base + (2.7 + 1.5 * (k % lines)) * size
        sheet.line((x, base), (x, base + 0.35 * size), BAR)
        sheet.line((x, base + 1.6 * size), (x, y - 0.8 * size), ENDS)
        words = f"{size_words(one)} {SEEN.get(one.seen, one.seen)}"
        ink: Ink = "iris" if one.seen == "yes" else "soft"
        letters = Letters(size_mm=size, ink=ink, anchor="middle")
        at = within(x, words, letters, (axes.across.start_mm, axes.across.end_mm))
        start: Point = (at - type_width_mm(words, letters) / 2, y)
        on_paper(sheet, start, words, Letters(size_mm=size, ink=ink))


def against_spoken(result: AgainstResult) -> str:
    """Return the drawing in words.

    Parameters
    ----------
    result : AgainstResult
        One kit against another.

    Returns
    -------
    str
        For who cannot see it.
    """
    way: AgainstWay = result.ways[0]
    a, b = letter_name(result, "A"), letter_name(result, "B")
    told = f"{a} holds {reach_words(way.a_reach_cm)}, {b} holds {reach_words(way.b_reach_cm)}; "
    told += f"{seen_words(way.seen_from, result.viewing_cm)}."
    if way.sold:
        sizes = ", ".join(
            f"{size_words(one)}{THIN}cm {SEEN.get(one.seen, one.seen)}" for one in way.sold
        )
        told += f" Prints sold: {sizes}."
    return told
