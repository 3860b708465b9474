"""A store of the tests' own."""

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = str(Path(__file__).parents[2])
if ROOT not in sys.path:  # the tests of other layers lend their record builders by name
    sys.path.insert(0, ROOT)


@pytest.fixture(scope="session", autouse=True)
def _own_store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Keep the tests away from what the sittings of whoever runs them have taught."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("own")))
        yield
