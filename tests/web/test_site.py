"""Which sittings are open, which are known, and that no other folder can be opened from a page."""

import ast
import re
import shutil
import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from starlette.testclient import TestClient

import eyeplane.web.pages
from eyeplane.errors import InputError
from eyeplane.records import MeasureSettings, Viewing
from eyeplane.store import Sittings
from eyeplane.web import Site, make_app
from eyeplane.web.site import NotHereError
from eyeplane.web.words import words

HERE = "http://127.0.0.1:8765"


@pytest.fixture
def folders(tmp_path: Path) -> tuple[Path, Path]:
    """Return two folders without frames."""
    found = tmp_path / "<b>Ilves", tmp_path / "Sepp"
    for folder in found:
        folder.mkdir()
    return found


@pytest.fixture
def site(tmp_path: Path) -> Iterator[Site]:
    """Yield a site with a store of its own."""
    site = Site(store_path=tmp_path / "store.sqlite3", workers=1)
    yield site
    site.close()


def test_the_sitting_opened_last_is_current(site: Site, folders: tuple[Path, Path]) -> None:
    first, second = (site.open(folder) for folder in folders)
    assert site.current() is second
    assert site.open(folders[0]) is first  # opened once, then only shown
    assert site.current() is first
    assert site.open_known(second.key) is second
    assert site.current() is second
    assert first.state().watching


def test_a_sitting_is_found_again_as_it_was_left(
    site: Site, folders: tuple[Path, Path], tmp_path: Path
) -> None:
    live = site.open(folders[0], viewing=Viewing(print_cm=75.0), name="Marta")
    site.close()
    assert site.closing.is_set()
    assert site.sittings() == ()
    again = Site(store_path=tmp_path / "store.sqlite3", workers=1)
    try:
        found = again.open_known(live.key)
        assert (found.key, found.name, found.viewing.print_cm) == (live.key, "Marta", 75.0)
    finally:
        again.close()


def test_only_known_sittings_are_opened(site: Site, folders: tuple[Path, Path]) -> None:
    for key in ("", "s1", str(folders[0]), "../Sepp", "\x00", "s" * 5000):
        with pytest.raises(NotHereError):
            site.open_known(key)
        with pytest.raises(NotHereError):
            site.sitting(key)
    with pytest.raises(InputError, match="there is no such folder"):
        site.open(folders[0] / "none")


def test_the_page_lists_and_opens_known_sittings(
    site: Site, folders: tuple[Path, Path], tmp_path: Path
) -> None:
    keys = [site.open(folder).key for folder in folders]
    site.close()
    shutil.rmtree(folders[1])
    again = Site(store_path=tmp_path / "store.sqlite3", settings=MeasureSettings(), workers=1)
    try:
        with TestClient(make_app(again), base_url=HERE, headers={"origin": HERE}) as client:
            shown = client.get("/sittings").text
            assert "&lt;b&gt;Ilves" in shown
            assert words("sittings.gone") in shown
            assert re.findall(r'name="key" value="([^"]*)"', shown) == [keys[0]]
            assert str(tmp_path) not in shown
            opened = client.post("/sittings/open", data={"key": keys[0]}, follow_redirects=False)
            assert opened.headers["location"] == "/now"
            assert again.current() is again.sitting(keys[0])
            gone = client.post("/sittings/open", data={"key": keys[1]})
            assert gone.status_code == 422
            assert "its folder is not there" in gone.text
            for odd in ("", "../../etc", str(folders[0]), "s1"):
                assert client.post("/sittings/open", data={"key": odd}).status_code == 404
            assert words("sittings.current") in client.get("/sittings").text
    finally:
        again.close()


def test_the_list_tells_the_time_of_this_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Sittings(tmp_path / "store.sqlite3") as store:
        store.open(tmp_path, key="s1", name="Ilves", viewing=Viewing())
        (kept,) = store.all()
    monkeypatch.setenv("TZ", "XXX-09:30")  # nine and a half hours ahead of UTC
    time.tzset()
    try:
        with TestClient(make_app(Site(store_path=tmp_path / "store.sqlite3")), base_url=HERE) as at:
            shown = at.get("/sittings").text
    finally:
        monkeypatch.undo()
        time.tzset()
    here = kept.opened_at + timedelta(hours=9.5)
    assert here.strftime(">%Y-%m-%d %H:%M<") in shown


def test_a_store_that_cannot_be_used_is_told(tmp_path: Path) -> None:
    (tmp_path / "store").write_bytes(b"not a database, but long enough to look like one" * 99)
    site = Site(store_path=tmp_path / "store")
    with TestClient(make_app(site), base_url=HERE) as client:
        answer = client.get("/sittings")
    assert answer.status_code == 503
    assert "--store" in answer.text  # what to do


def test_no_page_makes_a_path_of_what_was_asked() -> None:
    """A path in a page's module comes from a reading or a sitting, never from text."""
    folder = Path(eyeplane.web.pages.__file__).parent
    made = []
    for module in sorted(folder.glob("*.py")):
        for node in ast.walk(ast.parse(module.read_text("utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                told = ast.unparse(node)
                if node.func.id == "open" or (
                    node.func.id == "Path" and not re.fullmatch(r"Path\([\w.]+\.path\)", told)
                ):
                    made.append(f"{module.name}: {told}")
    assert made == []


def test_of_many_opened_sittings_only_the_latest_are_watched(
    site: Site, folders: tuple[Path, Path], tmp_path: Path
) -> None:
    """Each folder has measuring processes of its own: memory for two, not for twenty."""
    third = tmp_path / "Vaher"
    third.mkdir()
    opened = [site.open(folder) for folder in (*folders, third)]
    assert [one.state().watching for one in opened] == [False, True, True]
    assert site.open_known(opened[0].key) is opened[0]
    assert [one.state().watching for one in opened] == [True, False, True]
