"""What a check of the glass says: the answer, what to do, and what limits it."""

from pathlib import Path

from eyeplane.deliver.wording import THIN, number
from eyeplane.records import Measured
from eyeplane.records.kit_glass import GlassResult
from eyeplane.records.said import listed

SHOOT = (
    "Put the camera on a stand with a bright window or a lamp in the frame and something black "
    "beside it, expose so that the light is not clipped, shoot; wipe the front element; shoot the "
    "same view again and give both: eyeplane kit glass AFTER --before BEFORE."
)

WIPE = (
    "Wipe the front element first, shoot the same view again, and give both frames; if that "
    "changes nothing, the filter and then the rear element."
)
SMEARED = "It was smeared rather than taken off: take a clean part of the cloth and wipe again."
KEEP = "Keep this frame as the kit's record: run it again with --clean."
NOT_THERE = (
    "If frames still look veiled, it was not on what you wiped: wipe the filter or the other "
    "end of the lens, and shoot the same view again."
)


def percent_words(measured: Measured | None) -> str:
    """Return a share in percent with its interval.

    Parameters
    ----------
    measured : Measured or None
        A share of 1.

    Returns
    -------
    str
        Such as "3.1 % (2.6–3.7)".

    Examples
    --------
    >>> percent_words(Measured(value=0.031, low=0.026, high=0.037)).replace(THIN, " ")
    '3.1 % (2.6–3.7)'
    """
    if measured is None:
        return "cannot tell"
    ends = [max(v, 0.0) for v in (measured.low, measured.high)]
    low, high = (_digits(100 * v) for v in ends)
    return f"{_digits(100 * max(measured.value, 0.0))}{THIN}% ({low}–{high})"


def most_words(share: float) -> str:
    """Return an upper end in percent.

    Parameters
    ----------
    share : float
        A share of 1.

    Returns
    -------
    str
        Rounded up, such as "1.3 %".
    """
    return f"{_digits(100 * share * 1.02)}{THIN}%"


def answer(result: GlassResult) -> str:
    """Return the answer in one sentence.

    Parameters
    ----------
    result : GlassResult
        What was found.

    Returns
    -------
    str
        Answer first.
    """
    if result.clean and result.verdict != "smudge":
        return f"Kept as this kit's clean glass. {_measured(result)}"
    if result.verdict in {"cannot tell", "clear"}:
        return _cannot(result) if result.verdict == "cannot tell" else _clear(result)
    what = _found(result)
    if result.worse == "before":
        when = " than when you kept its record" if result.way == "record pair" else ""
        return f"The glass is clearer now{when}: before, {what}."
    worse = {
        "pair": "It is worse than before wiping: ",
        "record pair": "The glass was clearer when you kept its record: ",
    }.get(result.way)
    return f"{worse}{what}." if worse else f"{what[0].upper()}{what[1:]}."


def advice(result: GlassResult) -> str:
    """Return the one thing to do.

    Parameters
    ----------
    result : GlassResult
        What was found.

    Returns
    -------
    str
        Empty where nothing is to do.
    """
    if result.clean:
        return ""
    if result.verdict == "cannot tell":
        return f"{_instead(result)} {SHOOT}".strip()
    if result.verdict == "clear":
        return NOT_THERE if result.way == "pair" else ""
    if result.worse == "before":
        return KEEP if result.way == "pair" else ""
    return SMEARED if result.way == "pair" else WIPE


def element(result: GlassResult) -> tuple[str, ...]:
    """Return what can be said of where on the kit it lies.

    Parameters
    ----------
    result : GlassResult
        What was found.

    Returns
    -------
    tuple of str
        Sentences.
    """
    said = []
    if result.way == "pair" and result.worse == "before":
        said.append("It lay on what you wiped between the two frames.")
    elif result.smudges or result.streak:
        said.append(
            "Front or rear element, or filter: cannot tell from this. Wipe the front first and "
            "shoot again."
        )
    else:
        said.append("On which glass: cannot tell. Wipe the front first and shoot again.")
    said.append(
        "What lies on the lens keeps its place in the stored frame when you turn the camera "
        "upright; what stays with the scene is light, haze or a window pane."
    )
    said.append(
        "Small dark spots with edges are dust near the sensor, which adds no light: eyeplane kit "
        "dust."
    )
    return tuple(said)


def _digits(percent: float) -> str:
    if percent < 0.05:
        return "0"
    return number(percent, 1 if percent < 1 else 2)


def _found(result: GlassResult) -> str:
    parts = []
    if result.smudges:
        worst = result.smudges[0]
        places = listed([one.place for one in result.smudges][:3])
        many = "smudges lie" if len(result.smudges) > 1 else "a smudge lies"
        parts.append(
            f"{many} over {places}, where detail loses {percent_words(worst.loss_share)} of its "
            "contrast"
        )
    elif result.streak is not None:
        parts.append(
            "a smear makes lights run out along one line, "
            f"{_line(result.streak.glow_deg.value)}; it was wiped across that, "
            f"{_line(result.streak.wiped_deg)}"
        )
    veil = result.veil_share
    if result.verdict == "veil" and veil is not None:
        most = "at most " if result.at_most else ""
        parts.append(
            f"a veil lies on the glass: {most}{percent_words(veil)} of the light is spread over "
            "the frame"
        )
    if result.verdict == "halo" and result.halo is not None:
        parts.append(
            f"lights have a halo that takes {percent_words(result.halo.share)} of their light"
        )
    words = ", and ".join(parts)
    if result.worse == "before":
        words = words.replace(" lies ", " lay ").replace(" lie ", " lay ").replace(" is ", " was ")
        words = (
            words.replace(" loses ", " lost ").replace("have a", "had a").replace("takes", "took")
        )
    return words


def _line(angle_deg: float) -> str:
    angle = round(angle_deg / 5) * 5 % 180
    if angle in {0, 90}:
        return "level" if angle == 0 else "upright"
    lean = "rising to the right" if angle < 90 else "rising to the left"
    return f"{lean} at {min(angle, 180 - angle)}°"


def _clear(result: GlassResult) -> str:
    if result.way in {"pair", "record pair"}:
        than = "your record" if result.way == "record pair" else "the frame before"
        veil = result.veil_share
        if result.focus_moved:
            more = "" if veil is None else f" of more than {most_words(veil.high)}"
            return (
                f"No veil{more} lies on the glass beyond {than}; whether a smudge does cannot be "
                "told, since the two are not equally sharp."
            )
        most = "" if veil is None else f": a veil of more than {most_words(veil.high)} would show"
        return f"The glass is as clear as in {than}{most}."
    if result.veil_share is not None:
        return f"The glass is as clear as in your record: {percent_words(result.veil_share)} more."
    return f"The glass is clear. {_measured(result)}"


def _measured(result: GlassResult) -> str:
    if result.veil_most_share is not None:
        return (
            f"At most {most_words(result.veil_most_share)} of the light is spread over the frame."
        )
    if result.halo is not None and result.halo.share is not None:
        return f"Lights have a halo of at most {most_words(result.halo.share.high)} of their light."
    if result.veil_share is not None:
        return f"A veil of more than {most_words(result.veil_share.high)} would show."
    return "Nothing in this frame tells how clear it is."


def _cannot(result: GlassResult) -> str:
    reason = result.reasons[0] if result.reasons else "nothing in the frame tells"
    most = ""
    if result.veil_most_share is not None:
        most = f" A veil can take at most {most_words(result.veil_most_share)} of the light."
    return f"Cannot tell: {reason}.{most}"


def _instead(result: GlassResult) -> str:
    if result.style_changed:
        return "Shoot both frames with one picture style and one exposure, set by hand."
    if result.way == "lamp" and result.clipped_share > 0:
        return "Expose three stops less, so that the light is not clipped."
    return ""


def frame_name(path: str) -> str:
    """Return the name of a frame without its folders.

    Parameters
    ----------
    path : str
        Where it lies.

    Returns
    -------
    str
        Its last part.
    """
    return Path(path.replace("\\", "/")).name
