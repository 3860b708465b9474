"""A site to ask, with the sitting that is made by hand."""

import importlib.util
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest
from starlette.testclient import TestClient
from tests.web.framed import framed_sitting, moved

from eyeplane.records import Sitting
from eyeplane.sitting.live import LiveSitting, of_sitting
from eyeplane.web import Site, make_app


@pytest.fixture(scope="session")
def builder() -> ModuleType:
    """Return the module that makes sittings by hand."""
    path = Path(__file__).parents[1] / "deliver" / "sitting_builder.py"
    spec = importlib.util.spec_from_file_location("sitting_builder", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["sitting_builder"] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def live(builder: ModuleType) -> LiveSitting:
    """Return a sitting that holds everything a sitting can hold."""
    return of_sitting(builder.make_sitting(), key="s1")


@pytest.fixture
def site(live: LiveSitting, tmp_path: Path) -> Site:
    """Return a site that shows it."""
    site = Site(store_path=tmp_path / "store.sqlite3")
    site.add(live)
    return site


@pytest.fixture
def client(site: Site) -> Iterator[TestClient]:
    """Yield a visitor on this machine."""
    here = "http://127.0.0.1:8765"
    with TestClient(make_app(site), base_url=here, headers={"origin": here}) as client:
        yield client


@pytest.fixture(scope="session")
def framed(builder: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> Sitting:
    """Return a sitting whose first three frames lie on disk; do not change them."""
    return framed_sitting(builder, tmp_path_factory.mktemp("frames"))


@pytest.fixture
def framed_folder(tmp_path: Path) -> Path:
    """Return where the frames of `framed_client` lie."""
    folder = tmp_path / "frames"
    folder.mkdir()
    return folder


@pytest.fixture
def framed_client(framed: Sitting, framed_folder: Path, tmp_path: Path) -> Iterator[TestClient]:
    """Yield a visitor to a site whose frames can be looked into, and harmed."""
    site = Site(store_path=tmp_path / "store.sqlite3")
    site.add(of_sitting(moved(framed, framed_folder), key="s1"))
    here = "http://127.0.0.1:8765"
    with TestClient(make_app(site), base_url=here, headers={"origin": here}) as client:
        yield client
