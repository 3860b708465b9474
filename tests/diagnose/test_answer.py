"""Every cause from hand-made readings, and what must not change an answer."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.diagnose.builders import DEPTHS, LENS, blur, face, focused_face, frame

from eyeplane.diagnose import answer_frame
from eyeplane.records import (
    Blur,
    Cause,
    Exposure,
    FaceReading,
    FrameReading,
    Measured,
    Viewing,
    from_plain,
    to_plain,
)
from eyeplane.records.answer import FrameAnswer

STANDARD = Viewing()
NO_EXIF = Exposure()
UP = blur("line", 6.0, angle_deg=88.0)
UP_TOO = blur("line", 5.5, angle_deg=95.0)
ASIDE = blur("line", 6.0, angle_deg=4.0)
SHARP = blur("none", 0.8)
WIDE_SOFT = blur("disc", 25.0)
D8 = blur("disc", 8.0)


def all_over(one: Blur) -> FaceReading:
    return face(near_blur=one, probes=[(n, d, one) for n, d in DEPTHS.items()])


def row(*blurs: Blur, tall: tuple[float, ...] = ()) -> tuple[FaceReading, ...]:
    """Return faces from left to right."""
    heights = tall or (500.0,) * len(blurs)
    return tuple(
        face(near_blur=b, box=(300.0 + 900.0 * i, 800.0, 400.0, h), distance_mm=3500.0)
        for i, (b, h) in enumerate(zip(blurs, heights, strict=True))
    )


DEEP = replace(LENS, f_number=8.0)


def veiled(size_px: float, distance_mm: float) -> FaceReading:
    """Return a face equally soft all over: near by, no plane alone makes it; far off, one may."""
    soft = blur("disc", size_px)
    probes = [(n, d, soft) for n, d in DEPTHS.items()]
    return face(near_blur=soft, probes=probes, distance_mm=distance_mm)


NEAR_VEIL, FAR_VEIL = veiled(8.0, 1500.0), veiled(8.0, 3500.0)

CASES: list[tuple[str, FrameReading, Viewing, Cause]] = [
    ("behind", frame(focused_face(18.0)), STANDARD, "focus"),
    ("in front", frame(focused_face(-18.0)), STANDARD, "focus"),
    ("far behind", frame(focused_face(400.0)), STANDARD, "focus"),
    ("no EXIF", frame(focused_face(18.0), exposure=NO_EXIF, pitch_um=None), STANDARD, "focus"),
    ("right", frame(focused_face(0.0, f_number=8.0)), STANDARD, "none"),
    ("far eye", frame(face(near_blur=SHARP, far_blur=blur("disc", 9.0))), STANDARD, "depth"),
    ("far eye, held", frame(face(near_blur=SHARP, far_blur=D8)), Viewing(print_cm=60), "none"),
    ("rear row", frame(*row(SHARP, SHARP, D8)), STANDARD, "depth"),
    ("all soft", frame(*row(D8, D8, blur("disc", 9.0))), STANDARD, "focus"),
    ("shake", frame(all_over(UP), background=[UP_TOO, UP]), STANDARD, "shake"),
    ("shake by faces", frame(*row(UP, UP_TOO)), STANDARD, "shake"),
    ("shake by most", frame(*row(UP, UP_TOO, UP, blur("cannot tell", 5.0))), STANDARD, "shake"),
    ("two of three", frame(*row(UP, UP_TOO, blur("cannot tell", 5.0))), STANDARD, "shake"),
    ("sitter", frame(all_over(UP), background=[SHARP]), STANDARD, "sitter"),
    ("pan or turn", frame(all_over(UP), background=[ASIDE]), STANDARD, "motion"),
    ("one of two", frame(*row(UP, SHARP)), STANDARD, "sitter"),
    ("nothing static", frame(all_over(UP)), STANDARD, "motion"),
    ("soft backdrop", frame(all_over(UP), background=[WIDE_SOFT]), STANDARD, "motion"),
    ("at odds", frame(all_over(UP), background=[UP, SHARP]), STANDARD, "motion"),
    ("noise", frame(face(near_blur=SHARP, noise=0.15)), STANDARD, "noise"),
    ("glass", frame(NEAR_VEIL, background=[D8, D8], exposure=DEEP), STANDARD, "glass"),
    ("glass?", frame(FAR_VEIL, background=[D8], exposure=DEEP), STANDARD, "cannot tell"),
    ("sharp backdrop", frame(FAR_VEIL, background=[SHARP], exposure=DEEP), STANDARD, "focus"),
    ("pixels", frame(face(near_blur=SHARP)), Viewing(print_cm=150), "pixels"),
    ("held", frame(face(near_blur=SHARP)), Viewing(print_cm=60), "none"),
    ("held though soft", frame(all_over(D8)), Viewing(print_cm=15), "none"),
    ("undecided", frame(face(near_blur=blur("cannot tell", 6.0))), STANDARD, "cannot tell"),
    ("no texture", frame(face(near_blur=blur("cannot tell", None))), STANDARD, "cannot tell"),
    ("eye line, face disc", frame(face(near_blur=UP, together=D8)), STANDARD, "cannot tell"),
    ("nobody", frame(status="nobody"), STANDARD, "cannot tell"),
    ("unreadable", frame(status="unreadable", reason="cut short"), STANDARD, "cannot tell"),
]


@pytest.mark.parametrize(("name", "reading", "viewing", "cause"), CASES, ids=[c[0] for c in CASES])
def test_cause(name: str, reading: FrameReading, viewing: Viewing, cause: Cause) -> None:
    answer = answer_frame(reading, viewing)
    assert answer.cause == cause, (name, answer.sentence)
    assert answer.sentence.endswith(".")
    assert from_plain(FrameAnswer, to_plain(answer)) == answer


@pytest.mark.parametrize(
    ("exposure", "cause"),
    [
        (replace(LENS, exposure_time_s=1 / 250), "shake"),
        (replace(LENS, exposure_time_s=1 / 1000), "motion"),
        (replace(LENS, exposure_time_s=1 / 125, f_number=8.0, flash_fired=True), "motion"),
        (replace(LENS, exposure_time_s=1 / 60, f_number=2.0, flash_fired=True), "shake"),
        (NO_EXIF, "shake"),
    ],
)
def test_exif_as_a_sanity_check_on_shake(exposure: Exposure, cause: Cause) -> None:
    reading = frame(all_over(UP), background=[UP, UP], exposure=exposure)
    assert answer_frame(reading, STANDARD).cause == cause


def test_camera_too_fast_for_a_hand_is_not_called_shake() -> None:
    # 60 px of 4.4 um before 85 mm in 1/500 s are 89 deg/s, 25 times the 3.6 deg/s of a 63 um blur
    # at the reciprocal rule (AS ISO 20954-1:2019).
    fast = blur("line", 60.0, angle_deg=90.0)
    reading = frame(
        all_over(fast), background=[fast], exposure=replace(LENS, exposure_time_s=1 / 500)
    )
    assert answer_frame(reading, STANDARD).cause == "motion"


def test_small_aperture_is_named() -> None:
    d = blur("disc", 4.5)
    reading = frame(all_over(d), background=[d], exposure=replace(LENS, f_number=22.0))
    answer = answer_frame(reading, STANDARD)
    assert answer.cause == "glass"
    assert "f/22" in answer.sentence


def test_a_wide_aperture_is_never_called_small_on_tiny_pixels() -> None:
    d = blur("disc", 2.2)
    tiny = replace(
        frame(all_over(d), background=[d], exposure=replace(LENS, f_number=2.8)),
        # A phone's pixel: 1.745 λN = 2.7 µm makes 1.9 px.
        pitch_um=Measured(value=1.4, low=1.39, high=1.41),
    )
    answer = answer_frame(tiny, STANDARD)
    assert answer.cause != "glass"
    assert "aperture" not in answer.sentence


@pytest.mark.parametrize("offset", [-60.0, -18.0, 8.0, 18.0, 40.0])
def test_offset_of_a_clean_cone(offset: float) -> None:
    found = answer_frame(frame(focused_face(offset)), STANDARD).faces[0].offset_mm
    assert found is not None
    assert found.low <= offset <= found.high
    assert found.value == pytest.approx(offset, abs=0.1 * abs(offset))


def test_offset_in_focus_is_small_with_an_interval() -> None:
    reading = frame(focused_face(0.0, f_number=2.8), exposure=replace(LENS, f_number=2.8))
    one = answer_frame(reading, STANDARD).faces[0]
    assert one.offset_mm is not None
    assert -6.0 < one.offset_mm.low < 0.0 < one.offset_mm.high < 6.0
    assert one.offset_why == ""


def test_offset_without_exif_is_told_or_says_why() -> None:
    soft = face(near_blur=D8, probes=[("nose tip", -28.0, D8), ("near ear", 88.0, D8)])
    one = answer_frame(frame(soft, exposure=NO_EXIF, pitch_um=None), STANDARD).faces[0]
    assert one.offset_mm is None
    assert one.offset_why == "the file does not say focal length or aperture"


@pytest.mark.parametrize(
    ("exposure", "pitch", "distance", "why"),
    [
        (replace(LENS, f_number=None), 4.4, 1500.0, "the file does not say aperture"),
        (LENS, None, 1500.0, "the size of the pixels is not known"),
        (LENS, 4.4, None, "the distance of the face is not known"),
    ],
)
def test_what_is_missing_is_named(
    exposure: Exposure, pitch: float | None, distance: float | None, why: str
) -> None:
    flat = face(near_blur=D8, far_blur=D8, distance_mm=distance, probes=[("mouth", -14.0, D8)])
    one = answer_frame(frame(flat, exposure=exposure, pitch_um=pitch), STANDARD).faces[0]
    assert one.offset_why == why
    assert one.depth_front_mm is None


def test_offset_needs_texture_and_no_motion() -> None:
    alone = answer_frame(frame(face(near_blur=D8)), STANDARD).faces[0]
    assert alone.offset_why == "too few places on the face have texture"
    moved = answer_frame(frame(all_over(UP)), STANDARD).faces[0]
    assert moved.offset_mm is None
    assert moved.offset_why == "the motion hides where the focus lay"


def test_group_is_decided_by_the_sitter_who_holds_least_and_not_by_a_bystander() -> None:
    softer = blur("disc", 14.0)
    faces = row(SHARP, D8, softer, tall=(500.0, 500.0, 200.0))
    answer = answer_frame(frame(*faces), STANDARD)
    assert answer.deciding == 1
    assert [f.sitter for f in answer.faces] == [True, True, False]
    assert answer.reach_cm == answer.faces[1].reach_cm
    assert "right face" in answer.sentence


def test_faces_are_counted_from_the_left_whatever_their_order() -> None:
    faces = row(SHARP, SHARP, D8, SHARP)
    answer = answer_frame(frame(faces[3], faces[1], faces[0], faces[2]), STANDARD)
    assert answer.deciding == 3
    assert "third face from the left" in answer.sentence


def test_sitter_who_cannot_be_told_is_named() -> None:
    answer = answer_frame(frame(*row(SHARP, blur("cannot tell", None))), STANDARD)
    assert "How sharp the right face is cannot be told." in answer.sentence


@pytest.mark.parametrize(
    ("open_", "said", "state"),
    [
        ((True, True), "", True),
        ((False, False), "Both eyes are closed", False),
        ((False, True), "The near eye is closed", False),
        ((True, False), "The far eye is closed", False),
        ((True, None), "", None),
    ],
)
def test_blink_is_named(open_: tuple[bool | None, bool | None], said: str, state: object) -> None:
    answer = answer_frame(frame(face(near_blur=D8, eyes_open=open_)), STANDARD)
    assert answer.faces[0].eyes_open is state
    assert answer.sentence.startswith(said)
    assert ("closed" in answer.sentence) is (said != "")


def test_budget_names_what_its_removal_would_give() -> None:
    one = answer_frame(frame(focused_face(18.0)), STANDARD).faces[0]
    parts = {p.cause: p for p in one.budget}
    assert set(parts) == {"focus", "diffraction", "noise", "pixels"}
    assert one.budget[0].cause == "focus"
    assert one.reach_cm is not None
    for part in one.budget:
        assert part.reach_without_cm is not None
        assert part.reach_without_cm >= one.reach_cm.value * (1 - 1e-6)
    assert parts["noise"].blur_px is None
    focus = parts["focus"]
    assert focus.blur_um is not None
    assert focus.blur_px is not None
    assert focus.blur_um.value == pytest.approx(4.4 * focus.blur_px.value)
    # Diffraction at f/1.8: 1.745 x 0.55 um x 1.8 = 1.73 um.
    assert parts["diffraction"].blur_um is not None
    assert parts["diffraction"].blur_um.value == pytest.approx(1.728, abs=0.01)


def test_depth_line_has_its_marks_in_order_and_a_band_around_the_focus() -> None:
    one = answer_frame(frame(focused_face(18.0)), Viewing(print_cm=30)).faces[0]
    depths = [m.depth_mm for m in one.marks]
    assert depths == sorted(depths)
    assert {m.name for m in one.marks} == {"near iris", *DEPTHS}
    assert one.depth_front_mm is not None
    assert one.depth_back_mm is not None
    assert 0 < one.depth_front_mm < one.depth_back_mm
    larger = answer_frame(frame(focused_face(18.0)), Viewing(print_cm=80)).faces[0]
    assert larger.depth_front_mm is not None
    assert larger.depth_front_mm < one.depth_front_mm


def test_near_eye_holds_the_print_where_it_lies_inside_the_band() -> None:
    # The same optics on both sides: an eye at the edge of the depth of field just holds.
    view = Viewing(print_cm=30)
    band = answer_frame(frame(focused_face(0.0)), view).faces[0]
    assert band.depth_front_mm is not None
    inside = answer_frame(frame(focused_face(0.9 * band.depth_front_mm)), view)
    outside = answer_frame(frame(focused_face(1.3 * band.depth_front_mm)), view)
    assert inside.cause == "none"
    assert outside.cause == "focus"


@given(st.permutations(range(6)))
@settings(max_examples=8, deadline=None)
def test_order_of_probes_is_irrelevant(order: list[int]) -> None:
    one = focused_face(12.0)
    shuffled = replace(one, probes=tuple(one.probes[i] for i in order))
    assert answer_frame(frame(shuffled), STANDARD) == answer_frame(frame(one), STANDARD)


def test_mirrored_face_answers_alike() -> None:
    def turned(near: str) -> FaceReading:
        return face(
            near_blur=D8,
            far_blur=SHARP,
            near="left" if near == "left" else "right",
            probes=[("near ear", 88.0, blur("disc", 20.0)), ("nose tip", -28.0, WIDE_SOFT)],
        )

    assert answer_frame(frame(turned("left")), STANDARD) == answer_frame(
        frame(turned("right")), STANDARD
    )


@given(st.permutations(range(4)))
@settings(max_examples=8, deadline=None)
def test_order_of_faces_changes_only_indices(order: list[int]) -> None:
    faces = row(SHARP, blur("disc", 3.0), D8, blur("disc", 5.0))
    straight = answer_frame(frame(*faces), STANDARD)
    mixed = answer_frame(frame(*(faces[i] for i in order)), STANDARD)
    assert mixed.sentence == straight.sentence
    assert mixed.advice == straight.advice
    assert [mixed.faces[order.index(i)] for i in range(4)] == list(straight.faces)


@given(st.floats(0.0, 40.0), st.floats(0.0, 40.0))
@settings(max_examples=25, deadline=None)
def test_more_blur_never_raises_a_frame_s_reach(one: float, two: float) -> None:
    low, high = sorted((one, two))
    sharper, softer = (
        answer_frame(frame(face(near_blur=blur("disc", s))), STANDARD).reach_cm for s in (low, high)
    )
    assert sharper is not None
    assert softer is not None
    assert softer.value <= sharper.value * (1 + 1e-6)
    assert softer.low <= softer.value <= softer.high


SIZES = st.one_of(st.none(), st.floats(0.0, 200.0))
BLURS = st.builds(
    lambda kind, size, share, angle: blur(kind, size, share=share, angle_deg=angle),
    st.sampled_from(["disc", "line", "none", "cannot tell"]),
    SIZES,
    st.floats(0.0, 1.0),
    st.floats(0.0, 179.9),
)
EXPOSURES = st.builds(
    Exposure,
    exposure_time_s=st.one_of(st.none(), st.floats(1e-5, 30.0)),
    f_number=st.one_of(st.none(), st.floats(0.7, 64.0)),
    focal_length_mm=st.one_of(st.none(), st.floats(4.0, 800.0)),
    iso=st.one_of(st.none(), st.floats(25.0, 400_000.0)),
    flash_fired=st.sampled_from([None, True, False]),
)
VIEWINGS = st.builds(
    Viewing,
    distance_cm=st.one_of(st.none(), st.floats(10.0, 500.0)),
    print_cm=st.one_of(st.none(), st.floats(5.0, 300.0)),
)
FACES = st.builds(
    lambda near, far, probe, side, noise: face(
        near_blur=near,
        far_blur=far,
        near=side,
        noise=noise,
        probes=[("nose tip", -28.0, probe), ("near ear", 88.0, near)],
        together=far,
    ),
    BLURS,
    BLURS,
    BLURS,
    st.sampled_from(["left", "right", None]),
    st.one_of(st.none(), st.floats(0.0, 0.5)),
)


@given(
    faces=st.lists(FACES, min_size=1, max_size=3),
    background=st.lists(BLURS, max_size=3),
    exposure=EXPOSURES,
    viewing=VIEWINGS,
    pitch=st.one_of(st.none(), st.floats(0.7, 12.0)),
)
@settings(max_examples=30, deadline=None)
def test_any_reading_has_an_answer_that_keeps_its_word(
    faces: list[FaceReading],
    background: list[Blur],
    exposure: Exposure,
    viewing: Viewing,
    pitch: float | None,
) -> None:
    reading = frame(*faces, background=background, exposure=exposure, pitch_um=pitch)
    answer = answer_frame(reading, viewing)
    assert answer.sentence.endswith(".")
    assert "None " not in answer.sentence.replace("None of ", "") + answer.advice
    assert from_plain(FrameAnswer, to_plain(answer)) == answer
    for one in answer.faces:
        assert (one.offset_mm is None) == bool(one.offset_why)
        if one.reach_cm is None:
            assert one.cause == "cannot tell"
    if answer.reach_cm is not None:
        told = [f.reach_cm.value for f in answer.faces if f.sitter and f.reach_cm is not None]
        assert answer.reach_cm.value == min(told)
        if viewing.print_cm is not None and answer.reach_cm.value >= viewing.print_cm:
            assert answer.cause == "none"


def test_a_brief_answer_has_the_same_numbers() -> None:
    reading = frame(focused_face(18.0))
    whole, brief = answer_frame(reading, STANDARD), answer_frame(reading, STANDARD, brief=True)
    assert (brief.reach_cm, brief.cause, brief.deciding) == (
        whole.reach_cm,
        whole.cause,
        whole.deciding,
    )
    assert brief.faces[0].offset_mm == whole.faces[0].offset_mm
    assert brief.sentence == ""
