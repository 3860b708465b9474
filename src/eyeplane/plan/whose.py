"""Which numbers of a plan are the photographer's own, and which are usual ones."""

from collections.abc import Sequence

from eyeplane.plan.words import listed
from eyeplane.records import PlanHand, PlanKit, PlanSitter


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
    (left if kit.glass_um is None else own).append("the glass")
    left += usual
    said = [f"Your own numbers: {listed(own)}."] if own else []
    if left:
        said.append(f"Usual numbers, not yours: {listed(left)}. Measured sittings replace them.")
    return tuple(said)
