"""What limits an answer about two kits, in words."""

from collections.abc import Sequence

from eyeplane.kit.against_sides import KitSide, same_lens
from eyeplane.light.camera_words import f_stop
from eyeplane.records.kit_against import AgainstWay
from eyeplane.records.said import THIN

SHAPE_RATIO = 1.02  # of long over short side: nearer than this, frames have one shape


def kit_notes(a: KitSide, b: KitSide, ways: Sequence[AgainstWay]) -> tuple[str, ...]:
    """Return what limits an answer.

    Parameters
    ----------
    a, b : KitSide
        The two kits.
    ways : sequence of AgainstWay
        How they were used.

    Returns
    -------
    tuple of str
        Sentences, the weightiest first.
    """
    return (*_lenses(a, b), *_lights(a, b, ways), *_shapes(a, b))


def _lenses(a: KitSide, b: KitSide) -> list[str]:
    usual = [name for name, side in (("A", a), ("B", b)) if side.source == "usual"]
    said = []
    if len(usual) == 2 and same_lens(a, b):
        said.append(
            "Neither lens was measured and nothing tells them apart, so both are taken for usual "
            "ones of one kind: the difference is that of the bodies"
        )
    elif usual:
        whose = "either lens" if len(usual) == 2 else f"{usual[0]}'s lens"
        said.append(
            f"Nothing is known of {whose}: a usual one is taken, and those differ by half "
            "either way. A chart shot with it (eyeplane kit chart) narrows the ranges most"
        )
    for name, side in (("A", a), ("B", b)):
        if side.glass:
            widest, smallest = side.f_numbers
            shot = f"{f_stop(widest)} to {f_stop(smallest)}" if smallest > widest else "one"
            said.append(
                f"{name}'s lens is looked at from {shot}, as its chart was shot"
                if smallest > widest
                else f"{name}'s chart was shot at {f_stop(widest)} alone, and at no other "
                "aperture is it looked at"
            )
    return [f"{one}." for one in said]


def _lights(a: KitSide, b: KitSide, ways: Sequence[AgainstWay]) -> list[str]:
    said = []
    first = ways[0]
    for name, side, iso in (("A", a, first.a_iso), ("B", b, first.b_iso)):
        if iso is not None and iso > side.kit.highest_iso * 1.01:
            said.append(
                f"This light asks for ISO{THIN}{iso:.0f} of {name}, beyond its limit of "
                f"{side.kit.highest_iso:.0f}."
            )
    return said


def _shapes(a: KitSide, b: KitSide) -> list[str]:
    ratios = [
        max(side.kit.long_edge_px, side.kit.short_edge_px)
        / min(side.kit.long_edge_px, side.kit.short_edge_px)
        for side in (a, b)
    ]
    if max(ratios) / min(ratios) < SHAPE_RATIO:
        return []
    return [
        "Their frames differ in shape: reaches are told for the whole long edge of each, prints "
        "for frames cut to the print's shape."
    ]
