"""The real size of a screen: by card, by ruler, kept by the device."""

import re

import pytest
from starlette.testclient import TestClient

from eyeplane.web.words import words

PHONE, DESK = "3_390_844", "1_1920_1080"


def post(client: TestClient, **form: str) -> str:
    """Post the form; return where it leads."""
    answer = client.post("/screen", data=form, follow_redirects=False)
    assert answer.status_code == 303, answer.text
    return answer.headers["location"]


def test_a_ruler_on_the_bar_is_enough_without_scripts(client: TestClient) -> None:
    text = client.get("/screen").text
    assert words("screen.unknown") in text
    found = re.search(r'<svg class="bar"[^>]* width="(\d+)"', text)
    assert found is not None
    # 66.1 mm for 250 px is the 96 to the inch of common desk screens.
    for typed, px_per_mm in (("66.1", 3.782), ("66,1 mm", 3.782), ("2.6in", 3.786), ("50", 5.0)):
        assert post(client, bar=typed) == "/screen"
        assert float(client.cookies["screen_px_per_mm"]) == pytest.approx(px_per_mm, abs=1e-3)
        assert float(client.cookies["screen_px_per_mm"]) == pytest.approx(
            int(found[1]) / (250 / px_per_mm), abs=1e-3
        )
    assert "5.00 screen points to one millimetre" in client.get("/screen").text


def test_a_card_tells_the_size_and_the_way_back_is_kept(client: TestClient) -> None:
    # A card of 85.60 mm that covers 517 CSS px: 6.04 px to a mm, a phone of 460 to the inch over 3.
    size = f"{517 / 85.60:.4f}"
    assert post(client, px_per_mm=size, screen=PHONE, back="/print/s1/2?print=60") == (
        "/print/s1/2?print=60"
    )
    assert float(client.cookies["screen_px_per_mm"]) == pytest.approx(6.04, abs=0.001)
    assert client.cookies["screen_seen"] == PHONE
    text = client.get("/screen").text
    assert words("screen.unlikely") not in text
    assert 'data-px-per-mm="6.0397"' in text


@pytest.mark.parametrize(
    ("size", "screen", "likely"),
    [
        ("3.78", PHONE, False),
        ("3.78", DESK, True),
        ("6.4", DESK, False),
        ("6.4", PHONE, True),
        ("9", "", False),
    ],
)
def test_unusual_sizes_are_kept_but_told(
    client: TestClient, size: str, screen: str, *, likely: bool
) -> None:
    where = post(client, px_per_mm=size, screen=screen, back="/now")
    assert where == ("/now" if likely else "/screen")
    assert (words("screen.unlikely") in client.get("/screen").text) is not likely


def test_what_is_no_size_is_refused_with_a_sentence(client: TestClient) -> None:
    for form in (
        {"bar": "wide"},
        {"bar": "0"},
        {"bar": "1"},
        {"bar": "4000"},
        {"bar": "<b>"},
        {"px_per_mm": "nan"},
        {"px_per_mm": "1e300"},
        {"px_per_mm": "-3"},
        {},
    ):
        answer = client.post("/screen", data=form)
        assert answer.status_code == 422, form
        assert "cannot be the size of a screen" in answer.text
        assert "<b>" not in answer.text
    assert "screen_px_per_mm" not in client.cookies


def test_no_way_back_leads_off_the_site(client: TestClient) -> None:
    for back in (
        "https://example.com/",
        "//example.com",
        "/\\example.com",
        "javascript:alert(1)",
        "/a\r\nx: y",
        "/" + "a" * 2000,
    ):
        assert post(client, px_per_mm="5.5", back=back) == "/screen"
        assert "example.com" not in client.get("/screen", params={"back": back}).text


def test_what_the_device_tells_of_its_screen_is_checked(client: TestClient) -> None:
    post(client, px_per_mm="5.5", screen="<script>_1_2")
    assert "screen_seen" not in client.cookies
    client.cookies.set("screen_seen", "99_999999_1")
    assert client.get("/screen").status_code == 200


def test_it_can_be_forgotten(client: TestClient) -> None:
    post(client, px_per_mm="5.5", screen=PHONE)
    assert post(client, forget="yes") == "/screen"
    assert words("screen.unknown") in client.get("/screen").text
