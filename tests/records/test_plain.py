"""Records survive the way through JSON."""

import json
import pickle
from collections.abc import Callable

import pytest

from eyeplane.errors import FrameError
from eyeplane.records import (
    Blur,
    Exposure,
    EyeView,
    FrameReading,
    Measured,
    SpotReading,
    from_plain,
    to_plain,
)

BLUR = Blur(
    kind="line",
    size_px=Measured(value=6.0, low=5.0, high=7.0),
    angle_deg=30.0,
    disc_px=None,
    line_px=Measured(value=6.0, low=5.0, high=7.0),
    line_angle_deg=30.0,
    line_gain=120.0,
    sharp_gain=-300.0,
)
READING = FrameReading(
    path="a.jpg",
    sha256="0" * 64,
    size_bytes=1,
    mtime_ns=2,
    status="nobody",
    reason="",
    width_px=30,
    height_px=20,
    exposure=Exposure(f_number=2.8, subject_area_px=(1, 2, 3)),
    pitch_um=None,
    pitch_source="",
    faces=(),
    background=(),
    spots=(SpotReading(at_px=(1.5, 2.5), blur=BLUR),),
)


def test_reading_survives_json() -> None:
    assert from_plain(FrameReading, json.loads(json.dumps(to_plain(READING)))) == READING


def test_bytes_survive_json() -> None:
    view = EyeView(jpeg=b"\x00\xff\x10", mm_per_px=0.1)
    assert from_plain(EyeView, json.loads(json.dumps(to_plain(view)))) == view


def test_wrong_shape_is_an_error() -> None:
    plain = to_plain(READING)
    del plain["faces"]
    with pytest.raises(KeyError):
        from_plain(FrameReading, plain)


@pytest.mark.parametrize(
    "make",
    [
        lambda: Measured(value=1.0, low=2.0, high=3.0),
        lambda: Measured(value=float("nan"), low=0.0, high=1.0),
    ],
)
def test_measured_refuses_nonsense(make: Callable[[], Measured]) -> None:
    with pytest.raises(ValueError, match=r"order|finite"):
        make()


def test_errors_survive_pickling() -> None:
    error = FrameError("not a picture", where="a.jpg", hint="Export it again")
    again = pickle.loads(pickle.dumps(error))
    assert str(again) == str(error) == "a.jpg: not a picture. Export it again."
