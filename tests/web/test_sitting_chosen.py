"""Choosing by forms alone, taking it back, and the lists that are carried away."""

import csv
import io
from dataclasses import replace
from datetime import UTC, datetime
from types import ModuleType

import pytest
from starlette.testclient import TestClient

from eyeplane.sitting.live import LiveSitting
from eyeplane.web.pages import sitting_chosen
from eyeplane.web.pages.sitting_asked import Asked, in_order


def chosen(live: LiveSitting) -> list[int]:
    return [row.number for row in live.rows() if row.chosen]


def test_one_frame_is_chosen_and_let_go(client: TestClient, live: LiveSitting) -> None:
    found = client.post("/sitting/s1/choose", data={"choose": "3"}, follow_redirects=False)
    assert (found.status_code, found.headers["location"]) == (303, "/sitting/s1#f3")
    assert chosen(live) == [3]
    page = client.get("/sitting/s1").text
    assert "1 chosen" in page
    assert 'name="drop" value="3"' in page
    client.post("/sitting/s1/choose", data={"drop": "3"})
    assert chosen(live) == []


def test_a_row_follows_the_order_in_which_it_is_looked_at(
    client: TestClient, live: LiveSitting
) -> None:
    order = [row.number for row in in_order(live.rows(), Asked(order="longest"))]
    form = {"do": "choose", "first": str(order[4]), "last": str(order[1]), "as-order": "longest"}
    back = client.post("/sitting/s1/choose", data=form, follow_redirects=False)
    assert back.headers["location"] == "/sitting/s1?order=longest#frames-heading"
    assert chosen(live) == sorted(order[1:5])
    client.post("/sitting/s1/undo", data={})  # all of it at once
    assert chosen(live) == []


def test_a_script_names_the_frames_and_hears_what_is_chosen(
    client: TestClient, live: LiveSitting
) -> None:
    told = client.post(
        "/sitting/s1/choose",
        data={"do": "choose", "numbers": "1-3,7,99-120,0"},
        headers={"accept": "application/json"},
    ).json()
    assert told["numbers"] == chosen(live) == [1, 2, 3, 7]
    assert told["chosen"] == 4
    undone = client.post("/sitting/s1/undo", headers={"accept": "application/json"}).json()
    assert undone["numbers"] == []
    again = client.post("/sitting/s1/undo", headers={"accept": "application/json"})
    assert again.json()["numbers"] == []  # nothing to take back is no mistake


@pytest.mark.parametrize(
    ("form", "said"),
    [
        ({"do": "delete"}, "does not say what to do"),
        ({}, "does not say what to do"),
        ({"do": "choose", "first": "1", "last": "99"}, "not among those shown"),
        ({"do": "choose", "first": "1", "last": "2", "as-cause": "focus"}, "not among those shown"),
        ({"do": "choose", "numbers": "1-13,1-13"}, "names frames twice"),
        ({"do": "choose", "first": "1", "last": "2", "as-order": "odd"}, "none of its choices"),
    ],
)
def test_a_form_that_cannot_be_followed_changes_nothing(
    client: TestClient, live: LiveSitting, form: dict[str, str], said: str
) -> None:
    answer = client.post("/sitting/s1/choose", data=form)
    assert answer.status_code == 422
    assert said in answer.text
    assert chosen(live) == []


@pytest.mark.parametrize("value", ["99", "-1", "²", "1e3", "9" * 5000, "", "1;2", "../1"])
def test_a_number_that_no_frame_has_is_left_aside(
    client: TestClient, live: LiveSitting, value: str
) -> None:
    answer = client.post("/sitting/s1/choose", data={"choose": value}, follow_redirects=False)
    assert answer.status_code == 303
    assert chosen(live) == []


def test_nothing_is_chosen_by_an_address_alone_or_from_another_site(
    client: TestClient, live: LiveSitting
) -> None:
    assert client.get("/sitting/s1/choose?choose=1").status_code == 405
    elsewhere = {"origin": "http://evil.example"}
    answer = client.post("/sitting/s1/choose", data={"choose": "1"}, headers=elsewhere)
    assert answer.status_code == 403
    assert chosen(live) == []


def test_the_way_back_never_leads_elsewhere(client: TestClient) -> None:
    form = {"choose": "1", "at": "1", "as-name": "//evil.example\r\nx: y"}
    answer = client.post("/sitting/s1/choose", data=form, follow_redirects=False)
    assert answer.headers["location"].startswith("/sitting/s1/frame/1?name=%2F%2Fevil")
    assert "x" not in answer.headers


def test_the_list_holds_names_one_a_line(client: TestClient, live: LiveSitting) -> None:
    live.choose([1, 5, 6, 13], chosen=True)
    answer = client.get("/sitting/s1/chosen.txt")
    assert answer.headers["content-disposition"] == 'attachment; filename="chosen-s1.txt"'
    assert answer.headers["content-type"].startswith("text/plain")
    assert answer.text.split("\n") == [
        "ilves-01.jpg",
        "<script>alert(1)<b><img src=x onerror=alert(2)>&\"'.jpg",
        "Žofie_Ångström—日本語.jpg",
        "line\\x1b[2Jbreak\\u202egpj.jpg",
        "",
    ]


def test_the_table_is_one_that_tables_read(client: TestClient, live: LiveSitting) -> None:
    live.choose([1, 2, 12], chosen=True)
    answer = client.get("/sitting/s1/chosen.csv")
    rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert rows[0][:3] == ["file", "same exposure", "reach cm"]
    assert rows[1] == ["ilves-01.jpg", "ilves-01.dng", "35.0", "30.8", "39.2", "focus", "1"]
    assert rows[3] == ["hall.jpg", "", "", "", "", "", ""]
    # A cell that begins like a formula is none (common practice, no source).
    for sign in "=+-@＝＋－＠":
        assert sitting_chosen._cell(f"{sign}1+1.jpg") == f"'{sign}1+1.jpg"
    # Every cell is quoted: else "a;=1+1.jpg" begins a cell where tables part them by semicolons.
    assert all(line.startswith('"') for line in answer.text.lstrip("\ufeff").splitlines())
    assert sitting_chosen._cell("plain.jpg") == "plain.jpg"


def test_frames_numbered_after_the_one_that_landed_last_are_chosen_too(
    client: TestClient, live: LiveSitting, builder: ModuleType
) -> None:
    nobody = builder.reading_of("new.jpg", (), status="nobody")
    before = live.state().given
    live.take(replace(nobody, sha256="1"), landed_at=datetime(2026, 5, 1, tzinfo=UTC))
    live.take(replace(nobody, path="/f/old.jpg", sha256="2"))  # it lay there before
    assert live.state().last_number == before + 1
    form = {"do": "choose", "numbers": f"{before + 1}-{before + 2}"}
    client.post("/sitting/s1/choose", data=form)
    assert chosen(live) == [before + 1, before + 2]


def test_the_list_tells_the_cause_of_a_frame_whose_line_waits_for_it(
    client: TestClient, live: LiveSitting
) -> None:
    row = next(row for row in live.rows() if row.cause == "focus")
    live.choose([row.number], chosen=True)
    told = client.get("/sitting/s1/chosen.csv").text
    held = live._book.held[row.number]
    held.row = replace(held.row, answered=False, cause="cannot tell")
    assert client.get("/sitting/s1/chosen.csv").text == told
