"""What frames teach is kept quietly, once, and goes when it is forgotten."""

import os
import random
from dataclasses import replace
from pathlib import Path

import pytest
from tests.sitting import fakes
from tests.sitting.simulated import CLEAN
from tests.sitting.taught import LIVELY, sitting_in

from eyeplane.learn import learn_all
from eyeplane.records import SittingFrame
from eyeplane.records.lessons import SittingLabels
from eyeplane.sitting import Measuring, RunOptions, measure_sitting
from eyeplane.sitting.lessons import keep_lessons, lessons_of
from eyeplane.store import Lessons, read_learned
from eyeplane.store.lessons import sitting_key


@pytest.fixture
def store(tmp_path: Path) -> Path:
    return tmp_path / "store.sqlite3"


def kept(store: Path) -> list[str]:
    with Lessons(store) as lessons:
        return [one.sha256 for one in lessons.all()]


def test_a_frame_teaches_with_its_own_numbers(tmp_path: Path) -> None:
    frames = sitting_in(tmp_path / "a", 1)
    found = lessons_of(frames)
    assert set(found) == {frame.reading.sha256 for frame in frames}
    by_hash = {frame.reading.sha256: frame for frame in frames}
    told = [one for own in found.values() for one in own]
    assert {one.kind for one in told} == {"sitter", "shake", "focus"}
    for one in told:
        frame = by_hash[one.sha256]
        assert one.sitting == str(tmp_path / "a")
        assert one.focal_length_mm == 85.0
        assert one.exposure_time_s == frame.reading.exposure.exposure_time_s
        assert one.captured_s == frame.reading.exposure.captured_s
        said = frame.answer.faces[0]
        if one.kind == "focus":
            assert said.offset_mm is not None
            assert one.value == said.offset_mm.value
        elif one.kind == "sitter" and one.seen:
            assert said.motion_mm is not None
            assert one.value * (one.exposure_time_s or 0) == pytest.approx(said.motion_mm.value)


def test_measuring_again_changes_nothing(tmp_path: Path, store: Path) -> None:
    frames = sitting_in(tmp_path / "a", 1)
    keep_lessons(frames, store)
    before, numbers = kept(store), read_learned(store)
    assert numbers is not None
    assert not numbers.stale
    assert numbers.numbers["sitters"]
    keep_lessons(frames, store)
    assert kept(store) == before
    assert read_learned(store) == numbers


def test_measuring_differently_replaces(tmp_path: Path, store: Path) -> None:
    frames = sitting_in(tmp_path / "a", 1)
    keep_lessons(frames, store)
    sharper = [_with_half_the_motion(frame) for frame in frames]
    keep_lessons(sharper, store)
    with Lessons(store) as lessons:
        told = lessons.all()
    assert {(one.sha256, one.kind) for one in told} == {
        (one.sha256, one.kind) for own in lessons_of(sharper).values() for one in own
    }
    assert sum(one.value for one in told if one.kind == "sitter" and one.seen) == pytest.approx(
        0.5
        * sum(
            one.value
            for own in lessons_of(frames).values()
            for one in own
            if one.kind == "sitter" and one.seen
        )
    )


def _with_half_the_motion(frame: SittingFrame) -> SittingFrame:
    said = frame.answer.faces[0]
    if said.motion_mm is None:
        return frame
    motion = replace(
        said.motion_mm,
        value=said.motion_mm.value / 2,
        low=said.motion_mm.low / 2,
        high=said.motion_mm.high / 2,
    )
    answer = replace(frame.answer, faces=(replace(said, motion_mm=motion),))
    return replace(frame, answer=answer)


def test_rendered_frames_teach_nothing(tmp_path: Path, store: Path) -> None:
    rendered = replace(LIVELY, kit=("rendered 24MP", "rendered 85mm"))
    keep_lessons(sitting_in(tmp_path / "demo", 1, rendered), store)
    assert kept(store) == []
    assert read_learned(store) is None


def test_any_order_of_frames_and_sittings_teaches_the_same(tmp_path: Path) -> None:
    sittings = [sitting_in(tmp_path / str(n), n, day=n) for n in range(3)]
    told = [one for frames in sittings for own in lessons_of(frames).values() for one in own]
    expected = learn_all(told)
    random.Random(1).shuffle(told)  # noqa: S311  no secrets here
    assert learn_all(told) == expected
    both = tuple(frame for frames in reversed(sittings) for frame in frames)
    together = [one for own in lessons_of(both).values() for one in own]
    assert learn_all(together) == expected


def test_labels_are_kept_changed_and_taken_away(tmp_path: Path, store: Path) -> None:
    keep_lessons(
        sitting_in(tmp_path / "a", 1), store, labels=SittingLabels(sitter="child 3", kit="Studio")
    )
    keep_lessons(sitting_in(tmp_path / "b", 2, day=1), store)
    with Lessons(store) as lessons:
        numbers = learn_all(lessons.all())
        assert {one.sitter for one in numbers.sitters} == {"child 3", ""}
        # The same body and lens: the name given once holds for both.
        assert [one.kit for one in numbers.focus if not one.setting] == ["Studio"]
        assert "Body A with 85 mm" in numbers.focus[0].names
        lessons.label([sitting_key(tmp_path / "a")], {"sitter": "child 4", "kit": ""})
        assert {one.sitter for one in learn_all(lessons.all()).sitters} == {"child 4", ""}
        assert lessons.labels()[sitting_key(tmp_path / "a")] == SittingLabels(sitter="child 4")
        lessons.label([sitting_key(tmp_path / "a")], {"sitter": ""})
        assert lessons.labels() == {}


def test_a_kit_name_for_two_kits_is_refused_and_the_lessons_are_there(
    tmp_path: Path, store: Path
) -> None:
    two = replace(LIVELY, kit=("Body B", "50 mm"))
    frames = (*sitting_in(tmp_path / "a", 1), *sitting_in(tmp_path / "a", 2, two, day=1))
    said: list[str] = []
    labels = SittingLabels(kit="Studio", sitter="adult")
    keep_lessons(frames, store, labels=labels, heard=said.append)
    with Lessons(store) as lessons:
        assert lessons.labels() == {sitting_key(tmp_path / "a"): SittingLabels(sitter="adult")}
    assert len(said) == 1
    assert "two kits (Body A with 85 mm and Body B with 50 mm)" in said[0]
    assert kept(store)


def test_a_moved_folder_is_found_again_with_its_labels(tmp_path: Path, store: Path) -> None:
    keep_lessons(sitting_in(tmp_path / "a", 1), store, labels=SittingLabels(sitter="child 3"))
    count = len(kept(store))
    keep_lessons(sitting_in(tmp_path / "moved", 1), store)
    with Lessons(store) as lessons:
        told = lessons.all()
    assert len(told) == count
    assert {one.sitting for one in told} == {sitting_key(tmp_path / "moved")}
    assert {one.labels.sitter for one in told} == {"child 3"}


def test_what_is_forgotten_is_gone_and_not_learned_again(tmp_path: Path, store: Path) -> None:
    frames = sitting_in(tmp_path / "a", 1)
    keep_lessons(frames, store, labels=SittingLabels(sitter="the Zanzibar twins"))
    other = sitting_in(tmp_path / "b", 2, day=1)
    keep_lessons(other, store)
    with Lessons(store) as lessons:
        gone = lessons.forget(lambda one: one.labels.sitter == "the Zanzibar twins")
    assert gone == sum(bool(own) for own in lessons_of(frames).values())
    assert b"Zanzibar" not in store.read_bytes()
    assert frames[0].reading.exposure.body is not None
    keep_lessons(frames, store)
    assert {one.reading.sha256 for one in other} >= set(kept(store))


def test_a_store_that_cannot_be_written_does_not_lose_the_measurement(tmp_path: Path) -> None:
    said: list[str] = []
    keep_lessons(sitting_in(tmp_path / "a", 1), tmp_path, heard=said.append)  # a folder
    assert len(said) == 1
    assert said[0].startswith("Nothing was learned from these frames: ")


def fill(folder: Path) -> None:
    folder.mkdir()
    for n in range(3):
        (folder / f"{n}.jpg").write_text(f"frame {n * 10.0}", encoding="utf-8")


def test_a_run_with_options_learns_and_one_without_does_not(
    tmp_path: Path, store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(tmp_path / "a")
    fake = Measuring(function=fakes.measure, version="1")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "own"))
    calls: list[int] = []
    monkeypatch.setattr(
        "eyeplane.sitting.run.keep_lessons", lambda frames, *_, **__: calls.append(len(frames))
    )
    options = RunOptions(store_path=store, workers=0)
    measure_sitting([tmp_path / "a"], options=options, measuring=fake)
    assert calls == [3]
    measure_sitting([tmp_path / "a"], options=replace(options, learns=False), measuring=fake)
    assert calls == [3]


def test_forgetting_a_folder_takes_frames_that_taught_nothing_too(
    tmp_path: Path, store: Path
) -> None:
    fill(tmp_path / "a")
    fake = Measuring(function=fakes.measure, version="1")
    sitting = measure_sitting(
        [tmp_path / "a"], options=RunOptions(store_path=store, workers=0), measuring=fake
    )
    hashes = {frame.reading.sha256 for frame in sitting.frames}
    with Lessons(store) as lessons:
        lessons.forget(lambda _: False, folder=str(tmp_path / "a"))
        assert lessons.learn_again(str(tmp_path / "a" / os.pardir / "a")) == len(hashes)
        assert lessons.learn_again(str(tmp_path / "a")) == 0


def test_nothing_seen_or_one_owner_unknown(tmp_path: Path) -> None:
    # A sitting in which nobody moved still says that they moved no faster than would have shown.
    still = sitting_in(tmp_path / "a", 3, replace(CLEAN, speed_mm_per_s=0.5))
    told = [one for own in lessons_of(still).values() for one in own]
    speeds = [one for one in told if one.kind == "sitter"]
    assert speeds
    assert not any(one.seen for one in speeds)
    assert learn_all(told).any_sitter is None
    assert any("your sitters" in note for note in learn_all(told).notes)
