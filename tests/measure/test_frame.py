"""One frame end to end, on rendered heads whose truth is known (../shared/data/rendered)."""

import json
import pickle
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest

from eyeplane.measure import measure_frame
from eyeplane.records import EyeReading, FrameReading, MeasureSettings, from_plain, to_plain

SHARP = ("dev_0005.jpg", "dev_0019.jpg", "dev_0021.jpg", "dev_0087.jpg")
SOFT = ("dev_0007.jpg", "dev_0017.jpg", "dev_0025.jpg", "dev_0086.jpg")


def near_eye(reading: FrameReading, at_px: tuple[float, float]) -> EyeReading:
    """Return the eye nearest to a place."""
    face = reading.faces[0]
    gaps = [np.hypot(*np.subtract(eye.iris_px, at_px)) for eye in face.face.eyes]
    return face.eyes[int(np.argmin(gaps))]


@pytest.fixture(scope="module")
def truth(data: Path) -> dict[str, Any]:
    frames = json.loads((data / "rendered" / "single" / "truth.json").read_text())["frames"]
    return {f["file"]: f for f in frames}


@pytest.fixture(scope="module")
def readings(data: Path) -> dict[str, FrameReading]:
    folder = data / "rendered" / "single"
    return {f: measure_frame(str(folder / f), MeasureSettings()) for f in SHARP + SOFT}


@pytest.mark.slow
def test_sharp_eyes_read_sharper_than_soft_ones(
    readings: dict[str, FrameReading], truth: dict[str, Any]
) -> None:
    sizes = {}
    for name, reading in readings.items():
        size = near_eye(reading, truth[name]["near_iris_px"]).blur.size_px
        assert size is not None
        sizes[name] = size.value
    assert max(sizes[f] for f in SHARP) < min(sizes[f] for f in SOFT)


@pytest.mark.slow
def test_soft_eyes_come_out_in_size(
    readings: dict[str, FrameReading], truth: dict[str, Any]
) -> None:
    for name in SOFT:
        blur = near_eye(readings[name], truth[name]["near_iris_px"]).blur
        assert blur.size_px is not None
        assert blur.size_px.value == pytest.approx(truth[name]["near_iris_blur_px"], rel=0.2), name


@pytest.mark.slow
def test_a_reading_is_complete_and_travels(readings: dict[str, FrameReading]) -> None:
    for reading in readings.values():
        assert reading.status == "measured"
        assert len(reading.sha256) == 64
        assert reading.faces[0].view is not None
        assert reading.faces[0].noise_contrast is not None
        assert {"nose tip", "near lashes", "mouth"} <= {p.name for p in reading.faces[0].probes}
        assert from_plain(FrameReading, json.loads(json.dumps(to_plain(reading)))) == reading
        assert pickle.loads(pickle.dumps(reading)) == reading


def test_measuring_twice_gives_the_same_to_the_last_bit(data: Path) -> None:
    path = str(data / "rendered" / "single" / "dev_0019.jpg")
    settings = MeasureSettings(spots_px=((300.5, 300.5),))
    assert measure_frame(path, settings) == measure_frame(path, settings)


def test_a_spot_is_measured_where_it_was_asked_for(tmp_path: Path) -> None:
    rng = np.random.default_rng(5)  # own picture: 1/f texture, one half blurred by a known disc
    size = 512
    f = np.hypot(np.fft.fftfreq(size)[:, None], np.fft.rfftfreq(size)[None])
    f[0, 0] = 1.0
    texture = np.fft.irfft2(np.fft.rfft2(rng.normal(size=(size, size))) / f)
    texture = 118 + 30 * texture / texture.std()
    y, x = np.mgrid[-6:7, -6:7]
    disc = (np.hypot(x, y) <= 5).astype(float)
    soft = cv2.filter2D(texture, -1, disc / disc.sum(), borderType=cv2.BORDER_REFLECT)
    texture[:, size // 2 :] = soft[:, size // 2 :]
    path = tmp_path / "board.png"
    assert cv2.imwrite(str(path), np.clip(texture, 0, 255).astype(np.uint8))
    spots = ((110.0, 256.0), (400.0, 256.0))
    reading = measure_frame(str(path), MeasureSettings(spots_px=spots))
    assert reading.status == "nobody"
    assert tuple(s.at_px for s in reading.spots) == spots
    sharp, blurred = (s.blur.size_px for s in reading.spots)
    assert sharp is not None
    assert blurred is not None
    assert sharp.value < 1.5
    assert blurred.value == pytest.approx(10.0, rel=0.15)


def test_a_bad_file_is_recorded_with_its_reason(tmp_path: Path) -> None:
    path = tmp_path / "cut.jpg"
    path.write_bytes(b"\xff\xd8\xff\xe0 and then nothing")
    reading = measure_frame(str(path), MeasureSettings())
    assert reading.status == "unreadable"
    assert reading.reason.endswith(".")
    assert reading.size_bytes == path.stat().st_size
    missing = measure_frame(str(tmp_path / "gone.jpg"), MeasureSettings())
    assert missing.status == "unreadable"
    assert missing.size_bytes == 0
