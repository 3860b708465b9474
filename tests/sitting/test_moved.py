"""A group frame with a motion put on it: told as the camera's or one sitter's, from pixels on.

The frame is a rendered one of the demo sitting; the motion is a straight line of 9 px at 20° (own
arithmetic), as a hand or a head would draw it during the exposure.
"""

import math
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

import eyeplane.cli
from eyeplane.diagnose import answer_frame
from eyeplane.imaging.tone import linear_to_srgb, srgb_to_linear
from eyeplane.measure import measure_frame
from eyeplane.records import FaceReading, FrameAnswer, FrameReading, MeasureSettings, Viewing

SOURCE = Path(eyeplane.cli.__file__).parent / "demo_sitting" / "ilves-15.jpg"
LENGTH_PX, ANGLE_DEG, PITCH_UM = 9.0, 20.0, 6.0
ONE_HEAD = (slice(600, 1300), slice(1250, 1670))


def line_kernel() -> NDArray[np.float64]:
    kernel = np.zeros((15, 15))
    for step in np.linspace(-LENGTH_PX / 2, LENGTH_PX / 2, 400):
        x = 7 + step * math.cos(math.radians(ANGLE_DEG))
        y = 7 - step * math.sin(math.radians(ANGLE_DEG))
        column, row = int(x), int(y)
        right, down = x - column, y - row
        kernel[row, column] += (1 - right) * (1 - down)
        kernel[row, column + 1] += right * (1 - down)
        kernel[row + 1, column] += (1 - right) * down
        kernel[row + 1, column + 1] += right * down
    return np.asarray(kernel / kernel.sum())


def moved(path: Path, *, only_one_head: bool) -> tuple[FrameReading, FrameAnswer]:
    """Return what is measured and said of the frame with the motion on it."""
    with Image.open(SOURCE) as image:
        exif = image.info["exif"]
        linear = np.asarray(srgb_to_linear(np.asarray(image) / 255.0), np.float64)
    smeared = np.asarray(cv2.filter2D(linear, -1, line_kernel()), np.float64)
    if only_one_head:
        mask = np.zeros(linear.shape[:2])
        mask[ONE_HEAD] = 1
        share = np.asarray(cv2.GaussianBlur(mask, (0, 0), 15), np.float64)[..., None]
        smeared = smeared * share + linear * (1 - share)
    grain = np.random.default_rng(1).normal(size=smeared.shape) * 0.6
    codes = np.clip(linear_to_srgb(smeared) * 255 + 0.5 + grain, 0, 255).astype(np.uint8)
    Image.fromarray(codes).save(path, quality=93, exif=exif)
    reading = measure_frame(str(path), MeasureSettings())
    return reading, answer_frame(reading, Viewing())


def lines(faces: tuple[FaceReading, ...]) -> list[tuple[float, float]]:
    """Return length and direction where a face shows a line."""
    return [
        (f.together.size_px.value, f.together.angle_deg)
        for f in faces
        if f.together.kind == "line" and f.together.size_px and f.together.angle_deg is not None
    ]


@pytest.mark.slow
def test_a_shaken_camera_is_told_by_the_faces_that_all_moved_alike(tmp_path: Path) -> None:
    reading, answer = moved(tmp_path / "shaken.jpg", only_one_head=False)
    found = lines(reading.faces)
    assert len(found) >= 3
    for length_px, angle_deg in found:
        assert length_px == pytest.approx(LENGTH_PX, rel=0.1)  # irises of 25 px
        assert angle_deg == pytest.approx(ANGLE_DEG, abs=5.0)
    assert answer.cause == "shake"
    assert answer.sentence.count("You shook") == 1
    motion_um = answer.faces[answer.deciding or 0].motion_um
    assert motion_um is not None
    assert motion_um.value == pytest.approx(LENGTH_PX * PITCH_UM, rel=0.1)
    # Their eyes are open: a smeared iris must not be called a blink.
    assert all(eye.open is not False for face in reading.faces for eye in face.face.eyes)


@pytest.mark.slow
def test_one_sitter_who_moved_is_told_by_the_others_who_did_not(tmp_path: Path) -> None:
    reading, answer = moved(tmp_path / "moved.jpg", only_one_head=True)
    assert len(lines(reading.faces)) == 1
    assert answer.cause == "sitter"
    assert "third face from the left" in answer.sentence
    motion_mm = answer.faces[answer.deciding or 0].motion_mm
    assert motion_mm is not None
    assert motion_mm.low <= LENGTH_PX * 0.45 <= motion_mm.high  # truth.json: 0.45 mm a pixel
