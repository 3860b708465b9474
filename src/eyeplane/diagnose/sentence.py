"""The sentence a photographer reads, and the one thing to change: made from numbers, here only."""

import math
from collections.abc import Callable

from eyeplane.diagnose import words
from eyeplane.diagnose.facts import Facts
from eyeplane.diagnose.offset import SIDE_UNKNOWN
from eyeplane.records import Cause

HIDDEN = "No blur shows there, but a little may hide."
WIDE = 1.5  # an interval whose ends differ by more than this factor is said as two numbers


def sentence(facts: Facts) -> tuple[str, str]:
    """Return what holds and why, and the one thing to change.

    Parameters
    ----------
    facts : Facts
        Numbers and names of the deciding face.

    Returns
    -------
    said : str
        One to three short sentences.
    advice : str
        One sentence, or empty if nothing need be changed or nothing helps for sure.
    """
    if facts.reach_cm is None:
        return _untold(facts)
    parts = (_eyes(facts), *_holds(facts), WHY[facts.cause](facts), _others_untold(facts))
    said = " ".join(p for p in parts if p)
    if facts.closed:
        return said, _more_frames(facts)
    return said, ADVICE[facts.cause](facts)


def _untold(facts: Facts) -> tuple[str, str]:
    if facts.closed:
        return _eyes(facts), _more_frames(facts)
    where = "" if facts.sitters == 1 else f" of {facts.who}"
    eye = facts.who if facts.sitters == 1 else "near eye"
    article = "" if eye.startswith("the ") else "the "
    return f"How sharp {article}{eye}{where} is cannot be told: too little texture there.", ""


def _eyes(facts: Facts) -> str:
    """Return who blinked; that is a blink, not softness."""
    if not facts.closed:
        return ""
    names = words.sentence_case(words.listed(facts.closed))
    if facts.sitters == 1:
        plural = facts.closed[0].startswith("both")
        return f"{names} {'are' if plural else 'is'} closed, a blink."
    return f"{names} {'blink' if len(facts.closed) > 1 else 'blinks'}."


def _more_frames(facts: Facts) -> str:
    """Return how many frames to take.

    For a group under 20, people / 3 (Svenson and Barnes, CSIRO, 2006).
    """
    count = max(math.ceil(facts.sitters / 3), 1)
    return f"Take {words.count_word(count)} more frame{'s' if count > 1 else ''}."


def _holds(facts: Facts) -> tuple[str, ...]:
    """Return what the frame holds: the promised print first, if there is one."""
    if facts.print_cm is None:
        least = f", least of {words.count_word(facts.sitters)}" if facts.sitters > 1 else ""
        said = f"{_subject(facts)} {_range(facts)}{least}."
        if facts.viewing_cm is None:
            return _wall(facts), f"At 50{words.THIN}cm {_with_article(said)}"
        return (words.sentence_case(said),)
    return (_wall(facts), _promised(facts, facts.print_cm))


def _promised(facts: Facts, promised_cm: float) -> str:
    """Return whether the promised print is held, and how surely."""
    reach, goal = facts.reach_cm, words.print_cm(promised_cm)
    if reach is None or reach.low >= promised_cm:
        return f"Holds the {goal} print."
    if reach.high >= promised_cm:
        opening = "Should hold" if reach.value >= promised_cm else "May not hold"
        return f"{opening} the {goal} print: {_with_article(_subject(facts))} {_range(facts, 1.0)}."
    if facts.sitters == 1:
        return f"Does not hold the {goal} print: {_with_article(_subject(facts))} {_range(facts)}."
    face = f"{_subject(facts)} {_range(facts)}"
    if facts.untold:
        return f"Does not hold the {goal} print: {face}."
    return f"{_how_many(facts)} the {goal} print; {face}."


def _how_many(facts: Facts) -> str:
    """Return how many of a group hold a print, with the verb."""
    if facts.holding:
        count, verb = words.count_word(facts.holding), "hold" if facts.holding > 1 else "holds"
        return f"{words.sentence_case(count)} of {words.count_word(facts.sitters)} {verb}"
    return (
        "Neither holds"
        if facts.sitters == 2
        else f"None of {words.count_word(facts.sitters)} holds"
    )


def _wall(facts: Facts) -> str:
    """Return the answer for the wall, where that was asked."""
    if facts.viewing_cm is not None:
        return ""
    answers = {
        True: "Sharp on the wall, seen from 1.5 times the print's diagonal.",
        False: "Not sharp on the wall, even from 1.5 times the print's diagonal.",
        None: "Whether it is sharp on the wall, from 1.5 times the diagonal, cannot be told.",
    }
    return answers[facts.diagonal]


def _subject(facts: Facts) -> str:
    if facts.eye_shut:
        return "the lashes" if facts.sitters == 1 else f"the lashes of {facts.who}"
    return facts.who


def _verb(facts: Facts) -> str:
    return "hold" if facts.eye_shut else "holds"


def _with_article(subject: str) -> str:
    return f"the {subject}" if subject.startswith("near eye") else subject


def _range(facts: Facts, wide: float = WIDE) -> str:
    """Return the reach with its verb, as two numbers where the interval is wide."""
    reach, verb = facts.reach_cm, _verb(facts)
    if reach is None:
        return f"{verb} what cannot be told"
    low, high = words.whole_reach_cm(reach.low), words.whole_reach_cm(reach.high)
    if low < 1 <= high:
        return f"{verb} {high}{words.THIN}cm at most"
    if reach.high > wide * reach.low and low != high:
        return f"{verb} {low} to {high}{words.THIN}cm"
    return f"{verb} {words.cm(reach.value)}"


def _others_untold(facts: Facts) -> str:
    if not facts.untold:
        return ""
    verb = "is" if len(facts.untold) == 1 else "are"
    return f"How sharp {words.listed(facts.untold)} {verb} cannot be told."


def _it(facts: Facts) -> str:
    """Return the eye as a later sentence names it: what came before named it or its face."""
    if facts.sitters > 1:
        return "its near eye"
    surely = facts.reach_cm is not None and facts.reach_cm.low >= (facts.print_cm or math.inf)
    return _with_article(facts.who) if surely or facts.eye_shut else "it"


def _why_focus(facts: Facts) -> str:
    eye = _it(facts)
    if facts.offset_mm is not None and facts.side:
        return f"Focus lay {words.mm(facts.offset_mm.value)} {facts.side} {eye}."
    if facts.size_mm is not None:
        size = words.mm(facts.size_mm.value)
        return f"Focus lay {size} in front of {eye} or behind it: which cannot be told."
    if facts.side:
        return f"Focus lay {facts.side} {eye}; how far cannot be told: {facts.offset_why}."
    if facts.offset_why == SIDE_UNKNOWN:
        return f"Focus missed {eye}: {facts.offset_why}."
    return f"Focus missed {eye}; which way and how far cannot be told: {facts.offset_why}."


def _why_depth(facts: Facts) -> str:
    if facts.others:
        return f"The depth of field does not reach it: {_sharp_others(facts)} sharper."
    if facts.far_reach_cm is None:
        return ""
    apart = "" if facts.far_depth_mm is None else f", {words.mm(facts.far_depth_mm)} farther back,"
    return f"The far eye{apart} holds {words.cm(facts.far_reach_cm)}."


def _sharp_others(facts: Facts) -> str:
    """Return the sharp faces with the verb: by name if it is one, else how many."""
    if len(facts.others) == 1:
        return f"{facts.others[0]} is"
    return f"{words.count_word(len(facts.others))} faces are"


def _for(facts: Facts) -> str:
    """Return for which print a remedy is meant, unless that was just said."""
    if facts.print_cm is not None or facts.goal_cm is None:
        return ""
    return f" for {words.cm(facts.goal_cm)}"


def _held(facts: Facts) -> str:
    if facts.print_cm is not None or facts.goal_cm is None:
        return "it"
    return words.cm(facts.goal_cm)


def _length(facts: Facts) -> str:
    """Return the motion's length on the sensor, or in pixels without a pitch."""
    if facts.motion_um is not None:
        return f"{words.um(facts.motion_um.value)} on the sensor"
    return "" if facts.motion_px is None else words.px(facts.motion_px.value)


def _way(facts: Facts) -> str:
    return "" if facts.angle_deg is None else f", {words.direction(facts.angle_deg)}"


def _why_shake(facts: Facts) -> str:
    return f"You shook{_way(facts)}: {_length(facts)}."


def _why_sitter(facts: Facts) -> str:
    length = "" if facts.motion_mm is None else f" {words.mm(facts.motion_mm.value)}"
    during = "" if facts.time_s is None else f", during {words.shutter(facts.time_s)}"
    return f"The sitter moved{length}{_way(facts)}{during}."


def _why_motion(facts: Facts) -> str:
    length = f", {words.px(facts.motion_px.value)}" if facts.motion_px is not None else ""
    return f"Something moved{length}{_way(facts)}; whose motion it was cannot be told."


def _why_noise(facts: Facts) -> str:
    without = facts.reach_without_noise_cm
    if without is None:
        return "Grain costs the most."
    return f"Grain costs the most: without it {words.cm(without)}."


def _why_glass(facts: Facts) -> str:
    if facts.small_stop and facts.f_number is not None:
        return f"{words.f_stop(facts.f_number)} is so small an aperture that it softens everything."
    return "Face and background are soft alike; no focus plane explains it."


def _why_pixels(facts: Facts) -> str:
    if _wide(facts):
        return HIDDEN
    return "It is as sharp as these pixels can show."


def _why_none(facts: Facts) -> str:
    if facts.print_cm is not None:
        return _why_depth(facts) if facts.far_reach_cm is not None else ""
    return HIDDEN if _wide(facts) or facts.doubt else "Focus is right."


def _wide(facts: Facts) -> bool:
    reach = facts.reach_cm
    return reach is not None and reach.high > WIDE * reach.low


def _why_untold(facts: Facts) -> str:
    if facts.undecided == "texture":
        return "Too little texture there to say it closer."
    if facts.undecided and facts.doubt is False:
        return HIDDEN
    if facts.undecided:
        return f"Whether {facts.undecided} softens it cannot be told."
    return "What softens it cannot be told."


def _advice_focus(facts: Facts) -> str:
    if facts.stop is None:
        return "Focus on the iris."
    return f"Focus on the iris, or close to {words.f_stop(facts.stop)}{_for(facts)}."


def _advice_depth(facts: Facts) -> str:
    if facts.others:
        every = "both" if facts.sitters == 2 else "every face"
        if facts.stop is not None:
            return f"{words.f_stop(facts.stop)} would have held {every}{_for(facts)}."
        return "Bring the faces closer together in depth."
    if facts.stop is not None:
        stop = words.f_stop(facts.stop)
        return f"Turn the face to the camera, or close to {stop}{_for(facts)}."
    return "Turn the face to the camera."


def _advice_shake(facts: Facts) -> str:
    if facts.hold_time_s is not None:
        return f"{words.shutter(facts.hold_time_s)} would have held {_held(facts)}."
    if facts.hold_factor is not None and facts.time_s is None:
        return f"A {_times(facts.hold_factor)} shorter shutter time would have held {_held(facts)}."
    return "Use a tripod."


def _times(factor: int) -> str:
    return f"{words.count_word(factor)} times"


def _advice_sitter(facts: Facts) -> str:
    if facts.hold_time_s is not None:
        return f"Use {words.shutter(facts.hold_time_s)}{_for(facts)}."
    if facts.hold_factor is not None and facts.time_s is None:
        return f"Use a {_times(facts.hold_factor)} shorter shutter time{_for(facts)}."
    return "Wait until the sitter is still."


def _advice_motion(facts: Facts) -> str:
    said = _advice_sitter(facts)
    return said if said.startswith("Use") else "Use a much shorter shutter time."


def _advice_noise(facts: Facts) -> str:
    if facts.hold_iso is None or facts.iso is None:
        return "Give it more light."
    change = f"ISO {facts.hold_iso:.0f} instead of {facts.iso:.0f}"
    return f"Give it more light: {change}{_for(facts)}."


def _advice_glass(facts: Facts) -> str:
    if facts.small_stop:
        return "Open the aperture."
    return "Look at the front element."


def _advice_pixels(facts: Facts) -> str:
    """Return what can be promised for sure: the reach's low end."""
    low = 0.0 if facts.reach_cm is None else facts.reach_cm.low
    if words.whole_reach_cm(low) < 1:
        return "Promise no print of this frame."
    more = "" if _wide(facts) else "; only more pixels would hold more"
    return f"Promise {words.cm(low)} at most{more}."


def _nothing(facts: Facts) -> str:
    del facts
    return ""


WHY: dict[Cause, Callable[[Facts], str]] = {
    "focus": _why_focus,
    "depth": _why_depth,
    "shake": _why_shake,
    "sitter": _why_sitter,
    "motion": _why_motion,
    "noise": _why_noise,
    "glass": _why_glass,
    "pixels": _why_pixels,
    "none": _why_none,
    "cannot tell": _why_untold,
}
ADVICE: dict[Cause, Callable[[Facts], str]] = {
    "focus": _advice_focus,
    "depth": _advice_depth,
    "shake": _advice_shake,
    "sitter": _advice_sitter,
    "motion": _advice_motion,
    "noise": _advice_noise,
    "glass": _advice_glass,
    "pixels": _advice_pixels,
    "none": _nothing,
    "cannot tell": _nothing,
}
