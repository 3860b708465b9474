"""EXIF against the published meanings of its numbers."""

import pytest
from PIL.TiffImagePlugin import IFDRational

from eyeplane.imaging.exif import read_exposure

UNKNOWN = 0xFFFFFFFF


@pytest.mark.parametrize(
    ("apex", "seconds"),
    [(-5, 32), (-1, 2), (0, 1), (1, 1 / 2), (2, 1 / 4), (5, 1 / 32), (7, 1 / 128), (10, 1 / 1024)],
)
def test_time_value(apex: float, seconds: float) -> None:
    # JEITA CP-3451 (EXIF 2.2), annex C: Tv = −log2 T; its table lists Tv 7 as 1/125 (nominal).
    assert read_exposure({37377: apex}).exposure_time_s == pytest.approx(seconds)


@pytest.mark.parametrize(
    ("apex", "f_number"),
    [(1, 1.4), (2, 2.0), (3, 2.8), (4, 4.0), (5, 5.6), (6, 8.0), (7, 11), (8, 16), (9, 22),
     (10, 32)],
)  # fmt: skip
def test_aperture_value(apex: float, f_number: float) -> None:
    # JEITA CP-3451 (EXIF 2.2), annex C, table of Av: nominal f-numbers, rounded to 3 % at most.
    assert read_exposure({37378: apex}).f_number == pytest.approx(f_number, rel=0.03)


def test_plain_values_win_over_apex() -> None:
    found = read_exposure({33434: 1 / 125, 33437: 5.6, 37377: 3, 37378: 2})
    assert found.exposure_time_s == 1 / 125
    assert found.f_number == 5.6


@pytest.mark.parametrize(
    ("tags", "iso"),
    [
        ({34855: 400}, 400),
        ({34855: (400, 0)}, 400),
        # 65535: "this or above", the true number is in the tags of EXIF 2.3 (Adobe, XMPNamespaces,
        # exif.md: ISOSpeedRatings 34855).
        ({34855: 65535}, None),
        ({34855: 65535, 34864: 1, 34865: 102400, 34866: 5}, 102400),
        ({34855: 65535, 34864: 2, 34865: 5, 34866: 204800}, 204800),
        ({34855: 65535, 34864: 3, 34867: 409600}, 409600),
        ({34867: 3200}, 3200),
        ({34855: 0}, None),
    ],
)
def test_sensitivity(tags: dict[int, object], iso: float | None) -> None:
    assert read_exposure(tags).iso == iso


@pytest.mark.parametrize(
    ("value", "distance_mm"),
    [
        (IFDRational(225, 100), 2250),  # metres
        (IFDRational(UNKNOWN, 1), None),  # infinity (nexif, SubjectDistance)
        (IFDRational(UNKNOWN, UNKNOWN), None),
        (IFDRational(0, 1), None),  # 0: unknown (nexif)
    ],
)
def test_subject_distance(value: IFDRational, distance_mm: float | None) -> None:
    assert read_exposure({37382: value}).subject_distance_mm == distance_mm


def test_equivalent_focal_length_zero_is_unknown() -> None:
    # Adobe, XMPNamespaces, exif.md: FocalLengthIn35mmFilm 41989, "0 = unknown".
    assert read_exposure({41989: 0}).focal_length_35mm_mm is None
    assert read_exposure({41989: 85}).focal_length_35mm_mm == 85


@pytest.mark.parametrize(
    ("flash", "fired"),
    # EXIF 2.3, tag 37385: bit 0 is "fired"; 0x10 off, 0x18 auto without firing, 0x20 no flash
    # there, 0x59 auto, fired, red-eye; numbers from the standard's list.
    [(0x00, False), (0x01, True), (0x07, True), (0x10, False), (0x18, False), (0x19, True),
     (0x20, False), (0x50, False), (0x59, True), (0x5F, True)],
)  # fmt: skip
def test_flash(flash: int, *, fired: bool) -> None:
    assert read_exposure({37385: flash}).flash_fired is fired


@pytest.mark.parametrize("area", [(10, 20), (10, 20, 5), (10, 20, 5, 6)])
def test_subject_area_forms(area: tuple[int, ...]) -> None:
    # Point, circle, rectangle (nexif): the counts 2, 3, 4.
    assert read_exposure({37396: area}).subject_area_px == area
