"""What a series of frames is said to show, by table."""

import math
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from eyeplane.deliver.focus_content import focus_content
from eyeplane.errors import InputError
from eyeplane.kit.focus import check_focus
from eyeplane.records import Measured
from eyeplane.records.kit_focus import FocusTargetResult, TargetFrame


def frame(offset: float | None, **notes: object) -> TargetFrame:
    """Return a frame read to ±0.8 mm."""
    measured = (
        Measured(value=offset, low=offset - 0.8, high=offset + 0.8) if offset is not None else None
    )
    plain = TargetFrame(
        path="a.jpg",
        kit="Body with 85 mm",
        f_number=1.8,
        focal_length_mm=85.0,
        distance_mm=1500.0,
        offset_mm=measured,
        depth_front_mm=9.0,
        depth_behind_mm=9.1,
    )
    return replace(plain, **notes)  # type: ignore[arg-type]  # by name


def series(bias: float, spread: float, count: int = 10, **notes: object) -> list[TargetFrame]:
    """Return frames whose mean and spread are exactly these."""
    steps = np.random.default_rng(1).normal(size=count)
    steps = (steps - steps.mean()) / steps.std(ddof=1)
    return [frame(bias + spread * float(s), **notes) for s in steps]


@pytest.mark.parametrize(
    ("bias", "spread", "verdict"),
    [
        (14.0, 3.0, "offset"),
        (-14.0, 3.0, "offset"),
        (6.0, 7.0, "offset"),
        (3.0, 4.5, "offset"),
        (4.0, 6.4, "offset"),
        (5.0, 8.0, "offset"),
        (3.5, 5.5, "offset"),
        (0.5, 12.0, "scatter"),
        (-1.0, 16.0, "scatter"),
        (0.1, 0.3, "on"),
        (0.5, 5.0, "on"),  # within the depth of field of 9 mm
    ],
)
def test_verdict(bias: float, spread: float, verdict: str) -> None:
    result = check_focus(series(bias, spread))
    assert result.verdict == verdict
    group = result.groups[result.main or 0]
    assert group.bias_mm is not None
    excludes = group.bias_mm.low > 0 or group.bias_mm.high < 0
    assert (result.correct_mm is not None) == excludes
    if result.correct_mm is not None:
        assert math.copysign(1, result.correct_mm.value) == -math.copysign(1, bias)


def test_wide_interval_is_not_called_right() -> None:
    assert check_focus(series(0.0, 6.0, 4)).verdict == "cannot tell"


def test_small_sure_offset_in_large_scatter_is_both() -> None:
    result = check_focus(series(3.0, 8.0, 60))
    assert result.verdict == "offset and scatter"


def test_one_or_two_frames_cannot_tell() -> None:
    for count in (1, 2):
        result = check_focus([frame(14.0)] * count)
        assert result.verdict == "cannot tell"
        assert result.correct_mm is None
        assert result.carried == ()
        assert "ten" in result.notes[0]


def test_focus_shift_is_told_between_apertures_and_the_widest_is_judged() -> None:
    frames = series(2.0, 1.5) + series(13.0, 1.5, f_number=4.0)
    result = check_focus(frames)
    assert result.main is not None
    assert result.groups[result.main].f_number == 1.8
    (shift,) = result.shifts
    assert (shift.kind, shift.of_value, shift.to_value, shift.sure) == ("aperture", 1.8, 4.0, True)
    assert shift.moves_value.value == pytest.approx(11.0, abs=0.3)
    alike = check_focus(series(2.0, 1.5) + series(2.3, 1.5, f_number=4.0))
    assert not alike.shifts[0].sure


def test_one_fault_of_adjustment_is_alike_behind_the_lens_at_two_distances() -> None:
    near = series(10.0, 1.0)
    carried = check_focus(near, sitter_distance_mm=3000.0).carried[0]
    far = series(carried.bias_mm.value, 4.0, distance_mm=3000.0)
    (shift,) = check_focus(near + far).shifts
    assert shift.kind == "distance"
    assert not shift.sure
    (other,) = check_focus(near + series(0.0, 4.0, distance_mm=3000.0)).shifts
    assert other.sure


@pytest.mark.parametrize("sitter_mm", [None, 2000.0, 1950.0, 1200.0])
def test_no_distance_is_told_twice(sitter_mm: float | None) -> None:
    carried = check_focus(series(10.0, 1.0), sitter_distance_mm=sitter_mm).carried
    told = sorted(one.distance_mm or 0.0 for one in carried)
    assert carried[0].distance_mm == (sitter_mm or series(10.0, 1.0)[0].distance_mm)
    assert all(far / near > 1.12 for near, far in pairwise(told))


def test_frames_past_the_wings_are_counted_not_averaged() -> None:
    past = [frame(None, beyond="behind", at_least_mm=60.0)] * 8
    result = check_focus([*past, frame(50.0)])
    assert result.verdict == "beyond"
    assert result.groups[0].beyond_behind == 8
    assert result.groups[0].bias_mm is None


def test_order_of_frames_does_not_matter() -> None:
    frames = (
        series(5.0, 3.0) + series(9.0, 3.0, f_number=2.8) + series(9.0, 3.0, distance_mm=2400.0)
    )
    shuffled = [frames[k] for k in np.random.default_rng(3).permutation(len(frames))]

    def numbers(result: FocusTargetResult) -> object:
        return result.groups, result.verdict, result.shifts

    one, other = check_focus(frames), check_focus(shuffled)
    assert [g.f_number for g in one.groups] == [g.f_number for g in other.groups]
    for a, b in zip(one.groups, other.groups, strict=True):
        assert a.bias_mm is not None
        assert b.bias_mm is not None
        assert a.bias_mm.value == pytest.approx(b.bias_mm.value, abs=1e-6)
    assert one.verdict == other.verdict


def test_mixed_kits_and_focal_lengths_are_refused() -> None:
    with pytest.raises(InputError, match="2 kits"):
        check_focus(series(1.0, 1.0) + series(1.0, 1.0, kit="Other"))
    with pytest.raises(InputError, match="70 to 85 mm"):
        check_focus(series(1.0, 1.0) + series(1.0, 1.0, focal_length_mm=70.0))


def test_frames_that_tell_nothing_are_refused_with_their_reason() -> None:
    nothing = frame(None, problem="no focus target is seen. Photograph the folded sheet.")
    with pytest.raises(InputError, match="no focus target is seen") as caught:
        check_focus([nothing, nothing])
    assert caught.value.hint == "Photograph the folded sheet"
    # One that tells something is enough, and the others stay in the record.
    assert len(check_focus([nothing, frame(3.0)]).frames) == 2


def test_missing_exif_is_told_and_the_offset_stands() -> None:
    plain = series(
        14.0, 3.0, f_number=None, focal_length_mm=None, distance_mm=None, depth_front_mm=None
    )
    result = check_focus(plain)
    assert result.verdict == "offset"
    assert len(result.carried) == 1
    assert any("aperture" in note for note in result.notes)
    assert any("focal length" in note for note in result.notes)


def test_frames_without_a_distance_are_one_series_and_no_distance_is_told() -> None:
    """Frames of one series at f/1.8 and f/4 from 1.5 m came out as of 1.19, 1.28 and 1.38 m."""
    told_not: dict[str, Any] = {"focal_length_mm": None, "pitch_um": None, "distance_mm": None}
    wide = series(14.0, 3.0, depth_front_mm=None, depth_behind_mm=None, **told_not)
    small = [replace(one, f_number=4.0) for one in wide[:4]]
    result = check_focus([*wide, *small], sitter_distance_mm=2500.0)
    assert [(one.distance_mm, one.frames) for one in result.groups] == [(None, 10), (None, 4)]
    assert [one.distance_mm for one in result.carried] == [None]
    assert any("distances cannot be told" in note for note in result.notes)
    content = focus_content(result)
    told = " ".join((content.sentence, content.advice, *content.lines))
    assert " m and f/" not in told
    assert " at f/1.8" in told
    assert [row[1] for row in content.tables[0].rows] == ["cannot tell", "cannot tell"]
    assert all("away" not in one.spoken for one in content.drawings[:1])


@pytest.mark.parametrize("sitter_mm", [500.0, 8000.0, 90_000.0])
def test_an_offset_is_not_carried_to_a_sitter_far_from_where_it_was_measured(
    sitter_mm: float,
) -> None:
    """From 1.5 m to 8 m millimetres grow thirtyfold: any other fault of autofocus drowns in it."""
    result = check_focus(series(14.0, 3.0), sitter_distance_mm=sitter_mm)
    assert result.carried[0].distance_mm == pytest.approx(1500.0)
    assert any("For that sitter" in note for note in result.notes)
    near = check_focus(series(14.0, 3.0), sitter_distance_mm=3000.0)
    assert near.carried[0].distance_mm == 3000.0
    assert not any("For that sitter" in note for note in near.notes)
