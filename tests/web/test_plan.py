"""The plan's pages without a browser: fields, errors, pieces, cards, remembering, comparing."""

import html
import json
import re
import threading
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

import numpy as np
import pytest
from click.testing import CliRunner
from starlette.testclient import TestClient
from tests.sitting.simulated import simulate
from tests.sitting.test_foretold import HABITS, sitting_of

from eyeplane.asked.plan_scene_options import TABLES
from eyeplane.cli import main
from eyeplane.errors import StoreError
from eyeplane.sitting.foretold_parts import foretell_parts
from eyeplane.sitting.live import LiveSitting, of_sitting
from eyeplane.web import Site
from eyeplane.web.pages.plan_fields import PARTS
from eyeplane.web.words import words

if TYPE_CHECKING:
    from eyeplane.asked.plan_request import PlanKind


@pytest.fixture(scope="module")
def simulated() -> LiveSitting:
    """Return a sitting whose frames tell everything that a plan asks for."""
    frames, _ = simulate(np.random.default_rng(8), HABITS, bursts=6, per_burst=2, goal_cm=40.0)
    return of_sitting(sitting_of(frames), key="s9")


@pytest.fixture
def store(site: Site) -> Path:
    """Return the store of the site."""
    assert site.store_path is not None
    return site.store_path


def get(client: TestClient, address: str, status: int = 200) -> str:
    answer = client.get(address)
    assert answer.status_code == status, answer.text[:2000]
    return html.unescape(answer.text)


def piece(client: TestClient, address: str, status: int = 200) -> dict[str, Any]:
    answer = client.get(address)
    assert answer.status_code == status
    found: dict[str, Any] = json.loads(answer.text)
    return found


def came_out(client: TestClient, address: str) -> str:
    """Return a page that holds a sitting against a plan, once that is worked out."""
    deadline = time.monotonic() + 60
    while 'http-equiv="refresh"' in (page := get(client, address)):
        assert time.monotonic() < deadline
        time.sleep(0.02)
    return page


def heading(page: str) -> str:
    found = re.search(r"<h1>(.*?)</h1>", page, re.DOTALL)
    assert found is not None
    return plain(found[1])


def plain(text: str) -> str:
    return re.sub(r"[\u2009\u202f\u00a0 ]+", " ", text).strip()


@pytest.mark.parametrize("kind", ["sitter", "group", "burst"])
def test_the_page_says_what_the_command_says(client: TestClient, store: Path, kind: str) -> None:
    page = get(client, f"/plan/{kind}")
    told = CliRunner().invoke(main, ["plan", kind, "--json", "-", "--store", str(store)])
    assert heading(page) == plain(json.loads(told.stdout)["sentence"])
    for caution in json.loads(told.stdout)["cautions"]:
        assert plain(caution) in plain(page)
    assert "--" not in re.sub(r"<!--.*?-->|<script.*?</script>", "", page, flags=re.DOTALL).replace(
        "--paper", ""
    )


@pytest.mark.parametrize("kind", ["sitter", "group", "burst"])
def test_every_option_of_the_command_has_a_field(client: TestClient, kind: str) -> None:
    page = get(client, f"/plan/{kind}")
    names = {option.name for option in TABLES[kind]} | {"kit", "client", "sitter-label"}
    names |= {"focus-setting", "without-learned"}
    assert set(re.findall(r'<(?:input|select) id="f-[\w-]+"[^>]* name="([\w-]+)"', page)) == names
    assert {n for _, seen, more in PARTS[cast("PlanKind", kind)] for n in (*seen, *more)} == names
    assert len(re.findall(r"<label for=", page)) == len(names)


def test_the_address_holds_the_whole_plan(client: TestClient) -> None:
    query = "focal-length=105mm&distance=6ft+2in&light=EV+11&f-number=2.8&who=child+4&print-cm=24in"
    page = get(client, f"/plan/sitter?{query}")
    assert heading(page).startswith("f/2.8 at ")
    assert 'value="6ft 2in"' in page
    for text in ("105mm", "EV 11", "child 4", "24in"):
        assert f'value="{text}"' in page
    assert f"/plan/card.pdf?paper=A5&kind=sitter&{query}" in page.replace("%20", "+")
    same = get(client, f"/plan/sitter?{query}")
    assert same == page


def test_fields_left_open_leave_the_address(client: TestClient) -> None:
    answer = client.get("/plan/sitter?who=&f-number=2.8&kit=+", follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/plan/sitter?f-number=2.8")
    first = client.get("/plan", follow_redirects=False)
    assert first.headers["location"] == "/plan/sitter"


@pytest.mark.parametrize(
    ("query", "field", "said"),
    [
        ("f-number=8x", "f-number", "'8x' is no aperture: give f/2.8 or 2.8."),
        ("distance=2", "distance", "'2' has no unit"),
        ("framing=head&distance=2m", "framing", "cannot both be given"),
        ("f-number=f/8&shutter=1/250&iso=100", "light", "under-expose this light"),
        ("light=flash+GN+40&shutter=1/2000", "shutter", "the body's own “flash sync limit”"),
        ("kit=nobody", "kit", "nothing is remembered for the kit 'nobody'"),
        ("steadiness=1/60&shake=1+deg/s", "steadiness", "how steady you are was said twice"),
        ("background=0.01mm", "background", "out of bounds"),
    ],
)
def test_what_is_wrong_stands_beside_its_field(
    client: TestClient, query: str, field: str, said: str
) -> None:
    page = get(client, f"/plan/sitter?{query}", 422)
    found = re.search(rf'id="f-{field}-wrong" role="alert">(.*?)</p>', page)
    assert found is not None
    assert said.lower() in found[1].lower()
    assert "--" not in found[1]
    assert f'<a href="#f-{field}">' in page  # and is named at the head
    told = piece(client, f"/plan/sitter/piece?{query}", 422)
    assert list(told["wrong"]) == [field]


def test_all_that_is_wrong_is_told_at_once_and_nothing_is_lost(client: TestClient) -> None:
    page = get(client, "/plan/group?f-number=x&rows=none&distance=3m&apertur=2", 422)
    assert heading(page) == "This cannot be planned yet"
    assert "'apertur' is nothing that this plan asks for." in page
    assert 'value="3m"' in page
    assert 'value="none"' in page


@pytest.mark.parametrize(
    "text", ["<script>alert(1)</script>", "\u202e8.2/f", "a\x07", "9" * 500, "☃", "%00", "'\""]
)
def test_hostile_texts_come_back_as_text(client: TestClient, text: str) -> None:
    for name in ("f-number", "kit", "light", "nothing"):
        answer = client.get("/plan/sitter", params={name: text})
        assert answer.status_code == 422
        assert "<script>alert" not in answer.text
        assert "\u202e" not in answer.text.replace('value="\u202e8.2/f"', "")
        assert client.get("/plan/sitter/piece", params={name: text}).status_code == 422


def test_what_is_dragged_comes_back_where_it_was_held(client: TestClient) -> None:
    first = piece(client, "/plan/sitter/piece?background=1.2m")
    depth = first["drawings"]["depth"]
    held = f"view-depth={depth['start']},{depth['scale']}"
    moved = piece(client, f"/plan/sitter/piece?quick=yes&background=1.2m&focus-bias=-20mm&{held}")
    plane, before = (d["drawings"]["depth"]["handles"][0] for d in (moved, first))
    assert moved["drawings"]["depth"]["scale"] == depth["scale"]
    shift = (plane["x"] - before["x"]) * depth["width"] / depth["scale"]
    assert shift == pytest.approx(-20.0, abs=0.1)
    assert plane["value_mm"] == -20.0
    assert plain(plane["spoken"]) == "20 mm in front of the near iris"
    assert "fields" not in moved  # while it moves only what moves
    assert set(moved["parts"]) == {"answer", "best", "care"}
    assert "With the focus 20 mm in front of the near iris" in plain(moved["parts"]["answer"])
    assert [h["what"] for h in first["drawings"]["set"]["handles"]] == ["camera", "wall"]


def test_a_settled_piece_tells_the_fields_and_the_address(client: TestClient) -> None:
    told = piece(client, "/plan/group/piece?row-spacing=80cm&f-number=f/8&light=EV+12&quick=no")
    assert told["address"] == "/plan/group?row-spacing=80cm&f-number=f%2F8&light=EV+12"
    slider = told["fields"]["f-number"]
    assert slider["texts"][slider["at"]] == "f/8"
    assert told["fields"]["shutter"]["note"] == "as planned"
    assert told["fields"]["shutter"]["holds"].startswith("1/")
    assert plain(told["said"]) == heading(html.unescape(told["parts"]["answer"]))


def test_a_range_gives_a_table_and_says_where_most_hold(client: TestClient) -> None:
    page = get(client, "/plan/sitter?f-number=f/1.4..f/8")
    assert re.match(r"Most frames hold at f/[\d.]+: \d+ % \(\d+–\d+\)\.", heading(page))
    assert page.count("<tr>") == 1 + len(re.findall(r"<td>f/[\d.]+</td>", page)) == 17
    card = client.get("/plan/card.pdf?f-number=f/1.4..f/8")
    assert card.status_code == 422
    assert "a range gives many" in card.text


@pytest.mark.parametrize(
    ("kind", "ending"), [("sitter", "pdf"), ("group", "html"), ("burst", "pdf")]
)
def test_the_card_is_the_one_that_the_command_writes(
    client: TestClient, store: Path, tmp_path: Path, kind: str, ending: str
) -> None:
    answer = client.get(f"/plan/card.{ending}?kind={kind}&paper=A4&f-number=f/4&light=EV+12")
    assert answer.status_code == 200
    path = tmp_path / f"card.{ending}"
    words = ["plan", kind, "--f-number", "f/4", "--light", "EV 12", "--card", str(path)]
    CliRunner().invoke(main, [*words, "--paper", "A4", "--store", str(store)])
    assert path.read_bytes() == answer.content
    own = "style-src 'unsafe-inline'" in answer.headers["content-security-policy"]
    assert own == (ending == "html")


@pytest.mark.parametrize("query", ["kind=pair", "paper=A9", "f-number=x"])
def test_a_card_of_nothing_is_one_sentence(client: TestClient, query: str) -> None:
    assert client.get(f"/plan/card.pdf?{query}").status_code == 422


def test_a_kit_is_remembered_on_request_and_recalled_by_name(client: TestClient) -> None:
    named = "kit=Studio&focal-length=105mm&widest=f/2"
    page = get(client, f"/plan/sitter?{named}")
    assert "Remember for kit “Studio”" in page
    assert get(client, "/plan/sitter?kit=Studio", 422)  # nothing is kept by looking
    answer = client.post(
        "/plan/remember", data={"kind": "sitter", "plan": named}, follow_redirects=False
    )
    assert answer.status_code == 303
    assert "What you entered for kit “Studio” is remembered." in get(
        client, answer.headers["location"]
    )
    recalled = get(client, "/plan/sitter?kit=Studio")
    assert 'placeholder="105mm"' in recalled
    assert "remembered for this kit" in recalled
    assert "Remembered: kit Studio: “Focal length” 105mm" in recalled
    wrong = client.post("/plan/remember", data={"kind": "sitter", "plan": "f-number=x"})
    assert wrong.status_code == 422


def test_prints_step_in_inches_where_they_are_sold_so(client: TestClient) -> None:
    client.cookies.set("lengths", "inch")
    told = piece(client, "/plan/sitter/piece?print-cm=24in")
    slider = told["fields"]["print-cm"]
    assert slider["texts"][slider["at"]] == "24in"
    assert "24" in told["said"]
    assert "24 in" in plain(told["said"])


def test_a_sitting_is_held_against_a_plan(
    client: TestClient, site: Site, simulated: LiveSitting
) -> None:
    site.add(simulated)
    page = came_out(client, "/plan/against/s9?tripod=yes")
    assert re.match(
        r"(Much|More|Fewer).*: (over )?\d+ % of frames hold 40 cm, \d+ % foretold\.", heading(page)
    )
    assert "12 did (" in plain(page)
    for name in ("holds", "soft: focus", "soft: motion"):
        assert f'<th scope="row">{name}</th>' in page
    bigger = came_out(client, "/plan/against/s9?tripod=yes&print-cm=80")
    assert "hold 80 cm" in heading(bigger)
    assert '<a href="/plan/against/s9">' in get(client, "/plan/sitter")


def test_a_plan_is_held_against_a_sitting_beside_the_pages(
    client: TestClient, site: Site, simulated: LiveSitting, monkeypatch: pytest.MonkeyPatch
) -> None:
    site.add(simulated)
    go_on, asked = threading.Event(), []
    real = foretell_parts

    def slow(*given: Any, **more: Any) -> Any:  # noqa: ANN401  whatever the real one takes
        asked.append(threading.current_thread())
        assert go_on.wait(30)
        return real(*given, **more)

    monkeypatch.setattr("eyeplane.web.pages.plan_against.foretell_parts", slow)
    address = "/plan/against/s9"
    try:
        for _ in range(3):  # whoever looks again has it not worked out again
            page = get(client, f"{address}?tripod=yes&who=child+8")
            assert "12 frames" in heading(page)
            assert '<noscript><meta http-equiv="refresh" content="3"></noscript>' in page
            assert f'hx-get="{address}/piece?tripod=yes&who=child+8"' in page
        assert "Being worked out" in heading(get(client, address))  # in its turn, not beside it
        assert client.get(f"{address}/piece?tripod=yes&who=child+8").status_code == 204
        assert client.get(f"{address}/piece").status_code == 204
    finally:
        go_on.set()
    assert "foretold" in heading(came_out(client, f"{address}?tripod=yes&who=child+8"))
    assert len(asked) == 1
    there = client.get(f"{address}/piece?tripod=yes&who=child+8")
    assert (there.status_code, there.headers["hx-refresh"]) == (286, "true")
    assert "foretold" in heading(came_out(client, address))
    assert len(asked) == 2
    assert threading.current_thread() not in asked


def test_why_it_could_not_be_held_against_a_plan_is_told_once(
    client: TestClient, site: Site, simulated: LiveSitting, monkeypatch: pytest.MonkeyPatch
) -> None:
    site.add(simulated)

    def full(*_: object, **__: object) -> None:
        raise StoreError("it is full", where="store.sqlite3", hint="Make room")

    address = "/plan/against/s9?tripod=yes"
    with monkeypatch.context() as broken:
        broken.setattr("eyeplane.web.pages.plan_against.foretell_parts", full)
        get(client, address)
        deadline = time.monotonic() + 60
        while client.get("/plan/against/s9/piece?tripod=yes").status_code == 204:
            assert time.monotonic() < deadline
            time.sleep(0.02)
        told = get(client, address, 503)
        assert "it is full. Make room." in " ".join(re.sub("<[^>]*>", " ", told).split())
        assert "http-equiv" not in told  # nobody but the visitor tries anew
    assert "foretold" in heading(came_out(client, address))


def test_an_answer_from_before_the_sitting_changed_says_so(client: TestClient) -> None:
    address = "/plan/against/s1"
    assert words("plan.changed") not in came_out(client, address)
    assert client.post("/sitting/s1/choose", data={"choose": "1"}).status_code == 200
    page = get(client, address)
    assert words("plan.changed") in page
    assert "foretold" in heading(page)
    deadline = time.monotonic() + 60
    while words("plan.changed") in get(client, address):
        assert time.monotonic() < deadline
        time.sleep(0.02)


def test_the_sitting_leads_to_the_plan_that_it_is_held_against(client: TestClient) -> None:
    page = get(client, "/sitting/s1")
    assert f'<a href="/plan/against/s1">{words("sitting.against")}</a>' in page


def test_what_a_sitting_teaches_stands_in_words(
    client: TestClient, site: Site, simulated: LiveSitting
) -> None:
    site.add(simulated)
    page = plain(came_out(client, "/plan/against/s9?tripod=yes"))
    taught = page.partition("What these frames teach")[2].partition("</section>")[0]
    assert re.search(r"Where the focus lands.*mm (in front|behind|.*to)", taught, re.DOTALL)
    assert not re.search(r"[ (]-\d", taught)  # in front and behind are said, not signed


def test_a_share_keeps_its_bracket_when_the_print_is_in_inches(client: TestClient) -> None:
    told = heading(get(client, "/plan/sitter"))
    assert re.search(r"% of frames \(\d+–\d+\) hold 60 cm\.", told)
    client.headers["accept-language"] = "en-US"
    assert heading(get(client, "/plan/sitter")) == told.replace("60 cm", "24 in")


def test_a_sitting_without_numbers_says_what_it_needs(client: TestClient) -> None:
    page = came_out(client, "/plan/against/s1")
    assert "foretold" in heading(page)
    assert client.get("/plan/against/none").status_code == 404
    wrong = get(client, "/plan/against/s1?who=x&yaw=3", 422)
    assert "does not say who sits" in wrong
    assert "'yaw' is nothing that is asked here." in wrong
