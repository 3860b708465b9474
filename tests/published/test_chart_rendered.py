"""The chart read from frames of a simulated camera, against the lens that was put in.

The lens is known in closed form: a Gaussian by aperture and field, times diffraction of a round
pupil (J. W. Goodman, Introduction to Fourier Optics), times the pixel's area. Frames are JPEG of
quality 92 with noise, vignetting, distortion and a chart that stands a little askew.
"""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from scipy import ndimage
from tests.kit.chart_lens import HEIGHT, WIDTH, Lens, camera, photograph

from eyeplane.errors import InputError
from eyeplane.kit.chart import read_chart
from eyeplane.records.kit_chart import ChartResult

LENS = Lens()
F_NUMBERS = (1.8, 4.0, 11.0)
pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("chart")
    rng = np.random.default_rng(11)
    for f_number in F_NUMBERS:
        photograph(made / f"f{f_number:g}.jpg", LENS, f_number, rng)
    return made


@pytest.fixture(scope="module")
def series(folder: Path) -> ChartResult:
    return read_chart([folder / f"f{f_number:g}.jpg" for f_number in F_NUMBERS])


def test_every_place_reads_as_the_lens_is(series: ChartResult) -> None:
    off, held = [], []
    for aperture in series.apertures:
        assert len(aperture.places) == 24
        for place in aperture.places:
            at = (1 + place.x_share) * WIDTH / 2, (1 + place.y_share) * HEIGHT / 2
            truth = LENS.half_per_px(aperture.f_number or 0.0, at, 5.0)
            off.append(place.mtf50_per_px.value / truth - 1)
            held.append(place.mtf50_per_px.low <= truth <= place.mtf50_per_px.high)
    assert abs(np.mean(off)) < 0.005
    # squares lie across tiles of the simulated blur, which is the same all over a tile
    assert np.max(np.abs(off)) < 0.03
    assert np.mean(held) > 0.7


def test_the_sharpest_stop_is_found(series: ChartResult) -> None:
    true = {n: LENS.half_per_px(n, (WIDTH / 2, HEIGHT / 2), 5.0) for n in F_NUMBERS}
    assert series.sharpest_f_number == max(true, key=lambda n: true[n]) == 4.0
    assert series.sharpest_among == (4.0,)


def test_the_glass_is_that_of_the_lens(series: ChartResult) -> None:
    """Pixel and diffraction are out: the same glass at f/4 and f/11, and the plan's two numbers."""
    middle = [p for p in series.apertures[0].places if p.zone == "middle"]
    for aperture in series.apertures:
        spreads = [
            LENS.glass_um(
                aperture.f_number or 0, (1 + p.x_share) * WIDTH / 2, (1 + p.y_share) * HEIGHT / 2
            )
            for p in middle
        ]
        assert aperture.glass_um is not None
        assert aperture.glass_um.value == pytest.approx(np.mean(spreads), rel=0.03)
    best, wide = series.glass_best_um, series.glass_wide_um
    assert best is not None
    assert wide is not None
    edge = np.mean([1 + LENS.edge_share * p.radius_share**2 for p in middle])
    assert best.low * 0.98 < LENS.best_um * edge < best.high * 1.02
    assert wide.low * 0.98 < LENS.wide_um * edge < wide.high * 1.02


def test_a_good_lens_gives_no_alarm(series: ChartResult) -> None:
    assert series.faults == ()
    assert not any(a.sharpened or a.shaken for a in series.apertures)
    assert all(f.exposure == "right" for f in series.frames)
    assert all(f.tilt_deg == pytest.approx(np.hypot(0.2, 0.3), abs=0.25) for f in series.frames)


def test_a_lens_off_its_axis_is_found(folder: Path) -> None:
    """A third more blur at the right border; the chart's tilt of 0.4° explains none of it here."""
    lens = Lens(soft_right_share=0.5)
    path = photograph(folder / "off.jpg", lens, 1.8, np.random.default_rng(2), stand=camera())
    faults = read_chart([path]).faults
    assert [f.where for f in faults] == ["right side"]
    assert faults[0].explained == "lens or camera"
    left, right = (LENS.half_per_px(1.8, (x, HEIGHT / 2), 5.0) for x in (80.0, 820.0))
    true_ratio = lens.half_per_px(1.8, (820.0, HEIGHT / 2), 5.0) / left
    assert left == pytest.approx(right, rel=0.01)
    assert faults[0].ratio.value == pytest.approx(true_ratio, abs=0.06)


def test_sharpening_in_the_camera_is_told(folder: Path) -> None:
    plain = Image.open(folder / "f4.jpg")
    codes = np.asarray(plain.convert("L"), float)
    sharper = codes + 1.2 * (codes - ndimage.gaussian_filter(codes, 1.0))
    path = folder / "sharpened.jpg"
    grey = np.clip(np.rint(sharper), 0, 255).astype(np.uint8)
    Image.fromarray(grey).convert("RGB").save(path, quality=92, exif=plain.getexif())
    aperture = read_chart([path]).apertures[0]
    assert aperture.sharpened
    assert aperture.glass_um is None
    assert aperture.middle_per_px is not None


def test_an_overexposed_frame_says_which_way(folder: Path) -> None:
    path = folder / "over.jpg"
    photograph(path, LENS, 4.0, np.random.default_rng(3), exposure=2.5)
    with pytest.raises(InputError, match=r"overexposed.*one stop less"):
        read_chart([path])
