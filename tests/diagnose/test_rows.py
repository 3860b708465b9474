"""Where sitters stand against one focus plane, on groups whose truth is drawn."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.diagnose.builders import disc_px, face, frame, measured, sharp_or_disc

from eyeplane.diagnose.case import FaceCase, case_of
from eyeplane.diagnose.reach import print_view
from eyeplane.diagnose.rows import standings_of
from eyeplane.records import FaceReading, Measured, Viewing


def stood(
    distance_mm: float,
    plane_mm: float,
    *,
    said_mm: float | None = None,
    left_px: float = 1000.0,
    f_number: float = 1.8,
) -> FaceReading:
    """Return a face at a distance, blurred by a plane; only its eyes were measured."""
    size = disc_px(
        0.0, plane_mm - distance_mm, distance_mm=distance_mm, f_number=f_number, pitch_um=4.4
    )
    one = face(
        near_blur=sharp_or_disc(size),
        distance_mm=distance_mm,
        box=(left_px, 800.0, 500.0, 700.0),
    )
    told = said_mm or distance_mm
    return replace(one, face=replace(one.face, distance_mm=measured(told, 0.06)))


def cases(*faces: FaceReading) -> list[FaceCase]:
    reading = frame(*faces)
    view = print_view(reading, Viewing())
    return [case_of(one, reading, view, sitter=True) for one in faces]


def test_a_soft_face_gets_its_side_from_where_it_stands() -> None:
    # Front row in focus; a face 600 mm behind it whose own disc cannot tell front from back.
    front = [stood(3500.0, 3500.0) for _ in range(3)]
    for distance, sign in ((4100.0, 1), (2900.0, -1)):
        *_, rear = standings_of(cases(*front, stood(distance, 3500.0)))
        assert rear is not None
        assert np.sign(rear.behind_mm.value) == sign
        assert rear.behind_mm.low <= distance - 3500.0 <= rear.behind_mm.high


def test_places_hold_the_truth_as_often_as_they_say() -> None:
    rng = np.random.default_rng(8)
    held = []
    for _ in range(16):
        plane = 3500.0 + rng.normal(0, 20)
        true = np.concatenate([rng.normal(3500, 30, 3), rng.normal(4100, 40, 2)])
        said = true * np.exp(rng.normal(0, 0.06 / 1.6449, true.size))
        faces = [stood(t, plane, said_mm=s) for t, s in zip(true, said, strict=True)]
        for where, standing in zip(true, standings_of(cases(*faces)), strict=True):
            assert standing is not None
            held.append(standing.behind_mm.low <= where - plane <= standing.behind_mm.high)
    assert np.mean(held) >= 0.85


@settings(deadline=None, max_examples=8)
@given(st.floats(2000.0, 5000.0), st.floats(-300.0, 300.0))
def test_the_order_of_the_faces_does_not_matter(distance: float, apart: float) -> None:
    faces = [stood(distance, distance), stood(distance + apart, distance)]
    forth = standings_of(cases(*faces))
    back = standings_of(cases(*faces[::-1]))
    for one, other in zip(forth, back[::-1], strict=True):
        assert one is not None
        assert other is not None
        assert one.behind_mm.value == pytest.approx(other.behind_mm.value, abs=1e-6)


def test_without_a_lens_nothing_is_said_and_chances_are_chances() -> None:
    one = stood(3500.0, 3500.0)
    bare = replace(one, face=replace(one.face, distance_mm=None))
    told, untold = standings_of(cases(one, bare))
    assert untold is None
    assert told is not None
    assert told.chance_within(1e6) == pytest.approx(1.0)
    assert 0.0 <= told.chance_within(0.5) <= told.chance_within(5.0) <= 1.0


def test_an_offset_that_a_face_tells_itself_is_kept() -> None:
    # Close, wide open and told to 3 mm: finer than the distances of faces are ever known.
    for offset in (-25.0, 14.0):
        (one,) = cases(stood(1500.0, 1500.0 + offset))
        told = Measured(value=offset, low=offset - 3.0, high=offset + 3.0)
        side = "behind" if offset > 0 else "in front of"
        (standing,) = standings_of(
            [replace(one, offset=replace(one.offset, offset_mm=told, side=side))]
        )
        assert standing is not None
        assert standing.behind_mm.value == pytest.approx(-offset, abs=3.0)
        assert standing.behind_mm.high - standing.behind_mm.low < 20.0
