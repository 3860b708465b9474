"""Softer corners and sides: found where they are, not where they are not, and the chart's tilt."""

from dataclasses import replace

import numpy as np
import pytest
from tests.kit.chart_made import PITCH_UM, SCALE, SHEET, Sigma, even, seen

from eyeplane.kit.chart_faults import faults_of
from eyeplane.kit.chart_frame import SeenFrame
from eyeplane.kit.chart_zones import places_of
from eyeplane.optics.kit_blur import GAUSSIAN_TO_DISC
from eyeplane.records.kit_chart import ChartFault

CORNERS = {
    (1, 1): "lower right corner",
    (-1, 1): "lower left corner",
    (1, -1): "upper right corner",
    (-1, -1): "upper left corner",
}


def found(*frames: SeenFrame, f_number: float | None = 2.0) -> tuple[ChartFault, ...]:
    return faults_of(places_of(frames), frames, f_number=f_number, pitch_um=PITCH_UM)


def right_softer(share: float) -> Sigma:
    lens = even()
    return lambda x, y, sideways: lens(x, y, sideways) * (1 + share * max(x, 0.0))


def corner_softer(sx: int, sy: int) -> Sigma:
    lens = even()
    return lambda x, y, way: lens(x, y, way) * (1 + max(min(sx * x, sy * y), 0.0) ** 2)


def copy_of(lens: Sigma, rng: np.random.Generator) -> Sigma:
    """Return a good copy: its squares differ by 2.5 %, as the check allows for."""
    uneven = {(c, r): rng.normal(0, 0.025) for c in range(-10, 11) for r in range(-10, 11)}

    def sigma(x: float, y: float, way: bool) -> float:  # noqa: FBT001  as `Sigma` has it
        return float(lens(x, y, way) * np.exp(uneven[round(5 * x), round(5 * y)]))

    return sigma


def askew(turn_deg: float, focus_mm: float, f_number: float = 2.0) -> Sigma:
    """Return blur of a chart whose right edge is farther away, focused so far behind its middle."""
    lens, magnification = even(), SCALE * PITCH_UM / 1000

    def sigma(x: float, y: float, sideways: bool) -> float:  # noqa: FBT001  as `Sigma` has it
        depth_mm = x * 3000 / SCALE * np.tan(np.radians(turn_deg)) - focus_mm
        disc_px = abs(depth_mm) * magnification**2 / f_number / PITCH_UM * 1000
        return float(np.hypot(lens(x, y, sideways), disc_px / GAUSSIAN_TO_DISC))

    return sigma


def test_a_good_lens_gives_no_alarm_in_nineteen_of_twenty() -> None:
    rng = np.random.default_rng(2)
    alarms = 0
    for _ in range(60):
        lens = even(rng.uniform(0.4, 1.5), corners=rng.uniform(0, 1.5))
        frame = seen(copy_of(lens, rng), rng, sd_share=0.02)
        alarms += bool(found(frame))
    assert alarms <= 60 / 20


@pytest.mark.parametrize("share", [0.5, 0.8])
def test_a_softer_side_is_found(share: float) -> None:
    faults = found(seen(right_softer(share), np.random.default_rng(1)))
    assert [f.where for f in faults] == ["right side"]
    assert faults[0].explained == "lens or camera"
    assert faults[0].ratio.value == pytest.approx(1 / (1 + share * 0.87), abs=0.06)


def test_a_softer_corner_is_found_where_it_is() -> None:
    for (sx, sy), where in CORNERS.items():
        faults = found(seen(corner_softer(sx, sy)))
        assert [f.where for f in faults] == [where]


def test_a_frame_held_upright_names_its_own_sides() -> None:
    """The chart is turned in the frame by 90°: what is right on it is below in the frame."""
    plain = seen(right_softer(0.6))
    turned = [
        type(e)(square=e.square, x_px=2000 - (e.y_px - 2000), y_px=e.x_px, response=e.response)
        for e in plain.edges
    ]
    frame = replace(plain, edges=tuple(turned), width_px=4000, height_px=6000)
    assert [f.where for f in found(frame)] == ["lower side"]


@pytest.mark.parametrize("focus_mm", [3.0, -3.0, 6.0])
def test_a_chart_askew_may_explain_it(focus_mm: float) -> None:
    frame = seen(askew(1.2, focus_mm), np.random.default_rng(3), tilts_deg=(0.0, 1.2))
    faults = found(frame)
    assert faults
    assert {f.explained for f in faults} == {"chart tilt may be it"}


def test_the_same_blur_before_a_square_chart_is_the_lens() -> None:
    frame = seen(askew(2.5, 9.0), np.random.default_rng(3), tilts_deg=(0.0, 0.0))
    assert {f.explained for f in found(frame)} == {"lens or camera"}


def test_unknown_tilt_or_aperture_cannot_tell() -> None:
    rng = np.random.default_rng(4)
    unknown = seen(right_softer(0.8), rng, tilts_deg=None)
    assert {f.explained for f in found(unknown)} == {"cannot tell"}
    frame = seen(right_softer(0.8), rng)
    assert {f.explained for f in found(frame, f_number=None)} == {"cannot tell"}


def test_focusing_anew_takes_the_charts_tilt_away() -> None:
    """Of frames focused before and behind, the best counts at each place."""
    frames = [
        seen(askew(1.0, mm), np.random.default_rng(k), name=f"{k}.jpg", tilts_deg=(0.0, 1.0))
        for k, mm in enumerate((-3.0, 0.0, 3.0))
    ]
    assert found(frames[0])
    assert not found(*frames)


def test_the_sheet_is_as_this_file_takes_it() -> None:
    assert len(SHEET.edges) == 96
