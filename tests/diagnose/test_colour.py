"""Longitudinal colour by table: geometry, what is learned of a kit, and which side it tells."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.diagnose.builders import LENS, focused_face, frame, measured

from eyeplane.diagnose.colour import (
    FEWEST_FRAMES,
    difference_px2,
    image_defocus_um,
    kit_colour,
    kit_name,
    learn_colour,
    side_evidence,
)
from eyeplane.diagnose.lens import Lens
from eyeplane.optics import blur_circle_um
from eyeplane.records import (
    ColourBlur,
    Exposure,
    FaceReading,
    FrameReading,
    KitColour,
    Learned,
    Measured,
)

PITCH_UM, DISTANCE_MM = 4.4, 1500.0
RED_UM, BLUE_UM = 55.0, -20.0
OFFSETS_MM = (-30.0, -22.0, -14.0, -7.0, 7.0, 14.0, 22.0, 30.0)
GRID_MM = np.linspace(-150.0, 150.0, 301)
THIN = Lens(
    focal_length_mm=85.0,
    f_number=1.8,
    distance_mm=measured(DISTANCE_MM, 0.03),
    pitch_um=measured(PITCH_UM, 0.01),
)
KIT = KitColour(kit="Test with 85 mm", red_um=measured(55.0), blue_um=measured(-20.0), frames=20)


def colour(
    offset_mm: float, depth_mm: float, rng: np.random.Generator, shifts: tuple[float, float]
) -> ColourBlur:
    """Return what would be read, 8 px² (90 %) and 10 % off."""
    found = []
    for shift in shifts:
        true = float(
            difference_px2(
                THIN,
                depth_mm=depth_mm,
                offsets_mm=np.array(offset_mm),
                shift_um=np.array(shift),
            )
        )
        spread = 5.0 + 0.1 * abs(true)
        value = true + spread * rng.normal()
        half = 1.645 * spread
        found.append(Measured(value=value, low=value - half, high=value + half))
    return ColourBlur(red_px2=found[0], blue_px2=found[1])


def coloured(
    offset_mm: float,
    rng: np.random.Generator,
    shifts: tuple[float, float] = (RED_UM, BLUE_UM),
) -> FaceReading:
    """Return a face whose colours follow the lens."""
    plain = focused_face(offset_mm, distance_mm=DISTANCE_MM, pitch_um=PITCH_UM)
    return replace(
        plain,
        eyes=(
            replace(plain.eyes[0], colour=colour(offset_mm, 0.0, rng, shifts)),
            plain.eyes[1],
        ),
        probes=tuple(
            replace(p, colour=colour(offset_mm, p.depth_mm or 0.0, rng, shifts))
            for p in plain.probes
        ),
    )


def told(
    offsets_mm: Sequence[float],
    shifts: tuple[float, float] = (RED_UM, BLUE_UM),
    *,
    wrong: int = 0,
    exposure: Exposure = LENS,
) -> list[tuple[FaceReading, FrameReading, Measured]]:
    """Return frames with told offsets; of `wrong` of them the side is wrong."""
    rng = np.random.default_rng(4)
    found = []
    for index, offset in enumerate(offsets_mm):
        face = coloured(offset, rng, shifts)
        said = -offset if index < wrong else offset + 2.0 * rng.normal()
        reading = replace(frame(face), exposure=exposure, pitch_um=THIN.pitch_um)
        found.append((face, reading, Measured(value=said, low=said - 4.0, high=said + 4.0)))
    return found


def behind(face: FaceReading, kit: KitColour) -> float:
    """Return the probability that the plane lay behind, all offsets alike beforehand."""
    mass = np.exp(side_evidence(face, THIN, kit, GRID_MM))
    return float(mass[GRID_MM > 0].sum() / mass.sum())


@given(offset=st.floats(-300, 600), depth=st.floats(-60, 150))
def test_defocus_is_the_blur_circle_with_a_sign(offset: float, depth: float) -> None:
    # optics.blur_circle_um is held against handbook tables in tests/published.
    x = float(image_defocus_um(THIN, depth_mm=depth, offsets_mm=np.array(offset)))
    circle = blur_circle_um(
        focal_length_mm=85.0,
        f_number=1.8,
        focus_distance_mm=DISTANCE_MM + offset,
        subject_distance_mm=DISTANCE_MM + depth,
    )
    pupil_over_image = (1.0 - 85.0 / (DISTANCE_MM + depth)) / 1.8
    assert abs(x) * pupil_over_image == pytest.approx(circle, abs=1e-6)
    assert x * (depth - offset) >= 0


def test_colours_change_places_across_the_focus() -> None:
    # Trade fact: fringes are magenta before the focus plane and green behind it. A lens with red
    # and blue behind green: what lies before the plane is imaged behind the sensor by green, by
    # red still farther, so red is blurred more (its fringe is magenta with blue); and the reverse.
    before, after = (
        float(
            difference_px2(THIN, depth_mm=depth, offsets_mm=np.zeros(()), shift_um=np.array(40.0))
        )
        for depth in (-20.0, 20.0)
    )
    assert before > 0 > after


def test_a_colour_in_focus_with_green_tells_nothing() -> None:
    found = difference_px2(THIN, depth_mm=0.0, offsets_mm=GRID_MM, shift_um=np.zeros(1))
    assert not found.any()


def test_a_kit_is_learned() -> None:
    (kit,) = learn_colour(told(OFFSETS_MM))
    assert kit.kit == "Test with 85 mm"
    assert kit.frames == len(OFFSETS_MM)
    assert kit.red_um.low <= RED_UM <= kit.red_um.high
    assert kit.blue_um.low <= BLUE_UM <= kit.blue_um.high
    assert kit.red_um.low > 0 > kit.blue_um.high


def test_a_wrong_side_among_the_frames_does_not_turn_it_about() -> None:
    (kit,) = learn_colour(told(OFFSETS_MM, wrong=1))
    assert kit.red_um.low > 0 > kit.blue_um.high


def test_nothing_is_learned_of_too_few_frames_or_a_lens_without_colour() -> None:
    assert learn_colour(told(OFFSETS_MM[: FEWEST_FRAMES - 1])) == ()
    assert learn_colour(told(OFFSETS_MM, (0.0, 0.0))) == ()
    assert learn_colour([]) == ()


def test_kits_are_kept_apart() -> None:
    other = replace(LENS, lens="50 mm", focal_length_mm=85.0)
    frames = told(OFFSETS_MM) + told(OFFSETS_MM, (-RED_UM, -BLUE_UM), exposure=other)
    kits = {kit.kit: kit for kit in learn_colour(frames)}
    assert kits["Test with 85 mm"].red_um.low > 0
    assert kits["Test with 50 mm"].red_um.high < 0


def test_frames_without_a_body_or_without_colours_are_left_out() -> None:
    assert learn_colour(told(OFFSETS_MM, exposure=replace(LENS, body=None))) == ()
    bare = [(focused_face(o), frame(focused_face(o)), measured(abs(o))) for o in OFFSETS_MM]
    assert learn_colour(bare) == ()


def test_the_side_is_right_when_called() -> None:
    rng = np.random.default_rng(9)
    chances = []
    for _ in range(5):
        for offset in OFFSETS_MM:
            chance = behind(coloured(offset, rng), KIT)
            chances.append(chance if offset > 0 else 1 - chance)
    called = [c for c in chances if max(c, 1 - c) >= 0.95]
    assert len(called) >= 0.6 * len(chances)
    assert np.mean([c > 0.5 for c in called]) >= 0.98


def test_a_lens_without_colour_calls_no_side() -> None:
    rng = np.random.default_rng(9)
    plain = KitColour(
        kit="", red_um=measured(0.0), blue_um=measured(0.0), frames=20
    )  # never learned, but what if
    for offset in OFFSETS_MM:
        assert 0.4 < behind(coloured(offset, rng, (0.0, 0.0)), plain) < 0.6


@given(offset=st.sampled_from(OFFSETS_MM), seed=st.integers(0, 50))
def test_a_mirrored_lens_tells_the_same(offset: float, seed: int) -> None:
    # Red and blue exchanged in the reading and in the kit: the same evidence.
    face = coloured(offset, np.random.default_rng(seed))
    swapped_kit = replace(KIT, red_um=KIT.blue_um, blue_um=KIT.red_um)

    def swap(c: ColourBlur | None) -> ColourBlur | None:
        return None if c is None else ColourBlur(red_px2=c.blue_px2, blue_px2=c.red_px2)

    swapped = replace(
        face,
        eyes=(replace(face.eyes[0], colour=swap(face.eyes[0].colour)), face.eyes[1]),
        probes=tuple(replace(p, colour=swap(p.colour)) for p in face.probes),
    )
    assert np.allclose(
        side_evidence(face, THIN, KIT, GRID_MM),
        side_evidence(swapped, THIN, swapped_kit, GRID_MM),
    )


def test_evidence_is_at_most_zero_and_none_without_colours() -> None:
    rng = np.random.default_rng(1)
    logs = side_evidence(coloured(14.0, rng), THIN, KIT, GRID_MM)
    assert logs.max() == 0.0
    assert np.isfinite(logs).all()
    assert not side_evidence(focused_face(14.0), THIN, KIT, GRID_MM).any()
    # A candidate before the lens itself is no error.
    assert np.isfinite(side_evidence(coloured(14.0, rng), THIN, KIT, np.array([-1600.0]))).all()


@pytest.mark.parametrize(
    ("exposure", "name"),
    [
        (Exposure(), ""),
        (Exposure(body="A"), "A"),
        (Exposure(body="A", lens="85 mm f/1.8", focal_length_mm=85.0), "A with 85 mm f/1.8"),
        (
            Exposure(body="A", lens="24-70 mm", focal_length_mm=70.0),
            "A with 24-70 mm at about 66 mm",
        ),
        (
            Exposure(body="A", lens="24-70 mm", focal_length_mm=68.0),
            "A with 24-70 mm at about 66 mm",
        ),
        (Exposure(body="A", focal_length_mm=85.0), "A at about 79 mm"),
        (Exposure(lens="85 mm", focal_length_mm=85.0), ""),
    ],
)
def test_names_of_kits(exposure: Exposure, name: str) -> None:
    assert kit_name(exposure) == name


def test_a_kit_finds_its_colour() -> None:
    learned = Learned(colours=(replace(KIT, kit="Other"), KIT))
    assert kit_colour(LENS, learned) is KIT
    assert kit_colour(replace(LENS, body=None), learned) is None
    assert kit_colour(LENS, Learned()) is None
