"""The near eye on a page, as large as on the print."""

import io
from dataclasses import replace
from types import ModuleType

import pytest
from PIL import Image

from eyeplane.deliver.print_window import CSS_PX_PER_MM, print_window
from eyeplane.records import EyeView, FaceReading, FrameReading, Measured

IRIS_MM = 11.7  # visible iris, adults; people.measures gives its sources


def picture(width_px: int, height_px: int) -> bytes:
    """Return a plain JPEG of a size."""
    out = io.BytesIO()
    Image.new("RGB", (width_px, height_px), (200, 180, 160)).save(out, "JPEG")
    return out.getvalue()


def made(
    builder: ModuleType, *, scale: float, shrunk: float, size: tuple[int, int]
) -> tuple[FrameReading, FaceReading, bytes]:
    """Return a frame of 6000 px whose window shows so many mm of face per pixel of the frame."""
    jpeg = picture(*size)
    face = builder.face_reading(builder.blur_of("disc", 4.0))
    view = EyeView(jpeg=jpeg, mm_per_px=scale * shrunk)
    measured = Measured(value=scale, low=scale, high=scale)
    face = replace(face, view=view, face=replace(face.face, mm_per_px=measured))
    return builder.reading_of("a.jpg", (face,)), face, jpeg


@pytest.mark.parametrize("shrunk", [1.0, 1.6, 3.2])
def test_an_iris_is_as_large_as_a_ruler_finds_it_on_the_print(
    builder: ModuleType, shrunk: float
) -> None:
    """By hand: 0.134 mm of face to a pixel, 6000 px to 600 mm: the print is 0.746 of life size."""
    frame, face, jpeg = made(builder, scale=0.134, shrunk=shrunk, size=(320, 220))
    found = print_window(jpeg, frame=frame, face=face, print_cm=60.0, screen_px_per_mm=6.0)
    assert found is not None
    iris_px = IRIS_MM / (0.134 * shrunk)  # in the window
    on_screen_mm = iris_px * found.width / 320 / 6.0
    assert on_screen_mm == pytest.approx(IRIS_MM * 600 / (6000 * 0.134), rel=1e-3)
    assert found.whole == (shrunk == 1.0)
    assert found.frame_px == (round(320 * shrunk), round(220 * shrunk))
    assert found.width_mm == pytest.approx(found.width / 6.0, rel=1e-3)


def test_without_a_measured_screen_a_millimetre_is_what_css_calls_one(builder: ModuleType) -> None:
    frame, face, jpeg = made(builder, scale=0.134, shrunk=1.0, size=(320, 220))
    given = print_window(jpeg, frame=frame, face=face, print_cm=60.0)
    same = print_window(jpeg, frame=frame, face=face, print_cm=60.0, screen_px_per_mm=CSS_PX_PER_MM)
    assert given == same
    assert given is not None
    assert given.width == pytest.approx(320 * 0.1 * 96 / 25.4, rel=1e-3)  # CSS Values 4, 6.2


def test_a_print_twice_as_long_shows_the_eye_twice_as_large(builder: ModuleType) -> None:
    frame, face, jpeg = made(builder, scale=0.134, shrunk=1.0, size=(320, 220))
    one = print_window(jpeg, frame=frame, face=face, print_cm=30.0)
    two = print_window(jpeg, frame=frame, face=face, print_cm=60.0)
    assert one is not None
    assert two is not None
    assert (two.width, two.height) == pytest.approx((2 * one.width, 2 * one.height), rel=1e-3)


def test_what_cannot_be_laid_out_is_left_out(builder: ModuleType) -> None:
    frame, face, jpeg = made(builder, scale=0.134, shrunk=1.0, size=(320, 220))
    sized = replace(frame, width_px=0, height_px=0)
    assert print_window(b"no picture", frame=frame, face=face, print_cm=60.0) is None
    assert print_window(jpeg, frame=sized, face=face, print_cm=60.0) is None
    assert print_window(jpeg, frame=frame, face=face, print_cm=1e6) is None
    bare = replace(face, view=None)
    assert print_window(jpeg, frame=frame, face=bare, print_cm=60.0) is None
