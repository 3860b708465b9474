"""A kit by its chart."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from tests.kit.against_kits import compared, kit_side

from eyeplane.errors import InputError
from eyeplane.kit.against_chart import shows_chart, side_of_chart, with_chart
from eyeplane.kit.against_sides import KitSide, glass_spread_um
from eyeplane.kit.chart_frame import Half
from eyeplane.kit.chart_glass import glass_of
from eyeplane.optics import airy_mtf
from eyeplane.records import Measured, MeasureSettings, from_plain, to_plain
from eyeplane.records.kit_chart import ChartAperture, ChartResult


def aperture(f_number: float | None, glass_um: float | None) -> ChartAperture:
    glass = None
    if glass_um is not None:
        glass = Measured(value=glass_um, low=0.9 * glass_um, high=1.1 * glass_um)
    nothing = dict.fromkeys(
        (
            *("middle_per_px", "corner_per_px", "middle_per_mm", "corner_per_mm"),
            *("middle_per_height", "corner_per_height", "glass_corner_um", "refocused_ratio"),
        )
    )
    return ChartAperture(
        f_number=f_number,
        frames=("one.jpg",),
        glass_um=glass,
        sharpened=False,
        shaken=False,
        places=(),
        **nothing,
    )


def known(glass_um: float) -> Measured:
    return Measured(value=glass_um, low=glass_um, high=glass_um)


CHART = ChartResult(
    kit="Body with lens",
    paper="A3",
    focal_length_mm=50.0,
    width_px=6000,
    height_px=4000,
    pitch_um=6.0,
    frames=(),
    left_out=(),
    apertures=(aperture(8.0, 1.5), aperture(2.8, 4.0), aperture(4.0, 2.0), aperture(None, 9.0)),
    sharpest_f_number=8.0,
    sharpest_among=(8.0,),
    corners_f_number=None,
    corners_among=(),
    faults=(),
    field_curved=None,
    glass_best_um=None,
    glass_wide_um=None,
    glass_widest_f_number=None,
    print_um=None,
    notes=(),
)


def test_a_chart_tells_pixels_sensor_and_lens() -> None:
    side = side_of_chart(CHART, "mine", "A")
    assert (side.kit.long_edge_px, side.kit.short_edge_px) == (6000, 4000)
    assert side.kit.sensor_long_mm == pytest.approx(36.0)
    assert side.f_numbers == (2.8, 8.0)
    assert [(n, one.value) for n, one in side.glass] == [(2.8, 4.0), (4.0, 2.0), (8.0, 1.5)]
    assert side.source == "measured"


def test_a_kept_chart_comes_back_and_a_remembered_kit_gets_its_lens() -> None:
    back = from_plain(ChartResult, to_plain(CHART))
    kit = kit_side("mine", 24)
    assert with_chart(kit, back).glass == side_of_chart(CHART, "mine", "A").glass
    untold = replace(CHART, apertures=(aperture(4.0, None),))
    assert with_chart(kit, untold) == kit


def test_a_finer_chart_reaches_farther_by_its_lens_alone() -> None:
    soft = side_of_chart(CHART, "soft", "A")
    fine = side_of_chart(
        replace(CHART, apertures=(aperture(4.0, 1.0), aperture(2.8, 1.5))), "fine", "B"
    )
    way = compared(soft, fine, f_numbers=(4.0,)).ways[0]
    assert way.sharper == "B"
    assert [part.part for part in way.parts] == ["glass"]


def test_a_chart_without_pitch_or_lens_is_refused_with_what_to_do() -> None:
    with pytest.raises(InputError, match="how large the sensor's pixels are"):
        side_of_chart(replace(CHART, pitch_um=None), "mine", "A")
    with pytest.raises(InputError, match="at no aperture"):
        side_of_chart(replace(CHART, apertures=(aperture(None, 2.0),)), "mine", "B")


def test_what_is_no_chart_or_no_picture_is_not_taken_for_one(tmp_path: Path) -> None:
    noise = np.random.default_rng(1).integers(0, 255, (600, 900, 3), np.uint8)
    Image.fromarray(noise).save(tmp_path / "noise.jpg")
    (tmp_path / "broken.jpg").write_bytes(b"no picture")
    assert not shows_chart(tmp_path / "noise.jpg", MeasureSettings())
    assert not shows_chart(tmp_path / "broken.jpg", MeasureSettings())


@pytest.mark.parametrize(("a_um", "b_um"), [(4.0, 1.0), (2.5, 1.5)])
@pytest.mark.parametrize("edge_um", [13.0, 20.0, 30.0])
def test_the_prints_own_edges_make_no_kit_better_or_worse(
    a_um: float, b_um: float, edge_um: float
) -> None:
    """A4 filling 36 mm: edges of 20 µm come to 2.4 µm on the sensor, more than a fine lens."""

    def by_chart(glass_um: float) -> KitSide:
        seen_px = math.hypot(glass_um, edge_um * 36 / 297) / 6.0
        f = np.linspace(0.01, 1.0, 4000)
        lens = np.exp(-2 * (math.pi * seen_px * f) ** 2) * airy_mtf(
            f, airy_px=0.55 * 5.6 * (1 + 36 / 297) / 6.0
        )
        a = math.radians(5)
        half = float(f[np.argmax(lens * np.sinc(f * math.cos(a)) * np.sinc(f * math.sin(a)) < 0.5)])
        told = glass_of(
            Half(log=math.log(half), sd=0.003),
            f_number=5.6,
            pitch_um=6.0,
            scale_px_per_mm=36000 / 297 / 6.0,
        )
        chart = replace(CHART, apertures=(replace(aperture(5.6, 1.0), glass_um=told),))
        return side_of_chart(chart, "mine", "A")

    told = compared(by_chart(a_um), by_chart(b_um), f_numbers=(5.6,)).ways[0].difference_cm
    exact = [
        replace(CHART, apertures=(replace(aperture(5.6, um), glass_um=known(um)),))
        for um in (a_um, b_um)
    ]
    sides = [side_of_chart(one, "mine", "A") for one in exact]
    truth = compared(*sides, f_numbers=(5.6,)).ways[0].difference_cm.value
    assert told.low <= truth <= told.high


def test_an_interval_with_a_long_end_is_believed_as_it_is() -> None:
    uneven = Measured(value=0.5, low=0.4, high=2.0)
    side = side_of_chart(
        replace(CHART, apertures=(replace(aperture(4.0, 1.0), glass_um=uneven),)), "mine", "A"
    )
    ends = glass_spread_um(side, 4.0, np.array([-1.645, 0.0, 1.645]))
    assert ends == pytest.approx([0.4, 0.5, 2.0], rel=1e-3)
