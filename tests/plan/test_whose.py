"""What is the photographer's own is never called usual, nor the other way about."""

from dataclasses import replace

from eyeplane.plan.whose import glass_left_out, whose_numbers
from eyeplane.records import Measured, PlanHand, PlanKit, PlanSitter

KIT = PlanKit(focal_length_mm=85.0)
OWN = Measured(value=4.0, low=2.0, high=9.0)


def said(kit: PlanKit, hand: PlanHand, sitter: PlanSitter) -> tuple[str, ...]:
    return whose_numbers(kit, hand, sitter, moves="how they move", usual=["grain by ISO"])


def test_all_are_usual_unless_something_is_known() -> None:
    assert said(KIT, PlanHand(), PlanSitter()) == (
        "Usual numbers, not yours: where autofocus lands, the shake and how they move. Measured "
        "sittings replace them.",
        "As usual too, and not learned from sittings: the glass and grain by ISO.",
    )


def test_glass_that_was_typed_is_yours_and_not_learned() -> None:
    own, *usual = said(replace(KIT, glass_um=2.0), PlanHand(), PlanSitter())
    assert own == "Your own numbers: the glass."
    assert "the glass" not in " ".join(usual)


def test_numbers_of_kit_hand_and_sitter_are_yours() -> None:
    kit = replace(KIT, focus_spread_mm=OWN)
    hand, sitter = PlanHand(shake_deg_per_s=OWN), PlanSitter(speed_mm_per_s=OWN)
    assert said(kit, hand, sitter)[0] == (
        "Your own numbers: where autofocus lands, the shake and how they move."
    )


def test_on_a_tripod_nobody_shakes() -> None:
    assert "the shake" not in " ".join(said(KIT, PlanHand(support="tripod"), PlanSitter()))


def test_where_nothing_is_usual_nothing_is_said_to_be() -> None:
    own = whose_numbers(
        replace(KIT, focus_bias_mm=OWN, glass_um=0.0),
        PlanHand(shake_deg_per_s=OWN),
        PlanSitter(speed_mm_per_s=OWN),
        moves="how they move",
    )
    assert len(own) == 1
    assert own[0].startswith("Your own numbers: where autofocus lands")


def test_unsure_glass_is_said_where_an_interval_leaves_it_out() -> None:
    (told,) = glass_left_out(KIT, 1.4, "this lean-in")
    assert "this lean-in takes it as usual" in told
    assert glass_left_out(KIT, 2.8, "this lean-in") == ()
    assert glass_left_out(replace(KIT, glass_um=2.0), 1.4, "this lean-in") == ()
    ranged = replace(KIT, glass_um=2.0, glass_range_um=(0.5, 3.0))
    (told,) = glass_left_out(ranged, 1.4, "this table")
    assert "this table takes the middle of its range" in told
