"""Glasses are seen where they are drawn, and never where nothing is.

Bare faces: rendered heads and photographs of people. Wearers: the same rendered heads with frames
drawn on in linear light (tests/faces/spectacles.py), written as JPEG files and read again.
"""

import math
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from tests.faces.spectacles import HALF, MEDIUM, METAL, THICK, Glasses, wearing

from eyeplane.faces import find_faces
from eyeplane.faces.glasses import glasses_place, glasses_signs, wears_glasses
from eyeplane.imaging import Picture, open_picture
from eyeplane.people import glasses_frame_depth
from eyeplane.records import Face, Measured, MeasureSettings

# Frames of the rendered head that keep still: straight on and turned, sharp and soft.
HEADS = ("dev_0005", "dev_0010", "dev_0023", "dev_0026")


def opened(path: Path) -> tuple[Picture, tuple[Face, ...]]:
    picture = open_picture(path, settings=MeasureSettings())
    return picture, find_faces(picture)


def pixels(picture: Picture) -> NDArray[np.uint8]:
    return picture.rgb_window(0, 0, picture.width_px, picture.height_px)


def written(rgb: NDArray[np.uint8], folder: Path, *, quality: int = 88) -> Path:
    path = folder / "drawn.jpg"
    cv2.imwrite(
        str(path), cv2.cvtColor(rgb, cv2.COLOR_RGB2BGR), [cv2.IMWRITE_JPEG_QUALITY, quality]
    )
    return path


@pytest.fixture(scope="module")
def bare(data: Path) -> dict[str, tuple[Picture, Face]]:
    """Return rendered heads without glasses."""
    found = {}
    for name in HEADS:
        picture, faces = opened(data / "rendered" / "single" / f"{name}.jpg")
        found[name] = picture, faces[0]
    return found


@pytest.mark.slow
def test_bare_rendered_heads_are_never_said_to_wear_glasses(
    bare: dict[str, tuple[Picture, Face]], data: Path
) -> None:
    answers = [wears_glasses(picture, face) for picture, face in bare.values()]
    group, faces = opened(data / "rendered" / "group" / "grp_0001.jpg")
    answers += [wears_glasses(group, face) for face in faces]
    assert True not in answers
    assert answers.count(False) >= 0.7 * len(answers)


@pytest.mark.slow
def test_bare_people_are_never_said_to_wear_glasses(data: Path) -> None:
    for name in ("people-07", "people-08"):  # looked at: no glasses
        picture, faces = opened(data / "people" / f"{name}.jpg")
        assert True not in [wears_glasses(picture, face) for face in faces]


@pytest.mark.slow
@pytest.mark.parametrize(
    "glasses", [THICK, MEDIUM, METAL, HALF], ids=("thick", "medium", "metal", "half")
)
def test_drawn_glasses_are_seen(
    bare: dict[str, tuple[Picture, Face]], tmp_path: Path, glasses: Glasses
) -> None:
    seen = []
    for name, blur_px in (("dev_0005", 0.0), ("dev_0023", 3.0)):
        picture, face = bare[name]
        drawn = wearing(pixels(picture), face, glasses, blur_px=blur_px)
        again, faces = opened(written(drawn, tmp_path))
        seen.append(wears_glasses(again, faces[0]))
    assert seen == [True, True]


@pytest.mark.slow
def test_a_frame_that_lies_on_its_side_tells_the_same(
    bare: dict[str, tuple[Picture, Face]], tmp_path: Path
) -> None:
    picture, face = bare[HEADS[0]]
    drawn = np.ascontiguousarray(np.rot90(wearing(pixels(picture), face, MEDIUM)))
    again, faces = opened(written(drawn, tmp_path))
    assert wears_glasses(again, faces[0]) is True


def test_what_cannot_be_told_is_left_open(
    bare: dict[str, tuple[Picture, Face]], tmp_path: Path
) -> None:
    picture, face = bare[HEADS[0]]
    aside = replace(face, yaw_deg=Measured(value=50.0, low=44.0, high=56.0))
    assert wears_glasses(picture, aside) is None
    tiny = replace(face, mm_per_px=Measured(value=0.9, low=0.8, high=1.0))
    assert wears_glasses(picture, tiny) is None
    # So soft (5 mm of blur) that thin rims would be gone as well: no "no".
    side = round(5.0 / face.mm_per_px.value)
    blurred = np.asarray(cv2.blur(pixels(picture), (side, side)), np.uint8)
    soft = open_picture(written(blurred, tmp_path), settings=MeasureSettings())
    assert glasses_signs(soft, face).sharp < glasses_signs(picture, face).sharp
    assert wears_glasses(soft, face) is None


def test_the_place_of_glasses_is_the_bridge_before_the_nose(
    bare: dict[str, tuple[Picture, Face]],
) -> None:
    _, face = bare["dev_0005"]
    ahead = glasses_frame_depth().mean_mm
    place = glasses_place(face)
    assert place.name == "glasses"
    assert place.depth_mm == pytest.approx(ahead, abs=3.5)  # a head that faces the camera
    middle = np.mean([eye.iris_px for eye in face.eyes], axis=0)
    assert math.dist(place.at_px, middle) * face.mm_per_px.value < 8.0
    _, turned = bare["dev_0026"]
    far = next(m.depth_mm for m in turned.landmarks if m.name == "far iris")
    yaw = math.radians(turned.yaw_deg.value)
    assert glasses_place(turned).depth_mm == pytest.approx(far / 2 + ahead * math.cos(yaw), abs=1.5)
    # The bridge stands before the irises' plane, so it shows aside of their middle.
    middle = np.mean([eye.iris_px for eye in turned.eyes], axis=0)
    shift = (glasses_place(turned).at_px[0] - middle[0]) * turned.mm_per_px.value
    assert shift == pytest.approx(-ahead * math.sin(yaw), abs=2.0)


def test_drawn_bridge_lies_where_the_place_says(bare: dict[str, tuple[Picture, Face]]) -> None:
    for name in ("dev_0005", "dev_0026"):
        picture, face = bare[name]
        before = pixels(picture).astype(float)
        drawn = wearing(pixels(picture), face, THICK).astype(float)
        x, y = glasses_place(face).at_px
        half = 4.0 / face.mm_per_px.value
        here = np.s_[round(y - half) : round(y + half), round(x - half) : round(x + half)]
        assert np.abs(drawn - before)[here].max() > 60.0
