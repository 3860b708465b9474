"""Broken files of the public corpora: a picture or a reason, in good time, and never a crash."""

import time
from pathlib import Path

import numpy as np
import pytest

from eyeplane.errors import FrameError
from eyeplane.imaging import open_picture
from eyeplane.records import MeasureSettings

LIMIT_S = 10.0  # per file; common practice, no source


@pytest.mark.parametrize("kind", ["heic", "jpg", "png", "tif"])
def test_every_damaged_file_is_accounted_for(kind: str, data: Path) -> None:
    paths = sorted((data / "damaged").glob(f"*.{kind}"))
    assert len(paths) == 40
    for path in paths:
        before, began = path.read_bytes(), time.monotonic()
        try:
            picture = open_picture(path, settings=MeasureSettings())
        except FrameError as error:
            told = (error.where, bool(error.what), bool(error.hint))
            assert told == (str(path), True, True)
        else:
            window = picture.luma_window(0, 0, 600, 600)
            assert window.luma.size, path.name
            assert np.isfinite(window.luma).all(), path.name
            assert picture.rgb_small(200)[0].ndim == 3, path.name
        assert time.monotonic() - began < LIMIT_S, path.name
        assert path.read_bytes() == before


def test_films_named_as_stills(data: Path) -> None:
    for path in sorted((data / "damaged").glob("heic-*.heic"))[:5]:
        with pytest.raises(FrameError, match="video or another kind"):
            open_picture(path, settings=MeasureSettings())


def test_whole_camera_frames_all_open(data: Path) -> None:
    for folder in ("people", "nobody"):
        for path in sorted((data / folder).glob("*.jpg")):
            picture = open_picture(path, settings=MeasureSettings())
            assert picture.exposure.f_number is not None, path.name
            assert picture.quantization is not None, path.name


def test_a_real_frame_cut_anywhere_is_refused(data: Path, tmp_path: Path) -> None:
    whole = (data / "people" / "people-11.jpg").read_bytes()
    path = tmp_path / "cut.jpg"
    for size in range(2, len(whole), len(whole) // 25):
        path.write_bytes(whole[:size])
        with pytest.raises(FrameError):
            open_picture(path, settings=MeasureSettings())
