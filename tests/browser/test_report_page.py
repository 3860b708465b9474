"""The report in a real browser, on a phone, a tablet and a desk."""

import math
import re
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from types import ModuleType

import pytest
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]  # has no types
from playwright.sync_api import Browser, Page, Route

pytestmark = pytest.mark.browser

SIZES = {"phone": (390, 844), "tablet": (820, 1180), "desk": (1280, 800)}
CSS_PX_PER_FACE_MM = 96 / 2.54 / 5  # 96 px to the inch (CSS Values and Units 4); 5 mm to 1 cm


@pytest.fixture(scope="module", params=list(SIZES.values()), ids=list(SIZES))
def page(request: pytest.FixtureRequest, browser: Browser, report: str) -> Iterator[Page]:
    """Yield the report, opened; whatever it asks for from outside is noted and refused."""
    width, height = request.param
    context = browser.new_context(viewport={"width": width, "height": height})
    page = context.new_page()
    asked: list[str] = []
    said: list[str] = []

    def note(route: Route) -> None:
        if route.request.url == report:
            route.continue_()
        else:
            asked.append(route.request.url)
            route.abort()

    page.route("**/*", note)
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(report)
    page.evaluate("document.querySelectorAll('img').forEach(i => { i.loading = 'eager' })")
    page.wait_for_function("[...document.images].every(i => i.complete && i.naturalWidth)")
    yield page
    context.close()
    assert asked == []
    assert said == []


def test_nothing_sticks_out(page: Page) -> None:
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
    width = page.evaluate("[document.documentElement.scrollWidth, window.innerWidth]")
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = false })")
    assert width[0] <= width[1]


def test_no_text_is_cut_off_or_covers_another(page: Page) -> None:
    overlaps = page.evaluate(
        """() => [...document.querySelectorAll('svg.depth, svg.kit-line')].flatMap(svg => {
          const boxes = [...svg.querySelectorAll('text')].map(t => [t, t.getBoundingClientRect()]);
          const out = [];
          for (const [t, b] of boxes) {
            if (b.left < -1 || b.right > innerWidth + 1) out.push('cut: ' + t.textContent);
            for (const [u, c] of boxes) if (t !== u && b.left < c.right && c.left < b.right
                && b.top + 3 < c.bottom - 3 && c.top + 3 < b.bottom - 3)
              out.push(t.textContent + ' over ' + u.textContent);
          }
          return out;
        })"""
    )
    assert overlaps == []


@pytest.mark.slow
def test_axe_finds_nothing(page: Page) -> None:
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
    found = Axe().run(page)
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = false })")
    assert found.violations_count == 0, found.generate_report()


def test_the_first_screen_answers(page: Page, builder: ModuleType) -> None:
    page.evaluate("scrollTo(0, 0)")
    height = page.evaluate("innerHeight")
    for line in builder.make_sitting().lines:
        box = page.get_by_text(line, exact=True).first.bounding_box()
        assert box is not None
        assert box["y"] + box["height"] <= height
    size = page.locator("h1").evaluate("e => parseFloat(getComputedStyle(e).fontSize)")
    assert size >= 28  # look.md: the sentence on a phone


def test_details_open_by_keyboard(page: Page) -> None:
    details = page.locator("article details").first
    assert details.get_attribute("open") is None
    details.locator("summary").focus()
    page.keyboard.press("Enter")
    assert details.get_attribute("open") is not None
    assert page.get_by_text("The blur at the near eye, part by part").first.is_visible()
    page.keyboard.press("Enter")
    assert details.get_attribute("open") is None


def test_every_link_and_summary_is_reached_by_tab_and_shows_it(page: Page) -> None:
    wanted = page.locator("a, summary").count()
    page.locator("a, summary").first.focus()
    outlines = []
    for _ in range(wanted - 1):
        page.keyboard.press("Tab")
        outlines.append(
            page.evaluate(
                "[document.activeElement.tagName,"
                " getComputedStyle(document.activeElement).outlineStyle]"
            )
        )
    assert {tag for tag, _ in outlines} == {"A", "SUMMARY"}
    assert all(style == "solid" for _, style in outlines)


def test_eye_windows_share_one_scale(page: Page, builder: ModuleType) -> None:
    """36 × 24 mm of face were drawn, at two resolutions: all must be equally large on the page."""
    boxes = page.evaluate(
        "[...document.images].map(i => [i.getBoundingClientRect().width, i.naturalWidth])"
    )
    assert len({natural for _, natural in boxes}) == 2  # near sitters and a group farther off
    for width, natural in boxes:
        mm_per_px = builder.MM_PER_PX if natural > 100 else 0.417
        assert width == pytest.approx(natural * mm_per_px * CSS_PX_PER_FACE_MM, rel=0.01)
    assert "5\u202fmm of face to 1\u202fcm of page" in page.locator(".key").inner_text()


def test_the_best_of_each_burst_is_underlined_and_said(page: Page, builder: ModuleType) -> None:
    sizes = Counter(frame.burst for frame in builder.make_sitting().frames)
    for figure in page.locator("figure.eye").all():
        best = "best" in (figure.get_attribute("class") or "").split()
        assert figure.locator("svg.pencil").count() == int(best)
        assert ("best of the burst" in (figure.text_content() or "")) is best
    for frame in builder.make_sitting().frames:
        if frame.burst is not None:
            name = Path(frame.reading.path).name
            note = page.locator("article").filter(has=page.get_by_text(name, exact=True))
            assert note.locator(".reach svg.pencil").count() == int(
                frame.best_of_burst and sizes[frame.burst] > 1
            ), name
    under = page.locator("figure.best svg.pencil").first.bounding_box()
    number = page.locator("figure.best .figure-reach").first.bounding_box()
    assert under is not None
    assert number is not None
    assert under["width"] >= number["width"]
    assert under["y"] > number["y"] + number["height"] / 2


def test_the_depth_line_is_to_scale(page: Page, builder: ModuleType) -> None:
    """From near iris to near ear are 65.7 mm, to the focus plane 14 mm, and 20 mm the bar."""
    svg = page.locator("#frame-1 svg.depth")
    ends = svg.locator("line.bar").evaluate("e => [e.x1.baseVal.value, e.x2.baseVal.value]")
    per_mm = (ends[1] - ends[0]) / 20
    ticks = svg.locator("line.tick").evaluate_all("all => all.map(e => e.x1.baseVal.value)")
    depths = [m.depth_mm for m in builder.MARKS if m.name != "backdrop"]
    for tick, depth in zip(ticks, depths, strict=True):
        assert (tick - ticks[0]) / per_mm == pytest.approx(depth - depths[0], abs=0.2)
    plane = svg.locator("line.plane").evaluate("e => e.x1.baseVal.value")
    assert (plane - ticks[2]) / per_mm == pytest.approx(14.0, abs=0.2)
    assert "backdrop" in page.locator("#frame-1").inner_text()


def test_without_an_offset_no_plane_is_drawn(page: Page) -> None:
    note = page.locator("#frame-6")
    assert note.locator("line.plane").count() == 0
    assert "cannot tell" in note.inner_text()


def test_the_blur_marks_share_one_scale_and_point_as_measured(page: Page) -> None:
    disc = page.locator("#frame-1 circle.disc").evaluate("e => 2 * e.r.baseVal.value")
    stroke = page.locator("#frame-3 line.stroke").evaluate(
        "e => [e.x2.baseVal.value - e.x1.baseVal.value, e.y1.baseVal.value - e.y2.baseVal.value]"
    )
    length = (stroke[0] ** 2 + stroke[1] ** 2) ** 0.5
    assert length / disc == pytest.approx(9.0 / 6.4, rel=0.02)  # px in frames of one size
    assert stroke[0] / length == pytest.approx(0.208, abs=0.01)  # cos 78°
    assert stroke[1] > 0  # counter-clockwise from +x: up and to the right
    times = re.search(r"drawn (\d+) times", page.locator(".key").inner_text())
    assert times is not None
    print_mm = 6.4 / 6000 * 600
    assert disc == pytest.approx(print_mm * int(times[1]) * 96 / 25.4, rel=0.02)


def test_what_would_help_is_large_and_the_rest_one_click_below(page: Page) -> None:
    best = page.locator(".most")
    assert best.inner_text() == "Focus on the near iris"
    size = best.evaluate("e => parseFloat(getComputedStyle(e).fontSize)")
    assert size >= 24
    other = page.get_by_text("1/400 s instead of 1/125 s", exact=True)
    assert not other.is_visible()
    page.get_by_text("what else would help").click()
    assert other.is_visible()
    page.get_by_text("what else would help").click()


def test_the_kits_share_one_scale_and_the_dot_lies_where_it_is_said(page: Page) -> None:
    lines = page.locator("svg.kit-line")
    assert lines.count() == 2
    places = lines.evaluate_all(
        """all => all.map(svg => {
          const at = (name, end) => svg.querySelector(name)[end].baseVal.value;
          return [at('line.bar', 'x2') - at('line.bar', 'x1'), at('line.tick', 'x1'),
                  at('circle.plane-dot', 'cx')];
        })"""
    )
    (bar, iris, first), (other_bar, other_iris, second) = places
    assert bar == other_bar
    assert iris == other_iris
    assert (first - iris) / (bar / 10) == pytest.approx(11.0, abs=0.1)  # the bar is 10 mm long
    assert (second - iris) / (bar / 10) == pytest.approx(-1.2, abs=0.1)


def test_a_catchlight_lies_at_its_hour(page: Page) -> None:
    """At 10.4 on the clock, 38° from the camera: 7.8 mm × sin 19° from the middle of the iris."""
    clock = page.locator("#frame-1 svg.clock")
    x, y, radius = clock.evaluate(
        """svg => { const e = svg.querySelector('ellipse.catch:not(.weaker)');
          return [e.cx.baseVal.value, e.cy.baseVal.value,
                  document.querySelector('#dial circle.iris').r.baseVal.value]; }"""
    )
    dial = clock.locator("use").bounding_box()
    assert dial is not None
    assert dial["width"] > 2 * radius
    assert math.degrees(math.atan2(x, -y)) % 360 == pytest.approx(10.4 * 30, abs=1.0)
    away_mm = math.hypot(x, y) / radius * 11.71 / 2
    assert away_mm == pytest.approx(7.8 * math.sin(math.radians(19)), rel=0.01)
    weaker = clock.locator("ellipse.weaker").evaluate("e => getComputedStyle(e).strokeDasharray")
    assert weaker != "none"  # told apart by its outline, not by a colour


def test_a_group_tells_who_is_out_in_words(page: Page) -> None:
    row = page.locator("table.group tr").filter(has=page.get_by_text("third", exact=True))
    assert "out, too near" in row.inner_text()
    assert "f/11" in row.inner_text()


def test_chances_wait_one_click_below(page: Page) -> None:
    note = page.locator("#frame-3")
    table = note.locator("table.chances")
    assert not table.is_visible()
    note.locator("summary").click()
    assert table.is_visible()
    assert "your hands move this far" in table.inner_text()
    note.locator("summary").click()


def test_headings_are_in_order(page: Page) -> None:
    levels = page.evaluate(
        "[...document.querySelectorAll('h1,h2,h3,h4')].map(e => Number(e.tagName[1]))"
    )
    assert levels.count(1) == 1
    assert all(later <= earlier + 1 for earlier, later in pairwise(levels))


def test_it_prints_on_white_with_nothing_hidden_that_was_open(page: Page) -> None:
    page.emulate_media(media="print")
    assert page.locator("figure.eye").first.is_visible()
    assert not page.locator("summary").first.is_visible()
    page.emulate_media(media="screen")
