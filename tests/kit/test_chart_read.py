"""Frames of the chart put together: groups, best focus, sharpest stop, what is said of trouble."""

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from tests.kit.chart_made import PITCH_UM, SHEET, even, response, seen

from eyeplane.errors import FrameError, InputError
from eyeplane.kit import chart
from eyeplane.kit.chart import ChartAsked, read_chart
from eyeplane.kit.chart_edges import ChartEdge
from eyeplane.kit.chart_frame import SeenFrame, exposure_of, is_sharpened, mean_half, shake_of
from eyeplane.kit.chart_notes import frame_trouble
from eyeplane.kit.chart_zones import measured, places_of, zone_half
from eyeplane.records.kit_chart import ChartResult

Read = Callable[..., ChartResult]


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> Read:
    """Return a reader of frames made by hand, in the place of files."""

    def of(*frames: SeenFrame | Exception, pitch_um: float | None = PITCH_UM) -> ChartResult:
        known = {f"{k}.jpg": frame for k, frame in enumerate(frames)}

        def opened(path: Path, **_: object) -> object:
            frame = known[path.name]
            if isinstance(frame, FrameError):
                raise frame
            pitch = None if pitch_um is None else SimpleNamespace(value=pitch_um)
            return SimpleNamespace(frame=frame, pitch_um=pitch, quantization=None)

        def made(picture: SimpleNamespace, *_: object, **__: object) -> SeenFrame:
            if isinstance(picture.frame, Exception):
                raise picture.frame
            return picture.frame  # type: ignore[no-any-return]  # put in above

        monkeypatch.setattr(chart, "open_picture", opened)
        monkeypatch.setattr(chart, "find_sheet", lambda *_, **__: SimpleNamespace(sheet=SHEET))
        monkeypatch.setattr(chart, "seen_frame", made)
        return read_chart([Path(name) for name in known])

    return of


def series(rng: np.random.Generator, **sigmas: float) -> list[SeenFrame]:
    return [
        seen(even(sigma), rng, name=f"{name}.jpg", f_number=float(name[1:].replace("_", ".")))
        for name, sigma in sigmas.items()
    ]


def test_the_sharpest_aperture_is_told_with_those_like_it(read: Read) -> None:
    rng = np.random.default_rng(0)
    frames = series(rng, f2=1.2, f2_8=0.9, f4=0.702, f5_6=0.7, f8=0.71, f11=0.9)
    result = read(*reversed(frames))
    assert [a.f_number for a in result.apertures] == [2.0, 2.8, 4.0, 5.6, 8.0, 11.0]
    assert result.sharpest_among == (4.0, 5.6, 8.0)
    assert result.sharpest_f_number in result.sharpest_among
    middle = result.apertures[3].middle_per_px
    assert middle is not None
    assert middle.low < 0.187391 / (0.7 * 1.07) < middle.high * 1.01
    assert result.faults == ()


def test_one_aperture_names_no_sharpest_and_says_what_to_shoot(read: Read) -> None:
    result = read(seen(even(0.8)))
    assert result.sharpest_f_number is None
    assert any("every full stop" in note for note in result.notes)
    assert any("three at each" in note for note in result.notes)


def test_the_best_focused_frame_counts_at_each_place(read: Read) -> None:
    """One frame is sharp at the left, one at the right: neither is the glass."""
    left = seen(lambda x, _y, _s: 0.8 + 0.5 * max(x, 0), name="left.jpg")
    right = seen(lambda x, _y, _s: 0.8 + 0.5 * max(-x, 0), name="right.jpg")
    result = read(left, right)
    aperture = result.apertures[0]
    assert all(
        p.mtf50_per_px.value == pytest.approx(0.187391 / 0.8, rel=0.01) for p in aperture.places
    )
    assert {p.frame for p in aperture.places if p.x_share < -0.2} == {"left.jpg"}
    assert result.faults == ()
    assert read(left).faults != ()


@pytest.mark.parametrize("frames", [3, 10])
def test_frames_alike_but_for_noise_do_not_lift_the_middle(frames: int) -> None:
    """The best of many noisy readings is better than the lens: 90 % intervals must know it."""
    rng = np.random.default_rng(5)
    flat = even(0.8, corners=0.0)
    held = 0
    for _ in range(12):
        series_of = [seen(flat, rng, sd_share=0.02, name=f"{k}.jpg") for k in range(frames)]
        half = zone_half(places_of(series_of), "middle")
        assert half is not None
        told = measured(half)
        held += told.low <= 0.187391 / 0.8 <= told.high
    assert held >= 9  # 90 % of 12; by chance below 9 once in forty


def test_a_curved_field_is_told_from_refocused_frames(read: Read) -> None:
    inner = seen(lambda x, y, _s: 0.8 + 0.5 * (x * x + y * y), name="inner.jpg")
    outer = seen(lambda x, y, _s: 0.8 + 0.5 * abs(1.3 - x * x - y * y), name="outer.jpg")
    assert read(inner, outer).field_curved is True
    assert read(inner, inner).field_curved is False
    assert read(inner).field_curved is None


def test_frames_without_an_aperture_are_a_group(read: Read) -> None:
    result = read(seen(even(), f_number=None), seen(even(), f_number=4.0))
    assert [a.f_number for a in result.apertures] == [4.0, None]
    assert result.apertures[1].glass_um is None
    assert any("do not say their aperture" in note for note in result.notes)


def test_without_pixels_there_are_no_millimetres(read: Read) -> None:
    result = read(seen(even(), f_number=4.0), pitch_um=None)
    aperture = result.apertures[0]
    assert aperture.middle_per_px is not None
    assert aperture.middle_per_mm is None
    assert aperture.glass_um is None
    assert any("how large the pixels are" in note for note in result.notes)


def test_a_plans_two_numbers_come_from_the_series(read: Read) -> None:
    result = read(*series(np.random.default_rng(1), f2=1.3, f2_8=0.85, f4=0.7, f8=0.75))
    assert result.glass_best_um is not None
    assert result.glass_wide_um is not None
    assert result.glass_widest_f_number == 2.0
    assert 1.0 < result.glass_best_um.value < 0.7 * PITCH_UM
    assert result.glass_wide_um.value > result.glass_best_um.value


def test_sharpened_frames_give_no_number_of_the_glass(read: Read) -> None:
    result = read(
        *(replace(f, told=replace(f.told, sharpened=True))
          for f in series(np.random.default_rng(1), f2=1.3, f4=0.7, f8=0.7))
    )  # fmt: skip
    assert result.glass_best_um is None
    assert all(a.glass_um is None for a in result.apertures)
    assert result.sharpest_f_number is not None  # apertures can still be compared
    assert any("sharpening to 0" in note for note in result.notes)


def test_shaken_frames_count_only_where_there_are_no_others(read: Read) -> None:
    still, shaken = (
        seen(even(1.0), name="still.jpg"),
        seen(even(0.7), name="shaken.jpg", shake_px=2.0),
    )
    result = read(still, shaken)
    assert result.apertures[0].frames == ("still.jpg",)
    assert len(result.frames) == 2
    assert any("tripod" in note and "shaken.jpg" in note for note in result.notes)
    alone = read(shaken).apertures[0]
    assert alone.shaken
    assert alone.glass_um is None


def test_all_soft_is_not_blamed_on_the_glass(read: Read) -> None:
    result = read(seen(even(4.0), f_number=2.0), seen(even(4.0), f_number=8.0))
    assert any("Every frame is soft" in note for note in result.notes)


def test_all_sharp_says_that_pixels_are_the_limit(read: Read) -> None:
    result = read(seen(even(0.36, corners=0.0), f_number=2.0), seen(even(0.36), f_number=8.0))
    assert any("as the pixels allow" in note for note in result.notes)


def test_mixed_kits_focal_lengths_and_sizes_are_refused(read: Read) -> None:
    one = seen(even())
    other = replace(one, exposure=replace(one.exposure, lens="35mm"))
    with pytest.raises(InputError, match=r"two kits are mixed.*85mm.*35mm"):
        read(one, other)
    zoomed = replace(one, exposure=replace(one.exposure, focal_length_mm=70.0))
    with pytest.raises(InputError, match="70 mm and 85 mm"):
        read(one, zoomed)
    with pytest.raises(InputError, match="different numbers of pixels"):
        read(one, replace(one, width_px=3000, height_px=2000))


def test_what_cannot_be_read_is_left_out_and_named(read: Read) -> None:
    broken = FrameError("it is cut short", where="1.jpg", hint="Copy it again")
    wrong = InputError("this is the focus target", where="2.jpg", hint="Photograph the chart")
    result = read(seen(even()), broken, wrong)
    assert len(result.frames) == 1
    assert result.left_out == (
        "1.jpg: it is cut short.",
        "2.jpg: this is the focus target. Photograph the chart.",
    )
    with pytest.raises(InputError, match="this is the focus target"):
        read(broken, wrong)
    with pytest.raises(InputError, match="not one frame"):
        read(broken)
    with pytest.raises(InputError, match="there are no frames"):
        read_chart([])


def test_a_ruler_of_another_paper_is_refused() -> None:
    assert chart._ruler(ChartAsked(ruler_mm=147.0)) == pytest.approx(0.98)
    assert chart._ruler(ChartAsked()) == 1.0
    with pytest.raises(InputError, match="cannot be that of the chart on A3"):
        chart._ruler(ChartAsked(paper="A3", ruler_mm=90.0))


@pytest.mark.parametrize(
    ("exposure", "got", "said"),
    [
        ("overexposed", 3, "one stop less"),
        ("underexposed", 96, "two stops more"),
        ("right", 3, "only 3 of 96 edges.*lost in noise"),
    ],
)
def test_frames_that_tell_nothing_say_what_to_do(exposure: str, got: int, said: str) -> None:
    with pytest.raises(InputError) as caught:
        frame_trouble("a.jpg", exposure, (got, 24), ["lost in noise", "lost in noise", "short"])  # type: ignore[arg-type]  # one of the three
    assert re.search(said, str(caught.value))


def made(sigma: tuple[float, float], square: int, **changed: object) -> list[ChartEdge]:
    """Return two edges of a square, sideways and upright."""
    return [
        ChartEdge(
            square=square,
            x_px=100.0,
            y_px=100.0,
            response=replace(response(s, angle_deg=a), **changed),  # type: ignore[arg-type]  # handed on
        )
        for s, a in zip(sigma, (5.0, 95.0), strict=True)
    ]


def test_shake_is_told_by_one_direction_everywhere() -> None:
    rng = np.random.default_rng(0)
    wide = [float(0.8 * np.exp(0.01 * rng.normal())) for _ in range(24)]
    upright = [e for k, s in enumerate(wide) for e in made((s, float(np.hypot(s, 0.9))), k)]
    length, up = shake_of(upright)
    assert up
    assert length == pytest.approx(
        0.9 * 3.2198, rel=0.05
    )  # .603355 / .187391: strokes to Gaussians
    sideways = [e for k, s in enumerate(wide) for e in made((float(np.hypot(s, 0.9)), s), k)]
    assert shake_of(sideways)[1] is False
    assert shake_of([e for k, s in enumerate(wide) for e in made((s, s), k)])[0] == 0.0
    turned = [  # a lens's astigmatism turns with the place
        e for k, s in enumerate(wide) for e in made((s, 1.4 * s) if k % 2 else (1.4 * s, s), k)
    ]
    assert shake_of(turned)[0] == 0.0
    assert shake_of(upright[:6])[0] == 0.0  # too few to tell
    most = [e for k, s in enumerate(wide) for e in made((s, s * (1.3 if k % 4 else 0.7)), k)]
    assert shake_of(most)[0] == 0.0  # three in four are not everywhere


def test_sharpening_is_told_by_what_no_lens_can() -> None:
    plain = [e for k in range(6) for e in made((0.6, 0.6), k)]
    assert not is_sharpened(plain, airy_px=0.4)
    ringing = [e for k in range(6) for e in made((0.6, 0.6), k, overshoot_ratio=0.06)]
    assert is_sharpened(ringing, airy_px=0.4)
    f = plain[0].response.frequency_per_px
    pixel = np.sinc(f * np.cos(np.radians(5))) * np.sinc(f * np.sin(np.radians(5)))
    beyond = [e for k in range(6) for e in made((0.6, 0.6), k, mtf=pixel * 1.1)]
    assert is_sharpened(beyond, airy_px=0.0)
    within = [e for k in range(6) for e in made((0.6, 0.6), k, mtf=pixel)]
    assert not is_sharpened(within, airy_px=0.0)
    assert is_sharpened(within, airy_px=1.2)  # too sharp for f/11 and 5 µm


def test_exposure_of_paper_and_ink() -> None:
    plain = made((0.8, 0.8), 0)
    assert exposure_of(plain) == "right"
    assert exposure_of(made((0.8, 0.8), 0, clipped=True)) == "overexposed"
    assert exposure_of(made((0.8, 0.8), 0, bright_level=0.03)) == "underexposed"


def test_a_square_without_a_half_says_nothing() -> None:
    assert mean_half(made((0.8, 0.8), 0, mtf50_per_px=None)) is None
