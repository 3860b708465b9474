"""One kit held against another, in sentences: the answer first."""

from collections.abc import Sequence

from eyeplane.deliver.wording import THIN, number, plain_text, reach_words, stop_words, whole_cm
from eyeplane.records import Measured
from eyeplane.records.kit_against import (
    AgainstPart,
    AgainstPrint,
    AgainstResult,
    AgainstWay,
    Seen,
    SeenFrom,
)
from eyeplane.records.said import listed

PARTS = {
    "pixels": "the pixels",
    "glass": "the lens",
    "aperture": "the aperture (diffraction, and how far the lens is opened)",
    "noise": "noise",
    "focus": "where the focus lay",
    "motion": "motion",
    "focus and glass": "focus and lens, which these frames do not tell apart",
}
SHORT = {"aperture": "the aperture", "focus and glass": "focus and lens together"}
LONGEST_NAME = 28  # signs; a longer one, or a description, stands at the head alone
LEAST_CM = 0.5  # a part that changes less is not named in a sentence


def answer_of(result: AgainstResult) -> tuple[str, str]:
    """Return the answer and what to do.

    Parameters
    ----------
    result : AgainstResult
        One kit against another.

    Returns
    -------
    tuple of str
        A sentence or two; the one thing to do, empty where nothing can be said.
    """
    first = result.ways[0]
    if result.verdict == "nothing sold named":
        return reaches_words(result, first), ""
    if result.verdict == "not shown":
        return "None of the prints you sell shows the difference.", _none_advice(result)
    if result.verdict == "cannot tell":
        open_ones = [one for one in first.sold if one.seen == "cannot tell"]
        which = sizes_words(open_ones)
        said = f"Whether {which} shows the difference cannot be told"
        if len(open_ones) < len(first.sold):
            said += "; the other prints you sell do not show it"
        return f"{said}.", ""
    shown, rest, open_ones = (
        [one for one in first.sold if one.seen == seen] for seen in ("yes", "no", "cannot tell")
    )
    but = f", not on {sizes_words(rest)}" if rest else ""
    but += f"; on {sizes_words(open_ones)} that cannot be told" if open_ones else ""
    return f"The difference is seen on {sizes_words(shown)}{but}.", ""


def reaches_words(result: AgainstResult, way: AgainstWay) -> str:
    """Return what both hold, and from which print on they are told apart.

    Parameters
    ----------
    result : AgainstResult
        One kit against another.
    way : AgainstWay
        How they are used.

    Returns
    -------
    str
        One sentence.
    """
    a, b = letter_name(result, "A"), letter_name(result, "B")
    reach = (
        f"{used_words(way)} {a} holds {reach_words(way.a_reach_cm)}, "
        f"{b} {reach_words(way.b_reach_cm)}"
    )
    return f"{reach}; {seen_words(way.seen_from, result.viewing_cm)}."


def _none_advice(result: AgainstResult) -> str:
    elsewhere = [way for way in result.ways[1:] if any(one.seen == "yes" for one in way.sold)]
    if elsewhere:
        way = elsewhere[0]
        shown = [one for one in way.sold if one.seen == "yes"]
        return f"{used_words(way)}, though, {sizes_words(shown)} does."
    return "For these prints keep the kit you have."


def letter_name(result: AgainstResult, side: str) -> str:
    """Return how a kit is called in a sentence.

    Parameters
    ----------
    result : AgainstResult
        One kit against another.
    side : str
        "A" or "B".

    Returns
    -------
    str
        Its letter, and its name if it has another one.
    """
    name = plain_text((result.a if side == "A" else result.b).name)
    described = "," in name or len(name) > LONGEST_NAME
    return side if described or name in {"", side} else f"{side} ({name})"


def used_words(way: AgainstWay) -> str:
    """Return how the kits are used, to begin a sentence with.

    Parameters
    ----------
    way : AgainstWay
        One way.

    Returns
    -------
    str
        "Each at its sharpest (f/4 and f/2.8)", "Both at f/4", or what the frames were shot at.
    """
    if way.a_f_number is None or way.b_f_number is None:
        best = way.kind == "best frames"
        return "At the frame that one in ten betters" if best else "At the middle frame"
    stops = f"{stop_words(way.a_f_number)} and {stop_words(way.b_f_number)}"
    if way.kind == "same aperture":
        return f"Both at {stop_words(way.a_f_number)}"
    if way.kind == "same depth":
        return f"With the same depth of field ({stops})"
    return f"Each at its sharpest ({stops})"


def seen_words(seen: SeenFrom, viewing_cm: float | None) -> str:
    """Return from which print on the two are told apart.

    Parameters
    ----------
    seen : SeenFrom
        The border.
    viewing_cm : float or None
        The viewer's distance; None: 1.5 times the print's diagonal.

    Returns
    -------
    str
        With its interval.
    """
    who = f"a viewer at {viewing_cm:g}{THIN}cm" if viewing_cm else "a viewer at 1.5 diagonals"
    if viewing_cm is None:
        told = "tells them apart" if seen.smallest_cm is not None else "cannot tell them apart"
        return f"{who} {told} on a print of any size"
    if seen.smallest_cm is None and seen.low_cm is None:
        return f"{who} does not tell them apart on any print up to {seen.up_to_cm / 100:g}{THIN}m"
    border = border_words(seen)
    if seen.smallest_cm is None:
        return f"{who} may tell them apart from {border} on, or on no print at all"
    return f"{who} tells them apart from {border} on"


def border_words(seen: SeenFrom) -> str:
    """Return a border with its interval.

    Parameters
    ----------
    seen : SeenFrom
        The border.

    Returns
    -------
    str
        "48 cm (43–53)", "125 cm (105 or more)" or "never".
    """
    if seen.low_cm is None:
        return "never"
    if seen.smallest_cm is None:
        return f"{seen.low_cm:.0f}{THIN}cm"
    value = f"{seen.smallest_cm:.0f}{THIN}cm"
    low = f"{seen.low_cm:.0f}"
    return (
        f"{value} ({low} or more)"
        if seen.high_cm is None
        else (f"{value} ({low}–{seen.high_cm:.0f})")
    )


def sizes_words(prints: Sequence[AgainstPrint]) -> str:
    """Return print sizes in words.

    Parameters
    ----------
    prints : sequence of AgainstPrint
        One or more.

    Returns
    -------
    str
        "40 × 60 cm and 60 × 90 cm".
    """
    return listed([f"{size_words(one)}{THIN}cm" for one in prints])


def size_words(one: AgainstPrint) -> str:
    """Return a print size as the trade says it, the short side first.

    Parameters
    ----------
    one : AgainstPrint
        The print.

    Returns
    -------
    str
        "40 × 60".
    """
    return f"{one.short_cm:.4g}{THIN}×{THIN}{one.long_cm:.4g}"


def step_words(one: AgainstPrint) -> str:
    """Return how large a difference is beside the smallest that is seen.

    Parameters
    ----------
    one : AgainstPrint
        The print.

    Returns
    -------
    str
        "no", "yes: 3 times that (1.9–5.2)" or "cannot tell (0.3–1.3 of it)".
    """
    ratio = one.step_ratio
    low, high = sorted((abs(ratio.low), abs(ratio.high)))
    if ratio.low < 0.0 < ratio.high:
        low = 0.0
    spread = f"{number(low, 2)}–{number(high, 2)}"
    if one.seen == "yes":
        which = "B" if ratio.value > 0 else "A"
        return f"yes, {which} is sharper: {number(abs(ratio.value), 2)} times that ({spread})"
    return "no" if one.seen == "no" else f"cannot tell ({spread} of it)"


def hold_words(seen: Seen) -> str:
    """Return whether a print looks sharp.

    Parameters
    ----------
    seen : {"yes", "no", "cannot tell"}
        As the record has it.

    Returns
    -------
    str
        "holds", "does not hold" or "cannot tell".
    """
    return {"yes": "holds", "no": "does not hold"}.get(seen, "cannot tell")


def parts_words(way: AgainstWay) -> str:
    """Return where the difference comes from, in one sentence.

    Parameters
    ----------
    way : AgainstWay
        One way.

    Returns
    -------
    str
        Parts that change little are left out; empty where nothing does.
    """
    told = [one for one in way.parts if abs(one.change_cm.value) >= LEAST_CM]
    if not told:
        return ""
    total = way.difference_cm.value
    said = listed([f"{_signed(one.change_cm.value)} by {_short(one)}" for one in told])
    if round(total) == 0:
        return f"Both reach alike: {said}."
    more = "farther" if total > 0 else "less far"
    return f"B reaches {abs(round(total))}{THIN}cm {more} than A: {said}."


def _short(part: AgainstPart) -> str:
    return SHORT.get(part.part, PARTS[part.part])


def _signed(value_cm: float) -> str:
    whole = round(value_cm)
    sign = "+" if whole > 0 else "−" if whole < 0 else ""
    return f"{sign}{abs(whole)}"


def change_words(change: Measured) -> str:
    """Return a change of reach with its interval.

    Parameters
    ----------
    change : Measured
        In cm.

    Returns
    -------
    str
        "+56 cm (+52 to +60)".
    """
    low, high = _signed(change.low), _signed(change.high)
    return f"{_signed(change.value)}{THIN}cm ({low} to {high})"


def between_words(result: AgainstResult, way: AgainstWay) -> str:
    """Return between which prints one holds and the other does not.

    Parameters
    ----------
    result : AgainstResult
        One kit against another.
    way : AgainstWay
        One way.

    Returns
    -------
    str
        Empty where neither reaches farther for sure.
    """
    if way.sharper == "neither":
        return (
            ""
            if way.difference_cm.low == way.difference_cm.high == 0.0
            else "Which of them reaches farther cannot be told: the range of the difference holds "
            "nought."
        )
    short, far = ("A", "B") if way.sharper == "B" else ("B", "A")
    ends = sorted((way.a_reach_cm.value, way.b_reach_cm.value))
    if whole_cm(ends[0]) == whole_cm(ends[1]):
        return ""
    at = f" at {result.reach_viewing_cm:g}{THIN}cm"
    return (
        f"Between {whole_cm(ends[0])} and {whole_cm(ends[1])}{THIN}cm the near eye looks sharp "
        f"to a viewer{at} with {far} and no longer with {short}."
    )
