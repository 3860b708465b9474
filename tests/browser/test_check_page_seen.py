"""The page of a check in a real browser: on a phone, a tablet and a desk."""

import importlib.util
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]  # has no types
from playwright.sync_api import Browser, Page, Route

from eyeplane.deliver import write_check

pytestmark = pytest.mark.browser

SIZES = {"phone": (390, 844), "tablet": (820, 1180), "desk": (1280, 800)}


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return the address of a page that holds everything a check can tell."""
    path = Path(__file__).parents[1] / "deliver" / "check_builder.py"
    spec = importlib.util.spec_from_file_location("check_builder", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["check_builder"] = module
    spec.loader.exec_module(module)
    page = tmp_path_factory.mktemp("check") / "check.html"
    write_check(module.check_content(), page)
    return page.as_uri()


@pytest.fixture(params=SIZES)
def page(request: pytest.FixtureRequest, browser: Browser, address: str) -> Iterator[Page]:
    """Yield the page, opened; whatever it asks for from outside is noted and refused."""
    width, height = SIZES[request.param]
    context = browser.new_context(viewport={"width": width, "height": height})
    page = context.new_page()
    asked: list[str] = []

    def refuse(route: Route) -> None:
        if route.request.url.startswith(("file:", "data:")):
            route.continue_()
        else:
            asked.append(route.request.url)
            route.abort()

    page.route("**/*", refuse)
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.goto(address)
    yield page
    assert asked == []
    assert said == []
    context.close()


def test_it_fits_and_nothing_is_wrong_for_who_cannot_see_it(page: Page) -> None:
    wide, seen = page.evaluate(
        "() => [document.documentElement.scrollWidth, document.documentElement.clientWidth]"
    )
    assert wide <= seen
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


def test_the_answer_is_seen_without_scrolling_and_reasons_open_with_a_click(page: Page) -> None:
    box = page.locator("h1").bounding_box()
    size = page.viewport_size
    assert box is not None
    assert size is not None
    assert box["y"] + box["height"] < size["height"]
    assert page.locator("svg.drawing:visible").count() == 2
    reason = page.locator("details p")
    assert not reason.is_visible()
    page.locator("summary").click()
    assert reason.is_visible()
