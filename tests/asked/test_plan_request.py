"""From typed words to the request of a plan, and every contradiction in one sentence."""

import math
from collections.abc import Mapping
from typing import Any

import pytest

from eyeplane.asked.plan_given import Given, gather
from eyeplane.asked.plan_limits import agreed
from eyeplane.asked.plan_request import burst_request, group_request, light_said, sitter_request
from eyeplane.asked.plan_scene_options import TABLES
from eyeplane.errors import InputError
from eyeplane.light import illuminance_lux
from eyeplane.records import PlanKit, PlanPrint


def given(
    kind: str = "sitter",
    recalled: Mapping[str, Mapping[str, str]] | None = None,
    **words: Any,  # noqa: ANN401  texts, or the position of a switch
) -> Given:
    """Return what holds after some words were typed."""
    by_key = {option.key: option for option in TABLES[kind]}
    typed: dict[str, Any] = {
        key: said if isinstance(said, bool) else by_key[key].typed(said)
        for key, said in words.items()
    }
    return agreed(gather(TABLES[kind], typed, recalled or {}))


def test_a_bare_sitter_is_a_head_and_shoulders_with_the_usual_kit() -> None:
    request = sitter_request(given())
    assert request.kit == PlanKit(focal_length_mm=85.0)
    assert (request.framing, request.distance_mm) == ("head-and-shoulders", None)
    assert request.light.kind == "continuous"
    assert request.light.exposure_ev is not None
    assert float(illuminance_lux(request.light.exposure_ev)) == pytest.approx(800.0)
    assert request.sitter.age_years is None
    assert request.promise == PlanPrint(print_cm=60.0, viewing_cm=50.0)


def test_all_that_may_be_said_of_a_sitter_arrives() -> None:
    request = sitter_request(
        given(
            focal_length="135",
            sensor="23.5x15.6",
            pixels="6240x4160",
            widest="f/2",
            smallest="f/22",
            near_limit="80cm",
            fastest="1/4000",
            slowest="1/30",
            sync="1/160",
            base_iso="200",
            iso_limit="ISO 3200",
            stabiliser="3 stops",
            steadiness="1/60",
            focus_bias="14 mm behind (11-17)",
            focus_spread="9mm",
            glass="3 um",
            field_radius="-2m",
            who="child 18 months",
            mood="laughing",
            glasses=True,
            sitter_speed="30 mm/s (5-180)",
            print_cm="24in",
            viewing_cm="1m",
            light="flash GN 40",
            ambient="EV 5",
            flash_distance="1.5m",
            flash_duration="1/300",
            high_speed_sync=True,
            source_size="80cm",
            source_distance="1.2m",
            f_number="2.8",
            shutter="1/250",
            iso="400",
            tripod=True,
            distance="6ft",
            yaw="25",
            background="1.2m",
            eyes="both",
        )
    )
    kit = request.kit
    assert (kit.focal_length_mm, kit.sensor_long_mm, kit.long_edge_px) == (135.0, 23.5, 6240)
    assert (kit.widest_f_number, kit.smallest_f_number, kit.near_limit_mm) == (2.0, 22.0, 800.0)
    assert (kit.fastest_s, kit.slowest_s, kit.sync_s) == (1 / 4000, 1 / 30, 1 / 160)
    assert (kit.base_iso, kit.highest_iso, kit.stabiliser_stops) == (200.0, 3200.0, 3.0)
    assert (kit.glass_um, kit.field_radius_mm) == (3.0, -2000.0)
    assert kit.focus_bias_mm is not None
    assert (kit.focus_bias_mm.low, kit.focus_bias_mm.high) == (11.0, 17.0)
    assert kit.focus_spread_mm is not None
    assert (kit.focus_spread_mm.low, kit.focus_spread_mm.high) == (6.0, 13.5)
    assert (request.sitter.age_years, request.sitter.mood) == (1.5, "laughing")
    assert request.sitter.glasses
    assert request.sitter.speed_mm_per_s is not None
    assert request.sitter.speed_mm_per_s.high == 180.0
    assert request.promise.print_cm == pytest.approx(60.96)  # 24 × 2.54
    assert request.promise.viewing_cm == 100.0
    light = request.light
    assert (light.kind, light.exposure_ev, light.guide_number_m) == ("flash", 5.0, 40.0)
    assert (light.flash_distance_mm, light.full_power_s) == (1500.0, 1 / 300)
    assert light.high_speed_sync
    assert (light.source_size_mm, light.source_distance_mm) == (800.0, 1200.0)
    assert (request.choice.f_number, request.choice.shutter_s) == (2.8, 0.004)
    assert (request.hand.support, request.distance_mm) == ("tripod", 1828.8)
    assert (request.yaw_deg, request.background_mm, request.eyes) == (25.0, 1200.0, "both")
    assert request.hand.shake_deg_per_s is not None


def test_the_glass_may_carry_its_interval_and_its_low_end_may_be_none_at_all() -> None:
    kit = sitter_request(given(glass="1.0 um (0 to 2.0)", glass_wide="4 um (3-4.5)")).kit
    assert (kit.glass_um, kit.glass_range_um) == (1.0, (0.0, 2.0))
    assert (kit.glass_wide_um, kit.glass_wide_range_um) == (4.0, (3.0, 4.5))
    bare = sitter_request(given(glass="1 um")).kit
    assert (bare.glass_um, bare.glass_range_um, bare.glass_wide_um) == (1.0, None, None)
    for wrong in ("0 um (0 to 2)", "1 um (0 to 200)"):
        with pytest.raises(ValueError, match=r"give 0\.1 to 100 um"):
            given(glass=wrong)


def test_a_group_and_a_lean_in_arrive() -> None:
    group = group_request(
        given("group", rows="3", row_spacing="70cm", faces_per_row="5", lean=True, arc="3m")
    )
    assert (group.rows, group.faces_per_row, group.row_spacing_mm) == (3, 5, 700.0)
    assert (group.lean, group.standing, group.arc_radius_mm) == (True, True, 3000.0)
    assert group.distance_mm == 3500.0
    burst = burst_request(given("burst", lean="5 cm/s", frame_rate="10", caught="lashes"))
    assert (burst.lean_mm_per_s, burst.frames_per_s, burst.caught) == (50.0, 10.0, "lashes")
    assert burst.wanted_share == pytest.approx(0.95)


def test_pixels_follow_the_shape_of_the_sensor() -> None:
    assert sitter_request(given()).kit.long_edge_px == 6000
    square = sitter_request(given(sensor="44x33", pixels="51 MP")).kit
    assert (square.long_edge_px, square.short_edge_px) == (8246, 6184)
    assert square.long_edge_px / square.short_edge_px == pytest.approx(4 / 3, rel=1e-3)


def test_a_viewer_at_the_diagonal_stands_one_and_a_half_of_it_away() -> None:
    # 60 × 40 cm: diagonal 72.1 cm, so 108 cm; trade's rule, common practice, no source.
    promise = sitter_request(given(viewing_cm="diagonal")).promise
    assert promise.viewing_cm == pytest.approx(1.5 * math.hypot(60, 40))


@pytest.mark.parametrize(
    ("light", "exposure_ev"),
    [
        ("EV 9", 9.0),
        ("2.5 lx", 0.0),  # incident constant 250 lx s: ISO 2720, EV 0 at ISO 100
        ("1280 lx", 9.0),
        ("0.125 cd/m2", 0.0),  # reflected constant 12.5 cd s/m²
        ("f/16 1/125 ISO 100", 15.0),  # bright sun; marks stand for exact third stops: APEX
        ("f/5.6 1/60 ISO 200", 10.0),
        ("f/4 1/125 ISO 400", 9.0),
    ],
)
def test_every_kind_of_light_is_one_exposure_value(light: str, exposure_ev: float) -> None:
    found = sitter_request(given(light=light)).light.exposure_ev
    assert found == pytest.approx(exposure_ev, abs=1e-4)


def test_flash_read_by_a_meter_is_as_bright_as_it_was_read() -> None:
    # Guide number = aperture × distance in metres, at ISO 100: the definition.
    near = sitter_request(given(light="flash f/8", flash_distance="2m")).light
    assert (near.guide_number_m, near.flash_distance_mm) == (16.0, 2000.0)
    alone = sitter_request(given(light="flash f/8")).light
    assert alone.guide_number_m is not None
    assert alone.flash_distance_mm is not None
    assert alone.guide_number_m / alone.flash_distance_mm == pytest.approx(8 / 1000)
    for said in ("flash f/11.314 ISO 200", "flash f/11 ISO 200"):
        at_200 = sitter_request(given(light=said, flash_distance="2m")).light
        assert at_200.guide_number_m == pytest.approx(16.0, rel=1e-4)


def test_watt_seconds_are_said_to_be_an_estimate() -> None:
    (said,) = light_said(given(light="flash 400 Ws softbox"))
    assert "an estimate" in said
    number = sitter_request(given(light="flash 400 Ws softbox")).light.guide_number_m
    assert number is not None
    assert f"guide number {number:.0f} (" in said
    assert light_said(given()) == ()


def test_limits_that_nobody_named_make_room() -> None:
    kit = sitter_request(given(f_number="f/1.2", shutter="1s", iso="25600")).kit
    assert (kit.widest_f_number, kit.slowest_s, kit.highest_iso) == (1.2, 1.0, 25600.0)
    assert sitter_request(given(widest="f/18")).kit.smallest_f_number == 18.0
    assert sitter_request(given(slowest="1/16000")).kit.fastest_s == 1 / 16000
    assert sitter_request(given(light="flash GN 40", sync="1/8")).kit.slowest_s == 1 / 8


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ({"f_number": "f/1.2", "widest": "f/1.4"}, "f/1.2 is wider than the limit --widest f/1.4"),
        ({"f_number": "f/22", "smallest": "f/16"}, "f/22 is smaller than the limit --smallest"),
        ({"shutter": "1s", "slowest": "1/15"}, "1s is slower than the limit --slowest 1/15"),
        ({"shutter": "1/8000", "fastest": "1/4000"}, "is faster than the limit --fastest"),
        ({"iso": "50", "base_iso": "100"}, "50 is lower than the limit --base-iso 100"),
        ({"iso": "12800", "iso_limit": "6400"}, "12800 is higher than the limit --iso-limit"),
        ({"widest": "f/4", "smallest": "f/2"}, "f/4 and --smallest f/2 leave nothing between"),
        ({"fastest": "1/30", "slowest": "1/60"}, "leave nothing between them"),
        ({"base_iso": "800", "iso_limit": "400"}, "leave nothing between them"),
        (
            {"light": "flash GN 40", "shutter": "1/500", "sync": "1/200"},
            "1/500 is faster than the flash sync limit 1/200",
        ),
        (
            {"light": "flash GN 40", "slowest": "1/500"},
            "--slowest: 1/500 is faster than the flash sync limit 1/200",
        ),
        ({"distance": "2m", "framing": "head"}, "cannot both be given"),
        ({"ambient": "EV 5"}, "this belongs to flash"),
        ({"high_speed_sync": True}, "this belongs to flash"),
        ({"flash_distance": "1m", "light": "800 lx"}, "this belongs to flash"),
        ({"source_distance": "1m"}, "--source-size: size and distance together say"),
        ({"source_size": "80cm"}, "--source-distance: size and distance together say"),
        ({"pixels": "6000x4000", "sensor": "44x33"}, "would not be square"),
        ({"light": "flash 400 Ws bucket"}, "through 'bucket' is not known"),
    ],
)
def test_what_contradicts_itself_is_one_sentence(words: dict[str, Any], said: str) -> None:
    with pytest.raises(InputError) as caught:
        sitter_request(given(**words))
    assert said in str(caught.value)
    assert str(caught.value).startswith("--")
    assert "\n" not in str(caught.value)


def test_high_speed_sync_and_ranges_may_go_beyond_sync() -> None:
    light = "flash GN 40"
    pulsed = sitter_request(given(light=light, shutter="1/500", high_speed_sync=True))
    assert pulsed.choice.shutter_s == 1 / 500
    assert given(light=light, shutter="1/60..1/500").spans == ("shutter",)


def test_what_is_recalled_stands_behind_what_is_typed() -> None:
    kept = {"kit": {"focal-length": "50mm", "sync": "1/160"}, "client": {"who": "child 4"}}
    held = given(recalled=kept, focal_length="105mm")
    request = sitter_request(held)
    assert request.kit.focal_length_mm == 105.0
    assert request.kit.sync_s == 1 / 160
    assert request.sitter.age_years == 4.0
    assert held.texts("kit") == {"sync": "1/160"}
    assert held.texts("client") == {"who": "child 4"}
    assert held.texts("typed", keeps="kit") == {"focal-length": "105mm"}
    assert "focal-length" not in held.texts("assumed")


def test_a_recalled_switch_can_be_turned_off() -> None:
    kept = {"client": {"glasses": "yes"}}
    assert sitter_request(given(recalled=kept)).sitter.glasses
    assert not sitter_request(given(recalled=kept, glasses=False)).sitter.glasses


def test_a_range_is_never_remembered() -> None:
    held = given(print_cm="40..80", who="child 4")
    assert held.texts("typed", keeps="client") == {"who": "child 4"}


def test_what_was_kept_and_can_no_longer_be_read_is_said() -> None:
    with pytest.raises(InputError, match="what is remembered cannot be used"):
        given(recalled={"kit": {"focal-length": "eighty-five"}})


def test_a_stabiliser_is_in_a_learned_shake_already() -> None:
    shake = "0.3 deg/s (0.1 to 1)"
    with_it = sitter_request(given(shake=shake, stabiliser="3 stops"))
    assert with_it == sitter_request(given(shake=shake))
    assert with_it.hand.shake_deg_per_s is not None
    assert with_it.hand.shake_deg_per_s.value == 0.3
    assert sitter_request(given(stabiliser="3 stops")).kit.stabiliser_stops == 3.0


def test_who_settles_a_time_that_bodies_sync_at_has_such_a_body() -> None:
    flash: dict[str, Any] = {"light": "flash GN 40"}
    request = sitter_request(given(**flash, shutter="1/250"))
    assert request.kit.sync_s == request.choice.shutter_s == 1 / 250
    assert sitter_request(given(**flash)).kit.sync_s == 1 / 200
    refused: tuple[dict[str, Any], ...] = (
        {"shutter": "1/320"},
        {"shutter": "1/250", "sync": "1/200"},
    )
    for words in refused:
        with pytest.raises(InputError, match="faster than the flash sync limit 1/200"):
            given(**flash, **words)
