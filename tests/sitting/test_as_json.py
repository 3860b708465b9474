import json
import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Any, get_args

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.sitting import made

from eyeplane.records import (
    Catchlight,
    Cause,
    CauseChance,
    CauseCount,
    Change,
    ColourBlur,
    Exposure,
    Finding,
    FindingKind,
    Ghost,
    Habit,
    HabitKind,
    KitFocus,
    LightSource,
    Measured,
    Sitting,
    SittingFrame,
    SittingTally,
    Veil,
    Viewing,
    plain_measured,
)
from eyeplane.sitting import make_sitting, sitting_json, sitting_schema

DOCS = Path(__file__).parents[2] / "docs" / "json.md"
HEADINGS = {"cause_count": "causes", "measured": "A measured number", "": "The whole file"}
ONE_OF = ("face", "eye", "spot", "frame", "kit", "habit", "change", "finding", "chance", "light")
HEADINGS |= {name: f"{name}s" for name in (*ONE_OF, "catchlight")}


def check(value: object) -> None:
    """Hold a value against the schema, after a trip through text that allows no NaN."""
    schema = sitting_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    text = json.dumps(value, allow_nan=False)
    jsonschema.Draft202012Validator(schema).validate(json.loads(text))


def shown(**changes: Any) -> Sitting:  # noqa: ANN401  fields of a record
    """Return a sitting of one frame."""
    frame = SittingFrame(
        reading=made.reading(spots=[made.spot((10.123456, 20.5))]),
        answer=made.answer(35.24, "focus"),
        companions=("a.nef",),
        burst=1,
        best_of_burst=True,
    )
    return made.sitting([replace(frame, **changes)])


def test_it_has_the_shape_that_was_agreed() -> None:
    plain = sitting_json(shown())
    check(plain)
    (frame,) = plain["frames"]
    assert frame["path"] == "a.jpg"
    assert frame["reach_cm"] == {"value": 35.2, "low": 31.7, "high": 38.8}
    (face,) = frame["faces"]
    assert face["box_px"] == [400.0, 300.0, 200.0, 260.0]
    assert (face["yaw_deg"], face["near"], face["cause"]) == (20.0, "left", "focus")
    assert face["offset_mm"]["value"] == 14.0
    assert face["distance_mm"]["value"] == 2000.0
    eye = face["eyes"][1]
    assert (eye["side"], eye["iris_px"], eye["open"]) == ("right", [540.0, 404.0], True)
    assert eye["iris_diameter_px"] == 16.0
    assert eye["blur_px"] == {"value": 2.0, "low": 1.8, "high": 2.2}
    assert (eye["kind"], eye["angle_deg"]) == ("disc", None)
    (spot,) = frame["spots"]
    assert spot["at_px"] == [10.12, 20.5]
    assert (spot["kind"], spot["angle_deg"]) == ("line", 0.0)  # 179.97 rounds to 180, which is 0


def everything() -> Sitting:
    """Return a sitting of one frame with all that can be told of it."""
    about, face, said = made.about, made.face(), made.answer(35.24, "shake")
    left, right = face.eyes
    blur = replace(made.line(12.0), disc_beside_px=about(2.4))
    light = Catchlight(
        at_px=(431.234, 555.678), width_px=about(6.2), height_px=about(3.3), share=0.724
    )
    colour = ColourBlur(red_px2=about(2.1), blue_px2=about(-1.04))
    face = replace(
        face,
        eyes=(replace(left, blur=blur, colour=colour, catchlights=(light,)), right),
        ghost=Ghost(core_share=about(0.64), length_px=about(14.2), angle_deg=179.97, gain=41.26),
        level=0.183456,
        glasses=True,
    )
    source = LightSource(
        clock_hours=0.04,
        off_axis_deg=about(38.04),
        width_deg=about(22.0),
        height_deg=about(30.0),
        share=1.0,
        hardness="",
    )
    finding = Finding(kind="ghost", text="Flash froze a core.", advice="Shut the light out.")
    chance = CauseChance(
        cause="focus in front", prior=0.123456, evidence=-3.456, chance=0.987654, because="f/1.8"
    )
    said = replace(
        said,
        faces=(
            replace(
                said.faces[0],
                name="the left face",
                inside=False,
                behind_mm=about(-660.04),
                stop=5.6001,
                chances=(chance,),
                findings=(finding,),
                lights=(source,),
            ),
        ),
        findings=(finding,),
        stop_for_all=11.0,
    )
    veil = Veil(
        columns=2,
        rows=1,
        darkest=(0.0123456, 0.0),
        coarse=(0.31, math.nan),
        fine=(0.08, 0.09),
        level=(0.21, 0.18),
        orientation=6,
    )
    one = made.reading(faces=[face])
    return replace(
        shown(reading=replace(one, veil=veil), answer=said),
        tally=SittingTally(
            frames=9,
            holding=4,
            closed=1,
            duplicates=2,
            soft=(CauseCount(cause="shake", frames=3),),
            nobody=1,
            unreadable=1,
        ),
        kits=(
            KitFocus(
                kit="A", setting="f/1.8", frames=9, bias_mm=about(-11.04), spread_mm=about(9.4)
            ),
        ),
        habits=(Habit(kind="lens or me", text="So.", advice="Try.", frames=9),),
        changes=(Change(text="1/400 s", holding=4, expected=about(7.25)),),
    )


def test_all_that_can_be_told_is_there_and_rounded() -> None:
    plain = sitting_json(everything())
    check(plain)
    sitting, (frame,) = plain["sitting"], plain["frames"]
    assert sitting["tally"]["soft"] == [{"cause": "shake", "frames": 3}]
    assert (sitting["tally"]["holding"], sitting["tally"]["duplicates"]) == (4, 2)
    assert sitting["kits"][0]["bias_mm"] == {"value": -11.0, "low": -12.1, "high": -9.9}
    assert sitting["habits"][0]["kind"] == "lens or me"
    assert sitting["changes"][0]["expected"]["high"] == 8.0
    assert frame["findings"][0]["advice"] == "Shut the light out."
    assert frame["stop_for_all"] == 11.0
    assert frame["veil"]["darkest"] == [0.0123, 0.0]
    assert frame["veil"]["coarse"] == [0.31, None]
    assert frame["veil"]["orientation"] == 6
    (face,) = frame["faces"]
    assert (face["name"], face["inside"], face["stop"]) == ("the left face", False, 5.6)
    assert face["behind_mm"]["value"] == -660.0
    (chance,) = face["chances"]
    assert (chance["prior"], chance["evidence"], chance["chance"]) == (0.1235, -3.5, 0.9877)
    assert face["lights"][0]["clock_hours"] == 12.0  # 0.04 rounds to 0, which is 12
    assert face["lights"][0]["off_axis_deg"]["value"] == 38.0
    assert (face["ghost"]["angle_deg"], face["ghost"]["gain"]) == (0.0, 41.3)
    assert (face["level"], face["glasses"]) == (0.183, True)
    eye, other = face["eyes"]
    assert eye["disc_beside_px"] == {"value": 2.4, "low": 2.16, "high": 2.64}
    assert eye["colour"]["blue_px2"]["value"] == -1.04
    assert eye["catchlights"][0]["at_px"] == [431.23, 555.68]
    assert (other["colour"], other["catchlights"], other["disc_beside_px"]) == (None, [], None)


def test_kinds_of_schema_and_records_are_the_same() -> None:
    parts = objects(sitting_schema())
    for name, kinds in (("finding", FindingKind), ("habit", HabitKind)):
        assert parts[name]["properties"]["kind"]["enum"] == list(get_args(kinds))


def test_the_document_explains_every_kind() -> None:
    text = DOCS.read_text(encoding="utf-8")
    for heading, kinds in (("findings", FindingKind), ("habits", HabitKind)):
        section = text[text.index(f"\n## {heading}\n") :]
        line = next(row for row in section.splitlines() if row.startswith("| `kind` |"))
        assert set(re.findall(r'`"([^"]+)"`', line)) == set(get_args(kinds))


def test_a_guessed_near_eye_is_said_to_be_a_guess() -> None:
    one = made.reading()
    guessed = replace(one.faces[0], face=replace(one.faces[0].face, near=None))
    plain = sitting_json(shown(reading=replace(one, faces=(guessed,))))
    check(plain)
    face = plain["frames"][0]["faces"][0]
    assert (face["near"], face["near_certain"]) == ("left", False)  # its yaw is +20 degrees
    assert sitting_json(shown())["frames"][0]["faces"][0]["near_certain"] is True


def test_what_cannot_be_told_is_null() -> None:
    plain = sitting_json(shown(answer=made.answer(None, "cannot tell", open_eyes=None)))
    check(plain)
    assert plain["frames"][0]["reach_cm"] is None
    assert plain["frames"][0]["faces"][0]["reach_cm"] is None
    assert plain["sitting"]["median_reach_cm"] is None


def test_no_number_is_ever_nan() -> None:
    odd = Exposure(exposure_time_s=math.nan, f_number=math.inf, iso=-math.inf)
    plain = sitting_json(shown(reading=made.reading(exposure=odd)))
    check(plain)
    assert plain["frames"][0]["exif"]["f_number"] is None


def test_the_diagonal_and_every_status_are_valid() -> None:
    frames = [
        (made.reading("a.jpg"), ("a.nef",)),
        (made.reading("b.jpg", status="nobody"), ()),
        (made.reading("c.jpg", status="unreadable"), ()),
    ]
    for viewing in (Viewing(), Viewing(distance_cm=None), Viewing(print_cm=76.2)):
        plain = sitting_json(make_sitting(frames, viewing=viewing, name="Ilves"))
        check(plain)
        assert [f["status"] for f in plain["frames"]] == ["measured", "nobody", "unreadable"]
        assert plain["frames"][2]["reason"].startswith("the file is empty")
    assert (
        sitting_json(make_sitting(frames, viewing=Viewing(distance_cm=None), name=""))["sitting"][
            "viewing_cm"
        ]
        == "diagonal"
    )


def test_the_schema_lets_nothing_else_through() -> None:
    plain = sitting_json(shown())
    broken: list[dict[str, Any]] = [json.loads(json.dumps(plain)) for _ in range(4)]
    broken[0]["frames"][0]["stars"] = 5
    del broken[1]["frames"][0]["reach_cm"]
    broken[2]["frames"][0]["faces"][0]["eyes"][0]["kind"] = "blurry"
    broken[3]["frames"][0]["faces"][0]["eyes"][0]["angle_deg"] = 180
    for value in broken:
        with pytest.raises(jsonschema.ValidationError):
            check(value)


@given(st.lists(st.floats(-1e6, 1e6), min_size=3, max_size=3).map(sorted), st.integers(0, 2))
def test_rounding_keeps_the_order(numbers: list[float], digits: int) -> None:
    low, value, high = numbers
    plain = plain_measured(Measured(value=value, low=low, high=high), digits)
    assert plain is not None
    assert plain["low"] <= plain["value"] <= plain["high"]


def objects(schema: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {"": schema, **schema["$defs"]}


def test_every_object_is_closed_and_every_field_described() -> None:
    for name, part in objects(sitting_schema()).items():
        assert part["additionalProperties"] is False, name
        assert sorted(part["required"]) == sorted(part["properties"]), name
        assert part["description"], name
        for field, about in part["properties"].items():
            assert about.get("description") or "$ref" in about, (name, field)


def documented(heading: str) -> set[str]:
    """Return the fields in the table under a heading of docs/json.md."""
    text = DOCS.read_text(encoding="utf-8")
    section = rf"^## {re.escape(heading)}\n(.*?)(?=^## |\Z)"
    found = re.search(section, text, re.MULTILINE | re.DOTALL)
    assert found, heading
    return set(re.findall(r"^\| `([^`]+)` \| \S", found[1], re.MULTILINE))


@pytest.mark.parametrize("name", sorted(objects(sitting_schema())))
def test_the_document_has_every_field_and_no_other(name: str) -> None:
    fields = set(objects(sitting_schema())[name]["properties"])
    assert documented(HEADINGS.get(name, name)) == fields


def test_the_document_has_every_cause_and_a_valid_example() -> None:
    assert documented("The words for a cause") == set(get_args(Cause))
    example = re.search(r"```json\n(.*?)```", DOCS.read_text(encoding="utf-8"), re.DOTALL)
    assert example is not None
    check(json.loads(example[1]))


def test_causes_of_schema_and_records_are_the_same() -> None:
    parts = objects(sitting_schema())
    for name in ("frame", "face", "cause_count"):
        assert parts[name]["properties"]["cause"]["enum"] == list(get_args(Cause))
