"""How a visitor sees the pages: cookies where they are sound, else the browser's languages."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.requests import Request

from eyeplane.web.customs import customary
from eyeplane.web.figures import Figures
from eyeplane.web.seen import SETTINGS, Seen, seen_by, settings_of


def asking(**headers: str) -> Request:
    raw = [(k.replace("_", "-").encode(), v.encode("latin-1")) for k, v in headers.items()]
    return Request({"type": "http", "method": "GET", "path": "/", "headers": raw})


@pytest.mark.parametrize(
    ("languages", "lengths", "decimal"),
    [
        # Unicode CLDR, measurementSystem and decimal of each locale; from memory.
        ("en-US,en;q=0.9", "inch", "point"),
        ("en-GB,en;q=0.9", "cm", "point"),
        ("en", "cm", "point"),
        ("de-DE,de;q=0.9,en-US;q=0.8", "cm", "comma"),
        ("de-CH", "cm", "point"),
        ("fr-CH", "cm", "comma"),
        ("es-MX", "cm", "point"),
        ("es-US", "inch", "point"),
        ("my-MM", "inch", "point"),
        ("zh-Hant-TW", "cm", "point"),
        ("ja", "cm", "point"),
        ("en-US;q=0.2, et;q=0.9", "cm", "comma"),
        ("*", "cm", "point"),
        ("", "cm", "point"),
    ],
)
def test_what_people_are_used_to(languages: str, lengths: str, decimal: str) -> None:
    found = customary(languages)
    assert (found.lengths, found.decimal) == (lengths, decimal)


@given(st.text(max_size=600))
def test_any_header_is_taken(text: str) -> None:
    assert isinstance(customary(text), Figures)


def test_cookies_win_over_languages() -> None:
    seen = seen_by(asking(accept_language="en-US", cookie="lengths=cm; decimal=comma; evening=on"))
    assert seen.figures == Figures(lengths="cm", decimal="comma")
    assert seen.evening


def test_what_no_cookie_can_be_counts_as_none() -> None:
    odd = "lengths=ell; decimal=<b>; evening=1; sound=yes; keys=; screen_px_per_mm=nan"
    assert seen_by(asking(cookie=odd)) == Seen()


@pytest.mark.parametrize(
    ("text", "size"), [("3.78", 3.78), ("0.1", None), ("1e9", None), ("inf", None), ("x", None)]
)
def test_the_size_of_the_screen_is_one_that_screens_have(text: str, size: float | None) -> None:
    assert seen_by(asking(cookie=f"screen_px_per_mm={text}")).screen_px_per_mm == size


def test_every_setting_comes_back() -> None:
    for name, values in SETTINGS.items():
        for value in values:
            assert settings_of(seen_by(asking(cookie=f"{name}={value}")))[name] == value
