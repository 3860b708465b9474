"""Known discs of each colour put on real photographs, and on rendered heads with true depths.

Sources: the people folder (camera files; discs, lateral colour, noise and JPEG are put on here,
benchmarks/accuracy/colour.py), truth.json of the rendered heads (depths; discs by thin-lens
geometry, benchmarks/accuracy/colour_heads.py). Limits are a little wider than what the whole
benchmark gives, since these are small parts of it.
"""

from pathlib import Path

import numpy as np
import pytest
from tests.benchmarked import benchmark

pytestmark = pytest.mark.slow


colour = benchmark("colour")
heads = benchmark("colour_heads")
FULL, HALVED = colour.KINDS[0], colour.KINDS[3]  # 4:4:4 and 4:2:0


@pytest.fixture(scope="module")
def patches(data: Path) -> "list[tuple[str, np.ndarray]]":
    found: list[tuple[str, np.ndarray]] = colour.sharp_colour_patches(data / "people")
    return found


@pytest.mark.parametrize("kind", [FULL, HALVED], ids=["4:4:4", "4:2:0"])
def test_sign_is_right_and_intervals_hold(
    kind: object, patches: "list[tuple[str, np.ndarray]]"
) -> None:
    rows = colour.window_rows(patches, kind, colour.lens_sizes, count=25)
    share, right = colour.called(rows, clear=True)
    assert colour.told(rows) > 0.6
    assert share > 0.5
    assert right >= 0.98
    assert colour.coverage(rows) > 0.8


def test_a_lens_without_colour_shows_none(patches: "list[tuple[str, np.ndarray]]") -> None:
    rows = colour.window_rows(patches, FULL, colour.equal_sizes, count=25, seed=2)
    share, _ = colour.called(rows, clear=False)
    assert share <= 0.08  # 0.05 and one more of some 45
    assert colour.coverage(rows) > 0.85


def test_learned_on_one_head_it_tells_the_side_on_another(data: Path) -> None:
    kit = heads.KITS[0]
    folder = data / "rendered" / "single"
    rng = np.random.default_rng(5)
    learned = heads.learned(heads.load_heads(folder, ("dev_0026.jpg",)), kit, rng)
    assert len(learned) == 1
    # Red and blue behind green, as modelled.
    assert learned[0].red_um.low > 0
    assert learned[0].blue_um.low > 0
    (head,) = heads.load_heads(folder, ("dev_0043.jpg",))
    chances = {
        offset: heads.behind(heads.read_face(head, offset, kit, rng), head, learned[0])
        for offset in (-20.0, 12.0)
    }
    assert chances[-20.0] < 0.1
    assert chances[12.0] > 0.9
