"""Dust told from a whole sitting: pieces of real and rendered frames with dust laid over them."""

from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from tests.kit.dust_frames import DustCamera, expose, losses, scatter, write
from tests.kit.test_dust import partners

from eyeplane.errors import InputError
from eyeplane.imaging import open_picture
from eyeplane.kit.dust import DustCheck, DustRequest, check_dust
from eyeplane.records import MeasureSettings

CAMERA = DustCamera(width_px=750, height_px=500, pitch_um=16.0, f_number=8.0)
FRAMES = 16


@pytest.fixture(scope="module")
def scenes(data: Path) -> list[NDArray[np.float32]]:
    """Return the light of frames of people, of a board, and of a rendered head."""
    paths = [
        *sorted((data / "people").glob("*.jpg")),
        *sorted((data / "nobody").glob("*.jpg")),
        *sorted((data / "focus_stack").glob("*.jpg"))[::9],
        *sorted((data / "rendered" / "single").glob("*.jpg"))[::25],
    ]
    opened = [open_picture(path, settings=MeasureSettings()) for path in paths]
    return [
        p.luma_window(0, 0, p.width_px, p.height_px).luma
        for p in opened
        if min(p.width_px, p.height_px) >= 700
    ]


def piece(scenes: list[NDArray[np.float32]], rng: np.random.Generator) -> NDArray[np.float32]:
    """Return a piece of one of them, mirrored or not, lighter or darker."""
    scene = scenes[rng.integers(len(scenes))]
    if rng.random() < 0.5:
        scene = scene[:, ::-1]
    height, width = scene.shape
    scale = rng.uniform(0.75, 1.0) * min(width / CAMERA.width_px, height / CAMERA.height_px)
    wide, tall = int(CAMERA.width_px * scale), int(CAMERA.height_px * scale)
    x, y = rng.integers(0, width - wide + 1), rng.integers(0, height - tall + 1)
    cut = np.ascontiguousarray(scene[y : y + tall, x : x + wide])
    size = (CAMERA.width_px, CAMERA.height_px)
    small = cv2.resize(cut, size, interpolation=cv2.INTER_AREA)
    return np.asarray(np.clip(small * np.float32(rng.uniform(0.6, 1.0)), 0, 1), np.float32)


def sitting(
    camera: DustCamera, scenes: list[NDArray[np.float32]], folder: Path, *, still: bool = False
) -> DustCheck:
    """Return the check of a sitting shot with a camera; `still`: always of the same framing."""
    rng = np.random.default_rng(11)
    passed = losses(camera, rng)
    paths = []
    for k in range(FRAMES):
        scene = piece(scenes, np.random.default_rng(1) if still else rng)
        codes = expose(camera.seen(particles=()), scene * passed, rng)
        paths.append(write(camera, codes, folder / f"{k:02}.jpg", second=k))
    return check_dust(paths, DustRequest())


@pytest.mark.slow
def test_dust_stays_while_everything_else_moves(
    scenes: list[NDArray[np.float32]], tmp_path: Path
) -> None:
    rng = np.random.default_rng(6)
    camera = CAMERA.seen(particles=scatter(7, rng, depth=(0.15, 0.5), camera=CAMERA))
    check = sitting(camera, scenes, tmp_path)
    result = check.result
    assert result.way == "sitting"
    assert result.frames == FRAMES
    met, lone = partners(camera, result.shadows)
    assert len(met) >= 6
    assert lone == []
    blur = camera.cover_um / camera.cover_index / camera.f_number
    for particle, one in met.items():
        depth = (particle.diameter_um / blur) ** 2
        assert one.depth_share.value == pytest.approx(depth, rel=0.3)
        assert one.at_work is not None


@pytest.mark.slow
def test_a_clean_sensor_shows_nothing_but_the_limit(
    scenes: list[NDArray[np.float32]], tmp_path: Path
) -> None:
    result = sitting(CAMERA, scenes, tmp_path).result
    assert result.shadows == ()
    assert result.limit is not None
    assert 0.004 < result.limit.depth_share < 0.2
    assert result.limit.worst_share > result.limit.depth_share


@pytest.mark.slow
def test_one_framing_cannot_tell(scenes: list[NDArray[np.float32]], tmp_path: Path) -> None:
    with pytest.raises(InputError, match="in one framing"):
        sitting(CAMERA, scenes, tmp_path, still=True)


def test_a_focus_stack_is_one_framing(data: Path) -> None:
    with pytest.raises(InputError, match="10 frames, none of an even surface, in one framing"):
        check_dust(sorted((data / "focus_stack").glob("*.jpg")), DustRequest())
