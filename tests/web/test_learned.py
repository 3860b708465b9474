"""What was learned, on its page: shown, labelled, forgotten after being asked."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.sitting.taught import LIVELY, sitting_in
from tests.web.trials import HERE

from eyeplane.records import SittingLabels
from eyeplane.sitting.lessons import keep_lessons
from eyeplane.store import Lessons
from eyeplane.web import Site, make_app


@pytest.fixture(scope="module")
def taught(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """Return a store that two sittings taught, as bytes."""
    folder = tmp_path_factory.mktemp("taught")
    store = folder / "s.sqlite3"
    for n in range(2):
        frames = sitting_in(folder / f"<u>{n}</u>", n, LIVELY, bursts=4, day=40 * n)
        keep_lessons(frames, store, labels=SittingLabels(sitter="child 3"))
    with Lessons(store) as lessons:
        lessons._database.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return store.read_bytes()


@pytest.fixture
def store(taught: bytes, tmp_path: Path) -> Path:
    """Return a copy of that store."""
    path = tmp_path / "s.sqlite3"
    path.write_bytes(taught)
    return path


@pytest.fixture
def visitor(store: Path) -> Iterator[TestClient]:
    """Yield a visitor to a site with that store."""
    app = make_app(Site(store_path=store))
    with TestClient(app, base_url=HERE, headers={"origin": HERE}) as client:
        yield client


def sittings(client: TestClient) -> list[str]:
    """Return the names that sittings have in forms, newest first."""
    return re.findall(r'name="sitting" value="(\w+)"', client.get("/learned").text)


def test_what_was_learned_is_shown_without_paths_and_commands(visitor: TestClient) -> None:
    text = visitor.get("/learned").text
    shown = text.partition("<main")[2].partition("</main>")[0]
    assert "child 3" in shown
    assert "&lt;u&gt;1&lt;/u&gt;" not in shown  # only the last part of a path is its name
    assert "1970-" in shown
    assert "--" not in re.sub(r"<!--.*?-->", "", shown)
    assert "eyeplane learned" not in shown
    assert "/tmp/" not in shown  # noqa: S108  no such file is made
    assert "What your sittings taught, quietly" in visitor.get("/steadiness").text


def test_a_label_is_kept_for_one_sitting(visitor: TestClient, store: Path) -> None:
    newest = sittings(visitor)[0]
    form = {"sitting": newest, "sitter": "adult <b>", "stabiliser": "on", "focus_setting": ""}
    assert visitor.post("/learned/label", data=form).status_code == 200
    with Lessons(store) as lessons:
        labels = sorted(one.sitter for one in lessons.labels().values())
    assert labels == ["adult <b>", "child 3"]
    assert "adult <b>" not in visitor.get("/learned").text


@pytest.mark.parametrize(
    ("what", "left"), [("all", 0), ("sitting", 1), ("before", 1), ("sitter", 0)]
)
def test_nothing_goes_before_it_was_asked_and_then_it_is_gone(
    visitor: TestClient, store: Path, what: str, left: int
) -> None:
    value = {"sitting": sittings(visitor)[0], "before": "1970-01-20", "sitter": "CHILD 3"}
    form = {"what": what, "value": value.get(what, "")}
    asked = visitor.post("/learned/forget", data=form)
    assert "for good?" in asked.text
    assert len(sittings(visitor)) == 2
    sure = dict(re.findall(r'name="(what|value|sure)" value="([^"]*)"', asked.text))
    assert visitor.post("/learned/forget", data=sure).status_code == 200
    assert len(sittings(visitor)) == left
    with Lessons(store) as lessons:
        assert len({one.sitting for one in lessons.all()}) == left
        assert lessons.forgotten() > 0


def test_old_sittings_can_count_less(visitor: TestClient, store: Path) -> None:
    assert visitor.post("/learned/half", data={"days": "365"}).status_code == 200
    with Lessons(store) as lessons:
        assert lessons.half_life_days() == 365.0
    assert '<option value="365" selected>' in visitor.get("/learned").text
    visitor.post("/learned/half", data={"days": "0"})
    with Lessons(store) as lessons:
        assert lessons.half_life_days() is None


@pytest.mark.parametrize(
    ("address", "form"),
    [
        ("/learned/forget", {}),
        ("/learned/forget", {"what": "kit"}),
        ("/learned/forget", {"what": "kit", "value": "none of mine"}),
        ("/learned/forget", {"what": "sitting", "value": "../../etc/passwd"}),
        ("/learned/forget", {"what": "before", "value": "soon"}),
        ("/learned/label", {"sitting": "0"}),
        ("/learned/label", {"sitting": "0", "sitter": "x" * 99}),
        ("/learned/label", {"sitting": "0", "stabiliser": "ibis"}),
        ("/learned/half", {"days": "-1"}),
        ("/learned/half", {"days": "9" * 400}),
    ],
)
def test_what_cannot_be_is_refused(
    visitor: TestClient, store: Path, address: str, form: dict[str, str]
) -> None:
    answer = visitor.post(address, data=form)
    assert answer.status_code == 422
    assert "/tmp/" not in answer.text  # noqa: S108  no such file is made
    with Lessons(store) as lessons:
        assert lessons.forgotten() == 0


def test_a_store_that_learned_nothing_says_so(client: TestClient) -> None:
    assert "Nothing was learned yet." in client.get("/learned").text
    assert "Nothing is known yet of how steady you are." in client.get("/steadiness").text
    assert client.post("/learned/forget", data={"what": "all"}).status_code == 422
