"""Where the test pictures lie, and a plain skip where they do not."""

import os
from pathlib import Path

import pytest
from hypothesis import settings

# The first example of a test may load a library, which takes longer than the usual 200 ms.
settings.register_profile("eyeplane", deadline=None)
settings.load_profile("eyeplane")

DATA = Path(os.environ.get("EYEPLANE_TEST_DATA", Path(__file__).parents[2] / "shared" / "data"))


@pytest.fixture(scope="session")
def data() -> Path:
    """Return the folder of test pictures, which never ships with the project."""
    if not DATA.is_dir():
        pytest.skip("the test pictures are not here: set EYEPLANE_TEST_DATA to their folder")
    return DATA
