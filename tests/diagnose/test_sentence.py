"""The sentence by table: plain words in, plain sentence out."""

import re
from dataclasses import replace
from typing import get_args

import pytest

from eyeplane.diagnose.facts import Facts
from eyeplane.diagnose.sentence import ADVICE, WHY, sentence
from eyeplane.records import Cause, Measured

# Words that chiefly come from programs, and the laymen's word for all faults: never said.
FORBIDDEN = (
    *("pick", "reject", "flag", "star", "loupe", "filmstrip", "survey", "catalogue"),
    *("collection", "preset", "peaking", "heat map", "score", "AI", "smart", "health", "blurry"),
)


def about(value: float, low: float | None = None, high: float | None = None) -> Measured:
    return Measured(value=value, low=value if low is None else low, high=high or value)


BASE = Facts(
    reach_cm=about(35.9, 31.0, 41.0),
    goal_cm=60.0,
    time_s=1 / 125,
    f_number=1.8,
    iso=6400.0,
    reach_without_noise_cm=63.0,
    angle_deg=92.0,
    motion_px=about(2.1),
    motion_um=about(9.2),
    motion_mm=about(0.62),
)
FOCUS = replace(BASE, cause="focus", offset_mm=about(18.2, 12.0, 24.0), side="behind", stop=2.8)
GROUP = replace(BASE, who="the third face from the left", sitters=5, holding=4)

TABLE: list[tuple[Facts, str, str]] = [
    (FOCUS, "Near eye holds 35 cm. Focus lay 18 mm behind it.",
     "Focus on the iris, or close to f/2.8 for 60 cm."),
    (replace(FOCUS, print_cm=30.0, stop=None),
     "Holds the 30 cm print. Focus lay 18 mm behind the near eye.", "Focus on the iris."),
    (replace(FOCUS, print_cm=60.0),
     "Does not hold the 60 cm print: the near eye holds 35 cm. Focus lay 18 mm behind it.",
     "Focus on the iris, or close to f/2.8."),
    (replace(FOCUS, print_cm=40.0),
     "May not hold the 40 cm print: the near eye holds 31 to 40 cm. "
     "Focus lay 18 mm behind it.",
     "Focus on the iris, or close to f/2.8."),
    (replace(FOCUS, print_cm=60.0, reach_cm=about(12.0, 10.0, 16.0)),
     "Does not hold the 60 cm print: the near eye holds 10 to 16 cm. Focus lay 18 mm behind it.",
     "Focus on the iris, or close to f/2.8."),
    (replace(FOCUS, offset_mm=about(-3.6), side="in front of", stop=None),
     "Near eye holds 35 cm. Focus lay 4 mm in front of it.", "Focus on the iris."),
    (replace(FOCUS, offset_mm=None, side="", size_mm=about(18.0), stop=None),
     "Near eye holds 35 cm. Focus lay 18 mm in front of it or behind it: which cannot be told.",
     "Focus on the iris."),
    (replace(FOCUS, offset_mm=None, side="", offset_why="the file does not say aperture",
             stop=None),
     "Near eye holds 35 cm. Focus missed it; which way and how far cannot be told: "
     "the file does not say aperture.", "Focus on the iris."),
    (replace(FOCUS, offset_mm=None, offset_why="the file does not say aperture", stop=None),
     "Near eye holds 35 cm. Focus lay behind it; how far cannot be told: "
     "the file does not say aperture.", "Focus on the iris."),
    (replace(FOCUS, reach_cm=about(30.0, 20.0, 47.0)),
     "Near eye holds 20 to 45 cm. Focus lay 18 mm behind it.",
     "Focus on the iris, or close to f/2.8 for 60 cm."),
    (replace(FOCUS, who="the sharper eye"),
     "The sharper eye holds 35 cm. Focus lay 18 mm behind it.",
     "Focus on the iris, or close to f/2.8 for 60 cm."),
    (replace(FOCUS, viewing_cm=None, diagonal=False),
     "Not sharp on the wall, even from 1.5 times the print's diagonal. "
     "At 50 cm the near eye holds 35 cm. Focus lay 18 mm behind it.",
     "Focus on the iris, or close to f/2.8 for 60 cm."),
    (replace(BASE, cause="shake", hold_time_s=1 / 400),
     "Near eye holds 35 cm. You shook, up and down: 9 µm on the sensor.",
     "1/400 s would have held 60 cm."),
    (replace(BASE, cause="shake", print_cm=60.0, motion_um=None, hold_time_s=1 / 400),
     "Does not hold the 60 cm print: the near eye holds 35 cm. You shook, up and down: 2.1 px.",
     "1/400 s would have held it."),
    (replace(BASE, cause="shake", time_s=None, hold_factor=4),
     "Near eye holds 35 cm. You shook, up and down: 9 µm on the sensor.",
     "A four times shorter shutter time would have held 60 cm."),
    (replace(BASE, cause="shake"),
     "Near eye holds 35 cm. You shook, up and down: 9 µm on the sensor.", "Use a tripod."),
    (replace(BASE, cause="sitter", angle_deg=175.0, hold_time_s=1 / 500),
     "Near eye holds 35 cm. The sitter moved 0.6 mm, sideways, during 1/125 s.",
     "Use 1/500 s for 60 cm."),
    (replace(BASE, cause="motion", angle_deg=40.0, motion_px=about(6.0), hold_time_s=1 / 500),
     "Near eye holds 35 cm. Something moved, 6 px, on a slant; "
     "whose motion it was cannot be told.", "Use 1/500 s for 60 cm."),
    (replace(BASE, cause="noise", hold_iso=1600.0),
     "Near eye holds 35 cm. Grain costs the most: without it 60 cm.",
     "Give it more light: ISO 1600 instead of 6400 for 60 cm."),
    (replace(BASE, cause="pixels", print_cm=150.0, reach_cm=about(104.0, 98.0, 108.0)),
     "Does not hold the 150 cm print: the near eye holds 100 cm. "
     "It is as sharp as these pixels can show.",
     "Promise 95 cm at most; only more pixels would hold more."),
    (replace(BASE, cause="pixels", print_cm=60.0, reach_cm=about(17.0, 14.2, 26.1)),
     "Does not hold the 60 cm print: the near eye holds 14 to 26 cm. "
     "No blur shows there, but a little may hide.", "Promise 14 cm at most."),
    (replace(BASE, cause="pixels", print_cm=60.0, reach_cm=about(1.2, 0.4, 1.5)),
     "Does not hold the 60 cm print: the near eye holds 1 cm at most. "
     "No blur shows there, but a little may hide.", "Promise no print of this frame."),
    (replace(BASE, cause="none", reach_cm=about(104.0, 98.0, 108.0)),
     "Near eye holds 100 cm. Focus is right.", ""),
    (replace(BASE, cause="none", reach_cm=about(21.0, 10.4, 24.2)),
     "Near eye holds 10 to 24 cm. No blur shows there, but a little may hide.", ""),
    (replace(BASE, cause="none", doubt=True, reach_cm=about(21.0, 18.0, 24.0)),
     "Near eye holds 21 cm. No blur shows there, but a little may hide.", ""),
    (replace(BASE, cause="none", doubt=False, reach_cm=about(21.0, 18.0, 24.0)),
     "Near eye holds 21 cm. Focus is right.", ""),
    (replace(BASE, cause="none", print_cm=60.0, reach_cm=about(104.0, 98.0, 108.0)),
     "Holds the 60 cm print.", ""),
    (replace(BASE, cause="none", print_cm=60.0, reach_cm=about(65.0, 55.0, 75.0)),
     "Should hold the 60 cm print: the near eye holds 55 to 75 cm.", ""),
    (replace(BASE, cause="depth", far_reach_cm=20.4, far_depth_mm=22.3, stop=4.0),
     "Near eye holds 35 cm. The far eye, 22 mm farther back, holds 20 cm.",
     "Turn the face to the camera, or close to f/4 for 60 cm."),
    (replace(GROUP, cause="depth", others=("a", "b", "c", "d"), stop=5.6),
     "The third face from the left holds 35 cm, least of five. "
     "The depth of field does not reach it: four faces are sharper.",
     "f/5.6 would have held every face for 60 cm."),
    (replace(GROUP, cause="depth", others=("a", "b", "c", "d"), print_cm=60.0),
     "Four of five hold the 60 cm print; the third face from the left holds 35 cm. "
     "The depth of field does not reach it: four faces are sharper.",
     "Bring the faces closer together in depth."),
    (replace(GROUP, cause="focus", holding=0, print_cm=60.0, offset_mm=about(90.0), side="behind"),
     "None of five holds the 60 cm print; the third face from the left holds 35 cm. "
     "Focus lay 90 mm behind its near eye.", "Focus on the iris."),
    (replace(GROUP, cause="motion", print_cm=60.0, sitters=2, holding=0, who="the left face"),
     "Neither holds the 60 cm print; the left face holds 35 cm. "
     "Something moved, 2.1 px, up and down; whose motion it was cannot be told.",
     "Use a much shorter shutter time."),
    (replace(GROUP, cause="none", print_cm=30.0, untold=("the first face from the left",)),
     "Holds the 30 cm print. How sharp the first face from the left is cannot be told.", ""),
    (replace(GROUP, cause="none", closed=("the second face from the left",)),
     "The second face from the left blinks. "
     "The third face from the left holds 35 cm, least of five. Focus is right.",
     "Take two more frames."),
    (replace(BASE, cause="none", closed=("both eyes",), eye_shut=True),
     "Both eyes are closed, a blink. The lashes hold 35 cm. Focus is right.",
     "Take one more frame."),
    (replace(BASE, cause="glass", small_stop=True, f_number=22.0),
     "Near eye holds 35 cm. f/22 is so small an aperture that it softens everything.",
     "Open the aperture."),
    (replace(BASE, cause="glass"),
     "Near eye holds 35 cm. Face and background are soft alike; no focus plane explains it.",
     "Look at the front element."),
    (replace(BASE, cause="cannot tell", undecided="focus or motion"),
     "Near eye holds 35 cm. Whether focus or motion softens it cannot be told.", ""),
    (replace(BASE, cause="cannot tell", undecided="focus or motion", doubt=True),
     "Near eye holds 35 cm. Whether focus or motion softens it cannot be told.", ""),
    (replace(BASE, cause="cannot tell", undecided="focus or motion", doubt=False),
     "Near eye holds 35 cm. No blur shows there, but a little may hide.", ""),
    (replace(BASE, cause="cannot tell", undecided="texture", reach_cm=about(60.0, 20.0, 110.0)),
     "Near eye holds 20 to 110 cm. Too little texture there to say it closer.", ""),
    (Facts(), "How sharp the near eye is cannot be told: too little texture there.", ""),
    (replace(GROUP, reach_cm=None),
     "How sharp the near eye of the third face from the left is cannot be told: "
     "too little texture there.", ""),
]  # fmt: skip


def plain(text: str) -> str:
    return text.replace("\u2009", " ")


@pytest.mark.parametrize(("facts", "said", "advice"), TABLE, ids=range(len(TABLE)))
def test_sentence(facts: Facts, said: str, advice: str) -> None:
    found = sentence(facts)
    assert plain(found[0]) == said
    assert plain(found[1]) == advice


@pytest.mark.parametrize("facts", [row[0] for row in TABLE], ids=range(len(TABLE)))
def test_house_voice(facts: Facts) -> None:
    for text in sentence(facts):
        assert not any(re.search(rf"\b{word}", text) for word in FORBIDDEN)
        assert "!" not in text
        assert "  " not in text
        # A thin space stands before every unit, a true minus instead of a hyphen before numbers.
        assert not re.search(r"\d (cm|mm|µm|px|s)\b", text)
        assert not re.search(r"-\d", text)


def test_every_cause_has_its_words() -> None:
    assert set(WHY) == set(ADVICE) == set(get_args(Cause))


@pytest.mark.parametrize("cause", get_args(Cause))
def test_bare_facts_never_break_a_sentence(cause: Cause) -> None:
    for sitters in (1, 2, 12):
        said, advice = sentence(Facts(reach_cm=about(35.0), cause=cause, sitters=sitters))
        assert said.endswith(".")
        assert "None" not in said + advice
        assert ".." not in said + advice
