from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.imaging import open_picture
from eyeplane.imaging.exif import read_exposure
from eyeplane.imaging.pitch import FrameSize, Pitch, pixel_pitch
from eyeplane.records import MeasureSettings

SIX_UM = {0xA20E: 10_000 / 6, 0xA20F: 10_000 / 6, 0xA210: 3}
FULL = {0xA002: 6000, 0xA003: 4000}
KIT = MeasureSettings(kit_pitch_um=(("Body", 4.3),))


def find(
    tags: dict[int, Any], size: tuple[int, int], settings: MeasureSettings = KIT, **more: bool
) -> Pitch:
    frame = FrameSize(width_px=size[0], height_px=size[1], **more)
    return pixel_pitch(tags, read_exposure(tags), frame, settings)


def value(pitch: Pitch) -> float:
    assert pitch.um is not None
    return pitch.um.value


def test_whole_frame_and_units() -> None:
    found = find(SIX_UM | FULL, (6000, 4000))
    assert found.source == "focal plane resolution"
    assert value(found) == pytest.approx(6)
    assert found.um is not None
    assert found.um.high - found.um.low < 0.2
    for unit, per_unit in ((2, 25_400 / 6), (3, 10_000 / 6), (4, 1_000 / 6), (5, 1 / 6)):
        tags = FULL | {0xA20E: per_unit, 0xA20F: per_unit, 0xA210: unit}
        assert value(find(tags, (6000, 4000))) == pytest.approx(6), unit


def test_turned_frame() -> None:
    assert value(find(SIX_UM | FULL, (4000, 6000))) == pytest.approx(6)


def test_resized_frame_has_larger_pixels() -> None:
    found = find(SIX_UM | FULL, (1500, 1000))
    assert value(found) == pytest.approx(24)
    rounded = find(SIX_UM | {0xA002: 5184, 0xA003: 3456}, (900, 600))
    assert value(rounded) == pytest.approx(6 * 5.76, rel=0.001)


def test_cropped_frame_keeps_its_pixels() -> None:
    found = find(SIX_UM | FULL, (1100, 1400))
    assert value(found) == pytest.approx(6)
    assert found.um is not None
    assert found.um.high < 6.1


def test_crop_by_an_editor_may_be_resized_too() -> None:
    found = find(SIX_UM | FULL, (1100, 1400), edited=True)
    assert found.um is not None
    assert found.um.low < 6 < found.um.high
    assert found.um.high == pytest.approx(6 * 4000 / 1100, rel=0.02)


def test_enlarged_frame_cannot_be_told() -> None:
    assert find(SIX_UM | FULL, (9000, 6000)) == Pitch(um=None, source="")


def test_without_a_noted_size_only_a_whole_sensor_counts() -> None:
    assert value(find(SIX_UM, (6000, 4000))) == pytest.approx(6)
    assert find(SIX_UM, (900, 600)).um is None


def test_edited_frame_of_odd_size() -> None:
    tags = SIX_UM | {0xA002: 900, 0xA003: 600}
    assert find(tags, (900, 600), edited=True).um is None
    tags |= {37386: 85.0, 41989: 85}
    found = find(tags, (900, 600), edited=True)
    assert found.um is not None
    assert found.um.low < 6
    assert found.um.high == pytest.approx(40, rel=0.01)  # a whole 36 mm frame, made small


def test_digital_zoom_cannot_be_told() -> None:
    assert find(SIX_UM | FULL | {0xA404: 2.0}, (6000, 4000)).um is None
    assert find(SIX_UM | FULL | {0xA404: 0.0}, (6000, 4000)).um is not None


def test_equivalent_focal_length() -> None:
    tags: dict[int, Any] = {37386: 50.0, 41989: 50, 0xA002: 6000, 0xA003: 4000}
    found = find(tags, (6000, 4000))
    assert found.source == "35 mm equivalent"
    assert value(found) == pytest.approx(6, rel=1e-3)
    assert found.um is not None
    assert found.um.high / found.um.low > 1.05
    assert value(find(tags, (3000, 2000))) == pytest.approx(12, rel=1e-3)
    assert find(tags | {41989: 0}, (6000, 4000)).um is None  # 0: unknown
    assert find({37386: 50.0, 41989: 50}, (1100, 1400)).um is None  # a crop
    assert value(find({37386: 50.0, 41989: 50}, (1500, 1000))) == pytest.approx(24, rel=1e-3)


def test_kit_table_comes_last() -> None:
    body = {272: "body"} | FULL
    assert find(body, (6000, 4000)) == find(body | {41989: 0}, (6000, 4000))
    assert find(body, (6000, 4000)).source == "kit table"
    assert value(find(body, (3000, 2000))) == pytest.approx(8.6)
    assert value(find(body | SIX_UM, (6000, 4000))) == pytest.approx(6)
    assert find({272: "other"} | FULL, (6000, 4000)).um is None
    assert find({272: "Body"}, (900, 600)).um is None  # nobody knows what was done to it
    assert value(find({272: "Body"}, (900, 600), from_sensor=True)) == pytest.approx(4.3)


@pytest.mark.parametrize(
    "wrong",
    [{0xA20E: 10_000 / 60, 0xA20F: 10_000 / 60}, {0xA20E: 1e6, 0xA20F: 1e6},
     {0xA20E: 1666.0, 0xA20F: 900.0}, {0xA210: 77}, {0xA20E: 0, 0xA20F: 0}],
)  # fmt: skip
def test_impossible_resolutions_are_not_believed(wrong: dict[int, Any]) -> None:
    assert find(SIX_UM | FULL | wrong, (6000, 4000)).um is None


@given(
    pitch_um=st.floats(2, 8),
    long_px=st.integers(2000, 6000),
    shrink=st.floats(1.0, 4.0),
)
def test_resizing_keeps_the_sensor(pitch_um: float, long_px: int, shrink: float) -> None:
    short_px = round(long_px / 1.5)
    per_cm = 10_000 / pitch_um
    tags = {0xA20E: per_cm, 0xA20F: per_cm, 0xA210: 3, 0xA002: long_px, 0xA003: short_px}
    small = (round(long_px / shrink), round(short_px / shrink))
    found = find(tags, small)
    if found.um is not None:
        truth = pitch_um * long_px / small[0]
        crop_too = abs(small[0] / small[1] / (long_px / short_px) - 1) > 1 / small[1]
        assert crop_too or found.um.low <= truth <= found.um.high


@pytest.mark.parametrize(
    ("pattern", "pitch_um"),
    [("single/*.jpg", 6.0), ("group/*.jpg", 6.0), ("full/*.jpg", 6.0)],
)
def test_rendered_frames(pattern: str, pitch_um: float, data: Path) -> None:
    for path in sorted((data / "rendered").glob(pattern))[:2]:
        found = open_picture(path, settings=MeasureSettings())
        assert found.pitch_um is not None
        assert found.pitch_um.value == pytest.approx(pitch_um, rel=1e-3)
        assert found.pitch_um.high / found.pitch_um.low < 1.03


def test_people_frames(data: Path) -> None:
    def pitch(number: int) -> float | None:
        path = data / "people" / f"people-{number:02}.jpg"
        found = open_picture(path, settings=MeasureSettings()).pitch_um
        return None if found is None else found.value

    # 22.5 mm over 3504 px, that body's data sheet (from memory).
    assert pitch(1) == pytest.approx(22.5 / 3504 * 1000, rel=0.01)
    assert pitch(2) is None  # 600 × 900 from 18 MP, and no word of the size it had
    assert pitch(6) == pytest.approx(1.5, rel=0.03)  # 1.5 µm, that phone's data sheet (from memory)
    assert pitch(9) is None
