"""A bank card laid on the screen: the outline is as large as what is kept says."""

import pytest
from playwright.sync_api import Page, expect
from tests.browser.web.looking import LookAt

pytestmark = pytest.mark.browser


def outline_px(page: Page) -> tuple[float, float]:
    """Return width and height of the outline's outer edge, CSS px."""
    found = page.evaluate(
        "() => { const r = document.querySelector('#outline rect').getBoundingClientRect();"
        " return [r.width + 1, r.height + 1]; }"  # half of its line lies outside on each side
    )
    return found[0], found[1]


def kept(page: Page) -> float:
    """Return the size that the device keeps, CSS px to one mm."""
    cookies = {one.get("name"): one.get("value") for one in page.context.cookies()}
    return float(cookies["screen_px_per_mm"] or 0)


@pytest.mark.parametrize(
    ("size", "side_mm", "other_mm"),
    [("phone", 53.98, 85.60), ("desk", 85.60, 53.98)],
)
def test_the_outline_is_a_card(
    look_at: LookAt, served: str, size: str, side_mm: float, other_mm: float
) -> None:
    look = look_at(served, size)
    page = look.go("/screen?back=/sittings")
    page.locator("#size").fill("6.2" if size == "phone" else "4.4")
    for _ in range(4):
        page.keyboard.press("+")
    page.locator("#smaller").click()
    width, height = outline_px(page)
    assert width / height == pytest.approx(side_mm / other_mm, rel=1e-3)
    page.locator("#card button.main").click()
    expect(page).to_have_url(f"{served}/sittings")
    assert kept(page) == pytest.approx(width / side_mm, rel=1e-3)
    look.go("/screen")
    assert outline_px(page)[0] == pytest.approx(width, abs=0.6)
    if size == "phone":
        look.check()
    else:
        look.quiet()


def test_two_fingers_make_it_larger(look_at: LookAt, served: str) -> None:
    page = look_at(served, "tablet").go("/screen")
    before = outline_px(page)[0]
    page.evaluate(
        """() => {
        const lay = document.getElementById("lay");
        const send = (type, id, x) => lay.dispatchEvent(
          new PointerEvent(type, { pointerId: id, clientX: x, clientY: 400, bubbles: true }));
        send("pointerdown", 1, 200); send("pointerdown", 2, 300);
        send("pointermove", 2, 330); send("pointerup", 1, 200); send("pointerup", 2, 330);
        }"""
    )
    assert outline_px(page)[0] == pytest.approx(before * 1.3, rel=0.005)


def test_a_zoomed_page_is_put_right_and_another_screen_is_told(
    look_at: LookAt, served: str
) -> None:
    look = look_at(served, "desk", device_scale_factor=2, screen={"width": 1440, "height": 900})
    page = look.page
    cookie = {"name": "screen_px_per_mm", "value": "4.5", "url": served}
    seen = {"name": "screen_seen", "value": "1.5_1440_900", "url": served}
    page.context.add_cookies([cookie, seen])  # type: ignore[list-item]
    look.go("/screen")
    # Set at a zoom of 1.5: 4.5 × 1.5 pixels of the screen to a mm; now two to a CSS px.
    expect(page.locator("main .line").first).to_contain_text("3.38 screen points")
    assert kept(page) == pytest.approx(4.5 * 1.5 / 2, rel=1e-4)
    page.context.add_cookies([cookie, seen | {"value": "1_2560_1440"}])  # type: ignore[list-item]
    look.go("/screen")
    expect(page.locator("#real-size")).to_be_visible()
    assert kept(page) == 4.5
