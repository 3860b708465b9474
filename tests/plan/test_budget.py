"""The budget of an eye: sizes, reach, and what each part costs."""

from dataclasses import replace

import numpy as np
import pytest
from tests.plan.plain_middle import middle_frames
from tests.plan.sitter_scene import KIT, PROMISE, SCENE, two_eyes

from eyeplane.optics import PointSpread, reach_cm
from eyeplane.optics.kit_blur import as_sharpened, diffraction_um, glass_um
from eyeplane.plan.budget import CAUSES, Budget, budgets
from eyeplane.plan.draws import plan_draws
from eyeplane.plan.expected import expected, shares
from eyeplane.plan.hold import base_spreads
from eyeplane.plan.scene import Settings, settings_of
from eyeplane.plan.share import limits_of

FRAMES = expected(SCENE, focus_mm=2000.0)
SETTINGS = settings_of(
    f_number=[2.0, 2.8, 8.0], shutter_s=[1 / 500, 1 / 250, 1 / 60], iso=[800, 400, 3200]
)


def told(settings: Settings = SETTINGS) -> tuple[tuple[Budget, ...], ...]:
    return budgets(FRAMES, settings, limits_of(SCENE, settings), whole=len(settings))


def test_reach_is_that_of_the_middle_frame() -> None:
    plain = middle_frames(two_eyes(), SETTINGS, 2000.0, plan_draws())
    for eyes, others in zip(told(), plain, strict=True):
        for one, other in zip(eyes, others, strict=True):
            assert one.reach_cm.value == pytest.approx(other.reach_cm.value, rel=0.02)
            assert one.reach_cm.low == pytest.approx(other.reach_cm.low, rel=0.02)
            assert one.reach_cm.high == pytest.approx(other.reach_cm.high, rel=0.02)
            sizes = {part.cause: part.blur_um for part in one.parts}
            assert sizes["focus"] == pytest.approx(other.focus_um, rel=0.02)
            assert sizes["shake"] == pytest.approx(other.shake_um, rel=0.02)
            assert sizes["sitter"] == pytest.approx(other.sitter_um, rel=0.02)


def test_every_part_is_there_costliest_first_and_costs_no_less_than_nothing() -> None:
    for eyes in told():
        for one in eyes:
            assert {part.cause for part in one.parts} == set(CAUSES)
            without = [part.reach_without_cm for part in one.parts]
            assert without == sorted(without, reverse=True)
            assert min(without) >= one.reach_cm.value
            assert one.reach_cm.low <= one.promised_cm <= one.reach_cm.value  # type: ignore[operator]


def test_the_near_iris_in_the_plane_has_no_depth_and_the_far_one_has() -> None:
    near, far = told()[0]
    sizes = [{p.cause: p.blur_um for p in one.parts}["depth"] for one in (near, far)]
    assert sizes[0] == 0.0
    # Thin lens, hand sum: (85/2) · 85/1915 · 26.5/2026.5 mm.
    assert sizes[1] == pytest.approx(1000 * 42.5 * 85 / 1915 * 26.5 / 2026.5, rel=1e-6)
    assert {p.cause: p for p in far.parts}["depth"].reach_without_cm > far.reach_cm.value + 1


def test_without_noise_and_diffraction_by_hand() -> None:
    """One frame in which nothing moves and focus is exact: every reach is the plain one's."""
    still = replace(
        SCENE,
        focus=replace(SCENE.focus, bias_mm=0.0, spread_mm=1e-9, miss_share=0.0),
        hand=replace(SCENE.hand, median_deg_per_s=1e-9),
        sway=replace(SCENE.sway, median_mm_per_s=1e-9),
        sitters=((1.0, replace(SCENE.sitters[0][1], median_mm_per_s=1e-9)),),
    )
    setting = settings_of(f_number=[11.0], shutter_s=[1 / 60], iso=[3200])
    frames = expected(still, focus_mm=2000.0)
    near = budgets(frames, setting, limits_of(still, setting), whole=1)[0][0]
    base = base_spreads(KIT, setting.f_number, setting.iso)
    noise = float(np.ravel(base.noise_contrast)[0])

    def plain(gaussian_px: float, airy_px: float, noise_contrast: float) -> float:
        return reach_cm(
            spread=PointSpread(gaussian_px=gaussian_px, airy_px=airy_px),
            long_edge_px=6000,
            noise_contrast=noise_contrast,
            viewing_cm=50,
        )

    gaussian, airy = (float(np.ravel(a)[0]) for a in (base.gaussian_px, base.airy_px))
    parts = {part.cause: part.reach_without_cm for part in near.parts}
    assert near.reach_cm.value == pytest.approx(plain(gaussian, airy, noise), rel=0.005)
    assert parts["noise"] == pytest.approx(plain(gaussian, airy, 0.0), rel=0.005)
    assert near.without_noise_cm == parts["noise"]
    bare, _ = as_sharpened(glass_um(KIT, 11.0) / KIT.pitch_um, 0.0)
    assert parts["diffraction"] == pytest.approx(plain(float(bare), 0.0, noise), rel=0.005)
    _, only = as_sharpened(0.0, diffraction_um(11.0) / KIT.pitch_um)
    assert parts["glass"] == pytest.approx(plain(0.0, float(only), noise), rel=0.005)
    assert parts["diffraction"] > near.reach_cm.value


@pytest.mark.parametrize("part", ["shake", "sitter"])
def test_without_a_motion_is_as_if_it_were_not_there(part: str) -> None:
    calm = SCENE
    if part == "shake":
        calm = replace(
            calm,
            hand=replace(calm.hand, median_deg_per_s=1e-9),
            sway=replace(calm.sway, median_mm_per_s=1e-9),
        )
    else:
        parts = tuple((w, replace(one, median_mm_per_s=1e-9)) for w, one in calm.sitters)
        calm = replace(calm, sitters=parts)
    slow = settings_of(f_number=[4.0], shutter_s=[1 / 60], iso=[400])
    near = budgets(FRAMES, slow, limits_of(SCENE, slow), whole=1)[0][0]
    without = {one.cause: one.reach_without_cm for one in near.parts}[part]
    there = budgets(expected(calm, focus_mm=2000.0), slow, limits_of(calm, slow), whole=1)[0][0]
    assert without == pytest.approx(there.reach_cm.value, rel=0.01)
    assert without > near.reach_cm.value * 1.05


def test_of_the_others_only_the_near_iris_is_told() -> None:
    several = budgets(FRAMES, SETTINGS, limits_of(SCENE, SETTINGS), whole=1)
    assert [len(eyes) for eyes in several] == [2, 1, 1]
    assert several[1][0].parts == ()
    for one, whole in zip(several[1:], told()[1:], strict=True):
        assert one[0].reach_cm == whole[0].reach_cm
        assert one[0].without_noise_cm == pytest.approx(whole[0].without_noise_cm)


def test_where_nothing_holds_frames_still_have_an_order() -> None:
    scene = replace(SCENE, promise=replace(SCENE.promise, print_cm=400.0))
    frames = expected(scene, focus_mm=2000.0)
    near = budgets(frames, SETTINGS, limits_of(scene, SETTINGS), whole=3)[0][0]
    assert 0 < near.reach_cm.low < near.reach_cm.value < near.reach_cm.high


def test_where_most_frames_hold_the_middle_one_does_ghost_or_not() -> None:
    # A ghost of 7 % smeared far across still leaves 93 % of the contrast: the reach of a frame has
    # to know that as its share does.
    settings = settings_of(
        f_number=5.6,
        shutter_s=[1 / 60, 1 / 60, 1 / 60],
        iso=200.0,
        motion_s=1 / 4000,
        ghost_share=[0.0, 0.02, 0.07],
    )
    frames = expected(SCENE, focus_mm=2000.0)
    held = shares(frames, settings)
    for share, (near, _) in zip(held, told(settings), strict=True):
        assert (share >= 0.5) == (near.reach_cm.value >= PROMISE.print_cm * 0.99)
    assert held[0] >= held[1] >= held[2] > 0.5
