"""How quick the sitting's page is with 5 000 frames, in a real Chromium.

Prints the machine, then minimum and median of N visits: until the served page can be read (it is
whole without scripts) and until the whole list is under the hand (all rows fetched, narrowed and
laid out); the longest piece of work that keeps the page from answering while the whole list is
scrolled through; how long narrowing and putting in order take until they are drawn; how many
frames stand in the page at once; and how many bytes travel. Asked: interactive under 1 s, no work
above 200 ms while scrolling, narrowing under 100 ms, the first page under 150 kB and the rows under
1 MB, both compressed.
Run: python benchmarks/bench_sitting_page.py [visits, 5 unless said] [frames, 5000 unless said]
"""

import gzip
import platform
import shutil
import statistics
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from urllib.request import urlopen

from playwright.sync_api import CDPSession, Page, sync_playwright
from tests.browser.conftest import ARGUMENTS
from tests.browser.web.looking import SIZES, serving
from tests.browser.web.test_sitting import later
from tests.deliver import sitting_builder

from eyeplane.sitting.live import of_sitting
from eyeplane.web import Site

WATCH = """() => {
  window.longest = 0;
  new PerformanceObserver((list) => {
    for (const one of list.getEntries()) window.longest = Math.max(window.longest, one.duration);
  }).observe({ type: "longtask", buffered: false });
}"""
SCROLL = """async () => {
  const frame = () => new Promise((r) => requestAnimationFrame(r));
  const end = document.documentElement.scrollHeight;
  let most = 0, worst = 0, steps = 0, last = performance.now();
  for (let y = 0; y < end; y += 1500) {
    window.scrollTo(0, y);
    await frame();
    const now = performance.now();
    worst = Math.max(worst, now - last);
    last = now;
    steps += 1;
    most = Math.max(most, document.querySelectorAll("#list li").length);
  }
  await new Promise((r) => setTimeout(r, 300));
  return { longest: window.longest, worst, most, steps };
}"""
NARROW = """async ([name, value]) => {
  const field = document.getElementById("ask").elements[name];
  const began = performance.now();
  field.value = value;
  field.dispatchEvent(new Event("input", { bubbles: true }));
  const done = performance.now();
  await new Promise((r) => requestAnimationFrame(() => setTimeout(r, 0)));
  return [done - began, performance.now() - began];
}"""
READY = """() => {
  const mark = performance.getEntriesByName("sitting-ready")[0];
  const page = performance.getEntriesByType("navigation")[0];
  return [page.domContentLoadedEventEnd, mark ? mark.startTime : null, page.responseEnd];
}"""


@contextmanager
def served(frames: int) -> Iterator[str]:
    made = sitting_builder.make_sitting(copies=max(1, frames // 10))
    many = tuple(later(frame, place) for place, frame in enumerate(made.frames))
    live = of_sitting(replace(made, frames=many), key="long")
    with tempfile.TemporaryDirectory() as folder:
        site = Site(store_path=Path(folder) / "store.sqlite3")
        site.add(live)
        with serving(site) as address:
            yield address


def worked_ms(session: CDPSession) -> float:
    """Return what the page's main thread has had of the processor, which others do not lengthen."""
    told = {one["name"]: one["value"] for one in session.send("Performance.getMetrics")["metrics"]}
    return float(told["TaskDuration"]) * 1000


def visit(page: Page, address: str) -> dict[str, float]:
    page.goto(f"{address}/sitting/long")
    page.locator("html.script").wait_for(state="attached")
    page.wait_for_timeout(200)
    read, whole, answered = page.evaluate(READY)
    session = page.context.new_cdp_session(page)
    session.send("Performance.enable", {"timeDomain": "threadTicks"})
    page.evaluate(WATCH)
    before = worked_ms(session)
    scrolled = page.evaluate(SCROLL)
    worked = worked_ms(session) - before
    page.evaluate("window.scrollTo(0, 0)")
    done, drawn = page.evaluate(NARROW, ["cause", "focus"])
    page.evaluate(NARROW, ["cause", ""])
    sorted_done, sorted_drawn = page.evaluate(NARROW, ["order", "longest"])
    return {
        "the server answered, ms": answered,
        "can be read, ms": read,
        "whole list under the hand, ms": whole,
        "longest work while scrolling, ms": scrolled["longest"],
        "longest wait for a picture of the screen, ms": scrolled["worst"],
        "work to a step of scrolling, processor, ms": worked / scrolled["steps"],
        "most frames in the page": scrolled["most"],
        "narrowing, script alone, ms": done,
        "narrowing, until drawn, ms": drawn,
        "order, script alone, ms": sorted_done,
        "order, until drawn, ms": sorted_drawn,
    }


def packed_kb(address: str, paths: list[str]) -> float:
    total = 0
    for path in paths:
        with urlopen(address + path) as answer:  # noqa: S310  our own site on this machine
            total += len(gzip.compress(answer.read(), 6))
    return total / 1024


def main() -> None:
    visits = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    frames = int(sys.argv[2]) if len(sys.argv) > 2 else 5000
    print(f"{platform.platform()}, Python {platform.python_version()}, {frames} frames")
    with served(frames) as address, sync_playwright() as playwright:
        path = shutil.which("chromium") or shutil.which("chromium-browser")
        browser = playwright.chromium.launch(executable_path=path, args=ARGUMENTS)
        found: list[dict[str, float]] = []
        asked: set[str] = set()
        for _ in range(visits):
            width, height = SIZES["desk"]
            context = browser.new_context(
                viewport={"width": width, "height": height}, locale="en-GB"
            )
            page = context.new_page()
            page.on("request", lambda request: asked.add(request.url.removeprefix(address)))
            found.append(visit(page, address))
            context.close()
        for name in found[0]:
            values = [one[name] for one in found]
            print(f"{name:<46}{min(values):>8.0f}{statistics.median(values):>8.0f}")
        first = ["/sitting/long", *(p for p in asked if p.startswith("/static/"))]
        print(f"{'first page with styles and scripts, kB':<46}{packed_kb(address, first):>8.0f}")
        print(f"{'rows, kB':<46}{packed_kb(address, ['/sitting/long/rows']):>8.0f}")
        browser.close()


if __name__ == "__main__":
    main()
