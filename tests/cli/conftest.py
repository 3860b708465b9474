"""The hand-made sitting and a command whose measuring is replaced by it."""

import importlib.util
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

ROOT = str(Path(__file__).parents[2])
if ROOT not in sys.path:  # the tests of other layers lend their record builders by name
    sys.path.insert(0, ROOT)


@pytest.fixture(scope="session", autouse=True)
def _wide_page() -> Iterator[None]:
    """Let pages be as wide as in a file, whatever the terminal that the tests run in."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("COLUMNS", "100")
        yield


@pytest.fixture(scope="session", autouse=True)
def _own_store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Keep the tests away from what the sittings of whoever runs them have taught."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("own")))
        yield


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
