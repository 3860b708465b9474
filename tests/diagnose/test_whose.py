"""Whose motion it was, by table: what each part of a frame shows, and what follows from it."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.diagnose.moves import MIDDLE, SPOTS, head_at, in_field, scene, shown, soft, turning

from eyeplane.diagnose.lines import places_of
from eyeplane.diagnose.motion import Motion, motion_of, whose, whose_log_odds
from eyeplane.records import FaceReading, FrameReading, Measured

LINE = (9.0, -4.0)  # right and up in the picture
STILL = (0.0, 0.0)


def moving_head(*beside: tuple[str, bool]) -> FaceReading:
    """Return a head that moved by LINE; of each named place whether it did too."""
    x, y = MIDDLE
    lies = {"hair": (x, y - 500.0), "clothes": (x, y + 700.0)}
    return head_at(MIDDLE, LINE, [(n, lies[n], shown(LINE if m else STILL)) for n, m in beside])


def odds(reading: FrameReading) -> float:
    """Return the odds for the first face against all others."""
    first, *others = reading.faces
    motion = motion_of(first)
    assert motion is not None
    return whose_log_odds(motion, first, reading, others)


def said(reading: FrameReading) -> str:
    """Return whose motion is said."""
    first, *others = reading.faces
    motion = motion_of(first)
    assert motion is not None
    return whose(motion, first, reading, others)


STATIC = [(at, shown(STILL)) for at in SPOTS]
ALONG = [(at, shown(LINE)) for at in SPOTS]
SOFT = [(at, soft(30.0)) for at in SPOTS]
PANNED = [(at, shown((3.0, 12.0))) for at in SPOTS]
LEFT, RIGHT = (1500.0, 2000.0), (4500.0, 2000.0)

CASES = [
    ("everything shows it", scene([moving_head()], ALONG), "shake"),
    ("one place shows it", scene([moving_head()], ALONG[:1]), "shake"),
    ("background still", scene([moving_head()], STATIC), "sitter"),
    ("one place still", scene([moving_head()], STATIC[:1]), "sitter"),
    ("background soft", scene([moving_head()], SOFT), "motion"),
    ("nothing else", scene([moving_head()]), "motion"),
    ("hair only", scene([moving_head(("hair", True))]), "motion"),
    ("clothes only", scene([moving_head(("clothes", True))]), "motion"),
    ("one each", scene([moving_head()], [ALONG[0], STATIC[1]]), "motion"),
    ("panned along", scene([moving_head()], PANNED), "sitter"),
    ("other sitter still", scene([head_at(LEFT, LINE), head_at(RIGHT, STILL)]), "sitter"),
    ("other sitter too", scene([head_at(LEFT, LINE), head_at(RIGHT, LINE)]), "shake"),
    (
        "other sitter elsewhere",
        scene([head_at(LEFT, LINE), head_at(RIGHT, (1.0, 12.0))], STATIC),
        "sitter",
    ),
    ("turned", in_field(turning(0.4, (2000.0, 1500.0))), "shake"),
    ("turned and pushed", in_field(turning(0.3, MIDDLE, push=(8.0, 3.0))), "shake"),
    ("a soft half", scene([moving_head()], [*SOFT[:3], *ALONG[3:]]), "shake"),
    ("an arm in the way", scene([moving_head()], [ALONG[0], *STATIC[1:]]), "sitter"),
    ("a passer-by", scene([moving_head()], [*ALONG[:4], (SPOTS[4], shown((1.0, 14.0)))]), "shake"),
]


@pytest.mark.parametrize(("name", "reading", "verdict"), CASES, ids=[c[0] for c in CASES])
def test_whose(name: str, reading: FrameReading, verdict: str) -> None:
    assert said(reading) == verdict, (name, odds(reading))


def test_still_clothes_speak_against_shake_and_moving_ones_little_for_it() -> None:
    alone = odds(scene([moving_head()]))
    still = odds(scene([moving_head(("clothes", False))]))
    moved = odds(scene([moving_head(("clothes", True))]))
    assert still < alone - 1.0
    assert alone < moved < alone + 1.0


def test_nothing_to_compare_with_is_even() -> None:
    assert odds(scene([moving_head()])) == 0.0
    assert abs(odds(scene([moving_head()], SOFT))) < 2.0


def test_places_without_texture_are_left_out() -> None:
    blank = replace(shown(STILL), kind="cannot tell", size_px=None, disc_px=None, line_px=None)
    assert len(places_of(scene([moving_head()], [(SPOTS[0], blank)]))) == 1


@settings(deadline=None, max_examples=40)
@given(
    length=st.floats(6.0, 30.0),
    angle=st.floats(0.0, 179.9),
    places=st.integers(1, 5),
)
def test_each_further_place_makes_it_surer(length: float, angle: float, places: int) -> None:
    u = (length * math.cos(math.radians(angle)), -length * math.sin(math.radians(angle)))
    head = head_at(MIDDLE, u)
    for vector, sign in ((u, 1.0), (STILL, -1.0)):
        few = odds(scene([head], [(at, shown(vector)) for at in SPOTS[: places - 1]]))
        more = odds(scene([head], [(at, shown(vector)) for at in SPOTS[:places]]))
        assert sign * more > sign * few


@settings(deadline=None, max_examples=40)
@given(turn=st.floats(0.0, 180.0))
def test_direction_does_not_matter(turn: float) -> None:
    """Turning the whole frame by any angle changes no odds."""

    def turned(at: tuple[float, float]) -> tuple[float, float]:
        x, y = at[0] - MIDDLE[0], at[1] - MIDDLE[1]
        c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        return MIDDLE[0] + c * x - s * y, MIDDLE[1] + s * x + c * y

    def drawn(at: tuple[float, float]) -> tuple[float, float]:
        x, y = turned((at[0] + MIDDLE[0], at[1] + MIDDLE[1]))
        return x - MIDDLE[0], y - MIDDLE[1]

    plain = scene([head_at(MIDDLE, LINE)], [(at, shown(LINE)) for at in SPOTS[:2]])
    other = scene(
        [head_at(MIDDLE, drawn(LINE))], [(turned(at), shown(drawn(LINE))) for at in SPOTS[:2]]
    )
    assert odds(plain) == pytest.approx(odds(other), abs=1e-6)


def test_longer_line_that_hides_in_a_disc_is_no_evidence() -> None:
    motion = Motion(length_px=Measured(value=10.0, low=9.0, high=11.0), angle_deg=20.0)
    head = head_at(MIDDLE, LINE)
    small = whose_log_odds(motion, head, scene([head], [(SPOTS[0], soft(4.0))]), [])
    large = whose_log_odds(motion, head, scene([head], [(SPOTS[0], soft(30.0))]), [])
    assert small < large
    assert abs(large) < 1.0
