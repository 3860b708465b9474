"""What every page has around it, seen in a browser: ways, keys, settings, the evening ground."""

import re
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest
from playwright.sync_api import Page, expect
from tests.browser.web.looking import LookAt, serving

from eyeplane.sitting.live import of_sitting
from eyeplane.web import Site
from eyeplane.web.words import words

pytestmark = pytest.mark.browser
SIZE = ("phone", "tablet", "desk")


@pytest.mark.parametrize("path", ["/sittings", "/settings", "/keys", "/studio"])
def test_the_pages_around_are_good_pages(look_at: LookAt, served: str, path: str) -> None:
    look = look_at(served, "phone")
    page = look.go(path)
    expect(page.locator("h1")).to_have_count(1)
    look.check()
    for size in SIZE:
        look.resize(size)
        look.quiet()
        small = page.evaluate("""() => [...document.querySelectorAll(
            "button, nav a, nav summary, .button, .choice label")]
            .filter((one) => one.checkVisibility()
                && one.getBoundingClientRect().height < 43.9).map((one) => one.outerHTML)""")
        assert small == [], size


def test_the_ways_take_one_line_of_a_phone(look_at: LookAt, served: str) -> None:
    look = look_at(served, "phone")
    page = look.go("/keys")
    box = page.locator("nav").bounding_box()
    assert box is not None
    assert box["height"] <= 60
    page.get_by_text(words("site.nav.more")).click()
    expect(page.get_by_role("link", name=words("site.nav.kit"))).to_be_visible()
    look.check()
    page.get_by_role("link", name=words("site.nav.settings")).click()
    expect(page).to_have_url(f"{served}/settings")
    assert page.title() == words("settings.title")


def test_settings_are_kept_and_the_evening_ground_is_as_good(look_at: LookAt, served: str) -> None:
    look = look_at(served, "desk")
    page = look.go("/settings")
    page.get_by_label(words("settings.evening.on")).check()
    page.get_by_label(words("settings.lengths.inch")).check()
    page.get_by_role("button", name=words("settings.keep"), exact=True).click()
    expect(page.get_by_role("status")).to_have_text(words("settings.kept"))
    expect(page.get_by_label(words("settings.lengths.inch"))).to_be_checked()
    look.check()
    ground = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert max(int(one) for one in re.findall(r"\d+", ground)[:3]) < 60
    page.get_by_role("button", name=words("settings.usual")).click()
    expect(page.get_by_label(words("settings.lengths.cm"))).to_be_checked()


def test_keys_are_shown_by_a_key_and_close_by_one(look_at: LookAt, served: str) -> None:
    look = look_at(served, "desk")
    page = look.go("/settings")
    dialog = page.get_by_role("dialog")
    expect(dialog).to_have_count(0)
    page.keyboard.press("?")
    expect(dialog).to_be_visible()
    look.check()
    page.keyboard.press("?")  # does nothing while it is open
    page.keyboard.press("Escape")
    expect(dialog).to_have_count(0)
    page.get_by_label(words("settings.keys.off")).check()
    page.get_by_role("button", name=words("settings.keep"), exact=True).click()
    expect(page.get_by_role("status")).to_have_text(words("settings.kept"))
    page.keyboard.press("?")
    expect(page.locator("dialog")).to_have_count(0)


def test_the_keyboard_alone_gets_to_the_answer(look_at: LookAt, served: str) -> None:
    page = look_at(served, "desk").go("/settings")
    page.keyboard.press("Tab")
    skip = page.get_by_role("link", name=words("site.skip"))
    expect(skip).to_be_focused()
    box = skip.bounding_box()
    assert box is not None
    assert box["x"] >= 0
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_be_focused()
    page.keyboard.press("Tab")
    expect(page.get_by_label(words("settings.lengths.cm"))).to_be_focused()


def test_all_of_it_works_without_scripts(look_at: LookAt, served: str) -> None:
    page = look_at(served, "phone", java_script_enabled=False).go("/settings")
    page.get_by_label(words("settings.decimal.comma")).check()
    page.get_by_role("button", name=words("settings.keep"), exact=True).click()
    expect(page.get_by_label(words("settings.decimal.comma"))).to_be_checked()
    page.get_by_text(words("site.nav.more")).click()
    page.get_by_role("link", name=words("site.nav.keys")).click()
    expect(page.locator("main").get_by_text(words("site.keys.help.does"))).to_be_visible()


@pytest.fixture(scope="module")
def studio(
    builder: ModuleType, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[Site, str]]:
    """Yield a site on the network, and its address."""
    site = Site(store_path=tmp_path_factory.mktemp("studio") / "store.sqlite3", studio=True)
    site.add(of_sitting(builder.make_sitting(), key="s1"))
    with serving(site) as address:
        site.port = int(address.rpartition(":")[2])
        yield site, address


def test_a_phone_is_let_in_by_a_code_from_the_desk(
    look_at: LookAt, studio: tuple[Site, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    site, address = studio
    monkeypatch.setattr("eyeplane.web.pages.studio.own_addresses", lambda: ("127.0.0.1",))
    desk, phone = look_at(address, "desk"), look_at(address, "phone")
    outside = phone.go("/sittings")
    expect(outside.get_by_text(words("site.refused.session"))).to_be_visible()
    expect(outside.locator("nav")).to_have_count(0)
    phone.said.clear()  # the browser tells the status 403
    _enter(desk.go(f"/enter?token={site.codes.new_code()}"))
    desk.go("/studio")
    desk.page.get_by_role("button", name=words("studio.show")).click()
    expect(desk.page.get_by_role("img", name=words("studio.code"))).to_be_visible()
    desk.check()
    shown = desk.page.locator(".address").inner_text()
    page = phone.page
    page.goto(shown)
    phone.check()
    _enter(page)
    expect(page).not_to_have_url(shown)
    phone.go("/sittings")
    phone.quiet()
    page.goto(shown)
    page.get_by_role("button", name=words("enter.go")).click()
    expect(page.get_by_role("status")).to_have_text(words("enter.wrong"))


def _enter(page: Page) -> None:
    page.get_by_role("button", name=words("enter.go")).click()


def test_another_site_cannot_post_here(look_at: LookAt, served: str, tmp_path: Path) -> None:
    """A page from elsewhere posts a setting: the browser tells where it comes from."""
    foreign = tmp_path / "foreign.html"
    foreign.write_text(
        f'<form method="post" action="{served}/settings"><input name="evening" value="on">'
        f'</form><img src="{served}/static/icon.svg"><iframe src="{served}/keys"></iframe>'
    )
    page = look_at(served, "desk").page
    page.goto(foreign.as_uri())
    assert page.evaluate("document.images[0].naturalWidth") == 0  # nothing of here is embedded
    assert page.frames[1].url.startswith("chrome-error:")
    page.evaluate("document.forms[0].submit()")
    expect(page.get_by_text(words("site.refused.title"))).to_be_visible()
    assert page.context.cookies() == []
