"""A reading of the chart in a photographer's words."""

import math
from collections.abc import Mapping, Sequence

from eyeplane.deliver.wording import THIN, number, stop_words
from eyeplane.optics.kit_blur import GAUSSIAN_TO_DISC
from eyeplane.records import Measured
from eyeplane.records.kit_chart import ChartFault, ChartResult
from eyeplane.records.said import listed

OPPOSITES = {
    "left side": "right side",
    "right side": "left side",
    "upper side": "lower side",
    "lower side": "upper side",
    "upper left corner": "lower right corner",
    "lower right corner": "upper left corner",
    "upper right corner": "lower left corner",
    "lower left corner": "upper right corner",
}
TURN_IT = (
    "Turn the chart upside down, or the camera on its tripod, and photograph it again: what stays "
    "on the same side of the frame is the kit's, and a reason to have lens and mount looked at."
)


def aperture_words(f_number: float | None) -> str:
    """Return an aperture, or that it is not known.

    Parameters
    ----------
    f_number : float or None
        Aperture.

    Returns
    -------
    str
        "f/2.8", or "aperture not known".
    """
    return "aperture not known" if f_number is None else stop_words(f_number)


def among_words(
    among: Sequence[float], best_f_number: float, known: Mapping[float, Measured | None]
) -> str:
    """Return which apertures are as good as the sharpest, and why they count so.

    Parameters
    ----------
    among : sequence of float
        All that count so, the sharpest among them, in order.
    best_f_number : float
        The sharpest.
    known : mapping of float to (Measured or None)
        What each of them has.

    Returns
    -------
    str
        "" for the sharpest alone; "cannot be told apart" where intervals overlap, "look alike on
        any print" where they do not and the difference is too small to be seen.

    Examples
    --------
    >>> fine = {f: Measured(value=v, low=v - 1, high=v + 1) for f, v in ((4.0, 99), (8.0, 98))}
    >>> among_words((4.0, 8.0), 4.0, fine)
    'f/4 and f/8 cannot be told apart'
    """
    top = known.get(best_f_number)
    groups: dict[str, list[float]] = {"cannot be told apart": [], "look alike on any print": []}
    for f_number in among:
        own = known.get(f_number)
        sure = own is not None and top is not None and own.high < top.low
        if f_number != best_f_number:
            groups["look alike on any print" if sure else "cannot be told apart"].append(f_number)
    return "; ".join(
        f"{_span_words(sorted([best_f_number, *some]))} {said}"
        for said, some in groups.items()
        if some
    )


def _span_words(f_numbers: Sequence[float]) -> str:
    joint = " and " if len(f_numbers) == 2 else " to "
    return f"{stop_words(f_numbers[0])}{joint}{stop_words(f_numbers[-1])}"


def lines_words(measured: Measured | None) -> str:
    """Return line pairs over the short side with their interval.

    Parameters
    ----------
    measured : Measured or None
        Number.

    Returns
    -------
    str
        "1010 (1002–1019)", or "cannot tell".
    """
    if measured is None:
        return "cannot tell"
    return f"{measured.value:.0f} ({measured.low:.0f}–{measured.high:.0f})"


def glass_words(measured: Measured | None) -> str:
    """Return the blur of the glass with its interval.

    Parameters
    ----------
    measured : Measured or None
        Standard deviation in µm.

    Returns
    -------
    str
        "2.1 µm (1.4–2.3)", or "cannot tell".
    """
    if measured is None:
        return "cannot tell"
    low, value, high = (
        number(v, 2) if v >= 1 else f"{v:.1f}"
        for v in (measured.low, measured.value, measured.high)
    )
    return f"{value}{THIN}µm ({low}–{high})"


def lone_apertures(result: ChartResult) -> tuple[float, ...]:
    """Return apertures whose glass rests on one frame: its focus may have been missed.

    Parameters
    ----------
    result : ChartResult
        A reading.

    Returns
    -------
    tuple of float
        In order; none that tells no glass.
    """
    return tuple(
        one.f_number
        for one in result.apertures
        if one.f_number is not None and one.glass_um is not None and len(one.frames) == 1
    )


def disc_words(measured: Measured | None) -> str:
    """Return the blur of the glass as the even disc that softens as much.

    Parameters
    ----------
    measured : Measured or None
        Standard deviation in µm.

    Returns
    -------
    str
        "7.9 µm (5.3–8.7)", of equal frequency of half contrast; or "cannot tell".
    """
    if measured is None:
        return "cannot tell"
    low, value, high = (GAUSSIAN_TO_DISC * v for v in (measured.low, measured.value, measured.high))
    return glass_words(Measured(value=value, low=low, high=high))


def fault_words(*faults: ChartFault) -> str:
    """Return one softer corner or side as a sentence, at one aperture or more.

    Parameters
    ----------
    *faults : ChartFault
        What was found: one place, explained alike, in order of apertures.

    Returns
    -------
    str
        With what may explain it.
    """
    fault = faults[0]
    shares = listed([_share_at(one) for one in faults])
    said = f"Of the {OPPOSITES[fault.where]}'s fineness the {fault.where} has {shares}"
    if fault.explained == "chart tilt may be it":
        return f"{said}; the chart stood askew enough to explain it."
    if fault.explained == "cannot tell":
        return f"{said}; whether the chart stood askew cannot be told from these files."
    return f"{said}: more than the chart's tilt makes."


def _share_at(fault: ChartFault) -> str:
    low, value, high = (
        f"{100 * v:.0f}" for v in (fault.ratio.low, fault.ratio.value, fault.ratio.high)
    )
    at = "" if fault.f_number is None else f" at {stop_words(fault.f_number)}"
    return f"{value}{THIN}% ({low}–{high}){at}"


def _faults(faults: Sequence[ChartFault]) -> list[str]:
    """Return a sentence for each place, in the order in which places come first."""
    alike: dict[tuple[str, str], list[ChartFault]] = {}
    for fault in faults:
        alike.setdefault((fault.where, fault.explained), []).append(fault)
    return [fault_words(*group) for group in alike.values()]


def sentence(result: ChartResult) -> str:
    """Return the answer.

    Parameters
    ----------
    result : ChartResult
        A reading.

    Returns
    -------
    str
        What is sharpest, and what is wrong where something is.
    """
    told = [f for f in result.faults if f.explained == "lens or camera"]
    wrong = ""
    if told:
        worst = min(told, key=lambda fault: fault.ratio.value)
        wrong = f" The {worst.where} is clearly softer than the {OPPOSITES[worst.where]}."
    if result.sharpest_f_number is None:
        return f"{_one_aperture(result)}{wrong}"
    known = {a.f_number: a.middle_per_px for a in result.apertures if a.f_number is not None}
    among = among_words(result.sharpest_among, result.sharpest_f_number, known)
    best = stop_words(result.sharpest_f_number)
    apart = f"; {among}" if among else ""
    return f"Sharpest at {best} in the middle of the frame{apart}.{wrong}"


def _one_aperture(result: ChartResult) -> str:
    told = [a for a in result.apertures if a.middle_per_height is not None]
    if not told:
        return "How sharp this kit is cannot be told from these frames."
    at = "" if told[0].f_number is None else f"At {stop_words(told[0].f_number)} the"
    pairs = lines_words(told[0].middle_per_height)
    return (
        f"{at or 'The'} middle of the frame shows {pairs} line pairs over its short side at half "
        "contrast."
    )


def advice(result: ChartResult) -> str:
    """Return the one thing to do.

    Parameters
    ----------
    result : ChartResult
        A reading.

    Returns
    -------
    str
        Empty where nothing is wrong and nothing is missing.
    """
    if any(frame.shake_px for frame in result.frames):
        return "Photograph the chart again from a tripod, with the self-timer: the camera shook."
    if any(aperture.sharpened for aperture in result.apertures):
        return (
            "This JPEG was sharpened in the camera: shoot RAW or set sharpening to 0, and "
            "photograph the chart again."
        )
    if any(fault.explained == "lens or camera" for fault in result.faults):
        return TURN_IT
    if result.faults:
        return (
            "Set the camera square to the chart (a mirror in its middle shows the lens in the "
            "viewfinder's middle) and photograph it again."
        )
    return ""


def lines(result: ChartResult) -> tuple[str, ...]:
    """Return what else was found, most telling first.

    Parameters
    ----------
    result : ChartResult
        A reading.

    Returns
    -------
    tuple of str
        Sentences.
    """
    said = _faults(result.faults)
    said += _corners(result)
    if result.field_curved:
        said.append(
            "The corners were sharpest in another frame than the middle: this lens's field is "
            "curved, or the paper was. The ends of a straight row then need their own depth."
        )
    return (*said, *_for_plans(result))


def _for_plans(result: ChartResult) -> tuple[str, ...]:
    """Return what plans take of the glass, as measured and as plans list it."""
    best, wide = result.glass_best_um, result.glass_wide_um
    if best is None or wide is None or result.glass_widest_f_number is None:
        return ()
    unless = ", if no frame missed its focus" if lone_apertures(result) else ""
    at = stop_words(result.glass_widest_f_number)
    discs = [
        f"{number(GAUSSIAN_TO_DISC * um, 2)}{THIN}µm"
        for um in (best.value, math.hypot(best.value, wide.value))
    ]
    return (
        f"Glass for plans{unless}, as a standard deviation: {glass_words(best)} at its best, and "
        f"{glass_words(wide)} more at {at}. It blurs like a disc of {discs[0]} at its best and of "
        f"{discs[1]} at {at}: plans list it so.",
    )


def _corners(result: ChartResult) -> list[str]:
    shares = []
    for aperture in result.apertures:
        middle, corner = aperture.middle_per_px, aperture.corner_per_px
        if middle is not None and corner is not None and not aperture.shaken:
            share = 100 * corner.value / middle.value
            shares.append(f"{share:.0f}{THIN}% at {aperture_words(aperture.f_number)}")
    if not shares:
        return []
    said = [f"Corners against the middle: {listed(shares)}."]
    if result.corners_f_number is not None:
        known = {a.f_number: a.corner_per_px for a in result.apertures if a.f_number is not None}
        among = among_words(result.corners_among, result.corners_f_number, known)
        apart = f" ({among})" if among else ""
        said.append(f"Corners are sharpest at {stop_words(result.corners_f_number)}{apart}.")
    return said
