"""Our own keys: each does one thing on a page, and all are in the help."""

from html import unescape

import pytest
from starlette.testclient import TestClient

from eyeplane.web.keys import keys_of, keys_on, pages_with_keys
from eyeplane.web.words import all_words

PAGES = ("site", *pages_with_keys())


@pytest.mark.parametrize("page_name", PAGES)
def test_a_key_does_one_thing_on_a_page(page_name: str) -> None:
    pressed = [press for key in keys_on(page_name) for press in key.presses]
    assert sorted(set(pressed)) == sorted(pressed)
    assert all(key.presses for key in keys_on(page_name))


@pytest.mark.parametrize("page_name", PAGES)
def test_a_key_is_one_that_browsers_tell_and_people_know(page_name: str) -> None:
    """Names as in UI Events KeyboardEvent key Values (W3C): one sign, or a name we can show."""
    named = {k.removeprefix("site.key_names.") for k in all_words() if "site.key_names." in k}
    for key in keys_of(page_name):
        assert all(len(press) == 1 or press in named for press in key.presses), key


def test_every_key_is_in_the_help(client: TestClient) -> None:
    shown = unescape(client.get("/keys").text)
    for page_name in PAGES:
        for key in keys_of(page_name):
            assert key.does in shown
    assert pages_with_keys()
