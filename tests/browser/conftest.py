"""A browser, and the report of the hand-made sitting for it to look at."""

import importlib.util
import os
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest
from playwright.sync_api import Browser, expect, sync_playwright

from eyeplane.deliver import write_report

ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
    # One process draws all windows: another for each window is most of what a short look costs.
    "--renderer-process-limit=1",
    "--disable-site-isolation-trials",
]

PATIENCE_MS = 30_000  # a machine busy with other tests may take seconds over what takes 50 ms


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


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Yield Chromium; without it the page tests are skipped, but in CI that is a failure."""
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        message = "Chromium is not on the PATH: install it to look at the report"
        if os.environ.get("CI", "").lower() in {"1", "true"}:
            pytest.fail(message)
        pytest.skip(message)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=ARGUMENTS)
        expect.set_options(timeout=PATIENCE_MS)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def report(builder: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return the address of a report that holds everything a report can hold."""
    path = tmp_path_factory.mktemp("page") / "report.html"
    write_report(builder.make_sitting(), path, note="Client and story are invented.")
    return path.as_uri()
