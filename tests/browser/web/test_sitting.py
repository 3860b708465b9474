"""The sitting's page seen in a browser: a long list that stays light, keys, touch, and news."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from tests.browser.web.looking import LookAt, serving

from eyeplane.records import SittingFrame
from eyeplane.sitting.live import LiveSitting, of_sitting
from eyeplane.web import Site
from eyeplane.web.pages.sitting_asked import Asked, in_order

pytestmark = [pytest.mark.browser, pytest.mark.slow]
LOOK = "document.dispatchEvent(new Event('visibilitychange'))"  # as when a tab is looked at again
HERE = "(() => document.activeElement.closest('li')?.id)()"


def long_sitting(builder: ModuleType, copies: int) -> LiveSitting:
    """Return a sitting of many bursts, ten frames in ten minutes, again and again."""
    made = builder.make_sitting(copies=copies)
    frames = tuple(later(frame, place) for place, frame in enumerate(made.frames))
    return of_sitting(replace(made, frames=frames), key="long")


def later(frame: SittingFrame, place: int) -> SittingFrame:
    """Return a frame of the hand-made sitting as one of its many repetitions."""
    turn, reading = place // 10, frame.reading
    start, minute = reading.exposure.captured_s or 0.0, turn * 600
    when = datetime(2026, 3, 14, 10, tzinfo=UTC) + timedelta(seconds=start - 1.0e9 + minute)
    exposure = replace(
        reading.exposure,
        captured_s=start + minute,
        captured_at=when.replace(tzinfo=None).isoformat(),
    )
    name = f"/s/{place:04d}-{reading.path.rpartition('/')[2]}"
    return replace(
        frame,
        burst=None if frame.burst is None else frame.burst + turn * 10,
        reading=replace(reading, path=name, exposure=exposure),
    )


@pytest.fixture(scope="module")
def long(
    builder: ModuleType, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[str, Any]]:
    """Yield the address of a site with a long sitting that may be changed, and the sitting."""
    live = long_sitting(builder, 20)
    site = Site(store_path=tmp_path_factory.mktemp("long") / "store.sqlite3")
    site.add(live)
    with serving(site) as address:
        yield address, live


def ready(page: Page) -> Page:
    expect(page.locator("html.script")).to_be_attached()
    return page


@pytest.mark.parametrize("size", ["phone", "tablet", "desk"])
def test_it_is_a_good_page(look_at: LookAt, served: str, size: str) -> None:
    look = look_at(served, size)
    page = ready(look.go("/sitting/s1"))
    page.locator("#frames-heading").scroll_into_view_if_needed()
    expect(page.locator("#list img[width]").first).to_be_visible()
    low = page.evaluate(
        """() => [...document.querySelectorAll("button, .button, select")]
            .filter((one) => one.checkVisibility()
                && one.getBoundingClientRect().height < 43.5).map((one) => one.outerHTML)"""
    )
    assert low == []
    page.locator(".promise summary").click()
    page.locator(".narrowing summary").click()
    if size == "tablet":
        look.quiet()
    else:
        look.check()


def test_a_frame_has_a_good_page(look_at: LookAt, served: str) -> None:
    look = look_at(served, "phone")
    page = look.go("/sitting/s1/frame/11")
    look.check()
    assert page.locator("h1").count() == 1
    for size in ("tablet", "desk"):
        look.resize(size)
        look.quiet()


def test_it_is_a_good_page_in_the_evening(look_at: LookAt, served: str) -> None:
    look = look_at(served, "phone")
    look.page.context.add_cookies([{"name": "evening", "value": "on", "url": served}])
    ready(look.go("/sitting/s1?order=longest&cause=focus"))
    expect(look.page.locator("html.evening")).to_be_attached()
    look.check()
    look.go("/sitting/s1/frame/1")
    look.check()


def test_the_script_orders_and_narrows_as_the_server_does(
    look_at: LookAt, long: tuple[str, Any]
) -> None:
    address, live = long
    live.choose([1, 2, 3, 50], chosen=True)
    look = look_at(address, "desk")
    page = ready(look.go("/sitting/long"))
    wanted = [
        Asked(order=order, **narrowed)
        for order in (
            "capture",
            "longest",
            "shortest",
            "behind",
            "front",
            "cause",
            "eyes",
            "chosen",
        )
        for narrowed in (
            {},
            {"cause": "focus", "chosen": "no"},
            {"offset": "behind", "to_cm": 60.0},
            {"eyes": "open", "from_cm": 31.0, "name": "ILVES"},
        )
    ]
    found = page.evaluate(
        """async ([address, wanted]) => {
          const list = await import(address);
          const data = await (await fetch("/sitting/long/rows")).json();
          const options = [...document.querySelector("#ask-cause").options];
          const causes = options.map((one) => one.value).filter(Boolean);
          return wanted.map((one) => list.inOrder(data, one, causes).map((k) => data.n[k]));
        }""",
        [
            page.evaluate(
                "performance.getEntriesByType('resource').map((r) => r.name)"
                ".find((name) => name.includes('sitting-list'))"
            ),
            [
                {
                    "order": one.order,
                    "cause": one.cause,
                    "offset": one.offset,
                    "eyes": one.eyes,
                    "chosen": one.chosen,
                    "from": one.from_cm,
                    "to": one.to_cm,
                    "name": one.name,
                }
                for one in wanted
            ],
        ],
    )
    rows = live.rows()
    assert found == [[row.number for row in in_order(rows, one)] for one in wanted]
    # The address can be kept: what it asks for is what stands there after loading it again.
    page.select_option("#ask-order", "shortest")
    page.locator(".narrowing summary").click()
    page.select_option("#ask-cause", "shake")
    expect(page.locator("#counted")).to_have_text("20 of 203 frames.")
    assert page.url.endswith("/sitting/long?order=shortest&cause=shake")
    page.reload()
    expect(ready(page).locator("#counted")).to_have_text("20 of 203 frames.")
    first = page.locator("#list li .cause").first
    expect(first).to_have_text("shake")
    assert look.said == []
    live.choose([1, 2, 3, 50], chosen=False)


def test_a_long_list_stays_light_and_every_frame_is_met_once(
    look_at: LookAt, long: tuple[str, Any]
) -> None:
    address, live = long
    page = ready(look_at(address, "tablet").go("/sitting/long"))
    met: dict[int, str] = {}
    page.locator("#frames-heading").scroll_into_view_if_needed()
    height = page.evaluate("document.documentElement.scrollHeight")
    at, most = 0, 0
    while at < height + 1200:
        page.evaluate("(y) => window.scrollTo(0, y)", at)
        page.evaluate(
            "() => new Promise((r) => requestAnimationFrame(() => requestAnimationFrame(r)))"
        )
        items = page.evaluate(
            "() => [...document.querySelectorAll('#list li')]"
            ".map((one) => [Number(one.dataset.place), one.id])"
        )
        most = max(most, len(items))
        assert [place for place, _ in items] == sorted(place for place, _ in items)
        for place, name in items:
            assert met.setdefault(place, name) == name
        at += 1100
    order = [f"f{row.number}" for row in in_order(live.rows(), Asked())]
    assert [met[place] for place in range(len(order))] == order
    assert most < 120  # of 203: what is not near the window is not in the page


def test_keys_go_through_the_list_and_choose(look_at: LookAt, long: tuple[str, Any]) -> None:
    address, live = long
    look = look_at(address, "desk")
    page = ready(look.go("/sitting/long"))
    count = page.locator("#chosen-count")
    page.locator("#list a.to").first.focus()
    for key, there in [
        ("ArrowRight", "f2"),
        ("ArrowDown", "f6"),  # the burst below has two frames
        ("ArrowUp", "f2"),
        ("End", "f203"),
        ("Home", "f1"),
        ("b", "f2"),  # the best of its burst
        (".", "f5"),
        (",", "f1"),
    ]:
        page.keyboard.press(key)
        assert page.evaluate(HERE) == there, key
    page.keyboard.press("c")
    expect(count).to_have_text("1 chosen")
    for _ in range(4):
        page.keyboard.press("Shift+ArrowRight")
    expect(page.locator("#news")).to_have_text("5 frames in the row.")
    page.keyboard.press("c")
    expect(count).to_have_text("5 chosen")
    expect(page.locator("#f5 .choose-words")).to_have_text("chosen")
    page.keyboard.press("u")
    expect(count).to_have_text("1 chosen")
    assert [row.number for row in live.rows() if row.chosen] == [1]
    page.keyboard.press("u")
    expect(count).to_have_text("0 chosen")
    # A frame that holds the focus stays in the page, however far the list is scrolled.
    page.evaluate("window.scrollTo(0, document.documentElement.scrollHeight)")
    expect(page.locator("#f203")).to_be_attached()
    assert page.evaluate(HERE) == "f5"
    page.keyboard.press("ArrowRight")
    assert page.evaluate(HERE) == "f6"
    expect(page.locator("#f6")).to_be_in_viewport()
    # And what the browser tells of a frame says where in the whole list it stands.
    assert page.locator("#f6").get_attribute("aria-posinset") == "6"
    assert page.locator("#f6").get_attribute("aria-setsize") == "203"
    assert look.said == []


def test_a_row_is_chosen_by_touch(look_at: LookAt, long: tuple[str, Any]) -> None:
    address, live = long
    page = ready(look_at(address, "phone").go("/sitting/long"))
    page.locator("#list li").first.scroll_into_view_if_needed()
    page.locator("#f2 .choose").tap()
    expect(page.locator("#chosen-count")).to_have_text("1 chosen")
    page.locator("#several").tap()
    page.locator("#f1 a.to").tap()
    page.locator("#f4 a.to").tap()
    expect(page.locator("#news")).to_have_text("4 frames in the row.")
    page.locator("[data-take=choose]").tap()
    expect(page.locator("#chosen-count")).to_have_text("4 chosen")
    assert [row.number for row in live.rows() if row.chosen] == [1, 2, 3, 4]
    page.locator("#undoing button").tap()
    expect(page.locator("#chosen-count")).to_have_text("1 chosen")
    page.locator("#undoing button").tap()
    expect(page.locator("#chosen-count")).to_have_text("0 chosen")
    expect(page.locator("#news")).to_have_text("Taken back. 0 chosen.")
    page.locator("#f1 a.to").tap()  # no longer taken into a row: it leads to the reasons
    expect(page.locator("h1")).to_contain_text("Near eye holds 35")


def test_new_frames_are_told_and_nothing_jumps(
    look_at: LookAt, builder: ModuleType, tmp_path: Path
) -> None:
    site, live = Site(store_path=tmp_path / "store.sqlite3"), long_sitting(builder, 4)
    site.add(live)
    with serving(site) as address:
        look = look_at(address, "desk")
        page = ready(look.go("/sitting/long#f21"))
        expect(page.locator("#f21")).to_be_in_viewport()
        before = page.locator("#f21").bounding_box()
        reading = builder.reading_of(
            "new.jpg", (builder.face_reading(builder.blur_of("disc", 3.0)),), second=9.0
        )
        live.take(reading)
        live.choose([21], chosen=True)  # on another device
        page.evaluate(LOOK)
        expect(page.locator("#news")).to_contain_text("1 new frame")
        assert page.locator("#f21").bounding_box() == before
        page.locator("#news button").click()
        expect(page.locator("#counted")).to_have_text("All 44 frames.")
        expect(page.locator("#f21 .choose-words")).to_have_text("chosen")
        after = page.locator("#f21").bounding_box()
        assert before is not None
        assert after is not None
        assert abs(after["y"] - before["y"]) < 2
        live.choose([22], chosen=True)
        page.evaluate(LOOK)
        expect(page.locator("#chosen-count")).to_have_text("2 chosen")
        assert look.said == []


def test_it_is_read_and_chosen_from_without_scripts(look_at: LookAt, long: tuple[str, Any]) -> None:
    address, live = long
    page = look_at(address, "phone", java_script_enabled=False).go("/sitting/long?page=2")
    page.locator("#list .choose").nth(1).click()
    expect(page.locator("#chosen-count")).to_have_text("1 chosen")
    assert "page=2#f" in page.url
    page.locator("#undoing button").click()
    expect(page.locator("#chosen-count")).to_have_text("0 chosen")
    page.locator("a[rel=next]").click()
    expect(page.locator(".parts p")).to_have_text("Part 3 of 4")
    assert not any(row.chosen for row in live.rows())
