"""The frame around all pages: found, not found, failed."""

import pytest
from starlette.testclient import TestClient

from eyeplane.web import static_files
from eyeplane.web.words import all_words, words


def test_the_way_in_leads_to_a_page(client: TestClient) -> None:
    assert client.get("/", follow_redirects=False).headers["location"] == "/now"


def test_what_is_not_there_is_told_in_a_page(client: TestClient) -> None:
    answer = client.get("/nothing/here")
    assert answer.status_code == 404
    assert words("site.trouble.missing") in answer.text


@pytest.mark.parametrize("name", ["../app.py", "..%2fapp.py", "vendor/../../app.py", "none.css"])
def test_only_known_files_are_served(client: TestClient, name: str) -> None:
    assert client.get(f"/static/{name}").status_code == 404


def test_a_style_sheet_may_be_kept_for_ever(client: TestClient) -> None:
    answer = client.get(static_files.address("site.css"))
    assert answer.status_code == 200
    assert "immutable" in answer.headers["cache-control"]


def test_one_word_for_one_thing() -> None:
    assert words("site.name") == "eyeplane"
    for key, value in all_words().items():
        joins, may_be_none = key.endswith(".and"), key.endswith(".hint")
        assert joins or value.strip() == value, key
        assert may_be_none or value, key
