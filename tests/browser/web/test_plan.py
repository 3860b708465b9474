"""The plan in a browser: it follows fields, sliders and what is dragged, by pointer and by keys."""

import re

import pytest
from playwright.sync_api import Page, expect
from tests.browser.web.looking import LookAt

pytestmark = pytest.mark.browser


def drag(page: Page, what: str, across_px: float) -> None:
    """Drag a handle to the right by some CSS pixels, in a few steps."""
    handle = page.locator(f'.handle[data-what="{what}"]').first
    handle.scroll_into_view_if_needed()
    box = handle.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + across_px, y, steps=4)
    page.mouse.up()


def value(page: Page, field: str) -> str:
    return page.locator(f"#f-{field}").input_value()


@pytest.mark.parametrize(
    ("kind", "size"), [("sitter", "phone"), ("group", "tablet"), ("burst", "desk")]
)
def test_a_plan_is_a_good_page(look_at: LookAt, served: str, kind: str, size: str) -> None:
    look = look_at(served, size)
    page = look.go(f"/plan/{kind}?background=1.2m" if kind != "group" else "/plan/group")
    page.locator("details.more > summary").first.click()
    look.check()
    small = page.evaluate(
        """() => [...document.querySelectorAll(
              "#plan a, #plan button, #plan input, #plan select, .handle")]
            .filter((e) => e.offsetParent && e.getBoundingClientRect().height < 43.5)
            .map((e) => e.outerHTML.slice(0, 90))"""
    )
    assert small == []


def test_the_evening_ground_is_the_same_page(look_at: LookAt, served: str) -> None:
    look = look_at(served, "phone")
    look.page.context.add_cookies([{"name": "evening", "value": "on", "url": served}])
    page = look.go("/plan/group?light=EV+12")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(27, 25, 22)"
    look.check()


def test_dragging_the_plane_asks_what_if_and_the_numbers_follow(
    look_at: LookAt, served: str
) -> None:
    look = look_at(served, "desk")
    page = look.go("/plan/sitter?background=1.2m")
    before = page.locator("#plan-answer h1").inner_text()
    wide = page.locator('[data-drawing="depth"] .sheet').bounding_box()
    assert wide is not None
    drag(page, "plane", 60.0)
    expect(page.locator("#plan-answer")).to_contain_text("behind the near iris, the settings")
    found = re.fullmatch(r"(\d+) mm behind", value(page, "focus-bias"))
    assert found is not None
    # 234 mm of the world lie across the drawing: 60 px of it are so many mm.
    told = page.locator('.handle[data-what="plane"]')
    expect(told).to_have_attribute("aria-valuenow", found[1])
    expect(told).to_have_attribute("aria-valuetext", re.compile(f"{found[1]}.mm behind the near"))
    assert 60 * 234 / wide["width"] == pytest.approx(int(found[1]), abs=3)
    assert page.locator("#plan-answer h1").inner_text() != before
    expect(page).to_have_url(re.compile(rf"focus-bias={found[1]}\+mm\+behind"))
    page.reload()  # the address holds it all
    assert value(page, "focus-bias") == found[0]
    look.quiet()


def test_camera_and_wall_are_dragged_on_the_set(look_at: LookAt, served: str) -> None:
    look = look_at(served, "desk")
    page = look.go("/plan/sitter?background=1.2m")
    drag(page, "camera", 50.0)
    expect(page).to_have_url(re.compile(r"distance=1\.\d\dm"))
    assert page.locator("#f-framing").input_value() == ""  # the one says the other
    near = float(value(page, "distance").removesuffix("m"))
    drag(page, "wall", -60.0)
    expect(page).to_have_url(re.compile(r"background=(0\.\d\d|1\.[01]\d)m"))
    assert float(value(page, "distance").removesuffix("m")) == near
    assert look.said == []


def test_rows_are_moved_by_keys_and_by_pointer(look_at: LookAt, served: str) -> None:
    look = look_at(served, "tablet")
    page = look.go("/plan/group?light=EV+12")
    row = page.locator('.handle[data-what="row"]')
    row.focus()
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    expect(page).to_have_url(re.compile("row-spacing=65cm"))
    expect(row).to_be_focused()
    expect(row).to_have_attribute("aria-valuetext", re.compile("65.cm from row to row"))
    page.keyboard.press("PageDown")
    expect(page).to_have_url(re.compile("row-spacing=55cm"))
    drag(page, "row", 50.0)
    expect(page).not_to_have_url(re.compile("row-spacing=55cm"))
    assert int(value(page, "row-spacing").removesuffix("cm")) > 60
    camera = page.locator('.handle[data-what="camera"]')
    camera.focus()
    page.keyboard.press("ArrowLeft")  # to the left: farther off
    expect(page).to_have_url(re.compile(r"distance=3\.55m"))
    look.quiet()


def test_sliders_settle_and_leave_open(look_at: LookAt, served: str) -> None:
    look = look_at(served, "phone")
    page = look.go("/plan/sitter")
    slider = page.locator('[data-field="f-number"] .slide')
    assert slider.get_attribute("aria-valuetext") == "f/2.2"
    slider.focus()
    page.keyboard.press("ArrowRight")
    expect(page).to_have_url(re.compile(r"f-number=f%2F2\.5"))
    expect(page.locator("#plan-best")).to_contain_text("f/2.5")
    expect(page.locator("#plan-status")).to_contain_text("f/2.5")
    leave = page.locator('[data-field="f-number"] .leave')
    expect(leave).to_be_visible()
    leave.click()
    expect(page).not_to_have_url(re.compile("f-number"))
    expect(page.locator("#plan-best")).to_contain_text("f/2.2")
    page.locator("#f-light").fill("EV x")
    expect(page.locator("#f-light-wrong")).to_contain_text("is no exposure value")
    expect(page.locator("#f-light")).to_have_attribute("aria-invalid", "true")
    page.locator("#f-light").fill("EV 12")
    expect(page.locator("#f-light-wrong")).to_be_hidden()
    expect(page.locator("#plan-best")).not_to_contain_text("ISO 1600")
    # A light that went wrong is said by the server with 422, which the console tells of.
    assert all("422" in text for text in look.said)


def test_it_works_without_scripts(look_at: LookAt, served: str) -> None:
    look = look_at(served, "phone", java_script_enabled=False)
    page = look.go("/plan/sitter")
    assert page.locator(".slide:visible, .handle, .leave:visible").count() == 0
    page.locator("#f-f-number").fill("f/4")
    page.locator("#f-who").fill("child 4")
    page.get_by_role("button", name="Plan").click()
    assert page.url == f"{served}/plan/sitter?who=child+4&f-number=f%2F4"
    assert page.locator("h1").inner_text().startswith("f/4 at ")
    page.locator("#f-shutter").fill("soon")
    page.get_by_role("button", name="Plan").click()
    assert page.locator("h1").inner_text() == "This cannot be planned yet"
    assert "'soon' is no" in page.locator("#f-shutter-wrong").inner_text()
    assert page.locator("#f-f-number").input_value() == "f/4"


def test_a_range_and_a_comparison_are_good_pages(look_at: LookAt, served: str) -> None:
    look = look_at(served, "phone")
    look.go("/plan/sitter?f-number=f/2..f/8")
    look.check()
    look.go("/plan/against/s1").wait_for_selector("form.asks")  # it is worked out beside
    look.check()
