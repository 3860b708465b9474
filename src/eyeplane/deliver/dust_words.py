"""Dust in words: where it lies, how deep its shadow is, what it does on a print."""

from collections.abc import Sequence

from eyeplane.deliver.wording import THIN, count_words, number, plain_text, spread_words, stop_words
from eyeplane.records import Measured
from eyeplane.records.kit_dust import DustResult, DustShadow
from eyeplane.records.said import capital, count_word, listed

FAINT_SHARE = 0.02  # of the light: shadows that a good check finds; paler ones show on even tones
AGAIN = (
    "To be sure, photograph an evenly lit, plain wall at f/16 and the lowest ISO, out of focus, "
    "mid-grey, three times, moving the camera in between."
)


def depth_words(depth: Measured) -> str:
    """Return how deep a shadow is.

    Parameters
    ----------
    depth : Measured
        Share of light lost at its middle.

    Returns
    -------
    str
        "5.2 % (4.8–5.6)".

    Examples
    --------
    >>> depth_words(Measured(value=0.052, low=0.048, high=0.056)).replace(THIN, " ")
    '5.2 % (4.8–5.6)'
    """
    share = Measured(value=100 * depth.value, low=100 * depth.low, high=100 * depth.high)
    return spread_words(share, "%")


def place_words(shadow: DustShadow) -> str:
    """Return where a shadow lies, for who faces the sensor.

    Parameters
    ----------
    shadow : DustShadow
        The shadow.

    Returns
    -------
    str
        "lower left, 4.0 mm from the left edge, 6.1 mm from the bottom"; "cannot tell" where the
        frame was cut or turned.
    """
    if not shadow.field:
        return "cannot tell"
    if shadow.place is None:
        return shadow.field
    left, up = shadow.place.from_left_mm.value, shadow.place.from_bottom_mm.value
    return (
        f"{shadow.field}, {left:.1f}{THIN}mm from the left edge, {up:.1f}{THIN}mm from the bottom"
    )


def limit_words(result: DustResult) -> str:
    """Return how faint a shadow could have been.

    Parameters
    ----------
    result : DustResult
        The check.

    Returns
    -------
    str
        A sentence; empty where nothing can be told.
    """
    limit = result.limit
    if limit is None:
        return ""
    size = ""
    if limit.particle_um is not None:
        size = f", which is a particle of {number(limit.particle_um)}{THIN}µm"
    worst = ""
    if limit.worst_share > 1.3 * limit.depth_share:
        worst = f" ({_percent(limit.worst_share)} in the worst places)"
    rest = ""
    if limit.judged_share < 0.995:
        rest = f" On {_percent(1 - limit.judged_share)} of the sensor nothing can be told."
    return (
        f"A shadow had to take {_percent(limit.depth_share)} of the light at its middle to be "
        f"found{worst}{size}: whether there are fainter ones cannot be told.{rest}"
    )


def _percent(share: float) -> str:
    return f"{number(100 * share)}{THIN}%"


def counts_words(shadows: Sequence[DustShadow]) -> str:
    """Return how many shadows there are.

    Parameters
    ----------
    shadows : sequence of DustShadow
        Any number.

    Returns
    -------
    str
        "3 specks and 1 hair", "1 speck", "no dust".
    """
    specks = sum(one.kind == "spot" for one in shadows)
    hairs = len(shadows) - specks
    parts = [count_words(specks, "speck")] if specks else []
    parts += [count_words(hairs, "hair")] if hairs else []
    return listed(parts) if parts else "no dust"


def answer_words(result: DustResult) -> str:
    """Return the answer.

    Parameters
    ----------
    result : DustResult
        The check.

    Returns
    -------
    str
        One sentence, or two.
    """
    found = counts_words(result.shadows)
    use = f"at {stop_words(result.working_f_number)} on a {number(result.print_cm)}{THIN}cm print"
    if not result.shadows:
        return _none_words(result)
    works = [one.at_work for one in result.shadows if one.at_work is not None]
    if not works:
        return f"{capital(found)} on the sensor; what they do at your aperture cannot be told."
    sure = sum(work.shows == "yes" for work in works)
    perhaps = sum(work.shows == "perhaps" for work in works)
    if not sure and not perhaps:
        none = "it does not show" if len(works) == 1 else "none shows"
        return f"{capital(found)} on the sensor; {none} {use}."
    if not sure:
        return f"{capital(found)} on the sensor; {_of(perhaps, len(works))} might just show {use}."
    also = f", {count_word(perhaps)} more might" if perhaps else ""
    verb = "shows" if sure == 1 else "show"
    return f"{capital(found)} on the sensor; {_of(sure, len(works))} {verb} {use}{also}."


def _none_words(result: DustResult) -> str:
    if result.limit is None:
        return "Whether there is dust on the sensor cannot be told from these frames."
    at = f" at {stop_words(result.f_number)}" if result.f_number is not None else ""
    if result.limit.depth_share > FAINT_SHARE:
        least = _percent(result.limit.depth_share)
        return f"No dust found{at}, but only what takes {least} of the light would have been."
    return f"No dust that shows{at}."


def _of(count: int, whole: int) -> str:
    if count == whole:
        return "it" if whole == 1 else "all"
    return count_word(count)


def advice_words(result: DustResult) -> str:
    """Return the one thing to do.

    Parameters
    ----------
    result : DustResult
        The check.

    Returns
    -------
    str
        A sentence; empty where nothing need be done.
    """
    showing = [one for one in result.shadows if one.at_work is None or one.at_work.shows != "no"]
    if not result.shadows:
        faint = result.limit is not None and result.limit.depth_share <= FAINT_SHARE
        return "" if faint or result.limit is None else AGAIN
    if not showing:
        return "Leave the sensor alone: retouch these if you ever stop further down."
    fields = _fields(showing)
    where = f" Facing the sensor, it lies {fields}." if fields else ""
    sure = any(one.at_work is None or one.at_work.shows == "yes" for one in showing)
    if not sure:
        return (
            "Use the blower, mount down, when you next have the lens off; do not wipe for this."
            + where
        )
    return (
        f"Use the blower first, mount down, and check again.{where} What stays there after two "
        "goes sticks: that is for a swab after the maker's instructions, or for a service shop."
    )


def _fields(shadows: Sequence[DustShadow]) -> str:
    """Return the ninths of the sensor with dust that shows, those with most first."""
    counts: dict[str, int] = {}
    for one in shadows:
        if one.field:
            counts[one.field] = counts.get(one.field, 0) + 1
    order = sorted(counts, key=lambda name: (-counts[name], name))
    if not order:
        return ""
    if len(order) > 4:
        return f"all over it, most at the {order[0]} ({counts[order[0]]})"
    return "at the " + listed([f"{name} ({counts[name]})" for name in order])


def since_words(result: DustResult) -> str:
    """Return what changed since the earlier check.

    Parameters
    ----------
    result : DustResult
        The check.

    Returns
    -------
    str
        A sentence; empty without an earlier check.
    """
    if not any(one.since is not None for one in result.shadows) and not result.gone:
        if result.compared_with is None:
            return ""
        return f"Since {day(result.compared_with)}: nothing new, nothing gone."
    counts = {
        name: sum(one.since == name for one in result.shadows)
        for name in ("new", "still there", "cannot tell")
    }
    sure = sum(one.sure for one in result.gone)
    parts = [f"{counts['new']} new", f"{counts['still there']} still there", f"{sure} gone"]
    said = f"Since {day(result.compared_with)}: {listed(parts)}"
    if counts["cannot tell"]:
        said += f"; of {counts['cannot tell']} it cannot be told whether they are new"
    unsure = len(result.gone) - sure
    if unsure:
        said += f"; {unsure} that were faint are not found now, but may still be there"
    return said + "."


def day(moment: str | None) -> str:
    """Return the day of a moment.

    Parameters
    ----------
    moment : str or None
        ISO 8601.

    Returns
    -------
    str
        "2026-03-01", or "the last check".
    """
    return plain_text(moment[:10]) if moment else "the last check"
