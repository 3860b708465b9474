"""The sentence a photographer reads, and the one thing to change: made from numbers, here only."""

import math
from collections.abc import Callable

from eyeplane.diagnose import words
from eyeplane.diagnose.facts import Facts
from eyeplane.records import Cause

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
    plural = len(facts.closed) > 1
    return f"{names} {'have' if plural else 'has'} closed eyes, a blink."


def _more_frames(facts: Facts) -> str:
    """Return how many frames to take.

    For a group under 20, people / 3 (Svenson and Barnes, CSIRO, 2006).
    """
    count = max(math.ceil(facts.sitters / 3), 1)
    return f"Take {words.count_word(count)} more frame{'s' if count > 1 else ''}."


def _holds(facts: Facts) -> tuple[str, ...]:
    """Return what the frame holds: the promised print first, if there is one."""
    reach, promised = facts.reach_cm, facts.print_cm
    if reach is None:
        return ()
    wall = _wall(facts)
    if promised is None:
        return wall, words.sentence_case(f"{_subject(facts)} {_range(facts, 'holds')}") + "."
    goal = words.print_cm(promised)
    if reach.low >= promised:
        return wall, f"Holds the {goal} print."
    if reach.value >= promised:
        return wall, f"Should hold the {goal} print: {_subject(facts)} {_range(facts, 'holds')}."
    if reach.high >= promised:
        return wall, f"May not hold the {goal} print: {_subject(facts)} {_range(facts, 'holds')}."
    if facts.sitters > 1:
        held = f"{words.sentence_case(words.count_word(facts.holding))} of {facts.sitters} hold"
        if facts.holding == 1:
            held += "s"
        return wall, f"{held} the {goal} print; {_subject(facts)} holds {_at_most(facts)}."
    return wall, f"Does not hold the {goal} print: {_at_most(facts)}."


def _wall(facts: Facts) -> str:
    """Return the answer for the wall, where that was asked."""
    if facts.viewing_cm is not None:
        return ""
    answers = {
        True: "Sharp on the wall, seen from 1.5 times the print's diagonal.",
        False: "Not sharp on the wall, even from 1.5 times the print's diagonal.",
        None: "Whether it is sharp on the wall, from 1.5 times the diagonal, cannot be told.",
    }
    near = f"At 50{words.THIN}cm:"
    return f"{answers[facts.diagonal]} {near}"


def _subject(facts: Facts) -> str:
    if facts.eye_shut:
        return "the lashes" if facts.sitters == 1 else f"the lashes of {facts.who}"
    return facts.who


def _at_most(facts: Facts) -> str:
    value = 0.0 if facts.reach_cm is None else facts.reach_cm.value
    said = words.cm(value)
    return said if said.startswith("under") else f"{said} at most"


def _range(facts: Facts, verb: str) -> str:
    """Return the reach, as two numbers where its interval is wide."""
    reach = facts.reach_cm
    if reach is None:
        return f"{verb} cannot be told"
    low, high = words.whole_reach_cm(reach.low), words.whole_reach_cm(reach.high)
    if reach.high > WIDE * reach.low and low != high:
        return f"{verb} {max(low, 0)} to {high}{words.THIN}cm"
    return f"{verb} {words.cm(reach.value)}"


def _others_untold(facts: Facts) -> str:
    if not facts.untold:
        return ""
    return f"How sharp {words.listed(facts.untold)} {'is' if len(facts.untold) == 1 else 'are'} cannot be told."


def _it(facts: Facts) -> str:
    return "that eye" if facts.sitters > 1 else "it"


def _why_focus(facts: Facts) -> str:
    if facts.offset_mm is not None and facts.side:
        return f"Focus lay {words.mm(facts.offset_mm.value)} {facts.side} {_it(facts)}."
    if facts.size_mm is not None:
        return (
            f"Focus lay {words.mm(facts.size_mm.value)} off, "
            "in front of it or behind it: which cannot be told."
        )
    if facts.side:
        return f"Focus lay {facts.side} {_it(facts)}; how far cannot be told: {facts.offset_why}."
    return f"Focus missed {_it(facts)}; by how much cannot be told: {facts.offset_why}."


def _why_depth(facts: Facts) -> str:
    if facts.other:
        return f"The depth of field holds {facts.other}, but does not reach {_it(facts)}."
    if facts.far_reach_cm is None:
        return ""
    apart = "" if facts.far_depth_mm is None else f", {words.mm(facts.far_depth_mm)} farther back,"
    return f"The far eye{apart} holds {words.cm(facts.far_reach_cm)}."


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
    del facts
    return "It is as sharp as these pixels can show."


def _why_none(facts: Facts) -> str:
    if facts.print_cm is not None:
        return _why_depth(facts) if facts.far_reach_cm is not None else ""
    return "Focus is right."


def _why_untold(facts: Facts) -> str:
    if facts.undecided:
        return f"Whether {facts.undecided} softens it cannot be told."
    return "What softens it cannot be told."


def _advice_focus(facts: Facts) -> str:
    iris = "Focus on the iris"
    return f"{iris}." if facts.stop is None else f"{iris}, or close to {words.f_stop(facts.stop)}."


def _advice_depth(facts: Facts) -> str:
    if facts.other:
        if facts.stop is not None:
            return f"{words.f_stop(facts.stop)} would have held both."
        return "Bring the rows closer together in depth."
    if facts.stop is not None:
        return f"Turn the face to the camera, or close to {words.f_stop(facts.stop)} for both eyes."
    return "Turn the face to the camera."


def _advice_shake(facts: Facts) -> str:
    if facts.hold_time_s is not None:
        return f"{words.shutter(facts.hold_time_s)} would have held it."
    if facts.hold_factor is not None and facts.time_s is None:
        return f"A shutter time {facts.hold_factor} times shorter would have held it."
    return "Use a tripod."


def _advice_sitter(facts: Facts) -> str:
    if facts.hold_time_s is not None:
        return f"Use {words.shutter(facts.hold_time_s)}."
    if facts.hold_factor is not None and facts.time_s is None:
        return f"Use a shutter time {facts.hold_factor} times shorter."
    return "Wait until the sitter is still."


def _advice_motion(facts: Facts) -> str:
    said = _advice_sitter(facts)
    return said if said.startswith("Use") else "Use a much shorter shutter time."


def _advice_noise(facts: Facts) -> str:
    if facts.hold_iso is None or facts.iso is None:
        return "Give it more light."
    return f"Give it more light: ISO {facts.hold_iso:.0f} instead of {facts.iso:.0f}."


def _advice_glass(facts: Facts) -> str:
    if facts.small_stop:
        return "Open the aperture."
    return "Look at the front element."


def _advice_pixels(facts: Facts) -> str:
    value = 0.0 if facts.reach_cm is None else facts.reach_cm.value
    return f"Promise {words.cm(value)} at most."


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
