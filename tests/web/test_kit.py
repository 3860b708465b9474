"""The kit's pages: what is kept, what is due, each result whole, sheets to print."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.deliver.sheet_reader import media_mm
from tests.web.kept import STUDIO, keep_all

from eyeplane.asked.kept_checks import all_kept, content_of
from eyeplane.records.printed import PAPERS_MM
from eyeplane.web import Site, make_app

HERE = "http://127.0.0.1:8765"


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, int]]:
    """Return a store with every check, and their numbers; do not change it."""
    folder = tmp_path_factory.mktemp("kept")
    store = folder / "store.sqlite3"
    return store, keep_all(store, folder)


@pytest.fixture(scope="module")
def visitor(kept: tuple[Path, dict[str, int]]) -> Iterator[TestClient]:
    """Yield a visitor to a site with that store."""
    app = make_app(Site(store_path=kept[0]))
    with TestClient(app, base_url=HERE, headers={"origin": HERE}) as client:
        yield client


def test_what_is_due_is_said_first_and_each_check_in_its_own_sentence(
    visitor: TestClient, kept: tuple[Path, dict[str, int]]
) -> None:
    text = visitor.get("/kit").text
    assert "One check is due again: the sensor." in text
    assert "41 days ago. We suggest it again every 30 days." in text
    assert "yesterday" in text
    assert STUDIO not in text
    assert "&lt;i&gt;Studio&lt;/i&gt; 李" in text
    newest = {one.kind: one for one in all_kept(kept[0]) if one.kit == STUDIO}
    for kind in ("dust", "focus", "chart"):
        content = content_of(newest[kind])
        assert content is not None
        assert content.sentence.split("\u2009")[0] in text
        assert f'href="/kit/{kind}/{newest[kind].number}"' in text
    assert "It was kept by another eyeplane" in text
    assert "A sensor can be ruined by cleaning" in text


def test_without_any_check_the_page_says_where_to_begin(client: TestClient) -> None:
    text = client.get("/kit").text
    assert "No check of your kit is kept yet." in text
    assert text.count("Not checked yet.") == 4


@pytest.mark.parametrize("kind", ["dust", "glass", "focus", "chart"])
def test_a_result_is_shown_whole_with_its_drawings_and_no_command(
    visitor: TestClient, kept: tuple[Path, dict[str, int]], kind: str
) -> None:
    answer = visitor.get(f"/kit/{kind}/{kept[1][kind]}")
    assert answer.status_code == 200
    assert '<svg class="drawing"' in answer.text
    assert "<table>" in answer.text
    shown = answer.text.partition("<main")[2].partition("</main>")[0]
    assert "--" not in shown
    assert "eyeplane kit" not in shown
    if kind in ("dust", "glass"):
        assert "are not kept, so they are not shown here" in shown


@pytest.mark.parametrize(
    "address",
    [
        "/kit/dust/0", "/kit/dust/-1", "/kit/dust/99999999999999999999999", "/kit/dust/1e3",
        "/kit/dust/٣", "/kit/dust/" + "9" * 5000, "/kit/ladder/1", "/kit/prints sold/1",
        "/kit/wheel/1", "/kit/new/wheel", "/kit/print/wheel", "/kit/print/..%2fchart.pdf",
        "/steadiness/ladder/0",
    ],
)  # fmt: skip
def test_what_is_not_there_is_told(visitor: TestClient, address: str) -> None:
    assert visitor.get(address).status_code == 404


def test_a_check_of_an_older_form_says_so(
    visitor: TestClient, kept: tuple[Path, dict[str, int]]
) -> None:
    answer = visitor.get(f"/kit/glass/{kept[1]['old form']}")
    assert answer.status_code == 200
    assert "cannot be read any more" in answer.text


@pytest.mark.parametrize("sheet", ["chart", "focus"])
@pytest.mark.parametrize("paper", ["A4", "A3", "Letter", "letter"])
def test_a_sheet_is_as_large_as_its_paper(client: TestClient, sheet: str, paper: str) -> None:
    """ISO 216 and ANSI/ASME Y14.1; the page of the PDF is the sheet of paper, lying."""
    answer = client.get(f"/kit/print/{sheet}.pdf?paper={paper}")
    assert answer.headers["content-type"] == "application/pdf"
    known = {one.casefold(): size for one, size in PAPERS_MM.items()}
    assert media_mm(answer.content) == pytest.approx(known[paper.casefold()][::-1], abs=0.005)


def test_how_to_print_and_mount_a_sheet_is_said_with_its_own_ruler(client: TestClient) -> None:
    text = client.get("/kit/print/focus?paper=A3").text
    assert "it must be 300 mm long" in text
    assert "Cut away from your hand" in text
    assert "/kit/print/focus.pdf?paper=A3" in text
    assert client.get("/kit/print/chart?paper=A9").status_code == 422
