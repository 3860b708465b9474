"""Veils that come up over a sitting: found where they are, and not where there are none."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from tests.sitting.made import answer, reading
from tests.sitting.veils import TO_CODE, TO_LIGHT, Light, Scene, patch, read, shade, sources

from eyeplane.imaging import open_picture
from eyeplane.measure.veil import read_veil
from eyeplane.records import Exposure, FrameReading, Habit, MeasureSettings, SittingFrame, Veil
from eyeplane.sitting.veil import place_name, places, veil_habits
from eyeplane.sitting.veil_step import find_step

FRAMES = 24
PLACES = list(places(6, 4))


@pytest.fixture(scope="module")
def real(data: Path) -> list[NDArray[np.uint8]]:
    return sources(data)


def sitting(
    veils: Sequence[Veil | None], *, lens: str = "85 mm", start: int = 1
) -> list[SittingFrame]:
    exif = Exposure(body="A", lens=lens)
    return [
        SittingFrame(
            reading=replace(reading(f"IMG_{start + n:04d}.jpg", exposure=exif), veil=veil),
            answer=answer(),
            companions=(),
            burst=n,
            best_of_burst=True,
        )
        for n, veil in enumerate(veils)
    ]


def lights(real: list[NDArray[np.uint8]], rng: np.random.Generator, scenes: int) -> list[Light]:
    made = [
        Scene(
            rng=rng,
            source=real[int(rng.integers(len(real)))],
            sway=float(rng.choice([0.004, 0.015, 0.04])),
        )
        for _ in range(scenes)
    ]
    return [made[n * scenes // FRAMES].light() for n in range(FRAMES)]


def found(veils: Sequence[Veil]) -> tuple[str, int] | None:
    named = places(6, 4)
    step = find_step(veils, [place.ravel() for place in named.values()])
    if step is None:
        return None
    name = next(n for n, p in named.items() if (p.ravel() == step.place).all())
    return name, step.first


@pytest.mark.slow
def test_a_veil_is_found_where_it_lies_wherever_there_are_shadows(
    real: list[NDArray[np.uint8]],
) -> None:
    rng = np.random.default_rng(11)
    near, exact, late, count = 0, 0, 0, 0
    for number in range(36):
        place = PLACES[number % len(PLACES)]
        made = lights(real, rng, scenes=1 + number % 2)
        at = int(rng.integers(5, 8)) if number % 2 else int(rng.integers(8, 17))
        veil = 0.03 * patch(place)
        inside = places(6, 4)[place]
        shadows = [read(light, rng) for light in made[at - 2 : at]]
        if np.median([np.array(v.darkest)[inside.ravel()] for v in shadows]) > 0.02:
            continue  # a veil of hardly more light than its shadows hold is no loss to speak of
        lit = [light * (1 - veil / 2) + veil for light in made[at:]]
        told = found([read(light, rng) for light in [*made[:at], *lit]])
        count += 1
        if told is not None:
            named = places(6, 4)[told[0]]
            near += (named & inside).sum() >= 0.66 * min(named.sum(), inside.sum())
            exact += told[0] == place
            late += abs(told[1] - at) > 1
    assert count >= 12
    assert near >= 0.95 * count
    assert exact >= 0.8 * count
    assert late == 0


@pytest.mark.slow
def test_sittings_without_a_veil_are_not_called(real: list[NDArray[np.uint8]]) -> None:
    rng = np.random.default_rng(12)
    calls = []
    for number in range(40):
        made = lights(real, rng, scenes=1 + number % 4)
        change = number % 5
        at = int(rng.integers(5, FRAMES - 5))
        slant = rng.normal(0, 0.6, 2)
        card = patch(PLACES[number % 8], edge=0.005)
        for n in range(at, FRAMES):
            if change == 1:  # a lamp is moved
                made[n] = made[n] * shade(slant)
            elif change == 2:  # a white card comes in
                made[n] = made[n] * (1 - card) + card * np.float32(0.6)
            elif change == 3:  # something dark goes away
                made[n - at] = made[n - at] * (1 - 0.85 * card)
            elif change == 4:  # the exposure is corrected
                made[n] = made[n] * np.float32(1.8)
        calls.append(found([read(light, rng) for light in made]))
    assert sum(call is not None for call in calls) <= 0.02 * len(calls), calls


def habit_of(
    real: list[NDArray[np.uint8]], place: str, orientations: Sequence[int]
) -> tuple[Habit, ...]:
    """Return what is said of a sitting whose stored frames are veiled from the eleventh on."""
    rng = np.random.default_rng(3)
    scene = Scene(rng=rng, source=real[3], sway=0.01)
    veil = 0.05 * patch(place)
    veils = []
    for n in range(FRAMES):
        light = scene.light()
        turned = orientations[n % len(orientations)]
        veils.append(read(light + veil if n >= 10 else light, rng, orientation=turned))
    return veil_habits(sitting(veils))


def test_the_sentence_names_frame_place_amount_and_the_order_of_cleaning(
    real: list[NDArray[np.uint8]],
) -> None:
    (habit,) = habit_of(real, "the lower left", [1])
    assert habit.kind == "veil"
    assert habit.frames == FRAMES - 10
    text = habit.text.replace("\u2009", " ")
    assert text.startswith("Since about frame 11 (IMG_0011.jpg) something veils the lower left:")
    assert "% of white" in text
    assert "front element" in habit.advice
    assert habit.advice.index("blower") < habit.advice.index("lens cloth")
    assert "never the sensor" in habit.advice


def test_a_turned_camera_has_the_place_named_both_ways(real: list[NDArray[np.uint8]]) -> None:
    # Orientation 8: the stored frame is turned a quarter to the left to stand upright, so what is
    # stored lower left is seen lower right; JEITA CP-3451 (EXIF 2.3), tag 274.
    (habit,) = habit_of(real, "the lower left", [1, 1, 8])
    assert "the lower left of level frames and the lower right of upright frames" in habit.text
    (habit,) = habit_of(real, "the lower left", [8])
    assert "veils the lower right:" in habit.text


def test_every_orientation_keeps_corners_corners_and_sides_sides() -> None:
    # EXIF 2.3, tag 274: 3 is upside down, 6 is turned a quarter to the right.
    named = places(6, 4)
    assert place_name(named["the upper left"], 3) == "the lower right"
    assert place_name(named["the upper left"], 6) == "the upper right"
    assert place_name(named["the left side"], 6) == "the top"
    assert place_name(named["the top"], 8) == "the left side"
    for orientation in range(1, 9):
        names = {place_name(place, orientation) for place in named.values()}
        assert names == set(named)


def test_each_kit_is_looked_at_by_itself(real: list[NDArray[np.uint8]]) -> None:
    rng = np.random.default_rng(4)
    scene = Scene(rng=rng, source=real[3], sway=0.01)
    veil = 0.05 * patch("the lower left")
    first = sitting([read(scene.light(), rng) for _ in range(12)], lens="35 mm")
    second = sitting([read(scene.light() + veil, rng) for _ in range(12)], start=13)
    assert veil_habits(first + second) == ()  # another lens, not a veil that came
    (habit,) = veil_habits([*first, *(replace(f, reading=_on(f, "35 mm")) for f in second)])
    assert "the lower left" in habit.text


def _on(frame: SittingFrame, lens: str) -> FrameReading:
    return replace(frame.reading, exposure=Exposure(body="A", lens=lens))


def test_frames_that_were_not_read_are_left_out(real: list[NDArray[np.uint8]]) -> None:
    assert veil_habits([]) == ()
    assert veil_habits(sitting([None] * 20)) == ()
    rng = np.random.default_rng(5)
    scene = Scene(rng=rng, source=real[3], sway=0.01)
    old = [replace(read(scene.light(), rng), level=()) for _ in range(12)]
    assert veil_habits(sitting(old)) == ()


def test_a_veil_in_files_is_found(data: Path, tmp_path: Path) -> None:
    """From JPEG files on: light scattered out of a blurred copy, coded again at quality 92."""
    rng = np.random.default_rng(8)
    picture = open_picture(data / "rendered/group/grp_0001.jpg", settings=MeasureSettings())
    small, _ = picture.rgb_small(660)
    mask = cv2.resize(patch("the right side")[..., 0], (600, 400))[..., None]
    veils = []
    for n in range(16):
        x, y = rng.integers(0, 30, 2)
        light = TO_LIGHT[small[y : y + 400, x : x + 600]]
        if n >= 9:
            glare = cv2.GaussianBlur(light, (0, 0), 75)
            light = light + 0.25 * mask * (glare - light)  # 3 to 7 % of white
        codes = TO_CODE[(np.clip(light, 0, 1) * 8191).astype(np.uint16)]
        path = tmp_path / f"{n:02d}.jpg"
        Image.fromarray(codes).save(path, quality=92)
        veils.append(read_veil(open_picture(path, settings=MeasureSettings())))
    assert found(veils) == ("the right side", 9)
    assert found(veils[:9]) is None
