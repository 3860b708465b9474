"""The page of every check as its command writes it, in a real browser: on a phone and a desk."""

from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe  # type: ignore[import-untyped]  # has no types
from click.testing import CliRunner
from playwright.sync_api import Browser, Page
from scipy import ndimage
from tests.kit.camera import render, write_frame
from tests.kit.chart_lens import PITCH_UM, SHEET, camera
from tests.kit.dust_frames import DustCamera, Particle, shoot
from tests.kit.glass_frames import GLARES, GlassCamera, room, smudge, taken_through
from tests.sitting.ladders import Shooter, ladder
from tests.sitting.taught import LIVELY, sitting_in

from eyeplane.cli.main import main
from eyeplane.deliver import write_check
from eyeplane.deliver.ladder_content import ladder_content
from eyeplane.records import SittingLabels
from eyeplane.sitting.ladder import ladder_of
from eyeplane.sitting.ladder_asked import LadderAsked
from eyeplane.sitting.lessons import keep_lessons

pytestmark = [pytest.mark.browser, pytest.mark.slow]

SIZES = {"phone": (390, 844), "desk": (1280, 800)}
TARGET = Path(__file__).parents[1] / "data" / "focus_target"


def run(folder: Path, *typed: object) -> Path:
    """Run a command; return the page that it wrote."""
    page = folder / "page.html"
    words = [*map(str, typed), "--store", str(folder / "store.sqlite3"), "--page", str(page)]
    done = CliRunner().invoke(main, words)
    assert done.exit_code == 0, done.output
    return page


def chart(folder: Path) -> Path:
    """Photograph the chart at three apertures with a lens whose right side is softer."""
    sharp = render(SHEET, camera())
    right = np.linspace(0.0, 1.0, sharp.shape[1])
    for f_number, blur_px in ((2.0, 1.0), (4.0, 0.6), (8.0, 0.7)):
        left, soft = (ndimage.gaussian_filter(sharp, k * blur_px) for k in (1.0, 1.7))
        frame = left + right * (soft - left)
        write_frame(
            folder / f"{f_number}.jpg",
            frame,
            f_number=f_number,
            pitch_um=PITCH_UM,
            focal_length_mm=14.0,
        )
    return run(folder, "kit", "chart", folder, "--kit", "Studio")


def focus(folder: Path) -> Path:
    """Read one path-traced frame of the target."""
    return run(folder, "kit", "focus", TARGET / "f1.8-behind-14.jpg", "--kit", "Studio")


def dust(folder: Path) -> Path:
    """Check a sensor with a speck and a hair, then once more with another speck."""
    hair = Particle(at_share=(0.7, 0.3), diameter_um=18.0, length_um=260.0, angle_deg=40.0)
    body = DustCamera(
        width_px=750, height_px=500, particles=(Particle(at_share=(0.2, 0.25), diameter_um=48.0),)
    )
    run(folder, "kit", "dust", shoot(body, folder / "before.jpg", seed=1))
    later = body.seen(particles=(*body.particles, hair))
    return run(folder, "kit", "dust", shoot(later, folder / "after.jpg", seed=2))


def glass(folder: Path) -> Path:
    """Wipe a smudge between two frames of one view."""
    rng = np.random.default_rng(5)
    scene = room(rng, (500, 750))
    cover = smudge(scene.shape, (0.4, 0.45), 0.15, 0.5)
    taken = taken_through(scene, GLARES["exponential"], cover)
    clean = GlassCamera().write(folder / "clean.jpg", taken.clean, rng)
    veiled = GlassCamera().write(folder / "veiled.jpg", taken.veiled, rng)
    return run(folder, "kit", "glass", clean, "--before", veiled)


def against(folder: Path) -> Path:
    """Hold a soft zoom against a fine prime."""
    kits = ("24 MP, f/2.8, glass 5 um", "60 MP, f/1.4, glass 1.5 um")
    return run(folder, "kit", "against", *kits, "--sells", "20x30,60x80")


def steadiness(folder: Path) -> Path:
    """Fit a ladder of made-up frames with known speeds."""
    frames = ladder(np.random.default_rng(3), Shooter(sitter_mm_per_s=15.0, focus=0.1))
    asked = LadderAsked(prints_cm=(40.0, 60.0), stabiliser="off", sitter="child 3", name="ladder")
    write_check(ladder_content(ladder_of(frames, asked)), folder / "page.html")
    return folder / "page.html"


def learned(folder: Path) -> Path:
    """Show what two sittings with a lively child taught."""
    for n in range(2):
        frames = sitting_in(folder / f"sitting {n}", n, LIVELY, day=30 * n)
        keep_lessons(frames, folder / "store.sqlite3", labels=SittingLabels(sitter="child 3"))
    return run(folder, "learned", "show")


CHECKS: tuple[Callable[[Path], Path], ...] = (
    chart, focus, dust, glass, against, steadiness, learned
)  # fmt: skip


@pytest.fixture(scope="module", params=CHECKS, ids=lambda make: make.__name__)
def address(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return the address of a check's page."""
    made: Path = request.param(tmp_path_factory.mktemp(request.param.__name__))
    return made.as_uri()


@pytest.fixture(params=SIZES)
def page(request: pytest.FixtureRequest, browser: Browser, address: str) -> Iterator[Page]:
    """Yield the page, opened."""
    width, height = SIZES[request.param]
    page = browser.new_page(viewport={"width": width, "height": height})
    page.goto(address)
    yield page
    page.close()


def test_every_real_page_fits_and_can_be_read_aloud(page: Page) -> None:
    wide, seen = page.evaluate(
        "() => [document.documentElement.scrollWidth, document.documentElement.clientWidth]"
    )
    assert wide <= seen
    answer = page.locator("h1").bounding_box()
    assert answer is not None
    assert page.viewport_size is not None
    assert answer["y"] + answer["height"] < page.viewport_size["height"]
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


def test_no_letters_of_a_drawing_lie_on_others_or_beyond_its_sheet(page: Page) -> None:
    """Compare the boxes of all words in each drawing, less the room for ascents and descents."""
    trouble = page.evaluate(
        """() => [...document.querySelectorAll('svg.drawing')].flatMap(svg => {
            const sheet = svg.getBoundingClientRect();
            if (!sheet.width) return [];
            const words = [...svg.querySelectorAll('text')].map(text => {
                const box = text.getBoundingClientRect();
                const cut = box.height * .25;
                return {said: text.textContent, left: box.left + 1, right: box.right - 1,
                        top: box.top + cut, bottom: box.bottom - cut};
            }).filter(word => word.said.trim());
            const found = words.filter(word => word.left < sheet.left - 2
                || word.right > sheet.right + 2 || word.top < sheet.top - 2
                || word.bottom > sheet.bottom + 2).map(word => `beyond: ${word.said}`);
            words.forEach((one, n) => words.slice(n + 1).forEach(other => {
                if (one.left < other.right && other.left < one.right && one.top < other.bottom
                    && other.top < one.bottom) found.push(`${one.said} on ${other.said}`);
            }));
            return found;
        })"""
    )
    assert trouble == []
