"""Which frames are shown in which order, held against plain sentences about each order."""

from dataclasses import fields

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from starlette.datastructures import QueryParams

from eyeplane.errors import InputError
from eyeplane.records import FrameStatus, Measured
from eyeplane.records.live import FrameRow
from eyeplane.web.pages.sitting_asked import (
    CAUSES,
    EYES,
    ORDERS,
    SIDES,
    Asked,
    asked_of,
    eyes_of,
    in_order,
    side_of,
)

STATUSES: tuple[FrameStatus, ...] = ("measured", "measured", "measured", "nobody", "unreadable")

measured = st.floats(-80, 80).flatmap(
    lambda value: st.floats(0, 30).map(
        lambda half: Measured(value=value, low=value - half, high=value + half)
    )
)
reaches = st.floats(0.5, 200).map(lambda v: Measured(value=v, low=0.8 * v, high=1.2 * v))


@st.composite
def sittings(draw: st.DrawFn) -> tuple[FrameRow, ...]:
    """Frames in order of capture, bursts one after the other."""
    burst, rows = 1, []
    for number in range(1, draw(st.integers(0, 8)) + 1):
        burst += draw(st.integers(0, 1))
        status: FrameStatus = draw(st.sampled_from(STATUSES))
        answered = status == "measured"
        rows.append(
            FrameRow(
                number=number,
                name=draw(st.sampled_from(["a.jpg", "B.JPG", "Žofie.jpg", "<b>.jpg"])),
                status=status,
                captured_at="",
                burst=burst if answered else None,
                best=False,
                holds=None,
                reach_cm=draw(st.none() | reaches) if answered else None,
                offset_mm=draw(st.none() | measured) if answered else None,
                cause=draw(st.sampled_from(CAUSES)),
                eyes_open=draw(st.sampled_from([True, False, None])),
                sitters=1,
                window_mm_per_px=None,
                sentence="",
                chosen=draw(st.booleans()),
            )
        )
    return tuple(rows)


asked = st.builds(
    Asked,
    order=st.sampled_from(ORDERS),
    cause=st.sampled_from(["", *CAUSES]),
    offset=st.sampled_from(["", *SIDES]),
    eyes=st.sampled_from(["", *EYES]),
    chosen=st.sampled_from(["", "yes", "no"]),
    from_cm=st.none() | st.floats(0, 100),
    to_cm=st.none() | st.floats(0, 200),
    name=st.sampled_from(["", "A", "jpg", "ž", "<B", "nothing"]),
    page=st.integers(1, 9),
    paged=st.booleans(),
)


@given(asked)
@settings(max_examples=30)
def test_an_address_says_what_was_asked_for(wanted: Asked) -> None:
    told = asked_of(QueryParams(wanted.query().removeprefix("?")))
    for field in fields(Asked):
        first, then = getattr(wanted, field.name), getattr(told, field.name)
        if isinstance(first, float):
            assert then == pytest.approx(first, rel=1e-9)
        else:
            assert then == first


@given(sittings(), asked)
@settings(max_examples=50)
def test_what_is_shown_is_what_was_asked_for(rows: tuple[FrameRow, ...], wanted: Asked) -> None:
    found = in_order(rows, wanted)
    assert len(set(found)) == len(found)
    for row in rows:
        fits = [
            not wanted.cause or (row.status == "measured" and row.cause == wanted.cause),
            not wanted.offset or (row.status == "measured" and side_of(row) == wanted.offset),
            not wanted.eyes or (row.status == "measured" and eyes_of(row) == wanted.eyes),
            not wanted.chosen or row.chosen == (wanted.chosen == "yes"),
            wanted.name.lower() in row.name.lower(),
        ]
        if row.reach_cm is None:
            fits.append(wanted.from_cm is None and wanted.to_cm is None)
        else:
            reach = round(row.reach_cm.value, 1)
            fits += [wanted.from_cm is None or reach >= wanted.from_cm]
            fits += [wanted.to_cm is None or reach <= wanted.to_cm]
        assert (row in found) == all(fits)


@given(sittings())
@settings(max_examples=30)
def test_orders_are_what_their_names_say(rows: tuple[FrameRow, ...]) -> None:
    for order in ORDERS:
        found = in_order(rows, Asked(order=order))
        assert sorted(row.number for row in found) == [row.number for row in rows]
        answered = [row for row in found if row.status == "measured"]
        assert found[: len(answered)] == tuple(answered)  # those without an answer come last
        reach = [r.reach_cm.value for r in answered if r.reach_cm]
        offset = [r.offset_mm.value for r in answered if r.offset_mm]
        rounded = [round(v, 1) for v in reach], [round(v, 1) for v in offset]
        if order == "longest":
            assert rounded[0] == sorted(rounded[0], reverse=True)
            assert all(row.reach_cm is None for row in answered[len(reach) :])
        if order == "shortest":
            assert rounded[0] == sorted(rounded[0])
        if order == "behind":
            assert rounded[1] == sorted(rounded[1], reverse=True)
        if order == "front":
            assert rounded[1] == sorted(rounded[1])
        if order == "chosen":
            assert [r.chosen for r in answered] == sorted(
                (r.chosen for r in answered), reverse=True
            )
        if order == "eyes":
            states = [EYES.index(eyes_of(r)) for r in answered]
            assert states == sorted(states)
        if order == "capture":
            assert [r.number for r in answered] == sorted(r.number for r in answered)


@pytest.mark.parametrize(
    ("low", "high", "side"),
    [(1, 5, "behind"), (-5, -1, "front"), (-1, 1, "on"), (0, 5, "on"), (-5, 0, "on")],
)
def test_a_side_is_told_only_where_it_is_certain(low: float, high: float, side: str) -> None:
    row = FrameRow(
        number=1,
        name="a.jpg",
        status="measured",
        captured_at="",
        burst=1,
        best=False,
        holds=None,
        reach_cm=None,
        offset_mm=Measured(value=(low + high) / 2, low=low, high=high),
        cause="focus",
        eyes_open=None,
        sitters=1,
        window_mm_per_px=None,
        sentence="",
        chosen=False,
    )
    assert side_of(row) == side


@pytest.mark.parametrize(
    "query",
    [
        "order=colour",
        "cause=blurry",
        "offset=left",
        "eyes=shut",
        "chosen=maybe",
        "from=abc",
        "from=nan",
        "to=-3",
        "to=1e9",
        "from=" + "9" * 5000,
    ],
)
def test_what_cannot_be_asked_for_is_told_plainly(query: str) -> None:
    with pytest.raises(InputError) as told:
        asked_of(QueryParams(query))
    assert len(str(told.value)) < 400
    assert "address" in str(told.value)


def test_lengths_follow_the_unit_of_the_form_and_pages_have_ends() -> None:
    assert asked_of(QueryParams("from=24&unit=inch")).from_cm == pytest.approx(60.96)
    assert asked_of(QueryParams("from=24,5")).from_cm == 24.5
    assert asked_of(QueryParams("page=0")).page == 1
    assert asked_of(QueryParams("page=" + "9" * 6000)).page == 100_000
    assert asked_of(QueryParams("page=²")).page == 1
    assert asked_of(QueryParams("unknown=1")) == Asked()
    assert Asked().query() == ""
