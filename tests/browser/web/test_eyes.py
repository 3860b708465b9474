"""Two frames eye to eye: where the eyes stand, how large they are, and that they move together."""

import io

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from playwright.sync_api import Page, expect
from tests.browser.web.looking import Look, LookAt

pytestmark = pytest.mark.browser

IRIS_PX = 88.0  # diameter in the frame of the iris that is drawn
MM_PER_PX = 0.134


def opened(look: Look, path: str = "/eyes/s1?a=1&b=2") -> Page:
    """Open the page and wait until both frames stand at rest."""
    page = look.go(path)
    expect(page.locator("body")).to_have_attribute("data-ready", "yes")
    settled(page)
    return page


def settled(page: Page) -> None:
    """Wait for tiles and movement to come to rest."""
    page.wait_for_load_state("networkidle")
    page.wait_for_timeout(450)


def seen(page: Page, side: str) -> NDArray[np.uint8]:
    """Return what one of the two views shows, grey."""
    shot = page.locator(f"#look-{side}").screenshot()
    return np.asarray(Image.open(io.BytesIO(shot)).convert("L"))


def iris(shown: NDArray[np.uint8]) -> tuple[float, float, float]:
    """Return middle (x, y) and diameter of the dark disc between the white of the eye, pixels."""
    rows, columns = np.where(shown < 26)  # the pupil; lashes and iris are lighter
    y, x = float(np.median(rows)), float(np.median(columns))
    row = shown[round(y) - 1 : round(y) + 2].mean(axis=0)
    white = row > 190
    left = max(k for k in range(round(x)) if white[k])
    right = min(k for k in range(round(x), len(row)) if white[k] and k > x + 0.3 * (x - left))
    return (left + right) / 2, y, float(right - left - 1)


@pytest.mark.parametrize("size", ["phone", "tablet", "desk"])
def test_both_near_eyes_stand_in_the_middle_at_one_size(
    look_at: LookAt, framed_served: str, size: str
) -> None:
    look = look_at(framed_served, size)
    page = opened(look)
    found = []
    for side in "ab":
        shown = seen(page, side)
        x, y, diameter = iris(shown)
        height, width = shown.shape
        assert x == pytest.approx(width / 2, abs=4)
        assert y == pytest.approx(height / 2, abs=6)  # the catchlight is no pupil
        # 46 mm of face across the view.
        assert diameter == pytest.approx(IRIS_PX * MM_PER_PX / 46 * width, rel=0.12)
        found.append(diameter)
    assert found[0] == pytest.approx(found[1], rel=0.12)  # one is blurred, and so a little wider
    if size == "phone":
        look.check()
    else:
        look.quiet()


@pytest.mark.slow
def test_they_move_together_until_they_are_loosened(look_at: LookAt, framed_served: str) -> None:
    page = opened(look_at(framed_served, "desk"))
    before = [iris(seen(page, side)) for side in "ab"]
    box = page.locator("#look-a").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 60, y + 30, steps=4)
    page.wait_for_timeout(150)  # held still: no swing after letting go
    page.mouse.up()
    settled(page)
    after = [iris(seen(page, side)) for side in "ab"]
    for one, other in zip(before, after, strict=True):
        assert other[0] - one[0] == pytest.approx(-60, abs=6)
        assert other[1] - one[1] == pytest.approx(30, abs=6)
    page.keyboard.press("t")
    expect(page.locator("#tie")).to_have_attribute("aria-pressed", "false")
    page.locator("#look-b .openseadragon-canvas").focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("+")
    settled(page)
    loose = [iris(seen(page, side)) for side in "ab"]
    assert loose[0] == pytest.approx(after[0], abs=1.5)
    assert loose[1][0] < after[1][0] - 40
    assert loose[1][2] == pytest.approx(after[1][2] * 1.25, rel=0.06)
    page.keyboard.press("e")
    settled(page)
    assert iris(seen(page, "b")) == pytest.approx(before[1], abs=2)


@pytest.mark.slow
def test_true_sizes_and_the_next_frame_looked_at_in_the_same_place(
    look_at: LookAt, framed_served: str
) -> None:
    look = look_at(framed_served, "desk")
    look.page.context.add_cookies(
        [
            {"name": "screen_px_per_mm", "value": "5", "url": framed_served},
            {"name": "screen_seen", "value": "1_1440_900", "url": framed_served},
        ]
    )
    page = opened(look)
    page.keyboard.press("u")
    settled(page)
    assert iris(seen(page, "b"))[2] == pytest.approx(IRIS_PX, abs=2.5)
    # 60 cm over 3000 px: 0.2 mm a pixel, at 5 CSS px to a mm: one pixel to one, too.
    page.keyboard.press("p")
    settled(page)
    assert iris(seen(page, "b"))[2] == pytest.approx(IRIS_PX * 0.2 * 5, abs=2.5)
    expect(page.locator("#scale")).to_contain_text("6.7")  # 50 px of 0.134 mm to 1 cm
    page.keyboard.press("ArrowDown")
    settled(page)
    before = iris(seen(page, "b"))
    page.keyboard.press("n")
    expect(page).to_have_url(f"{framed_served}/eyes/s1?a=1&b=3")
    expect(page.locator("body")).to_have_attribute("data-ready", "yes")
    settled(page)
    assert iris(seen(page, "b"))[:2] == pytest.approx(before[:2], abs=4)
    page.keyboard.press("2")
    expect(page.locator("#name-b")).to_contain_text("Chosen")
    page.keyboard.press("y")
    expect(page).to_have_url(f"{framed_served}/eyes/s1?a=3&b=1")
    page.locator("[data-key=choose_a]").click()
    expect(page.locator("#name-a")).not_to_contain_text("Chosen")
    assert look.said == []


def test_a_frame_that_changes_meanwhile_is_told_and_its_window_comes_back(
    look_at: LookAt, framed_served: str, served: str
) -> None:
    look = look_at(framed_served, "phone")
    look.page.route("**/tiles/s1/1/**", lambda route: route.fulfill(status=409, body="changed"))
    page = look.go("/eyes/s1?a=1&b=2")
    expect(page.locator("#trouble-a")).to_contain_text("has changed since it was measured")
    expect(page.locator("#look-a img")).to_be_visible()
    assert page.locator("#look-a .openseadragon-container").count() == 0
    expect(page.locator("#look-b .openseadragon-container")).to_have_count(1)
    gone = look_at(served, "phone")  # the sitting made by hand has no files
    page = gone.go("/eyes/s1?a=11&b=2")
    expect(page.locator("#trouble-a")).to_contain_text("not where it was measured")
    expect(page.locator("#look-a img")).to_be_visible()
    gone.check()


def test_without_scripts_the_windows_and_sentences_are_there(
    look_at: LookAt, framed_served: str
) -> None:
    look = look_at(framed_served, "phone", java_script_enabled=False)
    page = look.go("/eyes/s1?a=1&b=2")
    boxes = [page.locator(f"#look-{side} img").bounding_box() for side in "ab"]
    assert boxes[0] is not None
    assert boxes[1] is not None
    assert boxes[0]["width"] == boxes[1]["width"] > 200
    expect(page.locator("#steps")).to_be_hidden()
    expect(page.locator(".line").first).to_contain_text("Near eye holds 35")
