"""The report of a sitting of which little can be told is a whole page as well."""

from pathlib import Path
from types import ModuleType

import pytest
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]  # has no types
from playwright.sync_api import Browser

from eyeplane.deliver import write_report

pytestmark = [pytest.mark.browser, pytest.mark.slow]


def test_a_page_without_habits_findings_or_light(
    browser: Browser, builder: ModuleType, tmp_path: Path
) -> None:
    path = tmp_path / "bare.html"
    write_report(builder.bare_sitting(), path)
    page = browser.new_context(viewport={"width": 390, "height": 844}).new_page()
    page.goto(path.as_uri())
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
    width = page.evaluate("[document.documentElement.scrollWidth, window.innerWidth]")
    assert width[0] <= width[1]
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    empty = page.evaluate(
        "[...document.querySelectorAll('main section, main ul, main ol, main dl, main table')]"
        ".filter(e => e.innerText.trim() === '').length"
    )
    assert empty == 0
    page.context.close()
