"""One kit against another: by hand, by another library's wave optics, and by the trade."""

import json
import math
import warnings
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from scipy.integrate import quad
from scipy.optimize import brentq
from tests.kit.against_kits import compared, kit_side

from eyeplane.kit.against import reach_alone_cm
from eyeplane.kit.against_seen import PrintedFrame, Viewers, steps_between
from eyeplane.optics import SHARP, Spreads
from eyeplane.optics.kit_blur import SHARPENED_PX2
from eyeplane.sitting.against import FramesAsked, compare_frames
from eyeplane.sitting.against_frames import kit_frames
from eyeplane.sitting.run import measure_sitting

with warnings.catch_warnings():
    warnings.filterwarnings("ignore", message="pkg_resources is deprecated", category=UserWarning)
    from prysm import detector, otf

VIEWING_CM = 50.0
# Perceived sharpness of perfect frames at 25 cm, by print resolution in px per inch: worked out
# when the model of the reach was chosen, by another script and with plain sums.
RESOLUTIONS = {300: 0.865, 200: 0.739, 150: 0.619, 100: 0.437, 72: 0.306}


def ruler_steps(acutance: float) -> float:
    """Return steps on the quality ruler of ISO 20462-3 by root finding; formula from memory."""

    def sharp(cutoff_deg: float) -> float:
        top = min(1 / cutoff_deg, 60.0)

        def lens(nu: float) -> float:
            s = cutoff_deg * nu
            return float(2 / np.pi * (np.arccos(s) - s * np.sqrt(1 - s * s)) * eye(nu))

        return float(quad(lens, 0, top, limit=200)[0] / quad(eye, 0, 60, limit=200)[0])

    sharpest = 0.0105  # where its steps are most, 32.1
    k = sharpest if acutance > sharp(sharpest) else brentq(lambda c: sharp(c) - acutance, 0.01, 0.3)
    above = 17_249 + 203_792 * k - 114_950 * k**2 - 3_571_075 * k**3
    return float(above / (578 - 1304 * k + 357_372 * k**2))


def eye(nu: float) -> float:
    """Return IEEE 1858's weighting, from memory."""
    return float(nu**0.8 * math.exp(-0.2 * nu))


def perfect(long_edge_px: int) -> PrintedFrame:
    return PrintedFrame(
        spreads=Spreads(gaussian_px=np.zeros(1)),
        long_edge_px=np.asarray(float(long_edge_px)),
        short_edge_px=np.asarray(2 / 3 * long_edge_px),
    )


@pytest.mark.parametrize(("coarse", "fine"), [(200, 300), (150, 300), (150, 200), (72, 100)])
def test_prints_of_known_resolution_differ_by_the_rulers_steps(coarse: int, fine: int) -> None:
    """8 × 10 in at 25 cm, from the table of print resolutions; steps by hand."""
    viewers = Viewers(viewing_cm=25.0, seen_ratio=np.ones(1))
    sides = np.array([[25.4, 25.4 * 2 / 3]])
    got = float(steps_between(perfect(10 * coarse), perfect(10 * fine), sides, viewers)[0, 0])
    by_hand = ruler_steps(RESOLUTIONS[fine]) - ruler_steps(RESOLUTIONS[coarse])
    assert got == pytest.approx(by_hand, abs=0.15)


def test_300_ppi_is_told_from_200_and_not_from_more_at_reading_distance() -> None:
    """8 × 10 in looks sharp with 250 to 350 px/in of real detail: common practice, no source."""
    viewers = Viewers(viewing_cm=25.0, seen_ratio=np.ones(1))
    sides = np.array([[25.4, 25.4 * 2 / 3]])

    def steps(coarse: int, fine: int) -> float:
        return float(steps_between(perfect(10 * coarse), perfect(10 * fine), sides, viewers)[0, 0])

    assert steps(200, 300) > 1.5
    assert steps(300, 600) < 1.0 / 1.5


def acutance(*, pixels: int, glass_um: float, f_number: float, print_cm: float) -> float:
    """Return the perceived sharpness of a kit's print, from prysm's transfer functions alone."""
    pitch_um = 36_000 / pixels
    left_um2 = glass_um**2 - SHARPENED_PX2 * pitch_um**2
    per_mm_of_deg = pixels / print_cm * VIEWING_CM * math.radians(1) * pitch_um / 1000  # mm/deg
    nyquist = 500 / pitch_um

    nus = np.linspace(1e-6, 60, 4001)
    f = nus / per_mm_of_deg
    lens = otf.diffraction_limited_mtf(f_number, 0.55, frequencies=f)
    glass = np.exp(-2 * math.pi**2 * left_um2 * (f / 1000) ** 2)
    pixel = detector.pixel_ft(f / 1000, np.zeros_like(f), pitch_um, pitch_um)  # per um
    arrives = np.where(f < nyquist, lens * glass * pixel**2, 0.0)  # of the capture and the print
    weights = nus**0.8 * np.exp(-0.2 * nus)
    return float(np.trapezoid(arrives * weights, nus) / np.trapezoid(weights, nus))


@pytest.mark.parametrize(
    ("megapixels", "glass_um", "f_number"), [(24, 3.0, 4.0), (60, 3.0, 8.0), (45, 2.0, 5.6)]
)
def test_reaches_agree_with_another_librarys_transfer_functions(
    megapixels: float, glass_um: float, f_number: float
) -> None:
    """prysm's perfect lens and pixel, and a Gaussian lens; noise left out."""
    side = kit_side("one", megapixels, glass_um=glass_um, glass_wide_um=0.0)
    reach = reach_alone_cm(side, f_number=f_number, iso=0.01)
    got = acutance(
        pixels=side.kit.long_edge_px, glass_um=glass_um, f_number=f_number, print_cm=reach
    )
    assert got == pytest.approx(SHARP, abs=0.004)


def test_the_border_agrees_with_another_librarys_transfer_functions() -> None:
    """prysm, and the ruler of ISO 20462-3 by root finding."""
    a = kit_side("24", 24, glass_um=4.0, glass_wide_um=0.0)
    b = kit_side("60", 60, glass_um=2.0, glass_wide_um=0.0)
    border = compared(a, b, iso=100.0, f_numbers=(5.6,)).ways[0].seen_from.smallest_cm
    assert border is not None
    one, other = (
        ruler_steps(
            acutance(
                pixels=side.kit.long_edge_px,
                glass_um=float(side.kit.glass_um or 0.0),
                f_number=5.6,
                print_cm=border,
            )
        )
        for side in (a, b)
    )
    assert other - one == pytest.approx(1.0, abs=0.1)  # the noise of ISO 100 besides


@pytest.mark.parametrize("more", [45.0, 60.0])
def test_more_pixels_do_not_show_on_an_8_by_10_in_the_hand(more: float) -> None:
    """24, 45 and 60 MP on 8 × 10 in at 60 cm are not told apart: common practice, no source."""
    few, many = kit_side("24", 24, glass_um=1.0), kit_side("more", more, glass_um=1.0)
    result = compared(few, many, viewing_cm=60.0, sold_cm=((25.4, 20.32),))
    assert result.verdict == "not shown"
    assert {one.seen for way in result.ways for one in way.sold} == {"no"}


def test_more_pixels_do_not_show_on_a_wall_seen_from_the_trades_distance() -> None:
    """From 1.5 diagonals 24 MP are enough for any size: common practice, no source."""
    few, many = kit_side("24", 24, glass_um=1.0), kit_side("60", 60, glass_um=1.0)
    result = compared(few, many, viewing_cm=None, sold_cm=((150.0, 100.0),))
    assert result.verdict == "not shown"


def test_they_do_show_where_somebody_walks_up_to_a_metre_and_a_half() -> None:
    """24 MP on 1 × 1.5 m are 102 px/in, and 175 resolve one arc minute at 50 cm: told apart."""
    few, many = kit_side("24", 24, glass_um=1.0), kit_side("60", 60, glass_um=1.0)
    result = compared(few, many, sold_cm=((60.0, 40.0), (150.0, 100.0)))
    assert [one.seen for one in result.ways[0].sold] == ["no", "yes"]


def test_a_soft_zoom_is_told_from_a_fine_prime_by_its_lens_more_than_by_pixels() -> None:
    """24 MP behind a soft zoom against 60 MP behind a fine prime: the glass makes most of it."""
    zoom = kit_side("zoom", 24, widest_f_number=2.8, glass_um=5.0)
    prime = kit_side("prime", 60, widest_f_number=1.4, glass_um=1.5)
    way = compared(zoom, prime, f_numbers=(2.8,)).ways[0]
    changes = {part.part: part.change_cm.value for part in way.parts}
    assert changes["glass"] > 3 * changes["pixels"] > 0


@pytest.mark.slow
def test_paired_rendered_frames_at_two_resolutions_differ_by_their_pixels(
    data: Path, tmp_path: Path
) -> None:
    """One head, the same frames whole and at half the pixels: the reach halves, by pixels alone."""
    single = data / "rendered" / "single"
    frames = json.loads((single / "truth.json").read_text(encoding="utf-8"))["frames"]
    sharp = [
        frame
        for frame in frames
        if frame["iso"] == 100
        and frame["motion"] is None
        and frame["yaw_deg"] in (0, 25)
        and frame["near_iris_blur_px"] < 0.6
    ]
    assert len(sharp) >= 4
    for name in ("half", "whole"):
        (tmp_path / name).mkdir()
    for frame in sharp[:4]:
        with Image.open(single / frame["file"]) as picture:
            exif, small = picture.getexif(), picture.size
            halved = picture.resize((small[0] // 2, small[1] // 2), Image.Resampling.BOX)
            halved.save(tmp_path / "half" / frame["file"], quality=95, exif=exif)
            picture.save(tmp_path / "whole" / frame["file"], quality=95, exif=exif)
    half, whole = (
        kit_frames(measure_sitting([tmp_path / name]), letter, name)
        for letter, name in (("A", "half"), ("B", "whole"))
    )
    asked = FramesAsked(sold_cm=((30.0, 20.0),))
    result = compare_frames(half, whole, asked, np.random.default_rng(1))
    way = result.ways[0]
    assert way.sharper == "B"
    assert way.b_reach_cm.value / way.a_reach_cm.value == pytest.approx(2.0, abs=0.3)
    assert way.parts[0].part == "pixels"
    assert way.parts[0].change_cm.value > 0.7 * way.difference_cm.value
    assert way.sold[0].seen == "yes"
