"""A site to look at, and windows to look through."""

from collections.abc import Iterator
from types import ModuleType
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext
from tests.browser.web.looking import SIZES, Look, LookAt, serving
from tests.web.framed import framed_sitting

from eyeplane.sitting.live import of_sitting
from eyeplane.web import Site


@pytest.fixture(scope="session")
def made_site(builder: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> Site:
    """Return a site with a sitting that holds everything a sitting can hold; do not change it."""
    site = Site(store_path=tmp_path_factory.mktemp("site") / "store.sqlite3")
    site.add(of_sitting(builder.make_sitting(), key="s1"))
    return site


@pytest.fixture(scope="session")
def served(made_site: Site) -> Iterator[str]:
    """Yield the address of that site, served."""
    with serving(made_site) as address:
        yield address


@pytest.fixture(scope="session")
def framed_served(builder: ModuleType, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Yield the address of a site whose first three frames lie on disk."""
    site = Site(store_path=tmp_path_factory.mktemp("framed") / "store.sqlite3")
    site.add(of_sitting(framed_sitting(builder, tmp_path_factory.mktemp("frames")), key="s1"))
    with serving(site) as address:
        yield address


@pytest.fixture(scope="session")
def windows(browser: Browser) -> dict[str, list[BrowserContext]]:
    """Return windows that wait to be used again, by size and options: a new one is dear."""
    del browser  # closes them all at the end
    return {}


@pytest.fixture
def look_at(browser: Browser, windows: dict[str, list[BrowserContext]]) -> Iterator[LookAt]:
    """Yield a way to look: `look_at(address, "phone").go("/now")`; each a visitor never seen."""
    taken: list[tuple[str, BrowserContext]] = []

    def look(address: str, size: str, **options: Any) -> Look:  # noqa: ANN401
        width, height = SIZES[size]
        kind = repr((size, sorted(options.items())))
        waiting = windows.setdefault(kind, [])
        context = (
            waiting.pop()
            if waiting
            else browser.new_context(
                viewport={"width": width, "height": height},
                **{"has_touch": size != "desk", "locale": "en-GB", **options},
            )
        )
        taken.append((kind, context))
        found = Look(page=context.new_page(), address=address)
        found.page.on("request", lambda request: found.asked.append(request.url))
        found.page.on("console", lambda message: found.said.append(message.text))
        found.page.on("pageerror", lambda error: found.said.append(str(error)))
        return found

    yield look
    for kind, context in taken:
        for page in context.pages:
            page.close()  # with what was kept for this page alone
        context.set_offline(offline=False)
        context.clear_cookies()
        context.unroute_all()
        windows[kind].append(context)
