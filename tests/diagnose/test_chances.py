"""Chances: settings and evidence together, in order and in rough size; sums; what must not turn."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.diagnose.builders import DEPTHS, LENS, blur, face, focused_face, frame
from tests.diagnose.test_prior import EXPOSURES, shot

from eyeplane.diagnose.case import FaceCase, case_of, sitters
from eyeplane.diagnose.chances import chance_words, chances_of, seen_words
from eyeplane.diagnose.reach import print_view
from eyeplane.records import (
    Blur,
    CauseChance,
    FaceReading,
    FrameReading,
    Learned,
    Measured,
    Viewing,
)

UP = blur("line", 6.0, angle_deg=88.0)
SHARP = blur("none", 0.8)
D8 = blur("disc", 8.0)
UNTOLD = blur("cannot tell", 6.0)


def all_over(one: Blur) -> FaceReading:
    """Return a face blurred alike everywhere."""
    return face(near_blur=one, probes=[(n, d, one) for n, d in DEPTHS.items()])


def cases_of(reading: FrameReading) -> tuple[FaceCase, ...]:
    """Return the faces of a reading, worked out."""
    view = print_view(reading, Viewing())
    return tuple(
        case_of(f, reading, view, sitter=s)
        for f, s in zip(reading.faces, sitters(reading), strict=True)
    )


def chances(reading: FrameReading, learned: Learned | None = None) -> tuple[CauseChance, ...]:
    """Return the chances of the first face."""
    cases = cases_of(reading)
    return chances_of(cases[0], cases, reading, learned or Learned())


def by_cause(reading: FrameReading, learned: Learned | None = None) -> dict[str, float]:
    """Return chances by cause."""
    return {c.cause: c.chance for c in chances(reading, learned)}


BEHIND = focused_face(18.0)
# Settings × evidence, the order that must come out, and bounds for the first one's chance.
TABLE: list[tuple[str, FrameReading, tuple[str, ...], float, float]] = [
    ("cone, 1/250", frame(BEHIND), ("focus",), 0.9, 0.999),
    # A cone at 1/2000 s: shake and sitter are out of the question (measuring).
    ("cone, 1/2000", frame(BEHIND, exposure=shot(1 / 2000, 1.8)), ("focus",), 0.95, 1.0),
    # The same cone at 1/8 s: still focus, but motion is not excluded.
    ("cone, 1/8", frame(BEHIND, exposure=shot(1 / 8, 1.8)), ("focus",), 0.5, 0.99),
    # Line on face and backdrop: yours at 1/60 s, by the settings and the picture.
    (
        "line, 1/60",
        frame(all_over(UP), background=[UP, UP], exposure=shot(1 / 60, 2.8)),
        ("shake", "sitter"),
        0.9,
        0.999,
    ),
    # The backdrop is sharp: the sitter's.
    ("line, still", frame(all_over(UP), background=[SHARP]), ("sitter",), 0.85, 0.999),
    # Nothing to compare with: the two share.
    ("line alone", frame(all_over(UP)), ("sitter", "shake"), 0.4, 0.75),
]


@pytest.mark.parametrize(
    ("name", "reading", "order", "low", "high"), TABLE, ids=[t[0] for t in TABLE]
)
def test_settings_and_evidence_together(
    name: str, reading: FrameReading, order: tuple[str, ...], low: float, high: float
) -> None:
    found = chances(reading)
    assert tuple(c.cause for c in found[: len(order)]) == order, name
    assert low <= found[0].chance <= high, (name, found[0].chance)


def test_the_same_line_is_less_surely_a_shake_the_shorter_the_time() -> None:
    times = (1 / 60, 1 / 250, 1 / 500, 1 / 1000, 1 / 8000)
    found = [
        by_cause(frame(all_over(UP), background=[UP, UP], exposure=shot(t, 1.8)))["shake"]
        for t in times
    ]
    assert found == sorted(found, reverse=True)
    assert found[0] > 0.9
    # 6 px of 4.4 um in 1/8000 s are 142 deg/s: no hand, and no certainty of anything else.
    assert found[-1] < 0.1


def test_odd_exif_leaves_less_certainty() -> None:
    def moved(time_s: float) -> float:
        found = by_cause(frame(all_over(UP), background=[UP, UP], exposure=shot(time_s, 1.8)))
        return found["shake"] + found["sitter"] + found["motion"]

    # What the picture shows is not thrown away, but it is said with less certainty.
    assert 0.5 < moved(1 / 8000) < 0.95 < moved(1 / 60)


def test_flash_alone_makes_shake_less_sure() -> None:
    lit, unlit = (
        by_cause(
            frame(all_over(UP), background=[UP, UP], exposure=shot(1 / 125, 8.0, flash_fired=flash))
        )["shake"]
        for flash in (True, False)
    )
    assert lit < 0.8 < unlit


def test_what_was_learned_moves_a_chance() -> None:
    slow = shot(1 / 60, 2.8)
    reading = frame(all_over(UP), exposure=slow)
    child = Learned(
        sitter_mm_per_s=Measured(value=80.0, low=30.0, high=200.0),
        shake_deg_per_s=Measured(value=0.05, low=0.02, high=0.1),
    )
    assert by_cause(reading, child)["sitter"] > 0.9 > by_cause(reading)["sitter"]


def test_undecided_blur_is_left_to_the_settings() -> None:
    fast = by_cause(frame(all_over(UNTOLD), exposure=shot(1 / 4000, 1.4)))
    slow = by_cause(frame(all_over(UNTOLD), exposure=shot(1 / 15, 8.0)))
    assert fast["focus"] > slow["focus"] + 0.3
    assert slow["shake"] + slow["sitter"] > 0.6


def test_grain_is_a_cause_where_it_costs_more_than_the_blur() -> None:
    coarse = frame(
        face(near_blur=blur("none", 0.6), noise=0.25), exposure=shot(1 / 500, 4.0, iso=25600.0)
    )
    found = chances(coarse)
    assert found[0].cause == "noise"
    # The eye itself is sharp, but that is not "no blur that shows": the grain shows.
    assert by_cause(coarse)["none"] < 0.01
    fine = frame(face(near_blur=D8, noise=0.02), exposure=shot(1 / 500, 4.0))
    assert by_cause(fine)["noise"] < 0.01


def test_group_with_a_sharp_face_is_depth_and_without_one_focus() -> None:
    def in_row(*blurs: Blur) -> FrameReading:
        return frame(
            *(
                face(near_blur=b, box=(300.0 + 900.0 * i, 800.0, 400.0, 500.0), distance_mm=3500.0)
                for i, b in enumerate(blurs)
            )
        )

    some, none = by_cause(in_row(D8, SHARP, SHARP)), by_cause(in_row(D8, D8, D8))
    assert some["depth"] > 0.9
    assert none["focus"] > none["depth"]


def test_glass_needs_the_backdrop() -> None:
    soft = all_over(D8)
    small = shot(1 / 250, 8.0)
    alike = by_cause(frame(soft, background=[D8, D8], exposure=small))
    apart = by_cause(frame(soft, background=[SHARP], exposure=small))
    assert alike["glass"] > 0.8
    assert apart["glass"] < 0.2


def test_evidence_and_priors_make_the_chance() -> None:
    # Bayes' rule by hand: chance over prior is the likelihood; the best one's evidence is the
    # log of its likelihood over the next best, every other's that over the best.
    found = chances(frame(BEHIND))
    likelihood = sorted(((math.log(c.chance / c.prior), c) for c in found), key=lambda x: -x[0])
    best, second = likelihood[0], likelihood[1]
    assert best[1].evidence == pytest.approx(best[0] - second[0], abs=1e-6)
    for value, chance in likelihood[1:]:
        assert chance.evidence == pytest.approx(value - best[0], abs=1e-6)


def test_nothing_to_say_without_a_size() -> None:
    assert chances(frame(face(near_blur=blur("cannot tell", None)))) == ()


def test_sharp_eye_is_mostly_no_blur() -> None:
    sharp = face(
        near_blur=blur("none", 0.3), probes=[(n, d, blur("none", 0.4)) for n, d in DEPTHS.items()]
    )
    found = chances(frame(sharp, exposure=shot(1 / 1000, 5.6)))
    assert found[0].cause == "none"
    assert found[0].chance > 0.8


def test_one_sentence() -> None:
    said = chance_words(
        chances(frame(BEHIND)), seen_words(cases_of(frame(BEHIND))[0], frame(BEHIND))
    )
    assert said.startswith("Focus 9")
    assert "the blur is a disc that shrinks towards the ear" in said
    assert said.endswith(".")
    moved = frame(all_over(UP), background=[UP, UP], exposure=shot(1 / 60, 2.8))
    said = chance_words(chances(moved), seen_words(cases_of(moved)[0], moved))
    assert said.startswith("Shake 9")
    assert "a line, alike over the face" in said
    assert chance_words(()) == ""


def chance(cause: str, value: float, because: str = "why") -> CauseChance:
    """Return a hand-made chance."""
    return CauseChance(cause=cause, prior=0.3, evidence=1.0, chance=value, because=because)


def test_words_by_hand() -> None:
    three = (
        chance("focus", 0.93, "f"),
        chance("shake", 0.05, "at 1/500\u2009s a hand moves the picture by about 2\u2009px"),
        chance("sitter", 0.02, "s"),
    )
    assert chance_words(three, "the blur is a disc that shrinks towards the ear") == (
        "Focus 93\u2009%, shake 5\u2009%, sitter 2\u2009%: the blur is a disc that shrinks towards"
        " the ear; at 1/500\u2009s a hand moves the picture by about 2\u2009px."
    )
    assert chance_words((chance("none", 0.9999), chance("focus", 0.0001))) == (
        "No blur that shows 99\u2009%: why."
    )


SIZES = st.one_of(st.none(), st.floats(0.0, 200.0))
BLURS = st.builds(
    lambda kind, size, share, angle: blur(kind, size, share=share, angle_deg=angle),
    st.sampled_from(["disc", "line", "none", "cannot tell"]),
    SIZES,
    st.floats(0.0, 1.0),
    st.floats(0.0, 179.9),
)


@given(
    BLURS, BLURS, st.lists(BLURS, max_size=2), EXPOSURES, st.one_of(st.none(), st.floats(0, 0.6))
)
@settings(max_examples=40, deadline=None)
def test_chances_sum_to_one_and_stand_in_order(
    near: Blur, far: Blur, background: list[Blur], exposure: object, noise: float | None
) -> None:
    one = face(
        near_blur=near,
        far_blur=far,
        together=far,
        noise=noise,
        probes=[("nose tip", -28.0, far), ("near ear", 88.0, near)],
    )
    reading = replace(frame(one, background=background), exposure=exposure)  # type: ignore[arg-type]  # as drawn
    found = chances(reading)
    if near.size_px is None:
        assert found == ()
        return
    assert math.isclose(sum(c.chance for c in found), 1.0, abs_tol=1e-9)
    assert math.isclose(sum(c.prior for c in found), 1.0, abs_tol=1e-9)
    assert [c.chance for c in found] == sorted((c.chance for c in found), reverse=True)
    for one_chance in found:
        assert 0.0 <= one_chance.chance <= 1.0
        assert math.isfinite(one_chance.evidence)
    assert chance_words(found).endswith(".")


@given(st.floats(2.0, 300.0), st.floats(2.0, 300.0))
@settings(max_examples=30, deadline=None)
def test_a_better_line_never_makes_focus_likelier(one: float, two: float) -> None:
    def focus(gain: float) -> float:
        line = replace(blur("cannot tell", 4.0), line_gain=gain)
        return by_cause(frame(face(near_blur=line, together=line)))["focus"]

    low, high = sorted((one, two))
    assert focus(high) <= focus(low) + 1e-9


def test_distance_and_pixels_do_not_matter_to_a_sum_without_exif() -> None:
    far = replace(LENS, focal_length_mm=None)
    found = chances(frame(all_over(D8), exposure=far, pitch_um=None))
    assert math.isclose(sum(c.chance for c in found), 1.0, abs_tol=1e-9)
    assert found[0].cause == "focus"
