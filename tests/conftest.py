"""Where the test pictures lie, and a plain skip where they do not."""

import os
from pathlib import Path

import pytest

DATA = Path(os.environ.get("EYEPLANE_TEST_DATA", Path(__file__).parents[2] / "shared" / "data"))


@pytest.fixture(scope="session")
def data() -> Path:
    """Return the folder of test pictures, which never ships with the project."""
    if not DATA.is_dir():
        pytest.skip("the test pictures are not here: set EYEPLANE_TEST_DATA to their folder")
    return DATA
