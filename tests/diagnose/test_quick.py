"""The reach that is there at once is the one that the answer gives."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.sitting.made import blur, face, line, reading

from eyeplane.diagnose import answer_frame, quick_reach
from eyeplane.records import Viewing

SIZES = st.floats(0.3, 30.0)


@settings(max_examples=20)
@given(
    sizes=st.lists(SIZES, min_size=1, max_size=3),
    heights=st.lists(st.floats(60.0, 400.0), min_size=3, max_size=3),
    distance_cm=st.sampled_from([None, 30.0, 50.0, 200.0]),
)
def test_it_is_the_answers_own(
    sizes: list[float], heights: list[float], distance_cm: float | None
) -> None:
    faces = [
        face((300.0 * n, 100.0, 200.0, height), eye_blur=blur(size))
        for n, (size, height) in enumerate(zip(sizes, heights, strict=False))
    ]
    shown = reading(faces=faces)
    viewing = Viewing(distance_cm=distance_cm)
    answer = answer_frame(shown, viewing)
    assert quick_reach(shown, viewing) == (answer.deciding, answer.reach_cm)


def test_lines_and_what_cannot_be_told_too() -> None:
    unknown = replace(blur(), kind="cannot tell", size_px=None)
    for eye_blur in (line(30.0), unknown):
        shown = reading(faces=[face(eye_blur=eye_blur)])
        answer = answer_frame(shown, Viewing())
        assert quick_reach(shown, Viewing()) == (answer.deciding, answer.reach_cm)


def test_nobody_and_nothing_readable_hold_nothing() -> None:
    for status in ("nobody", "unreadable"):
        shown = reading(faces=[], status=status)
        assert quick_reach(shown, Viewing()) == (None, None)
