"""The Now page seen at arm's length, and what it does while frames land and lines break."""

import re
import socket
import time
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from playwright.sync_api import FloatRect, Page, Route, expect
from tests.browser.web.growing import Growing
from tests.browser.web.looking import Look, LookAt

from eyeplane.records.live import RunWarning
from eyeplane.web.words import words

pytestmark = pytest.mark.browser
GROUP, NOBODY = 11, 12

# What a page shows is written down with its time, each time that anything of it changes.
WATCH = """
window.changes = [];
document.addEventListener("DOMContentLoaded", () => {
  const all = { subtree: true, childList: true, characterData: true };
  const page = document.getElementById("now");
  new MutationObserver(() => window.changes.push(performance.now())).observe(page, all);
});
"""
# A hundred frames within two and a half seconds, each answered at once.
BURST = """
async () => {
  const piece = await (await fetch("/now/piece")).text();
  let number = 4;
  window.fetch = async () =>
    new Response(piece.replace(/data-number="\\d+"/, `data-number="${number}"`));
  window.changes = [];
  const landing = setInterval(() => {
    number += 1;
    const detail = { number, said: `${number} cm`, holds: true, sentence: "", age_s: 0 };
    document.dispatchEvent(new CustomEvent("now:frame", { detail }));
    if (number >= 104) clearInterval(landing);
  }, 25);
}
"""
# Tones and speech are written down in place of being heard.
HEAR = """
window.heard = [];
class Part {
  constructor() {
    this.frequency = {};
    this.gain = { setValueAtTime() {}, linearRampToValueAtTime() {} };
  }
  connect(next) { return next; }
  start() { window.heard.push(this.frequency.value); }
  stop() {}
}
window.AudioContext = class {
  constructor() {
    this.state = "suspended";
    this.currentTime = 0;
    this.destination = {};
  }
  resume() {
    if (navigator.userActivation.hasBeenActive) this.state = "running";
    return Promise.resolve();
  }
  createOscillator() { return new Part(); }
  createGain() { return new Part(); }
};
window.speechSynthesis.speak = (said) => window.heard.push(said.text);
"""


@pytest.fixture
def growing(builder: ModuleType) -> Iterator[Growing]:
    """Yield a sitting that grows, served."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    grown = Growing(builder, port=port)
    for n in range(3):
        grown.land(sharp=n != 1, now=False)
    grown.start()
    yield grown
    grown.stop()


def opened(look_at: LookAt, growing: Growing, *scripts: str, **options: Any) -> Look:  # noqa: ANN401
    """Return the page on a phone, its line open."""
    look = look_at(f"http://127.0.0.1:{growing.port}", "phone", **options)
    for script in scripts:
        look.page.add_init_script(script)
    with look.page.expect_response("**/now/events*"):
        look.go("/now")
    return look


def journal(page: Page) -> list[int]:
    """Return the numbers that the journal shows."""
    return [
        int(n or 0)
        for n in page.locator("#now-journal li").evaluate_all("l => l.map(e => e.dataset.n)")
    ]


def shown(page: Page) -> int:
    """Return the number of the frame whose answer is seen."""
    return int(page.locator("#now-answer").get_attribute("data-number") or 0)


def box(page: Page, what: str) -> FloatRect:
    """Return where something lies."""
    found = page.locator(what).first.bounding_box()
    assert found is not None
    return found


def size_px(page: Page, what: str) -> float:
    """Return how large the type of something is."""
    return float(page.locator(what).first.evaluate("e => parseFloat(getComputedStyle(e).fontSize)"))


@pytest.mark.slow
@pytest.mark.parametrize("size", ["phone", "tablet", "desk"])
def test_the_answer_is_seen_without_scrolling(look_at: LookAt, served: str, size: str) -> None:
    evening = {"name": "evening", "value": "on", "url": served}
    look = look_at(served, size)
    for n, frame in enumerate((1, NOBODY, GROUP) if size == "phone" else (1, GROUP)):
        if n:
            look.page.context.add_cookies([evening])  # type: ignore[list-item]  # a plain dict
        page = look.go(f"/now?frame={frame}")
        assert size_px(page, ".say") >= 28  # look.md, "Phone on set"
        bar = box(page, "#now-acts")
        assert bar["y"] + bar["height"] <= (page.viewport_size or {"height": 0})["height"]
        for part in (".say", ".change", ".along", ".sketch"):
            if page.locator(part).count():
                found = box(page, part)
                assert found["y"] + found["height"] <= bar["y"] + 1, (frame, part)
        if frame in {1, GROUP}:
            assert size_px(page, ".large") >= 64
            assert page.locator("#now-eye").evaluate("e => e.complete && e.naturalWidth > 0")
        if frame == 1:  # the scale of the depth line, else its millimetres are nobody's
            assert box(page, ".along line.bar")["width"] > 10
        for button in page.locator("#now-acts :is(button, a), #now-tones button").all():
            found = button.bounding_box() or FloatRect(x=0, y=0, width=0, height=0)
            assert min(found["height"], found["width"]) >= 44
    if size == "tablet":
        look.quiet()
    else:
        look.check()


def test_a_small_phone_shows_it_too(look_at: LookAt, served: str) -> None:
    look = look_at(served, "phone")
    look.page.set_viewport_size({"width": 360, "height": 640})
    for frame in (1, GROUP):
        page = look.go(f"/now?frame={frame}")
        bar = box(page, "#now-acts")
        for part in (".say", ".large", ".along", ".sketch svg"):
            if page.locator(part).count():
                found = box(page, part)
                assert found["y"] + found["height"] <= bar["y"] + 1, (frame, part)
    look.quiet()


def test_on_another_screen_no_size_is_called_true_unseen(look_at: LookAt, served: str) -> None:
    look = look_at(served, "desk")
    for name, value in (("screen_px_per_mm", "6"), ("screen_seen", "3_390_844")):
        look.page.context.add_cookies([{"name": name, "value": value, "url": served}])
    page = look.go("/now?frame=1")
    page.locator("#real-size").wait_for(state="visible")
    note = box(page, "#real-size")
    assert note["y"] + note["height"] <= box(page, "#now-eye")["y"]
    look.check()


def per_second(times: list[float]) -> int:
    """Return the most changes that are seen within any second; one turn of the loop is one."""
    seen = [t for k, t in enumerate(times) if k == 0 or t - times[k - 1] > 20]
    return max((sum(first <= t < first + 1000 for t in seen) for first in seen), default=0)


@pytest.mark.slow
def test_whatever_lands_nothing_flickers(look_at: LookAt, growing: Growing) -> None:
    """Forty frames a second, each with another answer, of a site that answers at once.

    WCAG 2.2, 2.3.1: never more than three flashes in any one second; here nothing at all changes
    more often than that.
    """
    growing.land()  # so that its age is told, and ticks
    page = opened(look_at, growing, WATCH).page
    page.evaluate(BURST)
    page.wait_for_timeout(2600)
    times = page.evaluate("window.changes")
    assert 2 <= per_second(times) <= 3
    expect(page.locator("#now-journal li").last).to_have_attribute("data-n", "104")


@pytest.mark.slow
def test_a_burst_lands_without_loss(look_at: LookAt, growing: Growing) -> None:
    """Eight frames a second for two seconds."""
    look = opened(look_at, growing, WATCH)
    page = look.page
    for _ in range(16):
        began = time.monotonic()
        growing.land()
        page.wait_for_timeout(max(0.0, 125 - 1000 * (time.monotonic() - began)))
    expect(page.locator("#now-answer")).to_have_attribute("data-number", "19")
    page.wait_for_timeout(700)
    assert per_second(page.evaluate("window.changes")) <= 3
    assert journal(page) == list(range(1, 20))
    assert look.said == []


@pytest.mark.slow
def test_the_site_stops_and_comes_back_and_nothing_is_lost_or_told_twice(
    look_at: LookAt, growing: Growing
) -> None:
    """Seen in two windows of one device."""
    page = opened(look_at, growing).page
    second = page.context.new_page()
    second.goto(page.url)
    growing.land()
    expect(page.locator("#now-answer")).to_have_attribute("data-number", "4")
    growing.stop()
    expect(page.locator("#now-lost")).to_contain_text("No connection since")
    page.locator("#act-choose").click()
    page.locator("#act-previous").click()
    assert shown(page) == 4  # the answer stays
    assert page.locator("#now-say").is_visible()
    for _ in range(3):
        growing.land()
    growing.begin_anew()
    growing.start()
    expect(page.locator("#now-answer")).to_have_attribute("data-number", "7")
    expect(page.locator("#now-lost")).to_be_empty()
    growing.land()
    expect(page.locator("#now-answer")).to_have_attribute("data-number", "8")
    expect(second.locator("#now-answer")).to_have_attribute("data-number", "8")
    assert journal(page) == journal(second) == list(range(1, 9))


@pytest.mark.slow
def test_a_phone_out_of_reach_catches_up(look_at: LookAt, growing: Growing) -> None:
    page = opened(look_at, growing).page
    page.context.set_offline(True)
    expect(page.locator("#now-lost")).to_contain_text("No connection since")
    for _ in range(40):
        growing.land()
    page.context.set_offline(False)
    expect(page.locator("#now-answer")).to_have_attribute("data-number", "43")
    expect(page.locator("#now-journal li").last).to_have_attribute("data-n", "43")
    assert journal(page) == list(range(20, 44))  # the end of it, in order
    page.reload()
    assert journal(page) == list(range(20, 44))


@pytest.mark.slow
def test_a_phone_that_sleeps_catches_up_without_a_sound(look_at: LookAt, growing: Growing) -> None:
    """Frozen as a phone freezes it in a pocket; what landed meanwhile is old when it wakes."""
    page = opened(look_at, growing, HEAR).page
    page.locator("#act-sound").click()
    expect(page.locator("#act-sound")).to_have_attribute("aria-pressed", "true")
    page.wait_for_timeout(600)
    page.evaluate("window.heard = []")
    asleep = page.context.new_cdp_session(page)
    asleep.send("Page.setWebLifecycleState", {"state": "frozen"})
    for _ in range(5):
        growing.land(age_s=9.0)
    asleep.send("Page.setWebLifecycleState", {"state": "active"})
    expect(page.locator("#now-answer")).to_have_attribute("data-number", "8")
    assert journal(page) == list(range(1, 9))
    assert page.evaluate("window.heard") == []


@pytest.mark.slow
def test_an_answer_under_way_does_not_undo_a_hold(look_at: LookAt, growing: Growing) -> None:
    page = opened(look_at, growing).page
    under_way: list[Route] = []
    page.route("**/now/piece", lambda route: under_way.append(route))  # noqa: PLW0108  not built-in
    with page.expect_request("**/now/piece"):
        growing.land()
    page.locator("#act-hold").click()
    page.wait_for_timeout(700)
    under_way[0].continue_()
    expect(page.locator("#now-answer")).to_have_attribute("data-held", "1")
    assert shown(page) == 3


@pytest.mark.slow
def test_what_the_hand_does(look_at: LookAt, growing: Growing) -> None:
    look = opened(look_at, growing)
    page = look.page
    page.locator("#act-hold").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#now-answer")).to_have_attribute("data-held", "1")
    assert page.evaluate("document.activeElement.id") == "act-hold"  # focus stays where it was
    growing.land()
    expect(page.locator("#act-hold")).to_contain_text(words("now.newer", count=1))
    assert shown(page) == 3
    expect(page.locator("#now-journal li")).to_have_count(4)
    page.locator("#act-choose").click()
    expect(page.locator("#act-choose")).to_have_text(words("now.chosen"))
    assert growing.live.frame(3).chosen  # type: ignore[union-attr]  # it is there
    page.locator("#act-previous").click()
    expect(page.locator("#now-answer")).to_have_attribute("data-number", "2")
    page.reload()
    assert shown(page) == 2  # the address says where one is
    page.keyboard.press("h")
    expect(page.locator("#now-answer")).to_have_attribute("data-number", "4")
    # a finger on the button: what it means stays under it
    button = box(page, "#act-choose")
    page.mouse.move(button["x"] + 5, button["y"] + 5)
    page.mouse.down()
    growing.land()
    page.wait_for_timeout(900)
    assert shown(page) == 4
    page.mouse.up()
    expect(page.locator("#now-answer")).to_have_attribute("data-number", "5")
    assert growing.live.frame(4).chosen  # type: ignore[union-attr]  # it is there
    assert not growing.live.frame(5).chosen  # type: ignore[union-attr]  # as above
    look.quiet()


@pytest.mark.slow
def test_tones_are_told_apart_and_only_of_what_lands_now(look_at: LookAt, growing: Growing) -> None:
    look = opened(look_at, growing, HEAR)
    page = look.page
    growing.land()
    expect(page.locator("#now-answer")).to_have_attribute("data-number", "4")
    assert page.evaluate("window.heard") == []  # off until wanted
    page.locator("#act-sound").click()
    expect(page.locator("#act-sound")).to_have_attribute("aria-pressed", "true")
    expect(page.locator("#now-gesture")).to_be_empty()
    page.wait_for_timeout(1000)
    assert len(page.evaluate("window.heard.splice(0)")) == 2  # what they are like
    growing.land()
    expect(page.locator("#now-answer")).to_have_attribute("data-number", "5")
    holds = page.evaluate("window.heard.splice(0)")
    page.wait_for_timeout(1000)
    growing.land(sharp=False)
    expect(page.locator("#now-answer")).to_have_attribute("data-number", "6")
    soft = page.evaluate("window.heard.splice(0)")
    assert len(holds) == 2
    assert len(soft) == 1
    assert soft[0] < min(holds) / 2  # an octave and more apart
    page.wait_for_timeout(1000)
    growing.land(now=False)  # lay there before
    expect(page.locator("#now-journal li").last).to_have_attribute("data-n", "7")
    assert page.evaluate("window.heard") == []
    page.reload()
    page.wait_for_timeout(300)
    expect(page.locator("#now-gesture")).to_have_text(words("now.script.gesture"))
    page.locator("#now-say").click()
    expect(page.locator("#now-gesture")).to_be_empty()
    look.quiet()


@pytest.mark.slow
def test_answers_are_spoken_and_a_warning_once(
    look_at: LookAt, growing: Growing, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = opened(look_at, growing, HEAR).page
    page.locator("#act-speech").click()
    expect(page.locator("#act-speech")).to_have_attribute("aria-pressed", "true")
    told = RunWarning(kind="shutter", number=4, text="Soft again.", advice="Go to 1/400 s.")
    monkeypatch.setattr(growing.live, "warnings", lambda: (told,))
    monkeypatch.setattr(growing.live, "last_good", lambda: None)
    for _ in range(2):
        growing.land(sharp=False)
        page.wait_for_timeout(700)
    expect(page.locator("#now-answer")).to_have_attribute("data-number", "5")
    spoken = [one for one in page.evaluate("window.heard") if isinstance(one, str)]
    assert spoken[0] == words("now.script.speaks")
    assert any(one.startswith("Does not hold") for one in spoken)
    assert sum(told.text in one and told.advice in one for one in spoken) == 1  # once


def test_on_a_fine_screen_the_eye_is_shown_with_every_pixel(
    look_at: LookAt, growing: Growing, tmp_path: Path
) -> None:
    growing.keep_in(tmp_path)
    growing.land(shrunk=4.0)
    look = look_at(f"http://127.0.0.1:{growing.port}", "phone", device_scale_factor=3)
    kept = growing.builder.drawn_eye(1).jpeg
    look.page.route(
        "**/print.jpg*", lambda route: route.fulfill(body=kept, content_type="image/jpeg")
    )
    page = look.go("/now")
    before = box(page, "#now-eye")
    expect(page.locator("#now-eye")).to_have_attribute("src", re.compile("print.jpg"))
    assert box(page, "#now-eye") == before  # the same place, the same size
    growing.land(shrunk=4.0)
    expect(page.locator("#now-answer")).to_have_attribute("data-number", "5")
    expect(page.locator("#now-eye")).to_have_attribute("src", re.compile("/5/0.jpg"))


def test_without_scripts_everything_can_be_read_and_done(look_at: LookAt, growing: Growing) -> None:
    look = look_at(f"http://127.0.0.1:{growing.port}", "phone", java_script_enabled=False)
    page = look.go("/now")
    expect(page.locator("#now-say")).to_be_visible()
    page.locator("#act-choose").click()
    expect(page.locator("#act-choose")).to_have_text(words("now.chosen"))
    page.locator("#act-hold").click()
    expect(page.locator("#now-answer")).to_have_attribute("data-held", "1")
    growing.land()
    page.get_by_text(words("now.newest"), exact=True).click()
    expect(page.locator("#now-answer")).to_have_attribute("data-number", "4")
