"""A print at true size, measured on the picture of the page."""

import io

import numpy as np
import pytest
from PIL import Image
from tests.browser.web.looking import LookAt

pytestmark = pytest.mark.browser

IRIS_PX = 88.0  # diameter in the frame of the iris that is drawn
SIZES = [("phone", 6.04, 3.0, "3_390_844"), ("tablet", 5.2, 2.0, "2_820_1180")]
SIZES += [("desk", 3.78, 1.25, "1.25_1440_900")]


@pytest.mark.parametrize(("size", "px_per_mm", "ratio", "seen"), SIZES)
def test_the_iris_is_as_large_as_on_the_print(
    look_at: LookAt, framed_served: str, size: str, px_per_mm: float, ratio: float, seen: str
) -> None:
    look = look_at(framed_served, size, device_scale_factor=ratio)
    cookies = {"screen_px_per_mm": str(px_per_mm), "screen_seen": seen}
    look.page.context.add_cookies(
        [{"name": name, "value": value, "url": framed_served} for name, value in cookies.items()]
    )
    page = look.go("/print/s1/2?print=60&from=50&sit=50")
    page.wait_for_load_state("networkidle")
    picture = page.locator("picture img").first
    assert picture.evaluate("one => one.complete && one.naturalWidth > 0")
    width_css = picture.evaluate("one => one.getBoundingClientRect().width")
    drawn = picture.evaluate("one => new URL(one.currentSrc).searchParams.get('px')")
    assert float(drawn) == pytest.approx(width_css * ratio, abs=0.51)
    shown = np.asarray(Image.open(io.BytesIO(picture.screenshot())).convert("L"))
    assert shown.shape[1] == pytest.approx(width_css * ratio, abs=2)
    # The near iris: 88 px of 0.2 mm on a print of 60 cm, so many pixels of this screen.
    expected = IRIS_PX * 0.2 * px_per_mm * ratio
    middle = shown.shape[0] // 2
    row = shown[middle - 1 : middle + 2].mean(axis=0)
    x = shown.shape[1] // 2
    half = row[x - round(expected) : x + round(expected)] < 195
    assert half.sum() == pytest.approx(expected, abs=0.08 * expected + 3)
    if size == "phone":
        look.check()
    else:
        look.quiet()
