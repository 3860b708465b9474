"""What sittings taught quietly, put into a plan where nobody said otherwise."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from eyeplane.asked.names import quoted
from eyeplane.asked.plan_given import Given
from eyeplane.errors import InputError, StoreError
from eyeplane.records import Measured, from_plain
from eyeplane.records.lessons import (
    LEARN_VERSION,
    LearnedCounts,
    LearnedFocus,
    LearnedNumbers,
    LearnedShake,
    LearnedSitter,
)
from eyeplane.records.said import listed

if TYPE_CHECKING:
    from eyeplane.asked.plan_values import PlanOption

STABILISED = {"on": "stabiliser on", "off": "stabiliser off", "tripod": "", "": ""}


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What is known before a plan is made.

    Attributes
    ----------
    numbers : LearnedNumbers or None
        What all sittings taught; None: nothing, or it is to be left out.
    said : tuple of str
        Why it could not be used, a sentence; empty if it could.
    """

    numbers: LearnedNumbers | None = None
    said: tuple[str, ...] = ()

    def has_kit(self, name: str | None) -> bool:
        """Return whether sittings taught anything of a kit.

        Parameters
        ----------
        name : str or None
            As typed.

        Returns
        -------
        bool
            False without a name.
        """
        return bool(name and self.numbers and any(_is(name, one) for one in _kits(self.numbers)))

    def has_sitter(self, name: str | None) -> bool:
        """Return whether somebody labelled so has sat.

        Parameters
        ----------
        name : str or None
            A label.

        Returns
        -------
        bool
            False without a name.
        """
        return name is not None and _kind_of(self.numbers, name) is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """Whom and what a plan names.

    Attributes
    ----------
    kit, client, sitter_label, focus_setting : str or None
        As typed.
    """

    kit: str | None = None
    client: str | None = None
    sitter_label: str | None = None
    focus_setting: str | None = None


def read_known(store: Path | None) -> Known:
    """Return what sittings taught.

    Parameters
    ----------
    store : Path or None
        The store; None: the photographer's own. Neither made nor changed if all is up to date.

    Returns
    -------
    Known
        With a sentence instead of the numbers where the store cannot be read: a plan can do
        without them.
    """
    from eyeplane.store import default_store_path, read_learned  # noqa: PLC0415  as late as possible

    path = store or default_store_path()
    try:
        kept = read_learned(path)
        if kept is None:
            return Known()
        if kept.stale or kept.numbers.get("version") != LEARN_VERSION:
            return Known(numbers=_learn_anew(path))
        return Known(numbers=from_plain(LearnedNumbers, kept.numbers))
    except (StoreError, KeyError, TypeError, ValueError) as error:
        what = str(error).rstrip(".") if isinstance(error, StoreError) else "it is damaged"
        return Known(said=(f"Planned without what your sittings taught: {what}.",))


def with_known(given: Given, known: Known, named: Named) -> tuple[Given, tuple[str, ...]]:
    """Return a plan's options with what sittings taught, where nobody said otherwise.

    Parameters
    ----------
    given : Given
        What was typed, recalled and assumed.
    known : Known
        What sittings taught.
    named : Named
        The kit and the sitter that are meant.

    Returns
    -------
    Given
        With "shake", "focus-bias", "focus-spread" and "sitter-speed" where they are known.
    tuple of str
        What was taken, a line for each.

    Raises
    ------
    InputError
        If nobody labelled so has sat yet.

    Notes
    -----
    What was typed or is remembered comes first. The kit is the one that is named; if none is, the
    only one there is; else shake is as with any of your lenses, and focus is left open. Focus is
    as with the way of setting it that is named, if that was learned apart. The sitter is by the
    label typed; else by the client's name or by who sits, if that is a label; if nothing was said
    of who sits, whoever sat so far.
    """
    numbers = known.numbers
    if named.sitter_label is not None and not known.has_sitter(named.sitter_label):
        raise _nobody(numbers, named.sitter_label)
    if numbers is None:
        return given, known.said
    texts: dict[str, str] = {}
    said = list(known.said)
    for found, line in (
        _shake(given, numbers, named.kit),
        _focus(given, numbers, named),
        _sitter(given, numbers, named),
    ):
        texts |= found
        said += [line] if line else []
    return _filled(given, texts), tuple(said)


def typed_text(measured: Measured, unit: str, least_value: float | None = None) -> str:
    """Return a number with its interval as it could have been typed, to three figures.

    Parameters
    ----------
    measured : Measured
        The number.
    unit : str
        Its unit.
    least_value : float or None
        Smallest value an option takes.

    Returns
    -------
    str
        Such as "0.5 deg/s (0.1 to 2)".

    Examples
    --------
    >>> typed_text(Measured(value=0.5, low=0.1, high=2.0), "deg/s")
    '0.5 deg/s (0.1 to 2)'
    """
    low, value, high = (
        v if least_value is None else max(v, least_value)
        for v in (measured.low, measured.value, measured.high)
    )
    return f"{value:.3g} {unit} ({low:.3g} to {high:.3g})"


def _learn_anew(path: Path) -> LearnedNumbers:
    """Work the numbers out: the run that changed the lessons was stopped before it could."""
    from eyeplane.sitting.lessons import refresh_learned  # noqa: PLC0415  loads all the fits
    from eyeplane.store import Lessons  # noqa: PLC0415  likewise

    with Lessons(path) as store:
        return refresh_learned(store)


def _filled(given: Given, texts: dict[str, str]) -> Given:
    options: dict[str, PlanOption] = {option.name: option for option in given.table}
    values, sources = dict(given.values), dict(given.sources)
    for name, text in texts.items():
        values[name], sources[name] = options[name].typed(text), "learned"
    return replace(given, values=values, sources=sources)


def _open(given: Given, *names: str) -> list[str]:
    """Return which of the options a plan has and nobody said anything of."""
    return [
        option.name
        for option in given.table
        if option.name in names and not given.was_said(option.name)
    ]


def _usable(given: Given, texts: dict[str, str]) -> dict[str, str]:
    """Return the texts that their options take: a learned number may lie beyond all bounds."""
    options = {option.name: option for option in given.table}
    usable = {}
    for name, text in texts.items():
        try:
            options[name].typed(text)
        except ValueError:
            continue
        usable[name] = text
    return usable


def _said(counts: LearnedCounts, of: str, texts: dict[str, str]) -> str:
    if not texts:
        return ""
    frames = f"{counts.frames} frame{'s' * (counts.frames != 1)}"
    sittings = f"{counts.sittings} sitting{'s' * (counts.sittings != 1)}"
    rounded = round(counts.weight)
    weight = f", counting for {rounded}" if rounded < counts.frames else ""
    options = ", ".join(f"--{name} '{text}'" for name, text in texts.items())
    return f"Learned from {frames} of {sittings}{weight} ({of}): {options}."


def _shake(given: Given, numbers: LearnedNumbers, kit: str | None) -> tuple[dict[str, str], str]:
    free = _open(given, "shake")
    if not free or given.was_said("steadiness") or given.on("tripod"):
        return {}, ""
    if numbers.any_shake is None:
        return {}, ""
    own = [one for one in numbers.shake if kit is None or _is(kit, one)]
    pooled = not own or (kit is None and len({one.kit for one in own}) > 1)
    told = _fitting(given, numbers.shake if pooled else own, pooled=pooled)
    if not told:
        return {}, _other_state(given, numbers.shake if pooled else own, kit if own else None)
    one = numbers.any_shake if pooled else told[0]
    parts = [one.kit or ("another lens, by those measured" if kit else "whichever of your lenses")]
    states = {STABILISED[each.stabiliser] for each in (told if pooled else [one])}
    some = " in some" if len(states) > 1 else ""
    parts += [f"{state}{some}" for state in sorted(states, reverse=True) if state]
    # What was learned holds the stabiliser as it was then: the stops are not taken off again.
    parts += ["--stabiliser is in it"] if given.sure("stabiliser") > 0 else []
    texts = _usable(given, {"shake": typed_text(one.exposures_deg_per_s, "deg/s")})
    return texts, _said(one.counts, ", ".join(parts), texts)


def _fitting(
    given: Given, shakes: Sequence[LearnedShake], *, pooled: bool
) -> Sequence[LearnedShake]:
    """Return the shakes that were learned as the plan sets the stabiliser, if it says so.

    Of several kits together none may be of the other state: it is in their common number.
    """
    if not given.was_said("stabiliser"):
        return shakes
    wanted = "on" if given.sure("stabiliser") > 0 else "off"
    fit = [one for one in shakes if one.stabiliser == wanted]
    fit += [one for one in shakes if not one.stabiliser]
    return () if pooled and len(fit) < len(shakes) else fit


def _other_state(given: Given, shakes: Sequence[LearnedShake], kit: str | None) -> str:
    state = "off" if given.sure("stabiliser") > 0 else "on"
    alone = all(one.stabiliser == state for one in shakes)
    whose = f" with '{kit}'" if kit else ""
    how = f"only with the stabiliser {state}" if alone else f"with the stabiliser {state} as well"
    return f"Your shake{whose} is learned {how}: left out."


def _focus(given: Given, numbers: LearnedNumbers, named: Named) -> tuple[dict[str, str], str]:
    free = _open(given, "focus-bias", "focus-spread")
    whole: dict[str, LearnedFocus] = {}
    for one in numbers.focus:
        whole.setdefault(one.kit, one)
    own = [one for one in whole.values() if named.kit is None or _is(named.kit, one)]
    if not free or not own:
        return {}, ""
    if len(own) > 1:
        names = listed([f"'{one.kit}'" for one in own])
        return {}, f"The focus of {len(own)} kits is learned; name the one you take: --kit {names}."
    taken, how = _set_so(numbers, own[0], named.focus_setting)
    texts = {
        "focus-bias": typed_text(taken.bias_mm, "mm"),
        "focus-spread": typed_text(taken.spread_mm, "mm", least_value=0.1),
    }
    texts = _usable(given, {name: text for name, text in texts.items() if name in free})
    parts = [taken.kit, *how]
    if taken.aside:
        parts.append(f"{taken.aside} far off {'is' if taken.aside == 1 else 'are'} left out")
    return texts, _said(taken.counts, ", ".join(parts), texts)


def _set_so(
    numbers: LearnedNumbers, whole: LearnedFocus, setting: str | None
) -> tuple[LearnedFocus, list[str]]:
    """Return a kit's focus as it is set, else in any way, and words on it."""
    if setting is None:
        return whole, []
    for one in numbers.focus:
        if one.kit == whole.kit and one.setting and _key(one.setting) == _key(setting):
            return one, [f"set by '{one.setting}'"]
    return whole, [f"set in any way: {quoted(setting)} is not learned apart"]


def _sitter(given: Given, numbers: LearnedNumbers, named: Named) -> tuple[dict[str, str], str]:
    if not _open(given, "sitter-speed"):
        return {}, ""
    one = _sitter_of(given, numbers, named)
    if one is None:
        return {}, ""
    only = len(numbers.sitters) == 1
    of = f"'{one.sitter}'" if one.sitter else "whoever sat" if only else "whoever sits"
    texts = _usable(given, {"sitter-speed": typed_text(one.exposures_mm_per_s, "mm/s")})
    return texts, _said(one.counts, of, texts)


def _sitter_of(given: Given, numbers: LearnedNumbers, named: Named) -> LearnedSitter | None:
    mood = given.was_said("mood")
    who = None if mood else given.values["who"].text  # assumed too: 'adult' may be a label
    for label in (named.sitter_label, named.client, who):
        found = None if label is None else _kind_of(numbers, label)
        if found is not None:
            return found
    if mood or given.was_said("who"):
        return None
    return numbers.sitters[0] if len(numbers.sitters) == 1 else numbers.any_sitter


def _kind_of(numbers: LearnedNumbers | None, label: str) -> LearnedSitter | None:
    if numbers is None:
        return None
    return next(
        (one for one in numbers.sitters if one.sitter and _key(one.sitter) == _key(label)), None
    )


def _nobody(numbers: LearnedNumbers | None, label: str) -> InputError:
    known = [] if numbers is None else sorted(one.sitter for one in numbers.sitters if one.sitter)
    hint = "Label a sitting: eyeplane learned label FOLDER --sitter 'child 3'"
    if known:
        names = listed([f"'{one}'" for one in known])
        hint = f"Known are {names}; label more with eyeplane learned label"
    return InputError(
        f"no sitting that taught anything is labelled {quoted(label)}",
        where="--sitter-label",
        hint=hint,
    )


def _kits(numbers: LearnedNumbers) -> Sequence[Any]:
    return (*numbers.shake, *numbers.focus)


def _is(name: str, one: LearnedShake | LearnedFocus) -> bool:
    return _key(name) in {_key(known) for known in (one.kit, *one.names)}


def _key(name: str) -> str:
    from eyeplane.store.remembered import name_key  # noqa: PLC0415  loaded by now

    return name_key(name)
