"""Every page, setting and option of the pages is documented, and nothing else is."""

import re
from pathlib import Path

import click
import pytest
from starlette.routing import Route

from eyeplane.cli.serve_options import serve
from eyeplane.web.pages import all_routes
from eyeplane.web.seen import SETTINGS
from eyeplane.web.words import words

DOCS = Path(__file__).parents[2] / "docs"
DOCUMENT = (DOCS / "pages.md").read_text("utf-8")
COMMANDS = (DOCS / "commands.md").read_text("utf-8")
ADDRESSES = sorted(
    {re.sub(r":\w+\}", "}", route.path) for route in all_routes() if isinstance(route, Route)}
)


@pytest.mark.parametrize("address", ADDRESSES)
def test_every_page_is_documented(address: str) -> None:
    assert f"`{address}`" in DOCUMENT


def test_no_page_is_documented_that_is_not_there() -> None:
    told = set(re.findall(r"`(/[^`\s]*)`", DOCUMENT))
    assert sorted(told - set(ADDRESSES)) == []


@pytest.mark.parametrize("setting", SETTINGS)
def test_every_setting_is_documented(setting: str) -> None:
    assert f"| {words(f'settings.{setting}.title')} |" in DOCUMENT


def test_every_option_is_documented() -> None:
    options = {
        option for one in serve.params if isinstance(one, click.Option) for option in one.opts
    }
    table = COMMANDS.partition("## eyeplane serve")[2].partition("\n## ")[0]
    told = set(re.findall(r"`(--[a-z-]+)", table)) - {"--help"}
    assert told == options


def test_every_page_of_the_way_around_has_a_section() -> None:
    for name in ("now", "sitting", "plan", "kit", "steadiness", "sittings", "settings", "keys"):
        assert f"\n## {words(f'site.nav.{name}')}\n" in DOCUMENT
