"""The card of a plan in a real browser: on a phone, a tablet and a desk, and printed."""

import importlib.util
import sys
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from types import ModuleType

import pytest
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]  # has no types
from playwright.sync_api import Browser, Page, Route

from eyeplane.deliver import write_card

pytestmark = pytest.mark.browser

SIZES = {"phone": (390, 844), "tablet": (820, 1180), "desk": (1280, 800)}
KINDS = ("sitter", "group", "burst")


def _module(name: str) -> ModuleType:
    path = Path(__file__).parents[1] / "deliver" / f"{name}.py"
    spec = importlib.util.spec_from_file_location(name, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def reader() -> ModuleType:
    """Return the module that reads PDF files."""
    return _module("sheet_reader")


@pytest.fixture(scope="module")
def cards(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Return the address of a card of every kind."""
    folder = tmp_path_factory.mktemp("cards")
    plans = _module("plan_builder")
    made = {
        "sitter": plans.sitter_plan(),
        "group": plans.group_plan(3, 5),
        "burst": plans.burst_plan(),
    }
    for name, plan in made.items():
        write_card(plan, folder / f"{name}.html", title="Straßenbahnbetriebshofgelände 李")
    return {name: (folder / f"{name}.html").as_uri() for name in made}


@pytest.fixture(scope="module", params=[(k, s) for k in KINDS for s in SIZES], ids=str)
def page(request: pytest.FixtureRequest, browser: Browser, cards: dict[str, str]) -> Iterator[Page]:
    """Yield a card, opened; whatever it asks for from outside is noted and refused."""
    kind, size = request.param
    width, height = SIZES[size]
    context = browser.new_context(viewport={"width": width, "height": height})
    page = context.new_page()
    asked: list[str] = []
    said: list[str] = []

    def note(route: Route) -> None:
        if route.request.url == cards[kind]:
            route.continue_()
        else:
            asked.append(route.request.url)
            route.abort()

    page.route("**/*", note)
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(cards[kind])
    yield page
    context.close()
    assert asked == []
    assert said == []


def test_nothing_sticks_out(page: Page) -> None:
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    cut = page.evaluate(
        """() => [...document.querySelectorAll('main svg.drawing text')].map(t =>
          [t.textContent, t.getBoundingClientRect(), t.closest('svg').getBoundingClientRect()])
          .filter(([, t, s]) => t.left < s.left - 4 || t.right > s.right + 4).map(([w]) => w)"""
    )
    assert cut == []


def test_no_words_of_a_drawing_cover_others(page: Page) -> None:
    covered = page.evaluate(
        """() => [...document.querySelectorAll('main svg.drawing')].flatMap(svg => {
          const all = [...svg.querySelectorAll('text')].map(t => [t, t.getBoundingClientRect()]);
          const out = [];
          for (const [t, b] of all) for (const [u, c] of all)
            if (t !== u && b.left + 1 < c.right && c.left + 1 < b.right
                && b.top + 3 < c.bottom - 3 && c.top + 3 < b.bottom - 3)
              out.push(t.textContent + ' over ' + u.textContent);
          return out;
        })"""
    )
    assert covered == []


def test_the_answer_is_large_and_on_the_first_screen(page: Page) -> None:
    heading = page.locator("h1")
    assert heading.evaluate("e => parseFloat(getComputedStyle(e).fontSize)") >= 28
    box = heading.bounding_box()
    settings = page.locator(".best .set").bounding_box()
    assert box is not None
    assert settings is not None
    assert settings["y"] + settings["height"] <= page.evaluate("innerHeight")


def test_words_in_drawings_can_be_read(page: Page) -> None:
    sizes = page.evaluate(
        """() => [...document.querySelectorAll('main svg.drawing text')].map(t =>
          parseFloat(t.getAttribute('font-size')) * t.getScreenCTM().a)"""
    )
    assert min(sizes) >= 11.0


def test_headings_are_in_order(page: Page) -> None:
    levels = page.evaluate("[...document.querySelectorAll('h1,h2,h3')].map(e => +e.tagName[1])")
    assert levels.count(1) == 1
    assert all(later <= earlier + 1 for earlier, later in pairwise(levels))


@pytest.mark.slow
def test_axe_finds_nothing(page: Page) -> None:
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


@pytest.mark.parametrize("kind", KINDS)
def test_it_prints_as_one_page(
    browser: Browser, cards: dict[str, str], reader: ModuleType, kind: str
) -> None:
    """Chromium's own print; A5 is 148 × 210 mm (ISO 216), to the nearest point."""
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto(cards[kind])
    document = page.pdf(prefer_css_page_size=True)
    plain = page.pdf(format="A4", prefer_css_page_size=False)
    page.emulate_media(media="print")
    assert page.locator("div.print svg").is_visible()
    assert not page.locator("main").is_visible()
    context.close()
    assert reader.pages(document) == 1
    assert reader.media_mm(document) == pytest.approx((148.0, 210.0), abs=0.4)
    assert reader.pages(plain) == 1
