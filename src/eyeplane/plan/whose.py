"""Which numbers of a plan are the photographer's own, and which are usual ones."""

from collections.abc import Sequence

from eyeplane.plan.words import listed
from eyeplane.records import PlanHand, PlanKit, PlanSitter

WIDE_STOPS = 2.0  # from wide open on, usual glass is known well enough beside all else; our own


def whose_numbers(
    kit: PlanKit, hand: PlanHand, sitter: PlanSitter, *, moves: str, usual: Sequence[str] = ()
) -> tuple[str, ...]:
    """Return which numbers are the photographer's own, typed or learned, and which are not.

    Parameters
    ----------
    kit, hand, sitter : records
        Of the request.
    moves : str
        What the speed of the sitters is called.
    usual : sequence of str
        What is a usual number in any case.

    Returns
    -------
    tuple of str
        Sentences. A tripod's shake is nobody's.
    """
    numbers = {"where autofocus lands": kit.focus_bias_mm or kit.focus_spread_mm}
    if hand.support != "tripod":
        numbers["the shake"] = hand.shake_deg_per_s
    numbers[moves] = sitter.speed_mm_per_s
    own = [name for name, number in numbers.items() if number is not None]
    left = [name for name, number in numbers.items() if number is None]
    fixed = list(usual)
    if kit.glass_um is None:
        fixed.insert(0, "the glass")
    else:
        own.append("the glass")
    said = [f"Your own numbers: {listed(own)}."] if own else []
    if left:
        said.append(f"Usual numbers, not yours: {listed(left)}. Measured sittings replace them.")
    if fixed:
        said.append(f"As usual too, and not learned from sittings: {listed(fixed)}.")
    return tuple(said)


def glass_left_out(kit: PlanKit, f_number: float, where: str) -> tuple[str, ...]:
    """Return that an interval leaves out how good the glass is, where that counts.

    Parameters
    ----------
    kit : PlanKit
        With usual glass or its own.
    f_number : float
        The widest aperture that is used.
    where : str
        What the interval is of: "this lean-in", "this table".

    Returns
    -------
    tuple of str
        A sentence within `WIDE_STOPS` of the widest aperture of usual glass, or of glass known
        within an interval; else none.
    """
    ranged = kit.glass_range_um is not None or kit.glass_wide_range_um is not None
    known = kit.glass_um is not None and not ranged
    if known or f_number >= kit.widest_f_number * 2.0 ** (WIDE_STOPS / 2):
        return ()
    taken = "takes the middle of its range" if ranged else "takes it as usual"
    return (
        f"Wide open the glass decides, and {where} {taken}: the ranges would be wider "
        "than they are told. A plan for one sitter at the same aperture has it in.",
    )
