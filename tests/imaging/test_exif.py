import math
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from PIL.TiffImagePlugin import IFDRational

from eyeplane.imaging import Picture
from eyeplane.imaging.exif import load_exif, number, orientation_of, read_exposure, read_tags
from eyeplane.records import Exposure

TAGS = [
    33434, 33437, 34855, 34864, 34865, 34866, 34867, 37377, 37378, 37380, 37382, 37385, 37386,
    37396, 41989, 272, 42036, 42033, 42037, 36867, 36868, 306, 37521, 36881, 50735,
]  # fmt: skip


def test_through_a_file(
    scene: np.ndarray, encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> None:
    tags = {
        33434: 1 / 250, 33437: 1.8, 34855: 400, 37380: -0.7, 37382: 1.25, 37385: 0x0F,
        37386: 85.0, 37396: (600, 400, 50), 41989: 128, 272: "Body One ", 42036: "Lens 85",
        42033: "0042", 42037: "L7", 36867: "2024:05:06 07:08:09", 37521: "042", 36881: "+02:00",
    }  # fmt: skip
    found = opened(encoded(scene, tags=tags)).exposure
    at = datetime.fromisoformat("2024-05-06T07:08:09.042+02:00")
    assert found.exposure_time_s == pytest.approx(0.004)
    assert found.f_number == pytest.approx(1.8)
    assert found.exposure_bias_ev == pytest.approx(-0.7)
    assert found.subject_distance_mm == pytest.approx(1250)
    assert found.captured_s == pytest.approx(at.timestamp(), abs=1e-6)
    assert found.captured_at == "2024-05-06T07:08:09.042000+02:00"
    assert (found.iso, found.flash_fired, found.focal_length_mm) == (400, True, 85)
    assert (found.focal_length_35mm_mm, found.subject_area_px) == (128, (600, 400, 50))
    assert (found.body, found.lens) == ("Body One", "Lens 85")
    assert (found.body_serial, found.lens_serial) == ("0042", "L7")


def test_nothing_is_none() -> None:
    assert read_exposure({}) == Exposure()


@pytest.mark.parametrize(
    "value",
    [None, "f/2", b"\0\1", float("nan"), float("inf"), IFDRational(1, 0), IFDRational(0, 0), (),
     {}, object(), True, 1e300],
)  # fmt: skip
def test_garbage_is_none(value: object) -> None:
    found = read_exposure(dict.fromkeys(TAGS, value))
    for name in ("exposure_time_s", "iso", "focal_length_mm", "focal_length_35mm_mm"):
        assert getattr(found, name) is None, name
    assert found.subject_distance_mm is None
    assert found.captured_at is None
    assert found.subject_area_px is None


@pytest.mark.parametrize("value", [-1.0, IFDRational(-1, 2)])
def test_negative_is_none_where_it_cannot_be(value: object) -> None:
    found = read_exposure(dict.fromkeys(set(TAGS) - {37377}, value))  # APEX time may be negative
    assert found == Exposure(exposure_bias_ev=number(value))


def test_zero_is_unknown() -> None:
    found = read_exposure(dict.fromkeys(TAGS, 0))
    assert found.exposure_time_s == 1.0  # APEX 0 is one second
    assert found == Exposure(exposure_time_s=1.0, exposure_bias_ev=0.0, flash_fired=False)


@pytest.mark.parametrize(
    "when",
    ["0000:00:00 00:00:00", "    :  :     :  :  ", "2024:13:01 00:00:00", "2024:02:30 10:00:00",
     "0001:01:01 00:00:00", "yesterday", ""],
)  # fmt: skip
def test_times_that_never_were(when: str) -> None:
    assert read_exposure({36867: when}).captured_at is None


def test_time_falls_back_and_forgives() -> None:
    found = read_exposure({36867: "0000:00:00 00:00:00", 306: "2020:01:02 03:04:05"})
    assert found.captured_at == "2020-01-02T03:04:05"
    assert found.captured_s == datetime(2020, 1, 2, 3, 4, 5, tzinfo=UTC).timestamp()
    odd = {36867: "2020:01:02 03:04:05", 37521: "x7", 36881: "   :  "}
    assert read_exposure(odd).captured_at == "2020-01-02T03:04:05"
    fine = {36867: "2020:01:02 03:04:05", 37521: "1234567 "}
    assert read_exposure(fine).captured_at == "2020-01-02T03:04:05.123456"


def test_texts_are_cleaned() -> None:
    assert read_exposure({272: "Body\0junk"}).body == "Body"
    assert read_exposure({272: "A\nB\x07C"}).body == "A B C"
    assert read_exposure({42036: "----"}).lens is None
    assert read_exposure({42036: b"Lens \xff"}).lens == "Lens \N{REPLACEMENT CHARACTER}"
    assert len(read_exposure({272: "x" * 5000}).body or "") == 200


@pytest.mark.parametrize("area", [(1,), (1, 2, 3, 4, 5), (1, -2), (1, None), "ab", (1, math.nan)])
def test_subject_areas_that_are_none(area: object) -> None:
    assert read_exposure({37396: area}).subject_area_px is None


anything = st.one_of(
    st.none(), st.integers(), st.floats(), st.text("0123456789:+-. \0aé", max_size=30),
    st.binary(max_size=30),
    st.tuples(st.integers(), st.floats()),
    st.builds(IFDRational, st.integers(-(2**31), 2**32), st.integers(0, 2**32)),
)  # fmt: skip


@given(st.dictionaries(st.sampled_from(TAGS), anything))
def test_no_value_raises(tags: dict[int, Any]) -> None:
    found = read_exposure(tags)
    for value in (found.exposure_time_s, found.f_number, found.iso, found.focal_length_mm):
        assert value is None or (math.isfinite(value) and value > 0)


@given(st.binary(max_size=400))
def test_no_bytes_raise(data: bytes) -> None:
    for head in (b"", b"II*\0\x08\0\0\0", b"MM\0*\0\0\0\x08"):
        exif = load_exif(head + data)
        read_exposure(read_tags(exif))
        assert orientation_of(exif, (4, 3)) in range(1, 9)


@given(st.integers(0, 10**6), st.integers(0, 255))
def test_no_flipped_byte_raises(at: int, value: int) -> None:
    exif = Image.Exif()
    sub = exif.get_ifd(0x8769)
    sub[33434], sub[37386], sub[36867], exif[274] = 0.01, 85.0, "2020:01:02 03:04:05", 6
    data = bytearray(exif.tobytes()[6:])
    data[at % len(data)] = value
    loaded = load_exif(bytes(data))
    read_exposure(read_tags(loaded))
    assert orientation_of(loaded, (4, 3)) in range(1, 9)


def test_number_takes_the_first_of_a_list() -> None:
    assert number((400, 800)) == 400
    assert number([IFDRational(1, 4)]) == 0.25
