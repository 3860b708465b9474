"""Dust in words and drawings, from records made by hand."""

from dataclasses import replace

import pytest

from eyeplane.deliver.dust_content import dust_content
from eyeplane.deliver.sheet import Disc
from eyeplane.records import Measured
from eyeplane.records.kit_dust import (
    DustAtWork,
    DustGone,
    DustLeftOut,
    DustLimit,
    DustPlace,
    DustResult,
    DustShadow,
    DustShows,
)


def near(value: float) -> Measured:
    """Return a number with a tenth of it to either side."""
    return Measured(value=value, low=0.9 * value, high=1.1 * value)


def shadow(number: int, shows: DustShows) -> DustShadow:
    """Return a speck at the upper left of the frame, so at the lower left of the sensor."""
    return DustShadow(
        number=number,
        kind="spot",
        at_share=(0.1, 0.25),
        field="lower left",
        place=DustPlace(from_left_mm=near(3.6), from_bottom_mm=near(6.0)),
        diameter_px=near(20.0),
        length_px=None,
        angle_deg=None,
        depth_share=near(0.2),
        lost_px2=near(30.0),
        particle_um=near(37.0),
        particle_px=near(6.2),
        evidence=900.0,
        frames=3,
        since=None,
        at_work=DustAtWork(
            f_number=5.6,
            depth_share=near(0.025),
            diameter_px=near(45.0),
            print_mm=near(4.5),
            threshold_share=0.005,
            shows=shows,
        ),
    )


RESULT = DustResult(
    way="even surface",
    kit="Body no. 7",
    done_at="2026-03-01T10:00:00",
    frames=3,
    views=3,
    paths=("a.jpg",),
    left_out=(),
    width_px=6000,
    height_px=4000,
    orientation=6,
    pitch_um=near(6.0),
    f_number=16.0,
    cover_air_mm=near(1.3),
    cover_measured=True,
    whole=True,
    shadows=(),
    gone=(),
    compared_with=None,
    pupil_scale=None,
    apertures=(),
    working_f_number=5.6,
    print_cm=60.0,
    viewing_cm=50.0,
    limit=DustLimit(
        depth_share=0.01,
        worst_share=0.02,
        particle_um=8.2,
        smallest_px=8.0,
        largest_px=160.0,
        judged_share=1.0,
    ),
    notes=(),
)


@pytest.mark.parametrize(
    ("shows", "said", "advised"),
    [
        (("yes",), "1 speck on the sensor; it shows at f/5.6", "blower first, mount down"),
        (("yes", "no"), "2 specks on the sensor; one shows", "at the lower left (1)"),
        (("perhaps",), "it might just show", "do not wipe for this"),
        (("no", "no"), "2 specks on the sensor; none shows", "Leave the sensor alone"),
    ],
)
def test_the_answer_and_what_to_do(shows: tuple[DustShows, ...], said: str, advised: str) -> None:
    shadows = tuple(shadow(k, one) for k, one in enumerate(shows, start=1))
    content = dust_content(replace(RESULT, shadows=shadows))
    assert said in content.sentence
    assert advised in content.advice
    assert any("ruin a sensor" in caution for caution in content.cautions)


def test_nothing_found_is_said_with_its_limit() -> None:
    content = dust_content(RESULT)
    assert content.sentence == "No dust that shows at f/16."
    assert "had to take 1.0\u2009%" in content.lines[0]
    assert "2.0\u2009% in the worst places" in content.lines[0]
    assert (content.drawings, content.cautions, content.tables) == ((), (), ())


def test_a_check_that_could_find_deep_shadows_only_calls_no_sensor_clean() -> None:
    """A noisy frame, or a sitting: 7.6 % is several times what an even backdrop shows."""
    assert RESULT.limit is not None
    content = dust_content(replace(RESULT, limit=replace(RESULT.limit, depth_share=0.076)))
    assert content.sentence == (
        "No dust found at f/16, but only what takes 7.6\u2009% of the light would have been."
    )
    assert "lowest ISO" in content.advice


@pytest.mark.parametrize("width_mm", [60.0, 95.0, 200.0])
def test_the_map_stands_on_its_head_as_the_sensor_does(width_mm: float) -> None:
    ahead, back = dust_content(replace(RESULT, shadows=(shadow(1, "yes"),))).drawings
    places = []
    for drawing in (ahead, back):
        sheet = drawing.draw(width_mm, 3.2)
        (disc,) = [mark for mark in sheet.marks if isinstance(mark, Disc)]
        places.append((disc.middle[0] / sheet.width_mm, disc.middle[1] / sheet.height_mm))
    assert places[0][0] == pytest.approx(0.1, abs=0.02)  # facing: left stays left
    assert places[1][0] == pytest.approx(0.9, abs=0.02)
    assert all(down > 0.6 for _, down in places)  # upper part of the frame, lower part of both


def test_changes_and_frames_left_out_are_told() -> None:
    changed = replace(
        RESULT,
        shadows=(replace(shadow(1, "yes"), since="new"),),
        gone=(DustGone(at_share=(0.5, 0.5), field="middle", depth_share=0.1, sure=False),),
        compared_with="2026-01-02T09:00:00",
        left_out=(DustLeftOut(path="/x/b.jpg", reason="it shows no even surface."),),
    )
    content = dust_content(changed)
    assert "Since 2026-01-02: 1 new, 0 still there and 0 gone" in content.lines[0]
    assert "may still be there" in content.lines[0]
    assert content.notes[-1] == "Not used: b.jpg: it shows no even surface."
    assert content.tables[0].head[-1] == "since last time"


def test_where_to_wipe_is_not_told_of_a_frame_that_was_cut() -> None:
    lost = replace(shadow(1, "yes"), field="", place=None)
    content = dust_content(replace(RESULT, shadows=(lost,), whole=False))
    assert "Facing" not in content.advice
    assert len(content.drawings) == 1
    assert content.tables[0].rows[0][1] == "cannot tell"


@pytest.mark.parametrize(("scale", "times"), [(1.0, 0), (1 - 5e-15, 0), (0.994, 1)])
def test_a_shift_that_is_none_is_not_told(scale: float, times: int) -> None:
    content = dust_content(replace(RESULT, pupil_scale=scale))
    lines = [line.replace("\u2009", " ") for one in content.reasons for line in one.lines]
    assert sum("0.60 % farther in" in line for line in lines) == times
    assert sum("farther" in line for line in lines) == times
