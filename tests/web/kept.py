"""A store with checks of every kind, ladders, and what sittings taught."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
from tests.deliver import chart_builder
from tests.deliver.test_dust_content import RESULT as DUST
from tests.deliver.test_dust_content import shadow
from tests.deliver.test_focus_content import OFF, frame
from tests.deliver.test_glass_content import RESULT as GLASS
from tests.sitting.ladders import Shooter, ladder
from tests.sitting.taught import LIVELY, sitting_in

from eyeplane.kit.focus import check_focus
from eyeplane.records import SittingLabels, to_plain
from eyeplane.sitting.ladder import ladder_of
from eyeplane.sitting.ladder_asked import LadderAsked
from eyeplane.sitting.lessons import keep_lessons
from eyeplane.store import KitLog

STUDIO = "<i>Studio</i> 李"  # a name as hostile as names may be
NOW = datetime.now(tz=UTC)


def keep_all(store: Path, folder: Path) -> dict[str, int]:
    """Keep a check of each kind, an older one of dust, and a ladder; return their numbers."""
    dust = replace(DUST, shadows=(shadow(1, "yes"),))
    offsets = tuple(frame(14.0 + off) for off in OFF)
    shot = ladder(np.random.default_rng(3), Shooter(sitter_mm_per_s=15.0), each=4)
    asked = LadderAsked(prints_cm=(40.0,), stabiliser="off", sitter="child 3", name="ladder")
    with KitLog(store) as log:
        log.keep("dust", STUDIO, NOW - timedelta(days=90), to_plain(DUST))
        found = {
            "dust": log.keep("dust", STUDIO, NOW - timedelta(days=41), to_plain(dust)),
            "glass": log.keep("glass", "Old 50", NOW - timedelta(days=1), to_plain(GLASS)),
            "focus": log.keep("focus", STUDIO, NOW, to_plain(check_focus(offsets))),
            "chart": log.keep("chart", STUDIO, NOW, to_plain(chart_builder.reading())),
            "ladder": log.keep("ladder", STUDIO, NOW, to_plain(ladder_of(shot, asked))),
        }
        found["old form"] = log.keep("glass", "Other", NOW, {"veil": 1})
    for n in range(2):
        taught = sitting_in(folder / f"sitting {n}", n, LIVELY, bursts=4, day=30 * n)
        keep_lessons(taught, store, labels=SittingLabels(sitter="child 3"))
    return found
