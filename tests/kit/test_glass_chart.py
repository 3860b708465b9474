"""The printed chart in one frame: what its black squares tell of the glass.

The chart is photographed by the camera of `tests.kit.camera`, glass that scatters by the published
laws of `glass_frames`.
"""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.kit.camera import Pose, render_sheet
from tests.kit.glass_frames import (
    GLARES,
    GlassCamera,
    Taken,
    cut,
    smudge,
    soft_shoulder,
    taken_through,
)

from eyeplane.imaging import open_picture
from eyeplane.kit.chart_design import chart_sheet
from eyeplane.kit.glass import GlassRequest, check_glass
from eyeplane.kit.glass_chart import ChartGlass, more_than_then, read_chart_glass
from eyeplane.kit.glass_light import frame_light
from eyeplane.records import Measured, MeasureSettings

SHEET = chart_sheet("A3")
SHAPE = (800, 1200)  # the frame is 960 px wide, the sheet 859 of them
WHITE = 0.75


@cache
def printed(ink: float = 0.03, slope: float = 0.0, vignetting: float = 0.0) -> NDArray[np.float64]:
    return render_sheet(
        SHEET,
        pose=Pose(distance_mm=2000.0, tilt_deg=1.0, turn_deg=-1.0, roll_deg=0.5),
        focal_length_mm=85.0,
        pitch_um=21.7,
        width_px=SHAPE[1],
        height_px=SHAPE[0],
        white=WHITE if not slope else 0.5,
        black=ink * (WHITE if not slope else 0.5),
        slope=(slope, slope / 2),
        vignetting=vignetting,
    )


@cache
def glass(name: str, cover: float, slope: float = 0.0) -> Taken:
    return taken_through(printed(slope=slope, vignetting=slope), GLARES[name], cover)


def read(path: Path, light: NDArray[np.float64], camera: GlassCamera | None = None) -> ChartGlass:
    (camera or GlassCamera()).write(path, light, np.random.default_rng(3))
    picture = open_picture(path, settings=MeasureSettings())
    found = read_chart_glass(picture, frame_light(picture), linear=False)
    assert found is not None
    return found


@pytest.fixture(scope="module")
def clean(tmp_path_factory: pytest.TempPathFactory) -> ChartGlass:
    return read(tmp_path_factory.mktemp("chart") / "clean.jpg", cut(printed()))


def test_clean_glass_shows_the_ink_itself(clean: ChartGlass) -> None:
    assert clean.ratio.low <= 0.03 <= clean.ratio.high
    assert clean.low_share == 0.0
    assert clean.most_share > 0.03 - 0.006  # such light may all be veil, over glossy photo black
    assert not any(zone.smudged for zone in clean.zones)
    losses = [zone.loss_share.value for zone in clean.zones if zone.loss_share is not None]
    assert len(losses) == 24  # one square in each
    assert np.abs(losses).max() < 0.01


@pytest.mark.parametrize("law", ["even", "exponential"])
def test_a_veil_is_told_against_the_record_of_the_print(
    law: str, clean: ChartGlass, tmp_path: Path
) -> None:
    held = glass(law, 0.1)
    found = read(tmp_path / "now.jpg", held.veiled)
    more = more_than_then(found, clean.ratio)
    assert more is not None
    assert 0 < more.low <= held.veil_share <= more.high
    assert found.low_share <= held.veil_share <= found.most_share
    assert not any(zone.smudged for zone in found.zones)


def test_ink_that_is_not_black_is_no_veil(tmp_path: Path) -> None:
    frame = tmp_path / "one.jpg"
    GlassCamera().write(frame, cut(printed(0.05)), np.random.default_rng(1))
    result = check_glass([frame], GlassRequest()).result
    assert (result.way, result.verdict) == ("chart", "cannot tell")
    assert "how black the ink" in result.reasons[0]
    assert result.veil_share is None
    assert result.veil_most_share is not None


def test_uneven_light_is_no_smudge(tmp_path: Path) -> None:
    held = glass("even", 0.1, 0.4)
    found = read(tmp_path / "uneven.jpg", held.veiled)
    assert not any(zone.smudged for zone in found.zones)
    assert found.low_share <= held.veil_share <= found.most_share


def test_a_smudge_is_told_in_its_place(tmp_path: Path) -> None:
    cover = smudge(SHAPE, (0.3, 0.35), 0.12, 0.25)
    held = taken_through(printed(), GLARES["lorentz 1.5"], cover)
    found = read(tmp_path / "smudge.jpg", held.veiled)
    flags = np.array([zone.smudged for zone in found.zones]).reshape(found.rows, found.columns)
    assert flags.any()
    down, across = (np.argwhere(flags) + 0.5).mean(axis=0) / flags.shape
    assert np.hypot(across - 0.25, down - 0.31) < 0.17  # the frame leaves a tenth off


def test_a_soft_style_leaves_the_veil_in_its_interval(tmp_path: Path) -> None:
    camera = GlassCamera(curve=soft_shoulder)
    then = read(tmp_path / "then.jpg", cut(printed()), camera)
    held = glass("even", 0.1)
    more = more_than_then(read(tmp_path / "now.jpg", held.veiled, camera), then.ratio)
    assert more is not None
    assert more.low <= held.veil_share <= more.high


def test_another_print_is_not_held_against(clean: ChartGlass) -> None:
    paler = Measured(value=0.05, low=0.048, high=0.052)
    assert more_than_then(clean, paler) is None
    same = more_than_then(clean, clean.ratio)
    assert same is not None
    assert same.value == same.low == 0.0


def test_light_added_to_ink_is_told_by_its_part(clean: ChartGlass) -> None:
    """By hand: ink of .03 with a veil v of the paper's light shows .03 (1 − v) + v of it."""
    ink, veil = 0.03, 0.05
    seen = ink * (1 - veil) + veil
    sure = replace(clean, ratio=Measured(value=seen, low=seen, high=seen), over_ratio=1.0, toe=1.0)
    more = more_than_then(sure, Measured(value=ink, low=ink, high=ink))
    assert more is not None
    assert more.value == pytest.approx(0.5 * veil)
    assert more.low < more.value < more.high < veil
