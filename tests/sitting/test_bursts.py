import random
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.sitting.made import answer, face, reading

from eyeplane.records import Exposure, FrameAnswer, FrameReading
from eyeplane.sitting.bursts import best_of_burst, find_bursts

BOX = (400.0, 300.0, 200.0, 260.0)


def shot(at_s: float | None, **changes: object) -> FrameReading:
    """Return a frame at a time with an exposure changed."""
    exposure = Exposure(captured_s=at_s, focal_length_mm=85.0, body="A", body_serial="1")
    return reading(f"{at_s}.jpg", exposure=replace(exposure, **changes))  # type: ignore[arg-type]


def test_frames_in_quick_succession_are_a_burst() -> None:
    times = [0.0, 0.2, 0.4, 2.4, 4.5, 5.0]  # 2.0 s still belongs, 2.1 s does not
    assert find_bursts([shot(t) for t in times]) == (1, 1, 1, 1, 2, 2)


@pytest.mark.parametrize(
    "changes",
    [
        {"body": "B"},
        {"body_serial": "2"},
        {"focal_length_mm": 70.0},
        {"focal_length_mm": None},
    ],
)
def test_another_body_or_focal_length_ends_a_burst(changes: dict[str, object]) -> None:
    assert find_bursts([shot(0.0), shot(0.5, **changes)]) == (1, 2)


def test_two_bodies_at_once_are_two_bursts() -> None:
    frames = [shot(t / 4, body="A" if t % 2 else "B") for t in range(8)]
    assert find_bursts(frames) == (1, 2) * 4


def test_turning_the_camera_ends_a_burst() -> None:
    frames = [reading(at_s=0.0), reading(at_s=0.5, size_px=(1500, 1000))]
    assert find_bursts(frames) == (1, 2)
    frames[1] = reading(at_s=0.5, size_px=(1010, 1490))  # cropped a little differently
    assert find_bursts(frames) == (1, 1)


@pytest.mark.parametrize(
    ("box", "same"),
    [
        ((500.0, 300.0, 200.0, 260.0), True),  # moved by half a face
        ((700.0, 300.0, 200.0, 260.0), False),  # by one and a half
        ((390.0, 290.0, 240.0, 312.0), True),  # 1.2 times as large
        ((380.0, 270.0, 290.0, 377.0), False),  # 1.45 times
    ],
)
def test_another_framing_ends_a_burst(
    box: tuple[float, float, float, float], *, same: bool
) -> None:
    frames = [reading(at_s=0.0, faces=[face(BOX)]), reading(at_s=0.5, faces=[face(box)])]
    assert find_bursts(frames) == ((1, 1) if same else (1, 2))


def test_one_face_that_stays_is_enough_in_a_group() -> None:
    child, parent = (100.0, 900.0, 210.0, 270.0), BOX
    moved = (500.0, 900.0, 190.0, 250.0)
    frames = [
        reading(at_s=0.0, faces=[face(child), face(parent)]),
        reading(at_s=0.5, faces=[face(parent), face(moved)]),
    ]
    assert find_bursts(frames) == (1, 1)


def test_without_a_time_every_frame_stands_alone_and_last() -> None:
    frames = [shot(None), shot(3.0), shot(None), shot(3.5)]
    assert find_bursts(frames) == (2, 1, 3, 1)


def test_frames_without_a_face_are_in_no_burst_and_end_none() -> None:
    frames = [shot(0.0), reading(at_s=0.5, status="nobody"), shot(1.0)]
    frames += [reading(at_s=None, status="unreadable")]
    assert find_bursts(frames) == (1, None, 1, None)


@given(seed=st.integers(0, 10_000))
def test_order_changes_nothing(seed: int) -> None:
    rng = random.Random(seed)  # noqa: S311  no secrets here
    frames = [shot(rng.choice([0, 1, 2, 3, 7, 8, 20, 21]) + n / 100) for n in range(12)]
    numbers = {f.path: b for f, b in zip(frames, find_bursts(frames), strict=True)}
    rng.shuffle(frames)
    assert {f.path: b for f, b in zip(frames, find_bursts(frames), strict=True)} == numbers


def best(*answers: FrameAnswer, goal_cm: float = 40.0) -> int:
    return best_of_burst(dict(enumerate(answers)), goal_cm)


def test_the_longest_reach_is_best() -> None:
    assert best(answer(30.0), answer(60.0), answer(45.0)) == 1


def test_closed_eyes_never_beat_open_ones_that_hold_the_print() -> None:
    assert best(answer(80.0, open_eyes=False), answer(41.0)) == 1
    assert best(answer(80.0, open_eyes=False), answer(41.0, open_eyes=None)) == 1


def test_open_eyes_alone_do_not_beat_sharp_ones() -> None:
    assert best(answer(80.0, open_eyes=False), answer(39.0)) == 0


def test_at_one_reach_open_eyes_then_the_surer_then_the_earlier() -> None:
    assert best(answer(30.0, open_eyes=False), answer(30.0)) == 1
    assert best(answer(60.0, spread=0.3), answer(60.0, spread=0.1)) == 1
    assert best(answer(60.0), answer(60.0)) == 0


def test_a_reach_beats_none_and_a_bystander_may_blink() -> None:
    assert best(answer(None), answer(5.0)) == 1
    assert best(answer(None, open_eyes=False), answer(None)) == 1
    sitter, passer = answer(60.0), answer(20.0, open_eyes=False, sitter=False)
    both = replace(sitter, faces=(*sitter.faces, *passer.faces))
    assert best(both, answer(50.0)) == 0
