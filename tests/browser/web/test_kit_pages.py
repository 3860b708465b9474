"""Kit, steadiness, a guided trial and what was learned, seen at every size."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Page
from tests.browser.web.looking import SIZES, LookAt, serving
from tests.web.kept import keep_all
from tests.web.trials import TIMES, empty_site, ladder_readings, land

from eyeplane.sitting.live import LiveSitting

pytestmark = [pytest.mark.browser, pytest.mark.slow]


@pytest.fixture(scope="module")
def kept(
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[tuple[str, LiveSitting, dict[str, int]]]:
    """Yield a site with every check, an empty sitting, and the numbers of the checks."""
    folder = tmp_path_factory.mktemp("kept")
    site, live = empty_site(folder)
    assert site.store_path is not None
    numbers = keep_all(site.store_path, folder)
    with serving(site) as address:
        yield address, live, numbers


def test_the_pages_are_good_pages(
    look_at: LookAt, kept: tuple[str, LiveSitting, dict[str, int]]
) -> None:
    address, _, numbers = kept
    look = look_at(address, "phone")
    pages = ["/kit", "/steadiness", "/learned", "/steadiness/trial", "/kit/new/chart"]
    pages += [f"/kit/{kind}/{numbers[kind]}" for kind in ("dust", "focus")]
    for path in pages:
        look.resize("phone")
        look.go(path)
        look.check()
        for size in SIZES:
            look.resize(size)
            look.quiet()
            assert small_targets(look.page) == [], (path, size)


def test_a_result_has_one_answer_and_its_drawing_fits(
    look_at: LookAt, kept: tuple[str, LiveSitting, dict[str, int]]
) -> None:
    address, _, numbers = kept
    look = look_at(address, "phone")
    page = look.go(f"/kit/chart/{numbers['chart']}")
    assert page.locator("h1").count() == 1
    box = page.locator("svg.drawing:visible").first.bounding_box()
    assert box is not None
    assert 300 < box["width"] <= 390
    assert (
        page.evaluate("getComputedStyle(document.querySelector('svg.drawing text')).fontSize")
        != "12px"
    )  # as the drawing says it, not as reports set their own


def test_a_trial_counts_by_itself_while_frames_land(
    look_at: LookAt, kept: tuple[str, LiveSitting, dict[str, int]]
) -> None:
    address, live, _ = kept
    look = look_at(address, "phone")
    page = look.go("/steadiness/trial")
    page.get_by_label("1/15", exact=False).first.wait_for()
    page.get_by_role("button", name="Begin: count from now on").click()
    page.get_by_role("heading", name="1/500", exact=False).wait_for()
    readings = ladder_readings()
    land(live, readings[:4])
    page.get_by_role("heading", name="4 of 6, two more", exact=False).wait_for(timeout=40_000)
    assert "4 of 6" in (page.locator("#said").text_content() or "")
    land(live, readings[4:7])
    page.get_by_role("heading", name="1 of 6, five more", exact=False).wait_for(timeout=40_000)
    look.quiet()
    assert small_targets(page) == []
    page.get_by_role("button", name="Give this trial up").click()
    page.get_by_role("link", name="A guided trial").wait_for()


def test_without_scripts_a_trial_is_begun_and_counted_by_reload(
    look_at: LookAt, kept: tuple[str, LiveSitting, dict[str, int]]
) -> None:
    address, live, _ = kept
    look = look_at(address, "tablet", java_script_enabled=False)
    page = look.go("/steadiness/trial")
    page.get_by_role("button", name="Begin: count from now on").click()
    assert "1/500" in (page.locator("h1").text_content() or "")
    land(live, ladder_readings(TIMES[:1], 2, "later "))
    page.get_by_role("link", name="Look again").click()
    assert "2 of 6, four more" in (page.locator("h1").text_content() or "")
    page.get_by_role("button", name="Give this trial up").click()


def small_targets(page: Page) -> list[str]:
    """Return buttons, fields and links in lists of ways that are lower than a thumb needs."""
    found = page.evaluate(
        """() => [...document.querySelectorAll(
            'main button, main select, main input:not([type=hidden]), main .way, main summary')]
            .filter(one => one.offsetParent)
            .map(one => [one.closest('label.tick') || one, one])
            .filter(([box]) => box.getBoundingClientRect().height < 43.5)
            .map(([, one]) => one.outerHTML.slice(0, 90))"""
    )
    return list(found)
