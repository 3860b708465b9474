"""`check_glass` on files: what it refuses, what it cannot tell, and the record of clean glass."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from tests.kit.glass_frames import GLARES, GlassCamera, Taken, lamp_on_dark, room, taken_through

from eyeplane.errors import InputError
from eyeplane.kit.glass import GlassRequest, check_glass

CAMERA = GlassCamera()


@pytest.fixture(scope="module")
def taken() -> Taken:
    return taken_through(room(np.random.default_rng(3), (500, 750)), GLARES["even"], 0.08)


@pytest.fixture(scope="module")
def frames(taken: Taken, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("glass")
    rng = np.random.default_rng(1)
    return {
        "clean": CAMERA.write(folder / "clean.jpg", taken.clean, rng),
        "veiled": CAMERA.write(folder / "veiled.jpg", taken.veiled, rng),
        "stopped": CAMERA.write(folder / "stopped.jpg", taken.clean, rng, f_number=8.0),
        "long": CAMERA.write(folder / "long.jpg", taken.clean, rng, focal_length_mm=135.0),
        "other": CAMERA.write(folder / "other.jpg", taken.clean, rng, body="Body Two"),
        "bare": CAMERA.write(
            folder / "bare.jpg", taken.clean, rng, body="", lens="", f_number=0, focal_length_mm=0
        ),
        "white": CAMERA.write(folder / "white.jpg", np.full((300, 450), 3.0), rng),
        "dim": CAMERA.write(folder / "dim.jpg", np.full((300, 450), 0.02), rng),
        "tiny": CAMERA.write(folder / "tiny.jpg", np.full((40, 60), 0.2), rng),
        "text": _text(folder / "notes.jpg"),
    }


def _text(path: Path) -> Path:
    path.write_text("not a picture")
    return path


def test_two_frames_give_the_veil_and_both_places(frames: dict[str, Path], taken: Taken) -> None:
    check = check_glass([frames["clean"]], GlassRequest(before=frames["veiled"], kit="k"))
    result = check.result
    assert (result.way, result.verdict, result.worse) == ("pair", "veil", "before")
    assert result.veil_share is not None
    assert result.veil_share.low <= taken.veil_share <= result.veil_share.high
    assert result.loss_share is not None
    assert result.reach_ratio is None or result.reach_ratio.value < 1
    assert [crop.when for crop in check.crops] == ["now", "before"]
    assert all(crop.image.startswith(b"\xff\xd8") for crop in check.crops)
    assert all(0 <= v <= 1 for crop in check.crops for v in crop.at_share)


def test_the_same_frames_give_the_same_answer(frames: dict[str, Path]) -> None:
    request = GlassRequest(before=frames["veiled"])
    first, second = (check_glass([frames["clean"]], request).result for _ in range(2))
    assert first == second


def test_the_kept_frame_of_the_same_view_is_held_against(frames: dict[str, Path]) -> None:
    clean = check_glass([frames["clean"]], GlassRequest(clean=True)).result
    assert clean.clean
    request = GlassRequest(kept=clean, kept_at="2026-01-02T10:00:00+00:00")
    now = check_glass([frames["veiled"]], request).result
    assert (now.way, now.verdict, now.worse) == ("record pair", "veil", "now")
    assert now.kept is not None
    assert now.kept.clean
    gone = replace(clean, frame=str(frames["clean"].with_name("gone.jpg")))
    alone = check_glass([frames["veiled"]], replace(request, kept=gone)).result
    assert alone.way not in {"pair", "record pair"}


@pytest.mark.parametrize(
    ("other", "words"),
    [
        ("stopped", "two apertures, f/2.8 and f/8"),
        ("long", "two focal lengths"),
        ("other", "two cam"),
    ],
)
def test_unlike_kits_and_settings_are_refused(
    frames: dict[str, Path], other: str, words: str
) -> None:
    with pytest.raises(InputError, match=words):
        check_glass([frames["clean"]], GlassRequest(before=frames[other]))
    with pytest.raises(InputError, match=r"two "):
        check_glass([frames["clean"], frames[other]], GlassRequest())


def test_missing_exif_is_no_hindrance(frames: dict[str, Path]) -> None:
    result = check_glass([frames["bare"]], GlassRequest(before=frames["veiled"])).result
    assert result.verdict == "veil"
    assert result.f_number is None


@pytest.mark.parametrize(
    ("name", "words"), [("white", "clipped"), ("dim", "nothing in the frame is")]
)
def test_what_shows_nothing_cannot_tell(frames: dict[str, Path], name: str, words: str) -> None:
    result = check_glass([frames[name]], GlassRequest()).result
    assert result.verdict == "cannot tell"
    assert words in result.reasons[0]
    assert result.veil_share is None


def test_too_small_and_unreadable_frames_are_refused(frames: dict[str, Path]) -> None:
    with pytest.raises(InputError, match="too small"):
        check_glass([frames["tiny"]], GlassRequest())
    with pytest.raises(InputError, match="not one of these frames"):
        check_glass([frames["text"]], GlassRequest())
    with pytest.raises(InputError, match="cannot be read"):
        check_glass([frames["clean"]], GlassRequest(before=frames["text"]))


def test_an_unreadable_frame_is_told_and_the_others_used(frames: dict[str, Path]) -> None:
    result = check_glass([frames["text"], frames["dim"]], GlassRequest()).result
    assert result.frame == str(frames["dim"])
    assert "notes.jpg" in result.left_out[0]


def test_a_white_frame_beside_another_is_refused(frames: dict[str, Path], taken: Taken) -> None:
    folder = frames["clean"].parent
    rng = np.random.default_rng(2)
    burnt = GlassCamera(gain=400.0).write(folder / "burnt.jpg", taken.clean, rng)
    with pytest.raises(InputError, match=r"near white|not the view"):
        check_glass([frames["clean"]], GlassRequest(before=burnt))


def test_a_lamp_against_the_record_of_the_same_lamp(tmp_path: Path) -> None:
    rng = np.random.default_rng(4)
    scene = lamp_on_dark(rng)
    kept = None
    verdicts = []
    for number, share in enumerate((0.02, 0.1)):
        light = taken_through(scene, GLARES["lorentz 1.5"], share).veiled
        frame = GlassCamera(noise=0.002).write(tmp_path / f"{number}.jpg", light, rng)
        asked = GlassRequest(clean=number == 0, kept=kept, kept_at="2026-01-02")
        result = check_glass([frame], asked).result
        verdicts.append((result.way, result.verdict))
        kept = replace(result, frame="gone.jpg")
    assert verdicts[1] == ("lamp", "halo")


# One frame, or its copy, laid over itself shows glass "as clear as before" whatever lies on it.
def test_a_frame_is_not_held_against_itself(frames: dict[str, Path], tmp_path: Path) -> None:
    copy = tmp_path / "copy.jpg"
    copy.write_bytes(frames["veiled"].read_bytes())
    for before in (frames["veiled"], copy):
        with pytest.raises(InputError, match="one and the same"):
            check_glass([frames["veiled"]], GlassRequest(before=before))
    kept = check_glass([frames["veiled"]], GlassRequest(clean=True)).result
    assert check_glass([copy], GlassRequest(kept=kept)).result.way != "record pair"


def test_frames_many_stops_apart_are_refused(
    frames: dict[str, Path], taken: Taken, tmp_path: Path
) -> None:
    rng = np.random.default_rng(2)
    dark = CAMERA.write(tmp_path / "dark.jpg", taken.clean * 0.1, rng)
    with pytest.raises(InputError, match=r"differ by 3\.\d stops in brightness"):
        check_glass([frames["clean"]], GlassRequest(before=dark))
    kept = check_glass([dark], GlassRequest(clean=True)).result
    assert check_glass([frames["clean"]], GlassRequest(kept=kept)).result.way != "record pair"
