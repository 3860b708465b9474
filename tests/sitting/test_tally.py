from dataclasses import replace

import pytest
from tests.sitting.made import answer, face, reading

from eyeplane.records import (
    Cause,
    CauseCount,
    FaceReading,
    FrameAnswer,
    Landmark,
    Measured,
    SittingFrame,
    SittingTally,
)
from eyeplane.sitting.tally import alike, tally_of, tally_words


def frame(
    name: str,
    said: FrameAnswer,
    *,
    burst: int | None = 1,
    faces: list[FaceReading] | None = None,
    status: str = "measured",
) -> SittingFrame:
    shown = reading(name, faces=faces, status=status)  # type: ignore[arg-type]  # one of three
    return SittingFrame(reading=shown, answer=said, companions=(), burst=burst, best_of_burst=False)


def empty(name: str, status: str) -> SittingFrame:
    said = replace(answer(None, "cannot tell"), faces=(), deciding=None)
    return frame(name, said, burst=None, status=status)


def turned(yaw_deg: float, half_deg: float = 3.0) -> FaceReading:
    one = face()
    yaw = Measured(value=yaw_deg, low=yaw_deg - half_deg, high=yaw_deg + half_deg)
    return replace(one, face=replace(one.face, yaw_deg=yaw))


def test_every_frame_counts_once() -> None:
    frames = [
        frame("a", answer(60.0), burst=1),
        frame("b", answer(60.0, open_eyes=False), burst=2),
        frame("c", answer(10.0, "focus", open_eyes=False), burst=3),  # a blink, not soft
        frame("d", answer(10.0, "focus"), burst=4),
        frame("e", answer(12.0, "focus"), burst=4),
        frame("f", answer(9.0, "sitter"), burst=5),
        frame("g", answer(None, "cannot tell"), burst=6),
        empty("h", "nobody"),
        empty("i", "unreadable"),
    ]
    tally = tally_of(frames, goal_cm=40.0)
    assert (tally.frames, tally.holding, tally.closed, tally.duplicates) == (9, 1, 2, 0)
    assert (tally.nobody, tally.unreadable) == (1, 1)
    assert {c.cause: c.frames for c in tally.soft} == {"focus": 2, "sitter": 1, "cannot tell": 1}
    parts = tally.holding + tally.closed + tally.nobody + tally.unreadable
    assert parts + sum(c.frames for c in tally.soft) == tally.frames


def test_a_burst_keeps_one_frame_of_each_pose() -> None:
    frames = [
        frame("a", answer(50.0), faces=[turned(0.0)]),
        frame("b", answer(60.0), faces=[turned(2.0)]),
        frame("c", answer(55.0), faces=[turned(1.0)]),
        frame("d", answer(45.0), faces=[turned(25.0)]),
        frame("e", answer(44.0), faces=[turned(24.0)]),
        frame("f", answer(10.0, "focus"), faces=[turned(0.0)]),  # soft: no duplicate
        frame("g", answer(60.0, open_eyes=False), faces=[turned(0.0)]),  # nor is a blink
    ]
    assert tally_of(frames, goal_cm=40.0).duplicates == 3
    apart = [replace(f, burst=n) for n, f in enumerate(frames)]
    assert tally_of(apart, goal_cm=40.0).duplicates == 0


def test_alike_is_in_place_size_and_turn() -> None:
    first = frame("a", answer(60.0), faces=[face((400.0, 300.0, 200.0, 260.0))])

    def other(box: tuple[float, float, float, float]) -> SittingFrame:
        return frame("b", answer(60.0), faces=[face(box)])

    assert alike(first, first)
    assert alike(first, other((420.0, 310.0, 204.0, 266.0)))
    assert not alike(first, other((460.0, 300.0, 200.0, 260.0)))  # a quarter of the face aside
    assert not alike(first, other((390.0, 290.0, 226.0, 294.0)))  # a step nearer
    straight = frame("c", answer(60.0), faces=[turned(0.0)])
    assert not alike(straight, frame("d", answer(60.0), faces=[turned(12.0)]))
    # A turn that is as large as its own uncertainty is no turn.
    assert alike(straight, frame("e", answer(60.0), faces=[turned(12.0, 9.0)]))
    assert alike(first, other((420.0, 310.0, 204.0, 266.0))) == alike(
        other((420.0, 310.0, 204.0, 266.0)), first
    )


def test_an_open_mouth_is_another_expression() -> None:
    def mouth(at_px: float) -> SittingFrame:
        one = face()
        mark = Landmark(name="mouth", at_px=(500.0, at_px), depth_mm=0.0, depth_sd_mm=1.0)
        faces = [replace(one, face=replace(one.face, landmarks=(mark,)))]
        return frame(f"{at_px}", answer(60.0), faces=faces)

    assert alike(mouth(500.0), mouth(505.0))
    assert not alike(mouth(500.0), mouth(515.0))


def test_everybody_must_be_found_again() -> None:
    two = answer(60.0)
    two = replace(two, faces=(*two.faces, *two.faces))
    left, right = face((200.0, 300.0, 200.0, 260.0)), face((700.0, 300.0, 200.0, 260.0))
    pair = frame("a", two, faces=[left, right])
    assert alike(pair, frame("b", two, faces=[right, left]))
    assert not alike(pair, frame("c", answer(60.0), faces=[left]))
    moved = face((700.0, 420.0, 200.0, 260.0))
    assert not alike(pair, frame("d", two, faces=[left, moved]))


@pytest.mark.parametrize(
    ("counts", "said"),
    [
        (
            (219, 120, 18, 67, (("focus", 60), ("sitter", 21)), 0, 0),
            "Of 219 frames 120 hold 60 cm with open eyes, 67 of them near duplicates; 18 are "
            "blinks; 81 are soft: 60 missed focus and 21 a moving sitter.",
        ),
        (
            (4, 1, 1, 0, (("cannot tell", 1),), 1, 0),
            "Of 4 frames 1 holds 60 cm with open eyes; 1 is a blink; 1 is soft: 1 why cannot be "
            "told; 1 shows nobody.",
        ),
        (
            (5, 2, 0, 1, (), 2, 1),
            "Of 5 frames 2 hold 60 cm with open eyes, 1 of them a near duplicate; 2 show nobody; "
            "1 cannot be read.",
        ),
        ((1, 1, 0, 0, (), 0, 0), "Of 1 frame 1 holds 60 cm with open eyes."),
        ((0, 0, 0, 0, (), 0, 0), "No frame was found."),
    ],
)
def test_the_tally_in_one_sentence(
    counts: tuple[int, int, int, int, tuple[tuple[Cause, int], ...], int, int], said: str
) -> None:
    frames, holding, closed, duplicates, soft, nobody, unreadable = counts
    tally = SittingTally(
        frames=frames,
        holding=holding,
        closed=closed,
        duplicates=duplicates,
        soft=tuple(CauseCount(cause=cause, frames=number) for cause, number in soft),
        nobody=nobody,
        unreadable=unreadable,
    )
    assert tally_words(tally, goal_cm=60.0).replace("\u2009", " ") == said


def test_no_frames() -> None:
    tally = tally_of((), goal_cm=40.0)
    assert tally.frames == tally.holding == tally.duplicates == 0
